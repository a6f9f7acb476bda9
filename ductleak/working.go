package ductleak

import (
	"holdbook/internal/fit"
	"holdbook/pressure"
	"holdbook/units"
)

// writer makes the figures of a worked line in the reader's units.
type writer struct{ system units.System }

func (w writer) flow(name string, q units.Flow) pressure.Figure {
	return pressure.In(name, float64(q), w.system.Flow())
}

func (w writer) area(name string, a units.Area) pressure.Figure {
	return pressure.In(name, float64(a), w.system.Area())
}

func (w writer) pressure(name string, p units.Pressure) pressure.Figure {
	return pressure.In(name, float64(p), w.system.Pressure())
}

func (w writer) power(name string, p units.Power) pressure.Figure {
	return pressure.In(name, float64(p), w.system.Power())
}

func (w writer) temperature(name string, t units.Temperature) pressure.Figure {
	return pressure.In(name, float64(t), w.system.Temperature())
}

func (w writer) difference(name string, d units.TemperatureDifference) pressure.Figure {
	return pressure.In(name, float64(d), w.system.TemperatureDifference())
}

// worked is a worked line from a formula with {names}, its result and what stands for the
// names.
func worked(source, formula string, result pressure.Figure, figures ...pressure.Figure) pressure.Worked {
	return pressure.Line{Formula: formula, Source: source, Result: result, Figures: figures}.Worked()
}

const (
	fromPowerLaw = "the leak law Q = C·Δp^n"
	fromModera   = "Modera 1995, doi 10.1520/STP14702S"
	fromE1554    = "ASTM E1554; derived from the leak law"
)

// Working shows the test line by line.
func (r SubtractionResult) Working(s units.System) []pressure.Worked {
	w, t, at := writer{s}, r.Test, r.Test.nominal()
	lines := []pressure.Worked{
		worked(fromE1554, "Difference = {Q1} - {Q2}·({H1}/{H2})^{n}", w.flow("", r.Difference),
			w.flow("Q1", t.Open.Fan.Value), w.flow("Q2", t.Covered.Fan.Value),
			w.pressure("H1", t.Open.House.Value), w.pressure("H2", t.Covered.House.Value), pressure.Plain("n", t.Correction.Value)),
		worked(fromE1554, "Duct-pressure correction = 1/[(({H} - {po})/{H})^{n} - (({H} - {pc})/{H})^{n}]", pressure.Plain("", r.Factor),
			w.pressure("H", at.hold), w.pressure("po", at.open), w.pressure("pc", at.covered), pressure.Plain("n", t.Correction.Value)),
		worked(fromE1554, "Leakage to outside at the hold = {difference}·{correction}", w.flow("", r.AtHold),
			w.flow("difference", r.Difference), pressure.Plain("correction", r.Factor)),
		worked(fromPowerLaw, "Leakage to outside at 25 Pa = {Q}·(25 Pa/{H})^{m}", w.flow("", r.Outside25.Value),
			w.flow("Q", r.AtHold), w.pressure("H", at.hold), pressure.Plain("m", t.Scaling.Value)),
	}
	return append(lines, worked(fromPowerLaw, "Inside leakage at 50 Pa = {Q50}·(({H} - {pc})/{pc})^{n}", w.flow("", r.Inside50.Value),
		w.flow("Q50", r.Outside50.Value), w.pressure("H", at.hold), w.pressure("pc", at.covered), pressure.Plain("n", t.Correction.Value)))
}

// Working shows the test line by line.
func (r OpenRegisterResult) Working(s units.System) []pressure.Worked {
	w, from := writer{s}, driving(r.Test.House, r.Test.Zone).Value
	return []pressure.Worked{
		worked(fromModera, "Pressure across the leaks = {from} - {duct}", w.pressure("", r.Drive),
			w.pressure("from", from), w.pressure("duct", r.Test.Ducts.Value)),
		w.to25(fromModera, "Leakage to outside at 25 Pa", r.Test.Flow.Value, r.Drive, r.Test.Scaling.Value, r.Outside25.Value),
	}
}

func (w writer) to25(source, what string, q units.Flow, p units.Pressure, n units.Ratio, result units.Flow) pressure.Worked {
	return worked(source, what+" = {Q}·(25 Pa/{P})^{n}", w.flow("", result),
		w.flow("Q", q), w.pressure("P", p), pressure.Plain("n", n))
}

// Working shows the test line by line.
func (r TotalResult) Working(s units.System) []pressure.Worked {
	return []pressure.Worked{writer{s}.to25(fromPowerLaw, "Total leakage at 25 Pa",
		r.Test.Flow.Value, r.Test.Pressure.Value, r.Test.Scaling.Value, r.Total25.Value)}
}

// Working shows the test line by line.
func (r OnePressureResult) Working(s units.System) []pressure.Worked {
	w, t := writer{s}, r.Test
	lines := []pressure.Worked{}
	if t.Residual.Value != 0 {
		inside := t.inside(fit.Noise{}, units.Flow(pressure.FlowRatio(reference25, r.Drive, t.Scaling.Value)))
		lines = append(lines, worked(fromPowerLaw, "Flow between ducts and house = {inside}·({e}/25 Pa)^{n}", w.flow("", r.Residual.Value),
			w.flow("inside", inside), w.pressure("e", t.Residual.Value), pressure.Plain("n", t.Scaling.Value)))
	}
	return append(lines, worked(fromPowerLaw, "Leakage to outside at 25 Pa = ({Q} - {q})·(25 Pa/{P})^{n}", w.flow("", r.Outside25.Value),
		w.flow("Q", t.Flow.Value), w.flow("q", r.Residual.Value), w.pressure("P", r.Drive), pressure.Plain("n", t.Scaling.Value)))
}

// Working shows the correction of one register.
func (c Cover) Working(s units.System) []pressure.Worked {
	w := writer{s}
	return []pressure.Worked{
		worked(fromPowerLaw, "At 50 Pa = {p}·50 Pa/{Z}", w.pressure("", c.At50.Value),
			w.pressure("p", c.Reading.Cover.Value), w.pressure("Z", c.Drive)),
		worked(fromPowerLaw, "Branch leaks to outside over its ways from the house = ({p}/({Z} - {p}))^{n}", pressure.Plain("", c.Ratio.Value),
			w.pressure("p", c.Reading.Cover.Value), w.pressure("Z", c.Drive), pressure.Plain("n", DuctExponent)),
	}
}
