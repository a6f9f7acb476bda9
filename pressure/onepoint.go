package pressure

import (
	"cmp"
	"math"

	"holdbook/units"
)

// OnePoint is a test at a single pressure: the exponent is assumed, not
// measured.
type OnePoint struct {
	Station
	Calibration Calibration
	Exponent    units.Ratio // 0.5 to 1
	ExponentSD  units.Ratio // one standard deviation; 0 means known
}

// OnePointResult is the flow of a one-point test at a reference pressure.
type OnePointResult struct {
	Flow units.Estimate[units.Flow] // 90 %
	// Shown carries the formula of the flow and Spread that of SDLn.
	Shown  Computed[units.Flow]
	Spread Computed[units.Ratio] // standard deviation of ln Flow
	// Reached is whether the hold came within 5 % of the reference pressure
	// (judgement); if not the result leans on the exponent.
	Reached  bool
	Warnings []*Fault
}

// At carries a one-point test to a reference pressure (Pa, above zero).
// Q_ref = Q·(P/Δp)^n. The interval holds the errors of flow, calibration and
// pressure, and of the exponent over the distance ln(P/Δp). Sources: HoF 2021
// ch.16 eq 40; first-order propagation.
//
// Errors: readings that carry nothing, an exponent outside 0.5 to 1. A hold
// below 15 Pa is used with a warning.
func (t OnePoint) At(ref units.Pressure) (OnePointResult, error) {
	if err := t.checkAt(ref); err != nil {
		return OnePointResult{}, err
	}
	shown, err := t.flow(ref)
	if err != nil {
		return OnePointResult{}, err
	}
	spread, err := t.spread(ref)
	if err != nil {
		return OnePointResult{}, err
	}
	q, err := LogEstimate(shown.Value, float64(spread.Value))
	return OnePointResult{
		Flow: q, Shown: shown, Spread: spread,
		Reached:  t.dp() >= 0.95*float64(ref),
		Warnings: t.warnings(),
	}, err
}

// FlowAt is At without its working.
func (t OnePoint) FlowAt(p units.Pressure) (units.Estimate[units.Flow], error) {
	r, err := t.At(p)
	return r.Flow, err
}

// Leak is the power law through the station, without its uncertainty.
func (t OnePoint) Leak() (Leak, error) {
	if err := t.check(); err != nil {
		return Leak{}, err
	}
	return NewLeak(t.Flow, units.Pressure(t.dp()), t.Exponent)
}

func (t OnePoint) checkAt(ref units.Pressure) error {
	return cmp.Or(t.check(), needWithin("the reference pressure", float64(ref), 0.1, 1000, "Pa"),
		needExponent(t.Exponent), needWithin("the standard deviation of the exponent", float64(t.ExponentSD), 0, 0.5, ""),
		t.Calibration.check())
}

// flow is the formula of a one-point test.
func (t OnePoint) flow(ref units.Pressure) (Computed[units.Flow], error) {
	return compute[units.Flow](float64(t.Flow)*math.Pow(float64(ref)/t.dp(), float64(t.Exponent)),
		formula("Q(P) = {Q}·({P}/{Δp})^{n}", "HoF 2021 ch.16 eq 40", asFlow, asFlow),
		term{"Q", float64(t.Flow), asFlow}, term{"P", float64(ref), asPressure},
		term{"Δp", t.dp(), asPressure}, term{"n", float64(t.Exponent), noUnit})
}

// spread is the standard deviation of ln Q at the reference pressure.
func (t OnePoint) spread(ref units.Pressure) (Computed[units.Ratio], error) {
	n, cal := float64(t.Exponent), t.Calibration.SD()
	reach := math.Log(float64(ref)/t.dp()) * float64(t.ExponentSD)
	return compute[units.Ratio](math.Sqrt(t.ownVariance(n)+cal*cal+reach*reach),
		formula("s = √({repeat}² + {calibration}² + ({n}·{sp}/{Δp})² + (ln({P}/{Δp})·{sn})²)", "first-order propagation", noUnit, noUnit),
		term{"repeat", float64(t.Repeat), noUnit}, term{"calibration", cal, noUnit}, term{"n", n, noUnit},
		term{"sp", float64(t.PressureSD), asPressure}, term{"Δp", t.dp(), asPressure},
		term{"P", float64(ref), asPressure}, term{"sn", float64(t.ExponentSD), noUnit})
}

// warnings tells of a hold too low to lean on (15 Pa: judgement).
func (t OnePoint) warnings() []*Fault {
	if t.dp() >= 15 {
		return nil
	}
	return []*Fault{{
		What: t.label() + " is at " + plain(t.dp()) + " Pa",
		Why:  "below 15 Pa one point leans on wind, gauge and an assumed exponent",
		Do:   "close what was left open, or test at several pressures",
	}}
}
