package ductleak

import (
	"cmp"
	"math"

	"holdbook/internal/fit"
	"holdbook/pressure"
	"holdbook/units"
)

// HouseShift is the house pressure with the air handler on against off, all
// doors open and the door fan covered.
type HouseShift struct {
	On, Off  units.Measured[units.Pressure] // house to outside, signed; means over paired cycles
	Flow50   units.Estimate[units.Flow]
	Exponent units.Measured[units.Ratio] // of the envelope
}

// Dominant says which side leaks more.
type Dominant string

// What the house pressure can say of the two sides.
const (
	SupplyDominates Dominant = "supply leaks dominate"
	ReturnDominates Dominant = "return leaks dominate"
	Balanced        Dominant = "no shift resolved: the leaks may be equal, or small"
)

// ShiftResult is what the shift says.
type ShiftResult struct {
	Test     HouseShift
	Shift    units.Estimate[units.Pressure] // on less off, signed
	Dominant Dominant
	// Net is the size of the imbalance, supply less return leakage without
	// its sign; an order of magnitude only where there is stack effect or wind.
	Net      units.Estimate[units.Flow]
	Resolved bool
}

// leastShift is the least shift that a gauge good to 0.2 Pa resolves.
const leastShift = 0.5 // Pa

// NetFromShift is the imbalance that shifts the house pressure by d in calm
// air: Flow50·(|d|/50)^n.
func NetFromShift(flow50 units.Flow, d units.Pressure, n units.Ratio) units.Flow {
	return ScaleFlow(flow50, reference50, units.Pressure(math.Abs(float64(d))), n)
}

// ShiftFromNet is the inverse: 50 Pa·(net/Flow50)^(1/n), a magnitude.
func ShiftFromNet(net, flow50 units.Flow, n units.Ratio) units.Pressure {
	return PressureFor(net, flow50, reference50, n)
}

// Evaluate works the test. A fall of the house pressure means that supply
// leaks dominate (or closed doors with a central return), a rise return leaks.
func (t HouseShift) Evaluate() (ShiftResult, error) {
	if err := cmp.Or(
		checkMeasured("house pressure, air handler on", t.On),
		checkMeasured("house pressure, air handler off", t.Off),
		checkPositive("envelope exponent", t.Exponent),
		checkPositiveEstimate("house flow at 50 Pa", t.Flow50)); err != nil {
		return ShiftResult{}, err
	}
	d := t.On.Value - t.Off.Value
	if math.Abs(float64(d)) > 10 {
		return ShiftResult{}, wrong("house pressure, air handler on against off", "check both readings, their signs and that all doors are open",
			"a shift of %s is above 10 Pa", d)
	}
	sd := units.Pressure(math.Hypot(float64(t.On.SD), float64(t.Off.SD)))
	r := ShiftResult{Test: t, Shift: pressure.Interval90(units.Measured[units.Pressure]{Value: d, SD: sd}), Dominant: Balanced}
	r.Resolved = math.Abs(float64(d)) >= math.Max(leastShift, 2*float64(sd))
	switch {
	case r.Resolved && d < 0:
		r.Dominant = SupplyDominates
	case r.Resolved:
		r.Dominant = ReturnDominates
	}
	r.Net = simulateOne(func(n fit.Noise) units.Flow {
		shift := around(n, units.Measured[units.Pressure]{Value: d, SD: sd})
		flow50 := draw(n, t.Flow50)
		return NetFromShift(flow50, shift, exponentOf(n, t.Exponent))
	})
	return r, checkResult("house pressure, air handler on against off", r.Net)
}

// Working shows the shift line by line.
func (r ShiftResult) Working(s units.System) []pressure.Worked {
	w, t := writer{s}, r.Test
	const source = "calm limit of the leak law; common practice, no source"
	return []pressure.Worked{
		worked(source, "Shift = {on} - {off}", w.pressure("", r.Shift.Value), w.pressure("on", t.On.Value), w.pressure("off", t.Off.Value)),
		worked(source, "Net imbalance = {Q50}·(|{d}|/50 Pa)^{n}", w.flow("", r.Net.Value),
			w.flow("Q50", t.Flow50.Value), w.pressure("d", r.Shift.Value), pressure.Plain("n", t.Exponent.Value)),
	}
}
