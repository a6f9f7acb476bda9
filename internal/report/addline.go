package report

import (
	"strings"

	"holdbook/internal/sheet"
	"holdbook/internal/typed"
	"holdbook/units"
)

// AddLine is the command that adds a hold to a sheet: a "…" stands for each number that is
// still to be read. It is "" for what is no hold of its own, such as a baseline that is to
// be written into one.
func AddLine(file string, h sheet.Hold) string {
	if !h.House.Given {
		return ""
	}
	words := []string{"add", file, h.Name.Value}
	for _, s := range h.Sealed {
		words = append(words, "--sealed", ends2(s.Between))
	}
	for _, o := range h.Opened {
		end := ends2(o.Between)
		if o.Area.Given {
			end += "=" + bare(o.Area.Text)
		}
		if o.Ajar.Given {
			end += "=" + bare(o.Ajar.Text) + ":" + bare(o.Leaf.Text)
		}
		words = append(words, "--opened", end)
	}
	if h.Baseline.Given {
		words = append(words, "--baseline", toType)
	}
	words = append(words, "--house", held(h))
	if h.Fan.Given {
		words = append(words, "--fan", toType)
	}
	if h.Range.Given() {
		words = append(words, "--range", h.Range.Value)
	}
	for _, f := range h.Fans {
		words = append(words, "--second-fan", f.From.Name+"-"+f.To.Name+"="+toType)
	}
	for i, r := range h.Readings {
		if i == 0 && r.To.Name == sheet.OutsideName {
			words = append(words, "--to", sheet.OutsideName)
		}
		words = append(words, r.Of.Name+"="+toType)
	}
	return typed.Line(words...)
}

// toType stands for a number that is still to be read.
const toType = "…"

// held is the pressure a proposed hold is to be held at, where one is meant.
func held(h sheet.Hold) string {
	if h.House.Value == 0 {
		return toType
	}
	return units.Number(float64(units.Abs(h.House.Value)), 3)
}

// ends2 are the two ends of a leak as one word.
func ends2(p sheet.Pair) string { return p[0].Name + "-" + p[1].Name }

// bare is a quantity in one word of plain letters.
func bare(text string) string {
	return strings.NewReplacer(" ", "", "²", "2").Replace(text)
}
