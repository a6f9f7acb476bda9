package ductleak

import (
	"cmp"
	"math"

	"holdbook/internal/fit"
	"holdbook/pressure"
	"holdbook/units"
)

// NullingTest is the nulling test: with the air handler running, a fan of measured flow brings
// the house back to the pressure it had before, so that its flow is the net imbalance of the
// ducts. Good in low wind, laborious (Francisco 2004, abstract).
type NullingTest struct {
	Flow units.Measured[units.Flow] // of the fan, a magnitude; SD with its calibration
	In   bool                       // it blows into the house: supply leaks dominate
	// Residual is the house pressure that was left, less the one before; its SD holds
	// the wind in both readings.
	Residual units.Measured[units.Pressure]
	// Flow50 and Exponent are the leakage of the house, through which the residual drives air. A
	// zero Flow50 means that it is not known: then the residual is not counted.
	Flow50   units.Estimate[units.Flow]
	Exponent units.Measured[units.Ratio]
}

// NullingResult is what the nulling test says.
type NullingResult struct {
	Test NullingTest
	// Net is supply less return leakage in operation, signed.
	Net      units.Estimate[units.Flow]
	Slope    float64 // of the house's leakage, m³/(s·Pa); 0 where it is not known
	Resolved bool
}

// natural is the pressure (Pa) at which the leaks of a house stand by themselves, where a little
// more or less of it moves air: that of the effective leakage area.
const natural = 4.0

// mostResidual is how far from its former pressure (Pa) the house may be left: judgement.
const mostResidual = 1.0

// Evaluate works the test: net = ±Q − n·Q(4 Pa)/4 Pa·residual. The second term is what the
// residual still drives through the house, whose slope is taken at 4 Pa. Errors: a flow below
// zero, a residual above 1 Pa.
func (t NullingTest) Evaluate() (NullingResult, error) {
	err := cmp.Or(checkMeasured("nulling test, fan flow", t.Flow), checkMeasured("nulling test, residual", t.Residual))
	if err == nil && t.Flow.Value < 0 {
		err = wrong("nulling test", "give the flow without a sign, and the direction in or out", "the fan flow is below zero")
	}
	if err == nil && math.Abs(float64(t.Residual.Value)) > mostResidual {
		err = wrong("nulling test", "trim the fan until the house is back at its pressure", "%s are left of the pressure that the air handler made", t.Residual.Value)
	}
	if err != nil {
		return NullingResult{}, err
	}
	r := NullingResult{Test: t, Slope: t.slope(t.Flow50.Value, t.Exponent.Value)}
	sign := units.Flow(1)
	if !t.In {
		sign = -1
	}
	r.Net = simulateOne(func(n fit.Noise) units.Flow {
		q := sign * around(n, t.Flow)
		if t.Flow50.Value <= 0 {
			return q
		}
		slope := t.slope(draw(n, t.Flow50), exponentOf(n, t.Exponent))
		return q - units.Flow(slope*float64(around(n, t.Residual)))
	})
	r.Resolved = r.Net.Low > 0 || r.Net.High < 0
	return r, checkResult("nulling test", r.Net)
}

// slope is that of the leakage of the house at its natural pressure.
func (t NullingTest) slope(flow50 units.Flow, n units.Ratio) float64 {
	if flow50 <= 0 {
		return 0
	}
	return float64(n) * float64(ScaleFlow(flow50, reference50, natural, n)) / natural
}

// Working shows the test line by line.
func (r NullingResult) Working(s units.System) []pressure.Worked {
	w, t := writer{s}, r.Test
	const source = "the air that the fan replaces is the net imbalance; slope from the leak law"
	if r.Slope == 0 {
		return []pressure.Worked{worked(source, "Net imbalance = ±{Q}", w.flow("", r.Net.Value), w.flow("Q", t.Flow.Value))}
	}
	return []pressure.Worked{worked(source, "Net imbalance = ±{Q} - {n}·{Q4}/4 Pa·{residual}", w.flow("", r.Net.Value),
		w.flow("Q", t.Flow.Value), pressure.Plain("n", t.Exponent.Value), w.flow("Q4", ScaleFlow(t.Flow50.Value, reference50, natural, t.Exponent.Value)),
		w.pressure("residual", t.Residual.Value))}
}
