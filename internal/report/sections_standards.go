package report

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"holdbook/internal/survey"
	"holdbook/units"
)

// directions is a test in both directions: each, their mean and their difference.
func directions(f *survey.Findings) Section {
	s := Section{ID: "directions", Heading: "Both directions"}
	d := f.House.Directions
	if d == nil {
		return s
	}
	s.Table = NewTable(Column{Head: "direction"}, Column{Head: "at 50 Pa", Kind: Interval}, Column{Head: "limits"})
	for _, x := range []struct {
		name string
		q    survey.Q
	}{{survey.Depressurised, d.Depressurised}, {survey.Pressurised, d.Pressurised}, {survey.MeanOfBoth, d.Mean}} {
		s.Table.Add(Say(x.name), Est(&x.q), Say(number(level(&x.q, 90))+" %"))
	}
	than := map[bool]string{true: "more", false: "less"}[d.Difference > 0]
	s.After = []string{fmt.Sprintf("Pressurised it leaks %s %% %s than depressurised. Usual reasons: %s.", units.Fixed(math.Abs(d.Difference), 0), than, d.Reasons)}
	return s
}

// namedStandards are the quantities of the standard that the sheet names; of all where there is
// room for them.
func namedStandards(f *survey.Findings, o Options) []survey.Standard {
	if o.record() {
		return f.Standards
	}
	return slices.DeleteFunc(slices.Clone(f.Standards), func(x survey.Standard) bool {
		words := strings.Fields(strings.ReplaceAll(x.Standard, ",", " "))
		number := words[min(1, len(words)-1)] // "E779" of "ASTM E779"
		if strings.HasPrefix(x.Standard, "ANSI") {
			number = words[len(words)-1]
		}
		return !strings.Contains(strings.ToUpper(f.Job.Standard), number)
	})
}

// standards are the quantities of standards by their names, the directions of each one below
// the other.
func standards(list []survey.Standard) Section {
	s := Section{ID: "standards", Heading: "By the names of standards"}
	s.Table = NewTable(Column{Head: "quantity"}, Column{Head: "direction"}, perCell, Column{Head: "unit"})
	name := func(x survey.Standard) string { return x.Standard + ", " + quantity(x.Quantity) }
	var order, notes []string
	for _, x := range list {
		order = appendOnce(order, name(x))
		if x.Note != "" {
			notes = appendOnce(notes, x.Standard+": "+x.Note+".")
		}
	}
	for _, of := range order {
		shown := of
		for _, x := range list {
			if name(x) == of {
				s.Table.Add(Say(shown), sayIf(x.Direction), Est(x.Result), unitCell(x.Result))
				shown = "″"
			}
		}
	}
	if len(list) > 0 {
		s.After = append(notes, "Limits: 95 % of the scatter of the fit alone for ASTM E779 and ISO 9972, else 90 % of all stated errors. A comparison, not a certificate: the text of the standard in force decides.")
	}
	return s
}

// stateLine is the house in another state than as found.
func stateLine(s *survey.InState) string {
	line := "As " + s.As + ": " + inline(s.Flow50) + " at 50 Pa"
	if s.AirChanges50 != nil {
		line += "; " + airChanges(s.AirChanges50)
	}
	return line + ", from the estimate."
}

func appendOnce(list []string, s string) []string {
	if slices.Contains(list, s) {
		return list
	}
	return append(list, s)
}
