package survey

import (
	"math"

	"holdbook/internal/sheet"
	"holdbook/units"
	"holdbook/zonal"
)

// offered lists what may be offered for sealing: the house side of a zone meant
// outside, the outside of one meant inside, duct leaks, and leaks between zones
// of the two sorts; never vents, registers or what the sheet keeps. House–outside
// stands last.
func (r *run) offered() []zonal.SealTarget {
	var list []zonal.SealTarget
	direct := -1
	for i, p := range r.model.Paths {
		switch {
		case p.Covered || r.kept(p):
		case p.A == zonal.House && p.B == zonal.Outside:
			direct = i
		case r.sealable(p):
			list = append(list, zonal.SealTarget{Paths: []int{i}})
		}
	}
	if direct >= 0 && r.estimate != nil && !untouched(r.model.Paths[direct].Flow50, r.estimate.Paths[direct].Flow50) {
		list = append(list, zonal.SealTarget{Paths: []int{direct}, Direct: true})
	}
	return list
}

// sealable tells whether the air barrier should stand in this path.
func (r *run) sealable(p zonal.Path) bool {
	a, b := r.kinds[p.A], r.kinds[p.B]
	if a == sheet.DuctsKind || b == sheet.DuctsKind {
		return a != b && a != houseKind && b != houseKind
	}
	if p.B == zonal.Outside && r.vented(p.A) {
		return false
	}
	return r.inside(p.A) != r.inside(p.B)
}

// inside tells on which side of the air barrier a space is meant to be.
func (r *run) inside(id zonal.SpaceID) bool {
	if id <= zonal.Outside {
		return id == zonal.House
	}
	z, _ := r.sheet.Zone(r.names[id])
	return z.MeantInside()
}

// kept tells whether the sheet keeps a path from being sealed.
func (r *run) kept(p zonal.Path) bool {
	q, ok := r.sheetPath(p)
	return ok && q.Keep.Value
}

// sheetPath is what the sheet says of a path.
func (r *run) sheetPath(p zonal.Path) (sheet.Path, bool) {
	for _, q := range r.sheet.Paths {
		if q.Between.Same(r.names[p.A], r.names[p.B]) {
			return q, true
		}
	}
	return sheet.Path{}, false
}

// sealing fills the seal-first table.
func (r *run) sealing() {
	targets := r.offered()
	if len(targets) == 0 || targets[0].Direct {
		return // nothing to choose between
	}
	plan, err := r.estimate.Posterior.Seal(targets, zonal.SealOptions{})
	if err != nil {
		r.notice(Warning, "sealing", "%s", err.Error())
		return
	}
	r.f.SealFirst = r.choices(targets, plan)
	r.shownNote()
}

// choices are the lines of the seal-first table, the best order first.
func (r *run) choices(targets []zonal.SealTarget, plan *zonal.SealPlan) []SealChoice {
	step := map[int]int{}
	for k, s := range plan.Order {
		step[s.Target] = k + 1
	}
	var list []SealChoice
	for i, t := range targets {
		c := r.sealChoice(t, plan.Choices[i])
		if k := step[i]; k > 0 {
			c.Step, c.FanAtStep = k, r.fanReads(plan.Order[k-1].FanAfter)
		}
		list = append(list, c)
	}
	sortChoices(list)
	return list
}

// sealChoice is one line of the table.
func (r *run) sealChoice(t zonal.SealTarget, c zonal.SealChoice) SealChoice {
	p := r.model.Paths[t.Paths[0]]
	out := SealChoice{Between: r.pair(p.A, p.B), Drop50: r.flow(c.Drop50), ChanceFirst: orZero(c.ChanceFirst), FanAfter: r.fanReads(c.FanAfter), Direct: t.Direct}
	if s, ok := r.sheetPath(p); ok && s.Hours.Given && s.Hours.Value > 0 {
		out.Hours = float64(s.Hours.Value)
		if out.DropPerHour = r.flow(scale[units.Flow](c.Drop50, 1/out.Hours)); out.DropPerHour != nil {
			out.DropPerHour.Unit = out.DropPerHour.Unit.Per("h")
		}
	}
	if e := r.estimate.Paths[t.Paths[0]]; !t.Direct && e.Resolved && c.Drop50.High < e.Flow50.Low/2 {
		out.Note = "a tighter leak in series limits it"
	}
	return out
}

// FanReadings is what the notice on fan readings beside flows is about.
const FanReadings = "fan readings"

// shownNote says that fan readings and flows differ, where they do.
func (r *run) shownNote() {
	r.noticeShown(r.shownRatio(), "what the fan should read is what its gauge shows; for the density of the air the flow is %.3f of it, and falls and targets are flows")
}

// noticeShown puts the ratio of flow and gauge into a text, where it is off by more than
// a hundredth.
func (r *run) noticeShown(ratio float64, text string) {
	if math.Abs(ratio-1) > 0.01 {
		r.notice(Note, FanReadings, text, ratio)
	}
}

// shownRatio is the flow through the envelope over what the gauge showed in the last
// hold with a fan reading; 1 where there is none.
func (r *run) shownRatio() float64 {
	for k := len(r.held) - 1; k >= 0; k-- {
		if p := r.held[k].perShown; p > 0 && r.fans() > 0 {
			return p
		}
	}
	return 1
}

// fanReads is what the gauge of the door fan shows for a flow through the
// envelope: the correction for the air in the fan, undone.
func (r *run) fanReads(e units.Estimate[units.Flow]) *Q {
	if r.fans() == 0 {
		return nil // no fan was read: nothing is known of what it will show
	}
	return r.flow(scale[units.Flow](e, 1/r.shownRatio()))
}
