package report

import (
	"cmp"
	"fmt"
	"slices"

	"holdbook/internal/survey"
	"holdbook/units"
)

// ducts is everything known of the duct system, a section for each table.
//
// Beside the house's own estimate the points of the on/off curve, and tests when
// they are many, are for an auditor: they come when the working is asked for.
func ducts(f *survey.Findings, o Options) []Section {
	d := f.Ducts
	if d == nil {
		return nil
	}
	main := Section{ID: "ducts", Heading: "Ducts", After: d.Notes}
	if o.record() {
		main.After = append(slices.Clone(d.Notes), d.Basis...)
	}
	main.Table = NewTable(Column{Head: "quantity"}, perCell, Column{Head: "unit"})
	main.Table.addEstimates(*d)
	tests, curve := d.Tests, onOff(d)
	if every := o.Working || o.full || len(f.Paths) == 0; !every {
		curve = Section{}
		if len(tests) > shortList {
			main.After = append(slices.Clone(main.After), testsLine(tests))
			tests = inDispute(tests)
		}
	}
	return []Section{main, ductTests(tests), registers(d), curve, losses(d), rooms(d)}
}

// shortList is how many duct tests are shown without being asked for.
const shortList = 6

// testsLine is how the duct tests stand to one another, without their numbers.
func testsLine(tests []survey.DuctTest) string {
	count := map[string]int{}
	for _, t := range tests {
		count[t.Agrees]++
	}
	agree, disagree := count["agrees"], count["disagrees"]
	return fmt.Sprintf("%d results of duct tests, each by itself in --working: %d %s with others, %d %s, %d cannot be compared.",
		len(tests), agree, plural(agree, "agrees", "agree"), disagree, plural(disagree, "disagrees", "disagree"), count[""])
}

// inDispute is the tests of every quantity that one of them disagrees on.
func inDispute(tests []survey.DuctTest) []survey.DuctTest {
	return slices.DeleteFunc(slices.Clone(tests), func(t survey.DuctTest) bool {
		return !slices.ContainsFunc(tests, func(x survey.DuctTest) bool { return x.Quantity == t.Quantity && x.Agrees == "disagrees" })
	})
}

// addEstimates adds a row for each estimate of a part of the findings, with its unit.
func (t *Table) addEstimates(part any) {
	for key, q := range survey.Estimates(part) {
		if q != nil {
			t.Add(Say(quantity(key)), Est(q), unitCell(q))
		}
	}
}

// unitCell is the unit of an estimate, in a table whose rows differ in it.
func unitCell(q *survey.Q) Cell {
	if q == nil {
		return Cell{}
	}
	return sayIf(q.Unit.Pretty())
}

func ductTests(tests []survey.DuctTest) Section {
	s := Section{ID: "duct-tests", Heading: "Duct tests, each by itself"}
	s.Table = NewTable(Column{Head: "test"}, Column{Head: "quantity"}, perCell, Column{Head: "unit"}, Column{Head: ""})
	for _, t := range tests {
		unit := unitCell(t.Result)
		if !t.Resolved {
			unit = Cell{}
		}
		result := EstWithin(t.Result, t.Resolved, t.Bound)
		if t.Result == nil && !t.Resolved {
			result = Cell{value: "not resolved", free: true}
		}
		s.Table.Add(Say(t.Name), Say(quantity(t.Quantity)), result, unit, sayIf(t.Agrees))
		if t.Note != "" {
			s.After = append(s.After, sentence(t.Name)+": "+t.Note)
		}
	}
	return s
}

// sayIf is Say, with an empty cell for nothing.
func sayIf(s string) Cell {
	if s == "" {
		return Cell{}
	}
	return Say(s)
}

// byRank puts what to look at first on top and what has no rank last.
func byRank[T any](list []T, rank func(T) int) []T {
	out := slices.Clone(list)
	key := func(e T) int {
		if r := rank(e); r > 0 {
			return r
		}
		return len(list) + 1
	}
	slices.SortStableFunc(out, func(a, b T) int { return cmp.Compare(key(a), key(b)) })
	return out
}

