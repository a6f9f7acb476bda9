package zonal

import (
	"fmt"
	"math"
	"slices"

	"holdbook/internal/fit"
	"holdbook/pressure"
	"holdbook/units"
)

// SealTarget is something a crew could seal: one path, or several that go
// together (a pair, the whole plane between a zone and the house).
type SealTarget struct {
	Paths []int // indices into Model.Paths
	// Direct marks the direct leaks from house to outside: many small ones, not
	// one job. They take no part in the order or the chances.
	Direct bool
	// First marks what is sealed before all that is not marked, whatever its size: leaks
	// that carry fumes.
	First bool
	// Hours of work. Where every target of the order states them, the largest fall for
	// each hour comes first.
	Hours float64
}

// SealOptions tune a sealing forecast.
type SealOptions struct {
	// Fraction of each target that is sealed, above 0 to 1; 0 means all of it.
	Fraction float64
	// Steps limits the order of sealing; 0 means every target.
	Steps int
}

// SealChoice is what sealing one target alone would do to the house as found,
// held at 50 Pa, every zone pressure solved again.
type SealChoice struct {
	Drop50      units.Estimate[units.Flow] // fall of the flow through the fan
	FanAfter    units.Estimate[units.Flow] // what the fan should then read
	ChanceFirst float64                    // that no other target alone does more
}

// SealStep is one step of the best order.
type SealStep struct {
	Target   int                        // index into the targets
	FanAfter units.Estimate[units.Flow] // what the fan should read after this step
	Drop50   units.Estimate[units.Flow] // fall of this step
}

// SealPlan is the forecast for all targets.
type SealPlan struct {
	FanNow  units.Estimate[units.Flow] // what the fan should read as found at 50 Pa
	Choices []SealChoice               // as the targets
	Order   []SealStep

	post  *Posterior
	order [][]int // paths sealed after each step
	keep  float64 // share of a path that stays open
	// calibration are the errors of the fan that the next reading shares, repeat the sd of
	// the logarithm of one reading against the next.
	calibration []slot
	repeat      float64
}

// Seal forecasts what sealing each target would do, alone and in the best order:
// those marked First, then the target with the largest further fall (for each hour of
// work, where all state theirs), by its median, which unlike the mean a long upper
// tail of what was never read does not carry. Fan readings carry the
// calibration of the fan that was used and the repeatability of one reading, so
// that a crew can check itself against the same fan.
func (post *Posterior) Seal(targets []SealTarget, o SealOptions) (*SealPlan, error) {
	if err := o.check(post, targets); err != nil {
		return nil, err
	}
	plan := &SealPlan{post: post, keep: open(o.Fraction), repeat: post.repeatability()}
	if h := post.problem.nextLike(); h != nil && h.Fan != nil {
		plan.calibration = post.problem.calSlots(h.Fan.Cal)
	}
	var c catalogue
	now := c.add(plan.reading(nil))
	first := len(c.list)
	for _, t := range targets {
		c.add(plan.drop(nil, t.Paths))
		c.add(plan.reading(t.Paths))
	}
	if err := post.evaluate(&c); err != nil {
		return nil, err
	}
	plan.FanNow = flow(plan.read(c.out[now]))
	for i := range targets {
		plan.Choices = append(plan.Choices, SealChoice{
			Drop50: flow(c.out[first+2*i]), FanAfter: flow(plan.read(c.out[first+2*i+1]))})
	}
	rows, weights := post.rows()
	var drops [][]float64
	if c.values == nil {
		drops = plan.drops(targets, rows)
	} else {
		for i := range targets {
			drops = append(drops, c.values[first+2*i])
		}
	}
	plan.chances(targets, drops, weights)
	return plan, plan.arrange(targets, o.Steps, rows, weights)
}

// check refuses what cannot be sealed, by so much or in so many steps.
func (o SealOptions) check(post *Posterior, targets []SealTarget) error {
	if err := post.checkMode(); err != nil {
		return err
	}
	if err := checkFraction(o.Fraction); err != nil {
		return err
	}
	if o.Steps < 0 {
		return fmt.Errorf("the order of sealing cannot have %d steps; 0 stands for every target", o.Steps)
	}
	return post.problem.model.checkTargets(targets)
}

// open is the share of a path that stays open where a fraction is sealed; 0 stands for all.
func open(fraction float64) float64 {
	if fraction == 0 {
		return 0
	}
	return 1 - fraction
}

// repeatability is the sd of the logarithm of one fan reading against the next: its own
// error, and what the house was held off the pressure that its gauge showed.
func (post *Posterior) repeatability() float64 {
	const usual = 0.01 // where no fan was read
	h := post.problem.nextLike()
	switch {
	case h == nil:
		return usual
	case h.Fan == nil:
		return math.Hypot(usual, h.heldOff())
	}
	return math.Hypot(h.Fan.SDLn, h.heldOff())
}

// heldOff is the sd of the logarithm of the fan flow from the error of the house pressure,
// when the house is held at the reference pressure by the gauge that held it before.
func (h *Hold) heldOff() float64 {
	return float64(pressure.DefaultExponent) * float64(h.HouseSD) / Reference
}

