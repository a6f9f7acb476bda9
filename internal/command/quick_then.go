package command

import (
	"slices"
	"strings"

	"holdbook/internal/report"
	"holdbook/internal/sheet"
	"holdbook/units"
)

// What each question leaves open, and the reading that resolves it: common practice, no
// source. The minutes are judgement.

// thenHouse reads a second pressure for the exponent, and then where the air goes.
func thenHouse(s *sheet.Sheet) *then {
	if len(s.Holds) == 1 && units.Abs(s.Holds[0].House.Value) > 30 {
		return &then{4, "hold at 25 Pa as found and read the fan, which tells the exponent and shows a slip",
			[]string{"add", "FILE", "25 Pa", "--house", "25", "--fan", "…"}}
	}
	return &then{1, "where the air goes: a hose into the attic, the garage or the crawlspace", []string{"zone", "attic=…", "--house", "50", "--fan", "…"}}
}

// thenLeakage sizes what covered registers only rank.
func thenLeakage(*sheet.Sheet) *then {
	return &then{12, "how much it is: read the fan, cover every register, hold again, read the fan and the ducts",
		[]string{"duct", "subtraction", "--house", "50", "--open", "…", "--covered", "…", "--ducts", "…"}}
}

// thenOutside parts what goes outdoors from what stays in the house.
func thenOutside(*sheet.Sheet) *then {
	return &then{8, "how much of it goes outdoors: the door fan holds the house at 25 Pa too, the ducts trimmed to it",
		[]string{"duct", "outside", "--pressure", "25", "--flow", "…", "--residual", "…"}}
}

// thenBranch finds the branch that leaks.
func thenBranch(*sheet.Sheet) *then {
	return &then{10, "which branch: the house held at 50 Pa, one register covered after the other",
		[]string{"duct", "covers", "living=…", "bath=…", "--house", "50"}}
}

// thenStations asks for the other side of zero, or for more stations.
func thenStations(s *sheet.Sheet) *then {
	below, above := 0, 0
	for _, x := range s.OnOff {
		if x.House.Value < 0 {
			below++
		} else {
			above++
		}
	}
	switch {
	case below == 0:
		return &then{4, "the house below outdoors as well, else only the difference is known: the line above with", []string{"duct", "onoff", "-25=…:…"}}
	case above == 0:
		return &then{4, "the house above outdoors as well, else only the difference is known: the line above with", []string{"duct", "onoff", "25=…:…"}}
	case below+above < 4:
		return &then{4, "one more pressure on each side: the line above with", []string{"duct", "onoff", "-10=…:…", "10=…:…"}}
	}
	return thenBranch(s)
}

// reply is how the question is answered.
func (a *asked) reply() reply {
	r := reply{p: a.p, flags: a.answerFlags, ducts: a.ofDucts(), after: a.after, file: a.save.text}
	r.again = func(space string) string {
		words := slices.Clone(a.p.args)
		for i, w := range words {
			if name, _, found := cutLast(w); found && strings.EqualFold(name, space) {
				words[i] = name + "=…"
			}
		}
		return typed(words...)
	}
	if a.then != nil {
		r.step = func(s *sheet.Sheet) *report.Step {
			t := a.then(s)
			if t == nil {
				return nil
			}
			words := slices.Clone(t.line)
			for i, w := range words {
				if w == "FILE" {
					words[i] = r.sheetName()
				}
			}
			return &report.Step{Minutes: t.minutes, What: t.what, Line: typed(words...)}
		}
	}
	return r
}

// ofDucts tells whether a question is of the ducts, whose answers then stand first.
func (q *quick) ofDucts() bool {
	return slices.ContainsFunc(ductTests, func(d quick) bool { return d.name == q.name })
}
