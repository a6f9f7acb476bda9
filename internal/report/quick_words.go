package report

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"holdbook/internal/survey"
	"holdbook/units"
)

// plainRatio is a ratio that has a word.
type plainRatio struct {
	of   float64
	word string
}

var plainRatios = []plainRatio{
	{1.0 / 20, "a twentieth of"}, {1.0 / 10, "a tenth of"}, {1.0 / 5, "a fifth of"}, {1.0 / 4, "a quarter of"}, {1.0 / 3, "a third of"},
	{1.0 / 2, "half"}, {2.0 / 3, "two thirds of"}, {1, "as large as"}, {1.5, "one and a half times"}, {2, "twice"}, {3, "three times"},
	{4, "four times"}, {5, "five times"}, {7, "seven times"}, {10, "ten times"}, {20, "twenty times"},
}

// times is a ratio in a word where one lies within its interval, else in figures:
// "about a quarter of", "0.014 times".
func times(q *survey.Q) string {
	off := func(p plainRatio) float64 { return math.Abs(math.Log(p.of / q.Value)) }
	near := slices.MinFunc(plainRatios, func(a, b plainRatio) int { return cmp.Compare(off(a), off(b)) })
	if near.of >= q.Low && near.of <= q.High {
		return "about " + near.word
	}
	value, _ := texts(q)
	return value + " times"
}

// ducts is what a duct test answers, a row for each quantity and each covered register.
func (q Quick) ducts() (rows [][]Cell) {
	d := q.Findings.Ducts
	if d == nil {
		return nil
	}
	say := func(line string) { rows = append(rows, []Cell{Say("ducts"), Say(line)}) }
	share := map[string]*survey.Q{"supply_leakage": d.SupplyShare, "return_leakage": d.ReturnShare}
	for key, e := range survey.Estimates(*d) {
		switch {
		case e == nil, key == "covered_pressure", key == "supply_leakage_share", key == "return_leakage_share":
		case share[key] != nil:
			say(quantity(key) + ": " + inline(e) + ", " + inline(share[key]) + " of the air moved")
		default:
			say(quantity(key) + ": " + inline(e))
		}
	}
	for _, t := range d.Tests {
		other := slices.ContainsFunc(d.Tests, func(x survey.DuctTest) bool { return x.Quantity == t.Quantity && x.Resolved })
		switch {
		case t.Resolved && t.Method == survey.OnePressureTest && t.Note != "":
			say(t.Note)
		case t.Resolved:
		case t.Bound != "", q.Ducts && t.Note == "" && !other:
			say(joinWords("; ", quantity(t.Quantity)+": "+reach(t), t.Note))
		case t.Note != "":
			say(quantity(t.Quantity) + ": not resolved; " + t.Note)
		}
	}
	list := byRank(d.Registers, func(r survey.Register) int { return r.Rank })
	for i, r := range list {
		if i == mostRegisters {
			say(count(len(list)-i, "register") + " more, with --working")
			break
		}
		if r.Cover != nil {
			rows = append(rows, []Cell{Say(r.Name), Say(registerSaid(r))})
		}
	}
	return rows
}

// reach is what a test leaves open of its quantity.
func reach(t survey.DuctTest) string {
	if _, i := texts(t.Result); t.Bound == "" && i != "" {
		return "anything in " + units.Put(i, t.Result.Unit)
	}
	return unresolved(t.Result, t.Bound)
}

// registerSaid is what a covered register says of its branch.
func registerSaid(r survey.Register) string {
	line := number(r.Cover.Value) + " Pa"
	if r.Cover50 != nil && math.Abs(r.Cover50.Value-r.Cover.Value) >= 0.1 {
		line += ", corrected " + inline(r.Cover50)
	}
	if r.Verdict == "" {
		return line
	}
	return line + ": " + strings.Replace(r.Verdict, "nothing", "no leak to be seen", 1)
}
