package ductleak

import (
	"cmp"
	"math"

	"holdbook/internal/fit"
	"holdbook/pressure"
	"holdbook/units"
)

// TotalTest is total leakage: the ducts at pressure, the house open to
// outdoors, all registers sealed but the duct fan's.
type TotalTest struct {
	Flow     units.Measured[units.Flow]     // duct fan; SD with its calibration
	Pressure units.Measured[units.Pressure] // ducts to outside, or to a house open outdoors
	Scaling  units.Measured[units.Ratio]
}

// TotalResult is what the total test says.
type TotalResult struct {
	Test    TotalTest
	Total25 units.Estimate[units.Flow]
}

// Evaluate works the test: Q·(25/P)^n, the rule for a pressure that could not
// be reached as well.
func (t TotalTest) Evaluate() (TotalResult, error) {
	if err := checkFanTest("total leakage", t.Flow, t.Pressure, t.Scaling); err != nil {
		return TotalResult{}, err
	}
	r := TotalResult{Test: t, Total25: scaledTo25(t.Flow, t.Pressure, t.Scaling)}
	return r, checkResult("total leakage", r.Total25)
}

func checkFanTest(name string, q units.Measured[units.Flow], p units.Measured[units.Pressure], n units.Measured[units.Ratio]) error {
	return cmp.Or(
		checkPositive(name+", duct-fan flow", q),
		checkPositive(name+", pressure", p),
		checkPositive("exponent of the duct leaks", n),
		checkDrive(name+", pressure", p))
}

// OnePressureTest is leakage to outside with house and ducts at one pressure:
// the door fan holds the house, the duct fan brings the ducts to it.
type OnePressureTest struct {
	Flow     units.Measured[units.Flow]     // duct fan; SD with its calibration
	Pressure units.Measured[units.Pressure] // house (and ducts) to outside, magnitude
	// Zone is house to the ducts' zone where that zone is not at outdoor
	// pressure: the leaks see it instead. Zero Value means that it is.
	Zone units.Measured[units.Pressure]
	// Residual is what was left, ducts to house, signed as the duct fan pushes:
	// positive when the ducts stood further from outdoor pressure than the house.
	Residual units.Measured[units.Pressure]
	// Inside25 is leakage between ducts and house at 25 Pa, from a total test.
	// Zero means not known: half of the total is then taken, within a factor
	// of five.
	Inside25 units.Estimate[units.Flow]
	Scaling  units.Measured[units.Ratio]
}

// OnePressureResult is what the test at one pressure says.
type OnePressureResult struct {
	Test      OnePressureTest
	Drive     units.Pressure             // across the leaks to outside
	Residual  units.Estimate[units.Flow] // what the residual pressure added to the duct fan, signed
	Outside25 units.Estimate[units.Flow]
	// InsideAssumed is true when the effect of the residual rests on the usual
	// even split between inside and outside leakage.
	InsideAssumed bool
	// Trim is true when the residual is above 0.2 Pa: trim and read again.
	Trim     bool
	Resolved bool
}

// largestResidual is how far house and ducts may differ; the flow between
// them rises with infinite slope at zero.
const largestResidual = 0.2 * units.Pressure(1)

// insideSpread is the ln standard deviation of the inside leakage where no
// total test was made: a factor of five, nine times in ten.
const insideSpread = 0.98

// ResidualFlow is what passes between ducts and house at a residual pressure
// e: inside·(|e|/25)^n with the sign of e.
func ResidualFlow(inside25 units.Flow, e units.Pressure, n units.Ratio) units.Flow {
	return ScaleFlow(inside25, reference25, e, n)
}

// Evaluate works the test.
func (t OnePressureTest) Evaluate() (OnePressureResult, error) {
	if err := cmp.Or(
		checkFanTest("leakage to outside", t.Flow, t.Pressure, t.Scaling),
		checkNotNegative("leakage to outside, house-to-zone pressure", t.Zone),
		checkMeasured("leakage to outside, residual pressure", t.Residual),
		checkEstimate("inside leakage", t.Inside25),
	); err != nil {
		return OnePressureResult{}, err
	}
	drive := driving(t.Pressure, t.Zone)
	if err := checkDrive("leakage to outside, pressure across the leaks", drive); err != nil {
		return OnePressureResult{}, err
	}
	if math.Abs(float64(t.Residual.Value)) > 0.2*float64(drive.Value) {
		return OnePressureResult{}, wrong("leakage to outside, residual pressure", "trim the duct fan to zero between ducts and house",
			"%s is more than a fifth of the test pressure", t.Residual.Value)
	}
	r := t.simulate(drive)
	return r, checkResult("leakage to outside", r.Residual, r.Outside25)
}

func (t OnePressureTest) simulate(drive units.Measured[units.Pressure]) OnePressureResult {
	r := OnePressureResult{Test: t, Drive: drive.Value, InsideAssumed: t.Inside25.Value <= 0}
	r.Trim = math.Abs(float64(t.Residual.Value)) > float64(largestResidual)
	out := simulate(func(noise fit.Noise) []float64 {
		n := exponentOf(noise, t.Scaling)
		to25 := units.Flow(pressure.FlowRatio(reference25, aroundPositive(noise, drive), n))
		leak := ResidualFlow(t.inside(noise, to25), around(noise, t.Residual), n)
		return []float64{float64(leak), float64(max(0, around(noise, t.Flow)-leak) * to25)}
	})
	r.Residual, r.Outside25 = estimateOf[units.Flow](out[0]), estimateOf[units.Flow](out[1])
	r.Resolved = Resolved(r.Outside25)
	return r
}

// inside draws the leakage between ducts and house at 25 Pa.
func (t OnePressureTest) inside(noise fit.Noise, to25 units.Flow) units.Flow {
	if t.Inside25.Value <= 0 {
		return units.Flow(noise.Times(float64(t.Flow.Value*to25), insideSpread))
	}
	return max(0, draw(noise, t.Inside25))
}

// TotalCheck sets total leakage against leakage to outside at the same
// pressure. Total holds outside leakage and inside leakage, so it can not be
// smaller: the error tells to test again when it is, by more than the two
// intervals carry.
func TotalCheck(total, outside units.Estimate[units.Flow]) error {
	if total.High >= outside.Low {
		return nil
	}
	return wrong("total leakage", "test again: look for a register cover that came off, a fan range misread or a zone that was shut",
		"it is below leakage to outside, which is a part of it")
}

// InsideFrom is leakage between ducts and house, total less outside, at one
// pressure; it is cut at zero.
func InsideFrom(total, outside units.Estimate[units.Flow]) units.Estimate[units.Flow] {
	return simulateOne(func(n fit.Noise) units.Flow { return max(0, draw(n, total)-draw(n, outside)) })
}
