package pressure

import (
	"math"
	"strconv"
	"strings"

	"holdbook/units"
)

// Worked is one formula with the reader's own numbers in it.
type Worked struct {
	Formula string // "Q50 = Q·(50 Pa/Δp)^n"
	Numbers string // the same with numbers and the result
	Source  string // where the formula is published
}

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
	result, reader dimension
	ip             string // text for inch-pound readers, where a factor differs
}

// formula makes a form.
func formula(text, source string, result, reader dimension) form {
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
	in    dimension
}

// dimension says how a number is written: in a unit that the reader's system
// chooses, or else as the SI number with a label.
type dimension struct {
	unit  func(units.System) units.Unit
	label string
}

// The dimensions of the formulas of this package. The upper group converts to
// the reader's system, the lower one stays in SI because a formula holds in
// coherent units only.
var (
	asPressure     = dimension{unit: units.System.Pressure}
	asFlow         = dimension{unit: units.System.Flow}
	asArea         = dimension{unit: units.System.Area}
	asFloorArea    = dimension{unit: units.System.FloorArea}
	asSpecificFlow = dimension{unit: units.System.SpecificFlow}
	asVolume       = dimension{unit: units.System.Volume}
	asTemperature  = dimension{unit: units.System.Temperature}
	asRate         = dimension{unit: units.System.Rate}

	noUnit       = dimension{}
	asPascal     = dimension{label: "Pa"}
	asKelvin     = dimension{label: "K"}
	asDensity    = dimension{label: "kg/m³"}
	asViscosity  = dimension{label: "Pa·s"}
	asCubicMetre = dimension{label: "m³/s"}
	asSquare     = dimension{label: "m²"}
	asMetre      = dimension{label: "m"}
	asSpeed      = dimension{label: "m/s"}
)

// always is the dimension of a number that a formula needs in one unit.
func always(u units.Unit) dimension {
	return dimension{unit: func(units.System) units.Unit { return u }}
}

// compute makes a Computed and refuses a result that is no finite number: it
// is the one gate through which formulas leave the package.
func compute[Q ~float64](v float64, f form, terms ...term) (Computed[Q], error) {
	if !finite(v) {
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
	text := c.form.in(s)
	_, right, _ := strings.Cut(text, "= ")
	result := c.form.result.write(float64(c.Value), s, c.form.result.digits())
	line := c.expand(right, s) + " = " + result
	if reader := c.form.reader.write(float64(c.Value), s, 4); c.form.reader.unit != nil && reader != result {
		line += " = " + reader
	}
	return Worked{Formula: bare(text), Numbers: line, Source: c.form.source}
}

// expand puts the numbers in the place of the names in braces.
func (c Computed[Q]) expand(text string, s units.System) string {
	var out strings.Builder
	for {
		before, rest, found := strings.Cut(text, "{")
		out.WriteString(before)
		if !found {
			return out.String()
		}
		name, after, _ := strings.Cut(rest, "}")
		for _, t := range c.terms {
			if t.name == name {
				out.WriteString(bracket(t.in.write(t.value, s, 6), out.Len() == 0, after))
				break
			}
		}
		text = after
	}
}

// bracket puts parentheses round a number that would be misread among its
// neighbours: a negative one within a line, one with a quotient as its unit,
// one with a unit before a power.
func bracket(number string, first bool, after string) string {
	negative := strings.HasPrefix(number, "-") && !first
	raised := strings.HasPrefix(after, "^") || strings.HasPrefix(after, "²")
	if negative || strings.Contains(number, "/") || (raised && strings.ContainsAny(number, " -")) {
		return "(" + number + ")"
	}
	return number
}

// digits is how many significant digits a result is shown with: one more for
// the intermediate results that stay in SI, so that a line can be followed by
// hand.
func (d dimension) digits() int {
	if d.unit == nil {
		return 5
	}
	return 4
}

// bare is a formula without the braces around its names.
func bare(text string) string {
	return strings.NewReplacer("{", "", "}", "").Replace(text)
}

// write gives an SI value in the dimension's unit with the given number of
// significant digits.
func (d dimension) write(v float64, s units.System, digits int) string {
	label := d.label
	if d.unit != nil {
		u := d.unit(s)
		v, label = u.FromSI(v), u.Pretty()
	}
	text := significant(v, digits)
	if label == "" {
		return text
	}
	return text + " " + label
}

// significant writes v with a number of significant digits, without an
// exponent for everyday sizes and without trailing zeros; digits before the
// decimal point are never dropped.
func significant(v float64, digits int) string {
	if !finite(v) {
		return "?"
	}
	if v == 0 {
		return "0"
	}
	magnitude := int(math.Floor(math.Log10(math.Abs(v))))
	if magnitude < -4 || magnitude > 9 {
		return strconv.FormatFloat(v, 'g', digits, 64)
	}
	text := strconv.FormatFloat(v, 'f', max(digits-1-magnitude, 0), 64)
	if strings.Contains(text, ".") {
		text = strings.TrimRight(strings.TrimRight(text, "0"), ".")
	}
	return text
}
