package ductleak

import (
	"math"
	"strings"

	"holdbook/units"
)

// writer writes the numbers of a worked line in the reader's units.
type writer struct{ system units.System }

func (w writer) in(u units.Unit, v float64, decimals int) string {
	return units.Fixed(u.FromSI(v), decimals) + " " + u.Pretty()
}

func (w writer) flow(q units.Flow) string { return w.in(w.system.Flow(), float64(q), 1) }

func (w writer) area(a units.Area) string { return w.in(w.system.Area(), float64(a), 1) }

func (w writer) pressure(p units.Pressure) string {
	return w.in(w.system.Pressure(), float64(p), 2)
}

func (w writer) power(p units.Power) string { return w.in(w.system.Power(), float64(p), 0) }

func (w writer) temperature(t units.Temperature) string {
	return w.in(w.system.Temperature(), float64(t), 1)
}

func (w writer) difference(d float64) string {
	return w.in(w.system.TemperatureDifference(), d, 1)
}

func (w writer) ratio(r units.Ratio) string { return units.Fixed(float64(r), 4) }

func (w writer) exponent(n units.Ratio) string { return units.Fixed(float64(n), 2) }

// put replaces each {name} of a formula by the text that follows the name in
// pairs.
func put(formula string, pairs ...string) string {
	for i := 0; i+1 < len(pairs); i += 2 {
		formula = strings.ReplaceAll(formula, "{"+pairs[i]+"}", pairs[i+1])
	}
	return formula
}

// worked makes a worked line from a formula with {names}, the text of each
// name, and the result.
func worked(source, formula, result string, pairs ...string) Worked {
	right := formula
	if _, after, ok := strings.Cut(formula, " = "); ok {
		right = after
	}
	return Worked{
		Formula: strings.NewReplacer("{", "", "}", "").Replace(formula),
		Numbers: put(right, pairs...) + " = " + result,
		Source:  source,
	}
}

const (
	fromPowerLaw = "the leak law Q = C·Δp^n"
	fromModera   = "Modera 1995, doi 10.1520/STP14702S"
	fromE1554    = "ASTM E1554; derived from the leak law"
)

// Working shows the test line by line.
func (r SubtractionResult) Working(s units.System) []Worked {
	w, t, at := writer{s}, r.Test, r.Test.nominal()
	lines := []Worked{
		worked(fromE1554, "Difference = {Q1} − {Q2}·({H1}/{H2})^{n}", w.flow(r.Difference),
			"Q1", w.flow(t.Open.Fan.Value), "Q2", w.flow(t.Covered.Fan.Value),
			"H1", w.pressure(t.Open.House.Value), "H2", w.pressure(t.Covered.House.Value), "n", w.exponent(t.Correction.Value)),
		worked(fromE1554, "Duct-pressure correction = 1/[(({H}−{po})/{H})^{n} − (({H}−{pc})/{H})^{n}]", w.ratio(r.Factor),
			"H", w.pressure(at.hold), "po", w.pressure(at.open), "pc", w.pressure(at.covered), "n", w.exponent(t.Correction.Value)),
		worked(fromE1554, "Leakage to outside at the hold = {difference}·{correction}", w.flow(r.AtHold),
			"difference", w.flow(r.Difference), "correction", w.ratio(r.Factor)),
		worked(fromPowerLaw, "Leakage to outside at 25 Pa = {Q}·(25 Pa/{H})^{m}", w.flow(r.Outside25.Value),
			"Q", w.flow(r.AtHold), "H", w.pressure(at.hold), "m", w.exponent(t.Scaling.Value)),
	}
	return append(lines, worked(fromPowerLaw, "Inside leakage at 50 Pa = {Q50}·(({H}−{pc})/{pc})^{n}", w.flow(r.Inside50.Value),
		"Q50", w.flow(r.Outside50.Value), "H", w.pressure(at.hold), "pc", w.pressure(at.covered), "n", w.exponent(t.Correction.Value)))
}

// Working shows the test line by line.
func (r OpenRegisterResult) Working(s units.System) []Worked {
	w := writer{s}
	from := r.Test.House.Value
	if r.Test.Zone.Value > 0 {
		from = r.Test.Zone.Value
	}
	return []Worked{
		worked(fromModera, "Pressure across the leaks = {from} − {duct}", w.pressure(r.Drive),
			"from", w.pressure(from), "duct", w.pressure(r.Test.Ducts.Value)),
		w.to25(fromModera, "Leakage to outside at 25 Pa", r.Test.Flow.Value, r.Drive, r.Test.Scaling.Value, r.Outside25.Value),
	}
}

func (w writer) to25(source, what string, q units.Flow, p units.Pressure, n units.Ratio, result units.Flow) Worked {
	return worked(source, what+" = {Q}·(25 Pa/{P})^{n}", w.flow(result),
		"Q", w.flow(q), "P", w.pressure(p), "n", w.exponent(n))
}

// Working shows the test line by line.
func (r TotalResult) Working(s units.System) []Worked {
	return []Worked{writer{s}.to25(fromPowerLaw, "Total leakage at 25 Pa",
		r.Test.Flow.Value, r.Test.Pressure.Value, r.Test.Scaling.Value, r.Total25.Value)}
}

// Working shows the test line by line.
func (r OnePressureResult) Working(s units.System) []Worked {
	w, t := writer{s}, r.Test
	lines := []Worked{}
	if t.Residual.Value != 0 {
		to25 := math.Pow(float64(r.Drive/reference25), -float64(t.Scaling.Value))
		inside := t.Inside25.Value
		if r.InsideAssumed {
			inside = t.Flow.Value * units.Flow(to25)
		}
		lines = append(lines, worked(fromPowerLaw, "Flow between ducts and house = {inside}·({e}/25 Pa)^{n}", w.flow(r.Residual.Value),
			"inside", w.flow(inside), "e", w.pressure(t.Residual.Value), "n", w.exponent(t.Scaling.Value)))
	}
	return append(lines, worked(fromPowerLaw, "Leakage to outside at 25 Pa = ({Q} − {q})·(25 Pa/{P})^{n}", w.flow(r.Outside25.Value),
		"Q", w.flow(t.Flow.Value), "q", w.flow(r.Residual.Value), "P", w.pressure(r.Drive), "n", w.exponent(t.Scaling.Value)))
}

// Working shows the correction of one register.
func (c Cover) Working(s units.System) []Worked {
	w := writer{s}
	return []Worked{
		worked(fromPowerLaw, "At 50 Pa = {p}·50 Pa/{Z}", w.pressure(c.At50.Value),
			"p", w.pressure(c.Reading.Cover.Value), "Z", w.pressure(c.Drive)),
		worked(fromPowerLaw, "Branch leaks to outside over its ways from the house = ({p}/({Z}−{p}))^{n}", w.ratio(c.Ratio.Value),
			"p", w.pressure(c.Reading.Cover.Value), "Z", w.pressure(c.Drive), "n", w.exponent(DuctExponent)),
	}
}
