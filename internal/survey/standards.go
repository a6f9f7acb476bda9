package survey

import (
	"holdbook/internal/sheet"
	"holdbook/pressure"
	"holdbook/units"
	"holdbook/zonal"
)

// What a standard calls its quantities stands in one table for each. Sources: ASTM E779 and
// ISO 9972 as Roulet 2008 and the TightVent FAQ give them, and from memory; the
// documents themselves decide.
const (
	e779    = "ASTM E779"
	iso9972 = "ISO 9972"
	resnet  = "ANSI/RESNET/ICC 380"
	e1554   = "ASTM E1554"
)

// noCorrection is said where the correction to standard air could not be made.
const noCorrection = "air as tested: indoor and outdoor temperatures are not both given"

// standardFindings are the quantities of the standards for tests of a whole house: of each
// direction, and the mean of both.
func standardFindings(c *Case) (list []Standard) {
	both := seriesOf(c)
	var each [][]Standard
	for _, direction := range []string{Depressurised, Pressurised} {
		if rows := directionStandards(c, both.of(direction), direction); rows != nil {
			each = append(each, rows)
			list = append(list, rows...)
		}
	}
	if len(each) == 2 {
		list = append(list, meanStandards(each[0], each[1])...)
	}
	return list
}

// directionStandards are those of one direction: the regression's where it stands, and of
// the one point nearest to 50 Pa.
func directionStandards(c *Case, stations []pressure.Station, direction string) (list []Standard) {
	if m, err := pressure.FitStandard(stations); err == nil {
		list = append(e779Rows(c, m, direction), isoRows(c, m, direction)...)
	}
	if t, ok := nearest50(c, stations); ok {
		list = append(list, onePointRows(c, t, direction)...)
	}
	return list
}

// atStandardAir is a fit brought to standard air, as a standard does it, and what to say
// where it could not be.
func atStandardAir(c *Case, m pressure.MultiPoint, direction string, by pressure.Standard) (pressure.MultiPoint, string) {
	if !c.Outdoor.Known {
		return m, noCorrection
	}
	corrected, _, err := m.AtReference(c.Outdoor.leaking(direction == Depressurised).Air, by)
	if err != nil {
		return m, noCorrection
	}
	return corrected, ""
}

// rows gathers the quantities of one standard and direction.
type rows struct {
	standard, direction, note string
	list                      []Standard
}

func (r *rows) add(quantity string, q *Q) {
	if q != nil {
		r.list = append(r.list, Standard{Standard: r.standard, Direction: r.direction, Quantity: quantity, Result: q, Note: r.note})
	}
}

// perHouse adds a flow divided by the volume and the areas that are given.
func (r *rows) perHouse(c *Case, q *Q, changes, envelope, floor string) {
	if q == nil {
		return
	}
	h, e := c.Sheet.House, flowOf(q)
	mark := func(p *Q) *Q {
		if p != nil {
			p.Level = q.Level
		}
		return p
	}
	if h.Volume.Given && h.Volume.Value > 0 && changes != "" {
		r.add(changes, mark(Rate(Scale[units.Rate](e, 1/float64(h.Volume.Value)))))
	}
	if h.EnvelopeArea.Given && envelope != "" {
		r.add(envelope, mark(toQ(Scale[units.SpecificFlow](e, 1/float64(h.EnvelopeArea.Value)), units.CubicMetrePerSecondSquareMetre)))
	}
	if h.FloorArea.Given && floor != "" {
		r.add(floor, mark(toQ(Scale[units.SpecificFlow](e, 1/float64(h.FloorArea.Value)), units.CubicMetrePerSecondSquareMetre)))
	}
}