func registers(d *survey.Ducts) Section {
	list := byRank(d.Registers, func(r survey.Register) int { return r.Rank })
	s := Section{ID: "registers", Heading: "Registers, the branch to look at first on top"}
	s.Table = NewTable(Column{Head: "register"}, Column{Head: "side"},
		Column{Head: "covered", Kind: Numbers},
		Column{Head: "corrected", Kind: Interval},
		Column{Head: "held", Kind: Numbers},
		Column{Head: "running", Kind: Numbers},
		Column{Head: "of design", Unit: "%", Kind: Numbers}, Column{Head: "look for"})
	for _, r := range list {
		share := Cell{}
		if r.ShareDesign != nil {
			share = Num(percent(*r.ShareDesign))
		}
		s.Table.Add(Say(r.Name), sayIf(r.Side), asRead(r.Cover), Est(r.Cover50), asRead(r.Held), asRead(r.Flow), share, sayIf(r.Verdict))
	}
	if s.Table.Rows() > 0 {
		s.After = registerNotes(list)
	}
	return s
}

// registerNotes explains the columns that are there.
func registerNotes(list []survey.Register) []string {
	if !slices.ContainsFunc(list, func(r survey.Register) bool { return r.Cover != nil }) {
		return nil
	}
	return []string{"Covered: pressure across the covered register during the hold (pressure pan reading); " +
		"corrected: for a 50 Pa hold and for the space the ducts run in (outdoors, unless the sheet's touches name a zone). Leaks, after the big ones: between the two rules, so that it leaks, but is not the first to look for."}
}

// asRead is a reading kept as an estimate: the value alone, as it was read.
func asRead(q *survey.Q) Cell {
	if q == nil {
		return Cell{}
	}
	return Cell{value: number(q.Value), unit: q.Unit.Pretty()}
}

func onOff(d *survey.Ducts) Section {
	s := Section{ID: "on-off", Heading: "On/off test"}
	if d.OnOff == nil {
		return s
	}
	unit := ""
	for _, p := range d.OnOff.Points {
		unit = p.Unit.Pretty()
	}
	s.Table = NewTable(Column{Head: "house", Unit: "Pa", Kind: Numbers}, Column{Head: "on less off", Unit: unit, Kind: Numbers}, Column{Head: "fitted", Unit: unit, Kind: Numbers})
	for _, p := range d.OnOff.Points {
		s.Table.Add(Value(p.Pressure), Num(fitted(p.Difference)), Num(fitted(p.Fitted)))
	}
	s.After = []string{"Envelope flow with the air handler on less off, at one house pressure (ASTM E1554 method A); flows into the house count above zero, out of it below."}
	if c := d.OnOff.Correlation; c != 0 {
		s.After = append(s.After, fmt.Sprintf("Supply and return leakage are correlated, %.2f: their difference is known better than either.", c))
	}
	return s
}

// fitted prints a computed flow that has no interval: few digits.
func fitted(v float64) string {
	if v > -10 && v < 10 {
		return units.Fixed(v, 1)
	}
	return units.Fixed(v, 0)
}

func losses(d *survey.Ducts) Section {
	s := Section{ID: "losses", Heading: "Where heating or cooling goes, and what repair gains"}
	s.Table = NewTable(Column{Head: "cause"}, Column{Head: "share", Kind: Interval}, Column{Head: "a year", Kind: Interval}, Column{Head: "note"})
	for _, l := range d.Losses {
		s.Table.Add(Say(l.Cause), Est(l.Share), Est(l.Cost), sayIf(l.Note))
	}
	return s
}

func rooms(d *survey.Ducts) Section {
	list := byRank(d.Rooms, func(r survey.RoomPressure) int { return r.Rank })
	s := Section{ID: "rooms", Heading: "Rooms behind shut doors"}
	s.Table = NewTable(Column{Head: "room"},
		Column{Head: "to house", Kind: Interval},
		Column{Head: "leak at 50 Pa", Kind: Interval},
		Column{Head: "opening needed", Kind: Interval}, Column{Head: ""})
	for _, r := range list {
		s.Table.Add(Say(r.Name), Est(r.Pressure), Est(r.Flow50), Est(r.Transfer), sayIf(r.Verdict))
	}
	if s.Table.Rows() > 0 {
		s.After = []string{"At most: published limits with the air handler on, wider for a room with a wall to outdoors or much air. Of the hold: the share of its pressure that stands across the room's door."}
	}
	return s
}
