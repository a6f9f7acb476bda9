package pressure

import "holdbook/units"

// Computed is a value that can show how it came about.
type Computed[Q ~float64] struct {
	Value Q
	form  form
	terms []term
}

// form is a formula. Names in braces in text stand for the terms of the same
// name; result says in which unit the formula gives its value and reader in
// which unit the reader wants it.
type form struct {
	text, source   string
	result, reader unitOf
	ip             string // text for inch-pound readers, where a factor differs
}

// formula makes a form.
func formula(text, source string, result, reader unitOf) form {
	return form{text: text, source: source, result: result, reader: reader}
}

// orIP gives the formula another text for inch-pound readers.
func (f form) orIP(text string) form {
	f.ip = text
	return f
}

// in is the formula's text for a reader.
func (f form) in(s units.System) string {
	if s == units.IP && f.ip != "" {
		return f.ip
	}
	return f.text
}

// term is one number that goes into a formula, in SI.
type term struct {
	name  string
	value float64
	in    unitOf
}

// unitOf is the unit that a number is written in for the reader of a system.
type unitOf func(units.System) units.Unit

// The units of the formulas of this package. The upper group converts to
// the reader's system, the lower one stays in SI because a formula holds in
// coherent units only.
var (
	asPressure     unitOf = units.System.Pressure
	asFlow         unitOf = units.System.Flow
	asArea         unitOf = units.System.Area
	asFloorArea    unitOf = units.System.FloorArea
	asSpecificFlow unitOf = units.System.SpecificFlow
	asVolume       unitOf = units.System.Volume
	asTemperature  unitOf = units.System.Temperature
	asRate         unitOf = units.System.Rate

	noUnit       = always(units.Unit{})
	asPascal     = always(units.Pascal)
	asKelvin     = always(units.Kelvin)
	asDensity    = always(units.KilogramPerCubicMetre)
	asViscosity  = always(units.PascalSecond)
	asCubicMetre = always(units.CubicMetrePerSecond)
	asSquare     = always(units.SquareMetre)
	asMetre      = always(units.Metre)
	asSpeed      = always(units.MetrePerSecond)
)

// always is one unit for every reader.
func always(u units.Unit) unitOf { return func(units.System) units.Unit { return u } }

// compute makes a Computed and refuses a result that is no finite number: it
// is the one gate through which formulas leave the package.
func compute[Q ~float64](v float64, f form, terms ...term) (Computed[Q], error) {
	if !units.Finite(v) {
		return Computed[Q]{}, &Fault{
			What: "the result of " + bare(f.text) + " is out of range",
			Why:  "the readings in it cannot all be right",
			Do:   "check them and their units",
		}
	}
	return Computed[Q]{Value: Q(v), form: f, terms: terms}, nil
}

// Worked writes the formula out in the reader's units. The zero Computed gives
// the zero Worked.
func (c Computed[Q]) Worked(s units.System) Worked {
	if c.form.text == "" {
		return Worked{}
	}
	l := Line{Formula: c.form.in(s), Source: c.form.source, Result: In("", float64(c.Value), c.form.result(s))}
	for _, t := range c.terms {
		l.Figures = append(l.Figures, In(t.name, t.value, t.in(s)))
	}
	if u := c.form.reader(s); u != (units.Unit{}) {
		l.Also = In("", float64(c.Value), u)
	}
	return l.Worked()
}
