package ductleak

import (
	"cmp"
	"math"

	"holdbook/internal/fit"
	"holdbook/pressure"
	"holdbook/units"
)

// HeldState is the house held at pressure in one state of its registers.
type HeldState struct {
	House units.Measured[units.Pressure] // house to outside, magnitude
	Fan   units.Measured[units.Flow]     // door-fan flow as envelope flow; SD of one reading against the next
	Ducts units.Measured[units.Pressure] // house to duct, magnitude; zero where it was not read
}

// Subtraction is leakage to outside by covered registers: the house held with
// its registers open, then covered, the air handler off.
type Subtraction struct {
	Open, Covered HeldState
	// Zone is house to the space the ducts run through, read with the registers
	// covered; zero Value means that the ducts run outdoors. The method takes it
	// for outdoors: see PoorZone.
	Zone units.Measured[units.Pressure]
	// Calibration is the relative standard deviation of the fan that both flow
	// readings share.
	Calibration float64
	// Correction is the exponent of the duct-pressure correction and Scaling
	// that of the duct leak from the hold to 25 Pa.
	Correction, Scaling units.Measured[units.Ratio]
}

// SubtractionResult is what the subtraction says.
type SubtractionResult struct {
	Test       Subtraction
	Hold       units.Pressure // of the open state; the covered one is scaled to it
	Difference units.Flow     // open less covered, at Hold
	Sigma      units.Flow     // standard deviation of Difference, calibration apart
	Factor     units.Ratio    // the duct-pressure correction

	AtHold    units.Flow // leakage to outside with the hold's pressure across it
	Outside50 units.Estimate[units.Flow]
	Outside25 units.Estimate[units.Flow]
	// Inside50 is leakage between ducts and house at 50 Pa. It stands only if
	// the covered ducts are fed from the house and from nowhere else.
	Inside50 units.Estimate[units.Flow]
	// PoorZone is true when the space around the ducts may lie more than a tenth of
	// the hold from outdoors (90 % confidence on one side). The ducts' leaks then
	// see less than the hold and the space shifts as the registers are covered.
	PoorZone bool
	// Resolved is false when the difference is under two of its own standard
	// deviations or the zone is poor: the intervals are then bounds.
	Resolved bool
}

// Limits of the subtraction test.
const (
	leastCovered    = 10 * units.Pressure(1) // at 50 Pa; the correction is 7.4 there
	leastDuctChange = 5 * units.Pressure(1)  // at 50 Pa, between open and covered
	differenceSigma = 2.0                    // least difference, in its standard deviations
	leastOutdoors   = 0.9                    // of the hold, across the space around the ducts; see the simulation
)

// DuctPressureCorrection is what the fall of the fan flow must be multiplied
// by when the registers are covered, because the covered ducts do not come to
// the house's pressure:
//
//	1 / [ ((H−p_o)/H)^n − ((H−p_c)/H)^n ]
//
// with the hold H and the house-to-duct pressure open, p_o (often taken as
// zero), and covered, p_c. It is 1 when the open ducts are at house pressure
// and the covered ones at outdoor pressure. It fails when the pressures are
// not in the order 0 ≤ p_o < p_c ≤ H.
func DuctPressureCorrection(hold, open, covered units.Pressure, n units.Ratio) (units.Ratio, error) {
	if !(0 <= open && open < covered && covered <= hold) {
		return 0, wrong("covered-register pressure", "read house to duct, open and covered, in the same hold",
			"the duct pressures %s open and %s covered do not lie in order between 0 and the hold of %s",
			open, covered, hold)
	}
	if err := cmp.Or(checkExponent(n), checkMeasured("house pressure", units.Known(hold))); err != nil {
		return 0, err
	}
	return units.Ratio(1 / (driveLeft(hold, open, n) - driveLeft(hold, covered, n))), nil
}

// driveLeft is ((H−p)/H)^n: the share of a duct leak's flow at H that remains
// with the ducts p below the house.
func driveLeft(hold, duct units.Pressure, n units.Ratio) float64 {
	return pressure.FlowRatio(max(0, hold-duct), hold, n)
}

