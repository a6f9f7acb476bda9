package pressure

import (
	"slices"
	"strings"

	"holdbook/units"
)

// Worked is one formula with the reader's own numbers in it.
type Worked struct {
	Formula string // "Q50 = Q·(50 Pa/Δp)^n"
	Numbers string // the same with numbers and the result
	Source  string // where the formula is published
}

// Figure is a number, or a text in its place, that stands in a worked line.
type Figure struct {
	name  string
	value float64 // in unit
	unit  units.Unit
	text  string // in place of the number
}

// In is the figure of a quantity in SI, written in a unit.
func In(name string, si float64, u units.Unit) Figure {
	return Figure{name: name, value: u.FromSI(si), unit: u}
}

// Plain is the figure of a number without a unit.
func Plain[Q ~float64](name string, v Q) Figure { return Figure{name: name, value: float64(v)} }

// Said is a text in the place of a number.
func Said(name, text string) Figure { return Figure{name: name, text: text} }

// Line is a formula "result = expression" with what stands in it: a name in braces stands
// for the figure of that name.
type Line struct {
	Formula, Source string
	Result          Figure
	Figures         []Figure
	// Also is the result once more, in the reader's unit, where the formula gives it in
	// another; the zero Figure is left out.
	Also Figure
}

// How many significant figures a worked line shows at least: of its result and of what is
// in the same unit, and of everything else, so that the line can be followed with a
// calculator.
const (
	figuresOfResult = 3
	figuresOfRest   = 4
)

// Worked writes the line out. Numbers in the unit of the result have one number of
// decimals, so that a sum can be followed; others have four significant figures each.
func (l Line) Worked() Worked {
	_, right, found := strings.Cut(l.Formula, " = ")
	if !found {
		right = l.Formula
	}
	result := l.write(l.Result)
	numbers := l.expand(right) + " = " + result
	if also := l.write(l.Also); l.Also != (Figure{}) && also != result {
		numbers += " = " + also
	}
	return Worked{Formula: bare(l.Formula), Numbers: numbers, Source: l.Source}
}

// write is the text of a figure of the line.
func (l Line) write(f Figure) string {
	switch {
	case f.text != "":
		return f.text
	case f.unit == units.Unit{}, f.unit != l.Result.unit && f.unit != l.Also.unit:
		return units.Put(units.Number(f.value, figuresOfRest), f.unit)
	}
	var same []float64
	for _, other := range append(slices.Clone(l.Figures), l.Result, l.Also) {
		if other.unit == f.unit && other.text == "" {
			same = append(same, other.value)
		}
	}
	return units.Put(units.Fixed(f.value, units.Common(figuresOfResult, same...)), f.unit)
}

// expand puts the figures in the place of the names in braces.
func (l Line) expand(text string) string {
	var out strings.Builder
	for {
		before, rest, found := strings.Cut(text, "{")
		out.WriteString(before)
		if !found {
			return out.String()
		}
		name, after, _ := strings.Cut(rest, "}")
		if i := slices.IndexFunc(l.Figures, func(f Figure) bool { return f.name == name }); i >= 0 {
			alone := out.Len() == 0 || strings.HasSuffix(before, "|")
			out.WriteString(bracket(l.write(l.Figures[i]), alone, after))
		}
		text = after
	}
}

// bracket puts parentheses round a number that would be misread among its
// neighbours: a negative one within a line, one with a quotient as its unit,
// one with a unit before a power.
func bracket(number string, alone bool, after string) string {
	negative := strings.HasPrefix(number, "-") && !alone
	raised := strings.HasPrefix(after, "^") || strings.HasPrefix(after, "²")
	if negative || strings.Contains(number, "/") || (raised && strings.ContainsAny(number, " -")) {
		return "(" + number + ")"
	}
	return number
}

// bare is a formula without the braces around its names.
func bare(text string) string {
	return strings.NewReplacer("{", "", "}", "").Replace(text)
}
