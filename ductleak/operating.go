package ductleak

import (
	"cmp"

	"holdbook/internal/fit"
	"holdbook/pressure"
	"holdbook/units"
)

// Operating is a leak carried from a test at 25 Pa to what drives it when the
// air handler runs. A hole is no loss until its pressure is known.
type Operating struct {
	Leakage25 units.Estimate[units.Flow]
	Pressure  units.Measured[units.Pressure] // across the leaks, operating; see HalfPlenum
	Exponent  units.Measured[units.Ratio]
	Leakage   units.Estimate[units.Flow]
}

// OperatingLeakage is the flow of a leak at its operating pressure from its
// flow at 25 Pa: Q25·(P/25)^n.
func OperatingLeakage(q25 units.Estimate[units.Flow], pressure units.Measured[units.Pressure], n units.Measured[units.Ratio]) (Operating, error) {
	o := Operating{Leakage25: q25, Pressure: pressure, Exponent: n}
	if err := cmp.Or(
		checkNotNegative("leakage at 25 Pa", units.Known(q25.Value)),
		checkEstimate("leakage at 25 Pa", q25),
		checkPositive("operating pressure", pressure),
		checkPositive("exponent of the duct leaks", n)); err != nil {
		return o, err
	}
	o.Leakage = simulateOne(func(noise fit.Noise) units.Flow {
		q := draw(noise, q25)
		return ScaleFlow(q, reference25, aroundPositive(noise, pressure), exponentOf(noise, n))
	})
	return o, checkResult("operating leakage", o.Leakage)
}

// Working shows the step.
func (o Operating) Working(s units.System) []pressure.Worked {
	w := writer{s}
	return []pressure.Worked{worked(fromPowerLaw, "Operating leakage = {Q25}·({P}/25 Pa)^{n}", w.flow("", o.Leakage.Value),
		w.flow("Q25", o.Leakage25.Value), w.pressure("P", o.Pressure.Value), pressure.Plain("n", o.Exponent.Value))}
}

// SumSides adds supply and return leakage that were measured apart; the two
// errors are taken to be independent.
func SumSides(supply, back units.Estimate[units.Flow]) units.Estimate[units.Flow] {
	return simulateOne(func(n fit.Noise) units.Flow { return draw(n, supply) + draw(n, back) })
}

// Working shows the fit at its most probable pressures and exponents, with the
// station that was driven hardest on each side.
func (r OnOffResult) Working(s units.System) []pressure.Worked {
	w := writer{s}
	const source = "ASTM E1554, method A: model of the on/off test"
	var lines []pressure.Worked
	for _, p := range r.extremes() {
		u := s.Flow()
		place := units.Common(3, p.Fitted.In(u), p.Difference.In(u))
		fitted := p.Fitted.Text(u, place) + ", read " + p.Difference.Text(u, place)
		lines = append(lines, worked(source,
			"Difference = {Qs}·[(1 + {dP}/{dPs})^{ns} - ({dP}/{dPs})^{ns}] - {Qr}·[(1 - {dP}/{dPr})^{nr} + ({dP}/{dPr})^{nr}], powers signed",
			pressure.Said("", fitted),
			w.flow("Qs", r.Mode.Supply), w.flow("Qr", r.Mode.Return), w.pressure("dP", p.House),
			w.pressure("dPs", r.Mode.SupplyPressure), w.pressure("dPr", r.Mode.ReturnPressure),
			pressure.Plain("ns", units.Ratio(r.exponents[0])), pressure.Plain("nr", units.Ratio(r.exponents[1]))))
	}
	return append(lines, worked(source, "Net imbalance = supply less return leakage, median of the joint estimate", w.flow("", r.Net.Value)))
}

// extremes are the stations of lowest and highest house pressure.
func (r OnOffResult) extremes() []OnOffPoint {
	if len(r.Points) == 0 {
		return nil
	}
	low, high := r.Points[0], r.Points[0]
	for _, p := range r.Points {
		if p.House < low.House {
			low = p
		}
		if p.House > high.House {
			high = p
		}
	}
	return []OnOffPoint{low, high}
}