// InsideLeakage is the leakage between ducts and house from the leakage to
// outside, both at H: out·((H−p)/p)^n. The covered ducts must be fed from the
// house alone.
func InsideLeakage(outside units.Flow, hold, covered units.Pressure, n units.Ratio) units.Flow {
	return outside / units.Flow(SeriesRatio(covered, hold, n))
}

// SubtractionSigma is the standard deviation of the leakage to outside that
// two independent flow errors leave: factor·√(s1² + s2²).
func SubtractionSigma(factor units.Ratio, s1, s2 units.Flow) units.Flow {
	return units.Flow(float64(factor) * math.Hypot(float64(s1), float64(s2)))
}

// Evaluate works the test. The covered state is scaled to the open one's hold
// with the correction exponent, which is also the envelope's.
func (t Subtraction) Evaluate() (SubtractionResult, error) {
	if err := t.check(); err != nil {
		return SubtractionResult{}, err
	}
	n := float64(t.Correction.Value)
	at := t.nominal()
	factor, err := DuctPressureCorrection(at.hold, at.open, at.covered, t.Correction.Value)
	if err != nil {
		return SubtractionResult{}, err
	}
	r := SubtractionResult{Test: t, Hold: at.hold, Difference: at.difference, Factor: factor}
	r.Sigma = units.Flow(math.Hypot(flowSigma(t.Open, n), flowSigma(t.Covered, n)))
	r.PoorZone = t.Zone.Value > 0 && float64(t.Zone.Value) < leastOutdoors*float64(t.Covered.House.Value)+fit.Z90*float64(t.Zone.SD)
	r.Resolved = r.Difference >= differenceSigma*r.Sigma && !r.PoorZone
	r.AtHold = r.Difference * units.Flow(factor)
	r.simulate()
	return r, checkResult("leakage to outside by subtraction", r.Outside50, r.Outside25, r.Inside50)
}

// flowSigma is the standard deviation of a flow reading at a stated pressure:
// its own and what the error of the hold adds, n·Q·σ_P/P.
func flowSigma(s HeldState, n float64) float64 {
	return math.Hypot(float64(s.Fan.SD), n*float64(s.Fan.Value)*float64(s.House.SD/s.House.Value))
}

// subtractionPoint is one set of true values, brought to one hold.
type subtractionPoint struct {
	hold, open, covered units.Pressure
	difference          units.Flow
}

func (t Subtraction) nominal() subtractionPoint {
	return joinStates(t.Open.House.Value, t.Covered.House.Value, t.Open.Fan.Value, t.Covered.Fan.Value,
		t.Open.Ducts.Value, t.Covered.Ducts.Value, t.Correction.Value)
}

func joinStates(h1, h2 units.Pressure, q1, q2 units.Flow, p1, p2 units.Pressure, n units.Ratio) subtractionPoint {
	return subtractionPoint{
		hold: h1, open: p1,
		covered:    min(p2*h1/h2, h1), // a reading may stand a little above the hold
		difference: q1 - ScaleFlow(q2, h2, h1, n),
	}
}

func (r *SubtractionResult) simulate() {
	t := r.Test
	out := simulate(func(noise fit.Noise) []float64 {
		n, m := exponentOf(noise, t.Correction), exponentOf(noise, t.Scaling)
		h1, h2 := aroundPositive(noise, t.Open.House), aroundPositive(noise, t.Covered.House)
		q1, q2 := around(noise, t.Open.Fan), around(noise, t.Covered.Fan)
		at := joinStates(h1, h2, q1, q2, around(noise, t.Open.Ducts), around(noise, t.Covered.Ducts), n)
		factor := r.Factor
		if !noise.None() {
			factor = at.factor(n)
		}
		atHold := max(0, at.difference*units.Flow(factor)*units.Flow(noise.Times(1, t.Calibration)))
		out50 := ScaleFlow(atHold, at.hold, reference50, m)
		return []float64{float64(out50), float64(ScaleFlow(atHold, at.hold, reference25, m)),
			float64(InsideLeakage(out50, at.hold, max(1, at.covered), n))}
	})
	r.Outside50, r.Outside25, r.Inside50 = estimateOf[units.Flow](out[0]), estimateOf[units.Flow](out[1]), estimateOf[units.Flow](out[2])
}

