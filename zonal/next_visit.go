package zonal

import (
	"math"
	"slices"
)

// VisitOptions say what a visit allows.
type VisitOptions struct {
	Minutes []float64 // that each candidate takes
	Limit   float64   // minutes there are; 0 for no limit
	First   int       // candidate that a visit starts with; −1 for any
}

// VisitStep is one candidate of a plan and what is expected to be known after it
// and all before it.
type VisitStep struct {
	Candidate int
	Preview
}

// leastVisitGain is what a further step of a visit must add to be worth anyone's
// time: a share of the width, or of the chance of the right choice.
const leastVisitGain = 0.02

// Visit orders candidates into a plan. Each step is the one that adds most a
// minute to what those before it settle; the plan ends when nothing adds enough
// or no more fits into the time there is.
//
// Nothing has been read yet, and reweighting draws that are spread as wide as the
// priors would leave none. What a set of readings settles is therefore found in
// houses drawn from the priors, from the information that the readings have
// there: the covariance of the targets, linear in the scores under the priors,
// conditioned on one reading after the other.
func (post *Posterior) Visit(list []Candidate, q Question, o VisitOptions) ([]VisitStep, error) {
	if err := o.check(len(list)); err != nil {
		return nil, err
	}
	n := &planner{post, q}
	if err := n.check(); err != nil {
		return nil, err
	}
	rows, weights := post.rows()
	rows, weights = thin(rows, weights, previewRows)
	t := n.targets(rows, weights)
	few := evenly(rows, weights, visitHouses)
	houses, err := n.informed(list, few)
	if err != nil {
		return nil, err
	}
	v := visit{table: t, houses: houses, o: o, left: o.Limit, now: t.now}
	v.now.Then, v.now.FirstThen = t.now.Now, t.now.FirstNow
	if o.Limit <= 0 {
		v.left = math.Inf(1)
	}
	for i := range list {
		v.open = append(v.open, i)
	}
	for v.step() {
	}
	return v.steps, nil
}

// visit is a plan in the making.
type visit struct {
	table  *questionTable
	houses []*informedHouse
	o      VisitOptions
	left   float64 // minutes
	now    Preview // after the steps so far
	open   []int   // candidates not taken yet
	steps  []VisitStep
}

// step adds the most useful candidate that is left; false when there is none.
func (v *visit) step() bool {
	v.open = slices.DeleteFunc(v.open, func(i int) bool { return v.o.Minutes[i] > v.left })
	try := v.open
	must := len(v.steps) == 0 && v.o.First >= 0
	if must {
		try = slices.DeleteFunc(slices.Clone(v.open), func(i int) bool { return i != v.o.First })
	}
	best, most := -1, math.Inf(-1)
	var then Preview
	for _, i := range try {
		p := v.after(i)
		if rate := v.adds(p) / math.Max(v.o.Minutes[i], 1); rate > most && (must || v.adds(p) >= leastVisitGain) {
			best, most, then = i, rate, p
		}
	}
	if best < 0 {
		return false
	}
	for _, h := range v.houses {
		h.condition(best)
	}
	then.Now, then.FirstNow = v.now.Then, v.now.FirstThen
	v.steps = append(v.steps, VisitStep{best, then})
	v.now = then
	v.left -= v.o.Minutes[best]
	v.open = slices.DeleteFunc(v.open, func(i int) bool { return i == best })
	return true
}

// adds is what a preview adds to the steps so far.
func (v *visit) adds(p Preview) float64 {
	return p.Gain - v.now.Gain + math.Max(0, p.FirstThen-v.now.FirstThen)
}

// after is what is expected to be known after the steps so far and candidate i.
func (v *visit) after(i int) Preview {
	p := Preview{Present: v.table.now.Present, Then: make([]float64, len(v.table.now.Now))}
	for _, h := range v.houses {
		cov := h.conditionedOn(i)
		for k, prior := range v.table.now.Now {
			p.Then[k] += math.Min(intervalOf(cov[k][k]), prior) / float64(len(v.houses))
		}
		p.FirstThen += h.namesFirst(cov, v.table.falls) / float64(len(v.houses))
	}
	p.Gain = v.table.gain(p.Then)
	return p
}
