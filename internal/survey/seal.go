package survey

import (
	"cmp"
	"math"
	"slices"

	"holdbook/internal/sheet"
	"holdbook/units"
	"holdbook/zonal"
)

// OfferedToSeal lists what may be offered for sealing: the house side of a zone meant
// outside, the outside of one meant inside, duct leaks, and leaks between zones
// of the two sorts; never vents, registers, party walls or what the sheet keeps. House–outside
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
			list = append(list, zonal.SealTarget{Paths: []int{i}, First: c.fromGarage(p), Hours: c.hours(p)})
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
	if a == sheet.Neighbour || b == sheet.Neighbour {
		return false // a party wall saves no energy
	}
	if p.B == zonal.Outside && c.Vented(p.A) {
		return false
	}
	return c.inside(p.A) != c.inside(p.B)
}

// fromGarage tells whether a path joins a garage to what is meant to be indoors: its air
// may carry fumes.
func (c *Case) fromGarage(p zonal.Path) bool {
	a, b := p.A, p.B
	if c.Kinds[b] == sheet.Garage {
		a, b = b, a
	}
	return c.Kinds[a] == sheet.Garage && c.inside(b)
}

// hours are those that the sheet states of the work on a path; 0 for none.
func (c *Case) hours(p zonal.Path) float64 {
	s, ok := c.sheetPath(p)
	if !ok {
		return 0
	}
	return float64(s.Hours.Or(0))
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

// sealFirst fills the seal-first table, and the work order where it is asked for.
func sealFirst(c *Case, e *zonal.Estimate, log *Log, o Options) ([]SealChoice, *WorkOrder) {
	targets := OfferedToSeal(c, e)
	if len(targets) == 0 || targets[0].Direct {
		return nil, nil // nothing to choose between
	}
	plan, err := e.Posterior.Seal(targets, zonal.SealOptions{})
	if err != nil {
		log.Notice(Warning, "sealing", "%s", err.Error())
		return nil, nil
	}
	NoteFanReadings(c, log)
	choices := SealChoices(c, e, targets, plan)
	if !o.WorkOrder {
		return choices, nil
	}
	stated := c.Sheet.Job.Target
	target, _ := c.TargetFlow(stated.Flow.Or(0), stated.AirChanges.Or(0))
	return choices, NewWorkOrder(c, targets, plan, 0, target)
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

// sortChoices puts the best order first and the direct leaks last.
func sortChoices(list []SealChoice) {
	slices.SortStableFunc(list, func(a, b SealChoice) int {
		if a.Direct != b.Direct {
			if a.Direct {
				return 1
			}
			return -1
		}
		return cmp.Compare(a.Step, b.Step)
	})
}

// sealChoice is one line of the table.
func sealChoice(c *Case, e *zonal.Estimate, t zonal.SealTarget, choice zonal.SealChoice) SealChoice {
	p := c.Model.Paths[t.Paths[0]]
	out := SealChoice{Between: c.Pair(p.A, p.B), Drop50: Flow(choice.Drop50), ChanceFirst: orZero(choice.ChanceFirst), FanAfter: c.FanShows(choice.FanAfter), Direct: t.Direct, Health: t.First}
	if hours := c.hours(p); hours > 0 {
		out.Hours = hours
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
		log.Background(FanReadings, text, ratio)
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