// factor is the correction at simulated pressures. They are kept in order, at
// least a pascal apart, so that a far-out draw stays finite.
func (p subtractionPoint) factor(n units.Ratio) units.Ratio {
	open := min(max(0, p.open), p.hold-2)
	covered := min(max(p.covered, open+1), p.hold)
	return units.Ratio(1 / (driveLeft(p.hold, open, n) - driveLeft(p.hold, covered, n)))
}

func (t Subtraction) check() error {
	if err := cmp.Or(
		checkState("registers open", t.Open),
		checkState("registers covered", t.Covered),
		checkNotNegative("house to the space around the ducts", t.Zone),
		checkPositive("exponent of the duct-pressure correction", t.Correction),
		checkPositive("exponent of the duct leaks", t.Scaling),
		checkNotNegative("fan calibration", units.Known(units.Ratio(t.Calibration))),
	); err != nil {
		return err
	}
	return t.checkDucts()
}

func checkState(name string, s HeldState) error {
	return cmp.Or(
		checkPositive(name+", house pressure", s.House),
		checkPositive(name+", fan flow", s.Fan),
		checkMeasured(name+", duct pressure", s.Ducts))
}

// checkDucts refuses duct pressures that carry no answer.
func (t Subtraction) checkDucts() error {
	const name = "covered-register pressure"
	covered := t.Covered.Ducts.Value * reference50 / t.Covered.House.Value
	open := t.Open.Ducts.Value * reference50 / t.Open.House.Value
	excess := t.Covered.Ducts.Value - t.Covered.House.Value
	switch {
	case covered < leastCovered:
		return wrong(name, "open the ducts' zone to outdoors, seal between house and ducts, or test with house and ducts at one pressure",
			"%s house to duct at 50 Pa is under 10 Pa, so that the correction would be above 7", covered)
	case excess > 3*t.Covered.Ducts.SD+3*t.Covered.House.SD:
		return wrong(name, "read it house to duct, not duct to outside, in the same hold",
			"%s is above the hold of %s", t.Covered.Ducts.Value, t.Covered.House.Value)
	case covered-open < leastDuctChange:
		return wrong(name, "check that every register is covered and the open ones were open",
			"it is only %s above the reading with registers open", covered-open)
	case t.Open.Ducts.Value < -3*t.Open.Ducts.SD:
		return wrong("open-register duct pressure", "give the magnitude, house to duct",
			"%s is below zero", t.Open.Ducts.Value)
	}
	return nil
}

// MeanPressure is the mean of several readings of one pressure, with the
// larger of the error of the mean by their own errors and by their scatter.
func MeanPressure(readings []units.Measured[units.Pressure]) (units.Measured[units.Pressure], error) {
	if len(readings) == 0 {
		return units.Measured[units.Pressure]{}, wrong("covered-register pressure", "read it at one register at least", "no reading")
	}
	var sum, own float64
	for _, r := range readings {
		if err := checkMeasured("covered-register pressure", r); err != nil {
			return units.Measured[units.Pressure]{}, err
		}
		sum += float64(r.Value)
		own += float64(r.SD * r.SD)
	}
	k := float64(len(readings))
	mean, scatter := sum/k, 0.0
	for _, r := range readings {
		scatter += math.Pow(float64(r.Value)-mean, 2)
	}
	sd := math.Sqrt(own) / k
	if k > 1 {
		sd = max(sd, math.Sqrt(scatter/(k-1)/k))
	}
	return units.Measured[units.Pressure]{Value: units.Pressure(mean), SD: units.Pressure(sd)}, nil
}