// nextLike is the hold that the next one will be made like, with the same fan and gauge:
// of those with a fan reading, or of all where there are none, the first to look at (see
// HoldOrder); nil when there is no hold.
func (p *problem) nextLike() *Hold {
	var like *Hold
	for _, h := range p.order.holds {
		hold := &p.model.Holds[h]
		if like == nil || like.Fan == nil && hold.Fan != nil {
			like = hold
		}
	}
	return like
}

// drop is the further fall of the flow when paths are sealed after done.
func (plan *SealPlan) drop(done, paths []int) quantity {
	all := join(done, paths)
	return quantity{signedLogScale, func(p *probe, x []float64) float64 {
		return p.sealedFlow(x, done, plan.keep) - p.sealedFlow(x, all, plan.keep)
	}}
}

// reading is what the fan reads, but for the repeatability of one reading.
func (plan *SealPlan) reading(paths []int) quantity {
	return quantity{logScale, func(p *probe, x []float64) float64 {
		v := p.sealedFlow(x, paths, plan.keep)
		for _, c := range plan.calibration {
			v *= math.Exp(x[c])
		}
		return v
	}}
}

// read widens the interval of a fan flow by the repeatability of a reading and of the hold,
// independent of all else: the ends move away from the median in quadrature.
func (plan *SealPlan) read(i interval) interval {
	noise := fit.Z90 * plan.repeat
	i.Low = i.Median * math.Exp(-math.Hypot(math.Log(i.Median/i.Low), noise))
	i.High = i.Median * math.Exp(math.Hypot(math.Log(i.High/i.Median), noise))
	return i
}

// join is the union of two lists of paths.
func join(a, b []int) []int {
	all := slices.Clone(a)
	for _, i := range b {
		if !slices.Contains(a, i) {
			all = append(all, i)
		}
	}
	return all
}

// drops is what each target alone saves at every row.
func (plan *SealPlan) drops(targets []SealTarget, rows [][]float64) [][]float64 {
	var list []quantity
	for _, t := range targets {
		list = append(list, plan.drop(nil, t.Paths))
	}
	return plan.post.values(list, rows)
}

// chances finds how often each target alone is the best choice, from what it
// saves at every row.
func (plan *SealPlan) chances(targets []SealTarget, values [][]float64, weights []float64) {
	total := 0.0
	for k, w := range weights {
		best := -1
		for i, t := range targets {
			if !t.Direct && units.Finite(values[i][k]) && (best < 0 || values[i][k] > values[best][k]) {
				best = i
			}
		}
		if best >= 0 {
			plan.Choices[best].ChanceFirst += w
			total += w
		}
	}
	for i := range plan.Choices {
		plan.Choices[i].ChanceFirst = chance(plan.Choices[i].ChanceFirst, total)
	}
}

// orderRows is how many rows the order is chosen on: it needs only medians.
const orderRows = 128

// arrange finds the best order step by step, then evaluates it on all rows.
func (plan *SealPlan) arrange(targets []SealTarget, steps int, rows [][]float64, weights []float64) error {
	few, fewWeights := thin(rows, weights, orderRows)
	var done []int
	left := map[int]bool{}
	for i, t := range targets {
		if !t.Direct {
			left[i] = true
		}
	}
	var c catalogue
	for len(left) > 0 && (steps == 0 || len(plan.Order) < steps) {
		best := plan.bestNext(targets, left, done, few, fewWeights)
		step := SealStep{Target: best, Drop50: plan.Choices[best].Drop50, FanAfter: plan.Choices[best].FanAfter}
		if len(done) > 0 { // the first step is the choice itself
			c.add(plan.drop(done, targets[best].Paths))
			c.add(plan.reading(join(done, targets[best].Paths)))
		}
		done = join(done, targets[best].Paths)
		plan.Order = append(plan.Order, step)
		plan.order = append(plan.order, done)
		delete(left, best)
	}
	if len(c.list) == 0 {
		return nil
	}
	if err := plan.post.evaluate(&c); err != nil {
		return err
	}
	for k := range plan.Order[1:] {
		plan.Order[k+1].Drop50 = flow(c.out[2*k])
		plan.Order[k+1].FanAfter = flow(plan.read(c.out[2*k+1]))
	}
	return nil
}

// perHour tells whether every target of the order states its hours of work.
func perHour(targets []SealTarget) bool {
	return !slices.ContainsFunc(targets, func(t SealTarget) bool { return !t.Direct && !(t.Hours > 0) })
}

// bestNext is the target left with the largest median of its further fall, or of that
// for each hour.
func (plan *SealPlan) bestNext(targets []SealTarget, left map[int]bool, done []int, rows [][]float64, weights []float64) int {
	var list []quantity
	var index []int
	first := false
	for i, t := range targets {
		first = first || t.First && left[i]
	}
	for i, t := range targets {
		if left[i] && (t.First || !first) {
			list, index = append(list, plan.drop(done, t.Paths)), append(index, i)
		}
	}
	falls := make([]float64, len(index))
	if len(done) == 0 {
		for k, i := range index { // each alone: known from all rows
			falls[k] = float64(plan.Choices[i].Drop50.Value)
		}
	} else {
		for k, v := range plan.post.values(list, rows) {
			falls[k] = fit.WeightedIntervalOf(v, weights).Median
		}
	}
	if perHour(targets) {
		for k, i := range index {
			falls[k] /= targets[i].Hours
		}
	}
	return index[largest(falls)]
}
