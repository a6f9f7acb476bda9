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

// seal is what to seal first, in falls of the leakage: what the fan's gauge should show
// is for the work order.
func seal(f *survey.Findings, n *footnotes) Section {
	s := Section{ID: "seal", Heading: "Seal first"}
	hours := each(f.SealFirst, func(c survey.SealChoice) *survey.Q { return c.DropPerHour })
	perHour := strings.TrimSuffix(unitOf(hours...), "/h") // the header says the hour
	s.Table = NewTable(Column{Head: "step", Kind: Numbers}, Column{Head: "seal"}, Column{Head: "leakage falls by", Kind: Interval},
		Column{Head: "most", Unit: "%", Kind: Numbers}, Column{Head: "per hour of work", Unit: perHour, Kind: Interval})
	for _, c := range sealOrder(f.SealFirst) {
		step, chance := Num(fmt.Sprint(c.Step)), Num(units.Chance(c.ChanceFirst))
		if c.Step == 0 {
			step = Cell{}
		}
		if c.Direct {
			chance = Cell{}
		}
		s.Table.Add(step, Say(joinWords(": ", sealName(c)+n.mark(between(c.Between)), c.Note)), EstIf(c.Drop50, bounded(c.Drop50)), chance,
			EstIf(c.DropPerHour, bounded(c.DropPerHour)))
	}
	if len(f.SealFirst) > 0 {
		s.After = []string{orderWords(f.SealFirst) + " Falls: this one alone sealed. Most: chance that none saves more. Work order: holdbook seal."}
	}
	return s
}

// orderWords say by what the steps of the sealing are ordered.
func orderWords(list []survey.SealChoice) string {
	offered := slices.DeleteFunc(slices.Clone(list), func(c survey.SealChoice) bool { return c.Direct })
	words := "the largest fall"
	if !slices.ContainsFunc(offered, func(c survey.SealChoice) bool { return !(c.Hours > 0) }) {
		words = "the largest fall for each hour"
	}
	if slices.ContainsFunc(offered, func(c survey.SealChoice) bool { return c.Health }) {
		return "Garage first whatever its size, then " + words + "."
	}
	return sentence(words) + " first."
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
