package pressure

import (
	"cmp"
	"math"

	"holdbook/units"
)

// Edition is a family of editions of ASHRAE 62.2 by what they ask for each
// floor area.
type Edition int

// The editions.
const (
	Since2013  Edition = iota // 0.03 cfm/ft², or 0.15 L/s for each m²
	Before2013                // 0.01 cfm/ft²; 0.05 L/s for each m² from memory
)

// String names the editions for a report.
func (e Edition) String() string {
	if e == Before2013 {
		return "ASHRAE 62.2 before 2013"
	}
	return "ASHRAE 62.2-2013 and later"
}

// rates are the two coefficients of the total rate: for floor area and for
// each bedroom and one more. The standard rounds them for each system of units.
func (e Edition) rates(s units.System) (area, bedroom float64) {
	switch {
	case s == units.SI && e == Before2013:
		return 0.05, 3.5
	case s == units.SI:
		return 0.15, 3.5
	case e == Before2013:
		return 0.01, 7.5
	}
	return 0.03, 7.5
}

// flowUnit is the unit of the standard's formulas in a system.
func flowUnit(s units.System) units.Unit {
	if s == units.SI {
		return units.LitrePerSecond
	}
	return units.CFM
}

// TotalRate is the ventilation that ASHRAE 62.2 asks for in all, by the
// formula of the given system of units (the two differ by rounding). Fewer than
// one bedroom counts as one. Source: UMC appendix E 605.1.3; HoF 2021 ch.17
// eq 11; the smaller rate of older editions, IMC 403.3.2.
func TotalRate(floor units.Area, bedrooms int, e Edition, s units.System) (Computed[units.Flow], error) {
	err := cmp.Or(needPositive("the floor area", float64(floor)), needWithin("the number of bedrooms", float64(bedrooms), 0, 100, ""))
	if err != nil {
		return Computed[units.Flow]{}, err
	}
	perArea, perBedroom := e.rates(s)
	sleeping := float64(max(bedrooms, 1))
	q := perArea*s.FloorArea().FromSI(float64(floor)) + perBedroom*(sleeping+1)
	return compute[units.Flow](flowUnit(s).ToSI(q),
		formula("Qtot = {a}·{A} + {b}·({bedrooms} + 1)", "UMC appendix E 605.1.3 ("+e.String()+")", always(flowUnit(s)), asFlow),
		term{"a", perArea, noUnit}, term{"A", float64(floor), asFloorArea},
		term{"b", perBedroom, noUnit}, term{"bedrooms", sleeping, noUnit})
}

// NormalisedLeakage is the leak area at 4 Pa for each floor area, adjusted for
// height (lowest floor above grade to highest ceiling). Sources: HoF 2021 ch.16
// eq 46; NREL residential source.
func NormalisedLeakage(leak4, floor units.Area, height units.Length) (Computed[units.Ratio], error) {
	err := cmp.Or(needPositive("the leak area", float64(leak4)), needPositive("the floor area", float64(floor)),
		needWithin("the height of the house", float64(height), 1, 100, "m"))
	if err != nil {
		return Computed[units.Ratio]{}, err
	}
	return compute[units.Ratio](1000*float64(leak4/floor)*math.Pow(float64(height)/2.5, 0.4),
		formula("NL = 1000·({A}/{floor})·({H}/2.5 m)^0.4", "HoF 2021 ch.16 eq 46", noUnit, noUnit),
		term{"A", float64(leak4), asSquare}, term{"floor", float64(floor), asSquare}, term{"H", float64(height), asMetre})
}

// InfiltrationCredit is the infiltration that ASHRAE 62.2 counts for a year,
// from the normalised leakage and the weather and shielding factor of the
// place, by the formula of the given system of units. Source: UMC appendix E
// 605.1.3.2.
func InfiltrationCredit(nl, weather units.Ratio, floor units.Area, s units.System) (Computed[units.Flow], error) {
	err := cmp.Or(needPositive("the normalised leakage", float64(nl)),
		needWithin("the weather and shielding factor", float64(weather), 0.05, 2, ""), needPositive("the floor area", float64(floor)))
	if err != nil {
		return Computed[units.Flow]{}, err
	}
	divisor := 7.3
	if s == units.SI {
		divisor = 1.44
	}
	q := float64(nl) * float64(weather) * s.FloorArea().FromSI(float64(floor)) / divisor
	return compute[units.Flow](flowUnit(s).ToSI(q),
		formula("Qinf = {NL}·{wsf}·{A}/{d}", "UMC appendix E 605.1.3.2", always(flowUnit(s)), asFlow),
		term{"NL", float64(nl), noUnit}, term{"wsf", float64(weather), noUnit},
		term{"A", float64(floor), asFloorArea}, term{"d", divisor, noUnit})
}

// FanRate is the fan flow that is left to provide: the total less the
// infiltration, which counts in full with balanced fans and otherwise by its
// share of the total, at most 1. exterior is the share of the boundary that faces
// outdoors, 1 for a detached house. Editions before 2019 count the infiltration
// in full for every fan: pass balanced. Never below zero. Source: NREL
// residential source, after 62.2-2019; UMC appendix E for the older rule.
func FanRate(total, infiltration units.Flow, balanced bool, exterior units.Ratio) (Computed[units.Flow], error) {
	err := cmp.Or(needPositive("the total ventilation rate", float64(total)), needPositive("the infiltration", float64(infiltration)),
		needWithin("the exterior share of the boundary", float64(exterior), 0, 1, ""))
	if err != nil {
		return Computed[units.Flow]{}, err
	}
	phi := 1.0
	if !balanced {
		phi = math.Min(1, float64(infiltration/total))
	}
	return compute[units.Flow](math.Max(0, float64(total)-phi*float64(infiltration)*float64(exterior)),
		formula("Qfan = max(0, {Qtot} - {φ}·{Qinf}·{Aext})", "NREL residential source, after ASHRAE 62.2-2019", asFlow, asFlow),
		term{"Qtot", float64(total), asFlow}, term{"φ", phi, noUnit},
		term{"Qinf", float64(infiltration), asFlow}, term{"Aext", float64(exterior), noUnit})
}