// e779Rows are those of ASTM E779: coefficient and exponent, corrected for density and
// viscosity, and the effective leakage area at 4 Pa, with 95 % limits.
func e779Rows(c *Case, m pressure.MultiPoint, direction string) []Standard {
	m, note := atStandardAir(c, m, direction, pressure.DensityAndViscosity)
	r := rows{standard: e779, direction: direction, note: note}
	if coefficient, err := m.Coefficient(); err == nil {
		r.add("C", levelled(toQ(coefficient, flowAtPower), m))
	}
	if n, err := m.Exponent(); err == nil {
		r.add("n", levelled(Ratio(n), m))
	}
	if a, err := pressure.AreaOf(m, at4Pa, pressure.StandardDensity); err == nil {
		r.add("ELA, 4 Pa", levelled(leakArea(a, at4Pa), m))
	}
	return r.list
}

// isoRows are those of ISO 9972: the leakage rate at 50 Pa, corrected for density alone, for
// itself and over volume, envelope and floor area.
func isoRows(c *Case, m pressure.MultiPoint, direction string) []Standard {
	m, note := atStandardAir(c, m, direction, pressure.DensityOnly)
	r := rows{standard: iso9972, direction: direction, note: note}
	if n, err := m.Exponent(); err == nil {
		r.add("n", levelled(Ratio(n), m))
	}
	if q, err := m.FlowAt(zonal.Reference); err == nil {
		flow := levelled(Flow(q), m)
		r.add("q50", flow)
		r.perHouse(c, flow, "n50", "qE50", "qF50")
	}
	return r.list
}

// onePointRows are those of the one-point test of ANSI/RESNET/ICC 380, with 90 % intervals
// of the errors stated in the sheet.
func onePointRows(c *Case, t pressure.OnePoint, direction string) []Standard {
	q, err := t.FlowAt(zonal.Reference)
	if err != nil {
		return nil
	}
	r := rows{standard: resnet, direction: direction, note: "one point, exponent 0.65, air as tested"}
	flow := Flow(q)
	r.add("flow at 50 Pa, one point", flow)
	r.perHouse(c, flow, "air changes at 50 Pa, one point", "", "")
	return r.list
}

// meanStandards are the means of what stands in both directions.
func meanStandards(a, b []Standard) (list []Standard) {
	for _, x := range a {
		for _, y := range b {
			if x.Standard == y.Standard && x.Quantity == y.Quantity {
				mean := meanOf(*x.Result, *y.Result)
				x.Direction, x.Result = MeanOfBoth, &mean
				list = append(list, x)
			}
		}
	}
	return list
}

// The methods of ASTM E1554 by its letters. That A is the on/off test, that B and C hold the
// ducts at a pressure and D does neither: Walker & Sherman, LBNL. Which of B and C measures
// to outside: from memory.
var methodLetters = map[string]string{
	onOffTest: "method A", sheet.OutsideMethod: "method B", sheet.TotalMethod: "method C", SubtractionTest: "method D", registerTest: "method D",
}

// e1554Method is the method of a test of the findings by its letter; "" for none.
func e1554Method(c *Case, name string) string {
	for i, given := range testNames(c) {
		if given == name {
			return methodLetters[c.Sheet.DuctTests[i].Method.Value]
		}
	}
	return methodLetters[name]
}

// ductStandards are the tests of ducts by the methods of ASTM E1554, and the leakage to
// outside at 25 Pa over the floor area.
func ductStandards(c *Case, d *Ducts) (list []Standard) {
	if d == nil {
		return nil
	}
	for _, t := range d.Tests {
		if letter := e1554Method(c, t.Name); letter != "" && t.Resolved && t.Result != nil {
			list = append(list, Standard{Standard: e1554 + ", " + letter, Quantity: t.Quantity, Result: t.Result})
		}
	}
	for _, x := range []struct {
		q    *Q
		name string
	}{{d.LeakageOutside25, "Qn, to outside"}, {d.LeakageTotal25, "Qn, total"}} {
		if a := c.Sheet.House.FloorArea; x.q != nil && a.Given {
			qn := toQ(Scale[units.SpecificFlow](flowOf(x.q), 1/float64(a.Value)), units.CubicMetrePerSecondSquareMetre)
			list = append(list, Standard{Standard: resnet, Quantity: x.name, Result: qn, Note: "leakage at 25 Pa over the floor area"})
		}
	}
	return list
}
