package report

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"holdbook/internal/survey"
	"holdbook/units"
)

// seal is what to seal first.
func seal(f *survey.Findings, n *footnotes) Section {
	s := Section{ID: "seal", Heading: "Seal first"}
	hours := each(f.SealFirst, func(c survey.SealChoice) *survey.Q { return c.DropPerHour })
	perHour := strings.TrimSuffix(unitOf(hours...), "/h") // the header says the hour
	falls := fallsHead(n)
	s.Table = NewTable(Column{Head: "step", Kind: Numbers}, Column{Head: "seal"}, Column{Head: falls, Kind: Interval},
		Column{Head: "best", Unit: "%", Kind: Numbers}, Column{Head: "fan then", Kind: Interval}, Column{Head: "per hour of work", Unit: perHour, Kind: Interval})
	for _, c := range sealOrder(f.SealFirst) {
		step, chance, then := Num(fmt.Sprint(c.Step)), Num(units.Chance(c.ChanceFirst)), Est(fanThen(c))
		if c.Step == 0 {
			step = Cell{}
		}
		if c.Direct {
			chance, then = Cell{}, Cell{} // no step of the order, after which the fan could be read
		}
		s.Table.Add(step, Say(joinWords(": ", sealName(c), c.Note)), EstIf(c.Drop50, bounded(c.Drop50)), chance, then,
			EstIf(c.DropPerHour, bounded(c.DropPerHour)))
	}
	if len(f.SealFirst) > 0 {
		legend := sentence(falls) + ": at 50 Pa, this one alone sealed. Step: the largest further fall first, by the middle of its interval. Best: chance that it saves most."
		if slices.ContainsFunc(f.SealFirst, func(c survey.SealChoice) bool { return fanThen(c) != nil }) {
			legend += " Fan then: reading to expect after this step and those before it" + middleRests(f.SealFirst) + "."
		}
		if falls == flowFalls {
			legend += " The fall is of the flow, not of gauge readings: see the notice on fan readings."
		}
		s.After = []string{legend}
	}
	return s
}

// middleRests says what a reading to expect rests on where what is sealed is not resolved.
func middleRests(list []survey.SealChoice) string {
	if slices.ContainsFunc(list, func(c survey.SealChoice) bool { return !c.Direct && !bounded(c.Drop50) }) {
		return "; where the fall is not resolved only its interval counts, the middle rests on what houses usually are"
	}
	return ""
}

// flowFalls heads falls of a flow that the fan's gauge does not show as it is.
const flowFalls = "flow falls by"

// fallsHead names the fall of the flow at 50 Pa: where the fan's gauge shows
// another number than the flow, it is not by that that the fan falls.
func fallsHead(n *footnotes) string {
	if n.find(survey.FanReadings) != "" {
		return flowFalls
	}
	return "fan falls by"
}

func sealName(c survey.SealChoice) string {
	if c.What != "" {
		return c.What
	}
	if c.Direct {
		return between(c.Between) + ", not one job"
	}
	return between(c.Between)
}

func fanThen(c survey.SealChoice) *survey.Q {
	if c.FanAtStep != nil {
		return c.FanAtStep
	}
	return c.FanAfter
}

// sealOrder is the choices by step, then those outside the order.
func sealOrder(list []survey.SealChoice) []survey.SealChoice {
	out := slices.Clone(list)
	key := func(c survey.SealChoice) int {
		switch {
		case c.Direct:
			return math.MaxInt
		case c.Step == 0:
			return math.MaxInt - 1
		}
		return c.Step
	}
	slices.SortStableFunc(out, func(a, b survey.SealChoice) int { return cmp.Compare(key(a), key(b)) })
	return out
}
