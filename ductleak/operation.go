package ductleak

import (
	"cmp"
	"math"

	"holdbook/pressure"
	"holdbook/units"
)

// RunningRegister is the flow of one register with the air handler running.
type RunningRegister struct {
	Name   string
	Flow   units.Flow // magnitude
	Design units.Flow // 0 where it is not known
}

// HoodError is what a flow hood promises, as relative standard deviations.
type HoodError struct {
	Common float64 // of all readings alike: calibration, insertion loss
	Each   float64 // of each reading on its own: placement, grille
}

// SD is the relative standard deviation of one reading.
func (h HoodError) SD() float64 { return math.Hypot(h.Common, h.Each) }

// Hoods as they are found: typical accuracy 5 to 10 % by the NREL field guide;
// powered hoods about 6 % and others 11 to 25 % in LBNL's laboratory.
var (
	PoweredHood  = HoodError{Common: 0.03, Each: 0.06}
	OrdinaryHood = HoodError{Common: 0.10, Each: 0.06}
)

// RunningTest compares one side's registers with the air handler's flow.
type RunningTest struct {
	AirHandler units.Measured[units.Flow] // flow at the fan
	Registers  []RunningRegister          // all of one side
	Hood       HoodError
}

// Share is one register against its design.
type Share struct {
	Register RunningRegister
	// OfDesign is flow over design flow; OfShare is its share of the side's
	// flow over its share of the side's design. Both 0 where no design is known.
	OfDesign, OfShare units.Ratio
}

// RunningResult is what the comparison says. The leakage holds leaks to
// inside as well.
type RunningResult struct {
	Test          RunningTest
	Sum           units.Flow
	Leakage       units.Estimate[units.Flow] // air handler less sum
	Sigma         units.Flow                 // standard deviation of Leakage
	FromHandler   units.Flow                 // its parts: the air-handler flow's error,
	FromHood      units.Flow                 // the hood's common error,
	FromPlacement units.Flow                 // and the errors of single readings
	Resolved      bool                       // Leakage is at least two Sigma
	// Contradiction is true when the registers pass more than the air handler
	// by more than two Sigma: one of the instruments is wrong.
	Contradiction bool
	Shares        []Share
}

// RunningSigma is the error budget of air handler less sum of registers:
// √((a·Q)² + (c·Σq)² + Σ(e·q)²), with the parts beside it.
func RunningSigma(handlerSD units.Flow, flows []units.Flow, hood HoodError) (sigma, common, each units.Flow) {
	var sum, squares float64
	for _, q := range flows {
		sum += float64(q)
		squares += math.Pow(hood.Each*float64(q), 2)
	}
	common, each = units.Flow(hood.Common*sum), units.Flow(math.Sqrt(squares))
	return units.Flow(math.Hypot(float64(handlerSD), math.Hypot(float64(common), float64(each)))), common, each
}

// Evaluate works the comparison of one side.
func (t RunningTest) Evaluate() (RunningResult, error) {
	if err := t.check(); err != nil {
		return RunningResult{}, err
	}
	r := RunningResult{Test: t, FromHandler: t.AirHandler.SD}
	flows := make([]units.Flow, len(t.Registers))
	for i, reg := range t.Registers {
		flows[i] = reg.Flow
		r.Sum += reg.Flow
	}
	r.Sigma, r.FromHood, r.FromPlacement = RunningSigma(t.AirHandler.SD, flows, t.Hood)
	leak := t.AirHandler.Value - r.Sum
	r.Leakage = pressure.Interval90(units.Measured[units.Flow]{Value: leak, SD: r.Sigma}).NotBelowZero()
	r.Resolved = leak > 0 && leak >= 2*r.Sigma
	r.Contradiction = leak < -2*r.Sigma
	r.Shares = t.shares(r.Sum)
	return r, checkResult("register flows", r.Leakage)
}

func (t RunningTest) check() error {
	if err := cmp.Or(
		checkPositive("air-handler flow", t.AirHandler),
		checkNotNegative("flow hood, common error", units.Known(units.Ratio(t.Hood.Common))),
		checkNotNegative("flow hood, error of each reading", units.Known(units.Ratio(t.Hood.Each)))); err != nil {
		return err
	}
	if len(t.Registers) == 0 {
		return wrong("register flows", "measure every register of the side", "none was given")
	}
	for _, r := range t.Registers {
		if err := cmp.Or(
			checkNotNegative("register "+r.Name+", flow", units.Known(r.Flow)),
			checkNotNegative("register "+r.Name+", design flow", units.Known(r.Design))); err != nil {
			return err
		}
	}
	return nil
}

func (t RunningTest) shares(sum units.Flow) []Share {
	var design units.Flow
	for _, r := range t.Registers {
		design += r.Design
	}
	out := make([]Share, len(t.Registers))
	for i, r := range t.Registers {
		out[i].Register = r
		if r.Design > 0 && sum > 0 {
			out[i].OfDesign = units.Ratio(r.Flow / r.Design)
			out[i].OfShare = units.Ratio(r.Flow / sum * design / r.Design)
		}
	}
	return out
}

// Working shows the comparison and its error budget.
func (r RunningResult) Working(s units.System) []pressure.Worked {
	w := writer{s}
	const source = "difference of measured flows; error budget in quadrature"
	return []pressure.Worked{
		worked(source, "Leakage = {Q} - {sum}", w.flow("", r.Test.AirHandler.Value-r.Sum),
			w.flow("Q", r.Test.AirHandler.Value), w.flow("sum", r.Sum)),
		worked(source, "Standard deviation = √({a}² + {c}² + {e}²)", w.flow("", r.Sigma),
			w.flow("a", r.FromHandler), w.flow("c", r.FromHood), w.flow("e", r.FromPlacement)),
	}
}

// FlowFromRise is the air-handler flow from its output and temperature rise,
// E/(ρ·cp·ΔT): output, not input, the rise read out of sight of the heat
// exchanger. The rise must not be zero.
func FlowFromRise(output units.Power, rise units.TemperatureDifference, air units.Density) (units.Flow, error) {
	q := float64(output) / (float64(air) * airSpecificHeat * float64(rise))
	if !units.Finite(q) || q <= 0 {
		return 0, wrong("temperature rise", "give output and rise with the same sign, and the air's density", "no flow follows from it")
	}
	return units.Flow(q), nil
}
