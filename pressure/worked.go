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

// As is the figure under another name.
func (f Figure) As(name string) Figure {
	f.name = name
	return f
}

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

// How many significant figures a worked line shows: of the result and of what is in its
// unit, of everything else (one more, so that the line can be followed with a calculator),
// and of its largest number at most.
const (
	figuresOfResult = 3
	figuresOfRest   = 4
	figuresMost     = 6
)

// Worked writes the line out. Numbers of one unit have one number of decimals, so that a
// difference can be followed; numbers without a unit have four significant figures.
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
	case f.unit == units.Unit{}:
		return units.Number(f.value, figuresOfRest)
	}
	return units.Put(units.Fixed(f.value, l.decimals(f.unit)), f.unit)
}

// decimals is that of the figures of a unit.
func (l Line) decimals(u units.Unit) int {
	figures, values := figuresOfRest, []float64(nil)
	for _, f := range append(slices.Clone(l.Figures), l.Result, l.Also) {
		if f.unit == u && f.text == "" {
			values = append(values, f.value)
		}
	}
	if l.Result.unit == u || l.Also.unit == u {
		figures = figuresOfResult
	}
	return min(units.Common(figures, values...), units.Common(figuresMost, values...))
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
