package survey

import (
	"math"

	"holdbook/internal/sheet"
	"holdbook/units"
	"holdbook/zonal"
)

// OfferedToSeal lists what may be offered for sealing: the house side of a zone meant
// outside, the outside of one meant inside, duct leaks, and leaks between zones
// of the two sorts; never vents, registers or what the sheet keeps. House–outside
// stands last.
func OfferedToSeal(c *Case, e *zonal.Estimate) []zonal.SealTarget {
	var list []zonal.SealTarget
	direct := -1
	for i, p := range c.Model.Paths {
		switch {
		case p.Covered || c.Keeps(p):
		case p.A == zonal.House && p.B == zonal.Outside:
			direct = i
		case sealable(c, p):
			list = append(list, zonal.SealTarget{Paths: []int{i}})
		}
	}
	if direct >= 0 && e != nil && !Untouched(c.Model.Paths[direct].Flow50, e.Paths[direct].Flow50) {
		list = append(list, zonal.SealTarget{Paths: []int{direct}, Direct: true})
	}
	return list
}

// sealable tells whether the air barrier should stand in this path.
func sealable(c *Case, p zonal.Path) bool {
	a, b := c.Kinds[p.A], c.Kinds[p.B]
	if a == sheet.DuctsKind || b == sheet.DuctsKind {
		return a != b && a != houseKind && b != houseKind
	}
	if p.B == zonal.Outside && c.Vented(p.A) {
		return false
	}
	return c.inside(p.A) != c.inside(p.B)
}

// inside tells on which side of the air barrier a space is meant to be.
func (c *Case) inside(id zonal.SpaceID) bool {
	if id <= zonal.Outside {
		return id == zonal.House
	}
	z, _ := c.Sheet.Zone(c.Names[id])
	return z.MeantInside()
}

// Keeps tells whether the sheet keeps a path from being sealed.
func (c *Case) Keeps(p zonal.Path) bool {
	q, ok := c.sheetPath(p)
	return ok && q.Keep.Value
}

// sheetPath is what the sheet says of a path.
func (c *Case) sheetPath(p zonal.Path) (sheet.Path, bool) {
	for _, q := range c.Sheet.Paths {
		if q.Between.Same(c.Names[p.A], c.Names[p.B]) {
			return q, true
		}
	}
	return sheet.Path{}, false
}

// sealFirst fills the seal-first table.
func sealFirst(c *Case, e *zonal.Estimate, log *Log) []SealChoice {
	targets := OfferedToSeal(c, e)
	if len(targets) == 0 || targets[0].Direct {
		return nil // nothing to choose between
	}
	plan, err := e.Posterior.Seal(targets, zonal.SealOptions{})
	if err != nil {
		log.Notice(Warning, "sealing", "%s", err.Error())
		return nil
	}
	NoteFanReadings(c, log)
	return SealChoices(c, e, targets, plan)
}

// SealChoices are the lines of the seal-first table, the best order first.
func SealChoices(c *Case, e *zonal.Estimate, targets []zonal.SealTarget, plan *zonal.SealPlan) []SealChoice {
	step := map[int]int{}
	for k, s := range plan.Order {
		step[s.Target] = k + 1
	}
	var list []SealChoice
	for i, t := range targets {
		choice := sealChoice(c, e, t, plan.Choices[i])
		if k := step[i]; k > 0 {
			choice.Step, choice.FanAtStep = k, c.FanShows(plan.Order[k-1].FanAfter)
		}
		list = append(list, choice)
	}
	sortChoices(list)
	return list
}

// sealChoice is one line of the table.
func sealChoice(c *Case, e *zonal.Estimate, t zonal.SealTarget, choice zonal.SealChoice) SealChoice {
	p := c.Model.Paths[t.Paths[0]]
	out := SealChoice{Between: c.Pair(p.A, p.B), Drop50: Flow(choice.Drop50), ChanceFirst: orZero(choice.ChanceFirst), FanAfter: c.FanShows(choice.FanAfter), Direct: t.Direct}
	if s, ok := c.sheetPath(p); ok && s.Hours.Given && s.Hours.Value > 0 {
		out.Hours = float64(s.Hours.Value)
		if out.DropPerHour = Flow(Scale[units.Flow](choice.Drop50, 1/out.Hours)); out.DropPerHour != nil {
			out.DropPerHour.Unit = out.DropPerHour.Unit.Per("h")
		}
	}
	if path := e.Paths[t.Paths[0]]; !t.Direct && path.Resolved && choice.Drop50.High < path.Flow50.Low/2 {
		out.Note = "a tighter leak in series limits it"
	}
	return out
}

// FanReadings is what the notice on fan readings beside flows is about.
const FanReadings = "fan readings"

// NoteFanReadings says that fan readings and flows differ, where they do.
func NoteFanReadings(c *Case, log *Log) {
	NoteFanRatio(log, c.FanRatio(), "what the fan should read is what its gauge shows; for the density of the air the flow is %.3f of it, and falls and targets are flows")
}

// NoteFanRatio puts the ratio of flow and gauge into a text, where it is off by more than
// a hundredth.
func NoteFanRatio(log *Log, ratio float64, text string) {
	if math.Abs(ratio-1) > 0.01 {
		log.Notice(Note, FanReadings, text, ratio)
	}
}

// FanRatio is the flow through the envelope over what the gauge showed in the last
// hold with a fan reading; 1 where there is none.
func (c *Case) FanRatio() float64 {
	for k := len(c.Held) - 1; k >= 0; k-- {
		if p := c.Held[k].fanRatio; p > 0 && c.FanRead() {
			return p
		}
	}
	return 1
}

// FanShows is what the gauge of the door fan shows for a flow through the
// envelope: the correction for the air in the fan, undone.
func (c *Case) FanShows(e units.Estimate[units.Flow]) *Q {
	if !c.FanRead() {
		return nil // no fan was read: nothing is known of what it will show
	}
	return Flow(Scale[units.Flow](e, 1/c.FanRatio()))
}
