package zonal

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"holdbook/pressure"
	"holdbook/units"
)

// Change is a flow before and after, and its fall. Real is true when the 90 %
// interval of the fall excludes zero.
type Change struct {
	Before, After, Fall units.Estimate[units.Flow]
	Real                bool
}

// PathChange is the change of one leak, as its flow with 50 Pa across it alone.
type PathChange struct {
	A, B    SpaceID // of the model before
	Covered bool    // what covered registers leak
	Tied    bool    // it was taken to be as large as before, within CompareOptions.Unchanged
	Change
}

// Comparison is what changed in a house between two sets of holds.
type Comparison struct {
	House   Change // flow through the fan at 50 Pa, as found
	Paths   []PathChange
	Promise *Promise // nil unless asked for
	// Agreement is nil where leaks are free to change, or where no pressure or no fan was
	// read after.
	Agreement *Agreement
	Status    string // see Posterior.Status
}

// Agreement sets the fall of the flow at 50 Pa as pressures tell it, all but what was
// sealed being as it was, beside the fall that the fan tells without them.
type Agreement struct {
	Pressures, Fan units.Estimate[units.Flow]
	// Contradicts is true where the two lie further apart than they do in one house in a
	// hundred: something else has changed too, or a reading is wrong.
	Contradicts bool
}

// Promise sets what came of a sealing beside what it could have brought: the fall
// of the flow at 50 Pa that follows from the house before when the sealed paths
// are closed as far as they were to be.
type Promise struct {
	Drop  units.Estimate[units.Flow]  // what it could have brought, by both tests
	Over  units.Estimate[units.Flow]  // what came less that
	Share units.Estimate[units.Ratio] // what came over that
}

// CompareOptions say what the two tests have in common beside the house.
type CompareOptions struct {
	Options
	// Apart says that calibrations of the same name are two errors: the tests
	// were made with different instruments.
	Apart bool
	// Sealed are the paths, in the model before, that were worked on. All others
	// keep their exponent. With none named every exponent is free.
	Sealed []int
	// Unchanged is the standard deviation of the logarithm of what all others may have
	// grown or shrunk by; 0 leaves their sizes free. It needs Sealed.
	Unchanged float64
	// Altered are paths, in the model before, that nobody sealed and that are not what
	// they were: vents that were shut. They are as free as those that were sealed.
	Altered []int
	// Fraction of them that was to be sealed; 0 means all.
	Fraction float64
}

// errSpaces is returned for models of different houses.
var errSpaces = errors.New("the two models have no path in common")

// errNothingSealed is returned where all would be taken as unchanged.
var errNothingSealed = errors.New("nothing is said to have been sealed, so that no leak can be taken as unchanged: name what was sealed")

// check refuses models that cannot be compared, and what was not there to be sealed.
func (o CompareOptions) check(before, after *Model) error {
	if err := before.Check(); err != nil {
		return fmt.Errorf("the model before: %w", err)
	}
	if err := after.Check(); err != nil {
		return fmt.Errorf("the model after: %w", err)
	}
	if len(before.Holds) == 0 || len(after.Holds) == 0 {
		return errEmpty
	}
	if err := checkFraction(o.Fraction); err != nil {
		return err
	}
	for _, i := range slices.Concat(o.Sealed, o.Altered) {
		if err := before.checkTargets([]SealTarget{{Paths: []int{i}}}); err != nil {
			return fmt.Errorf("what was sealed: %w", err)
		}
	}
	switch {
	case !standard(o.Unchanged):
		return fmt.Errorf("the standard deviation of what was not sealed must be 0 or positive, not %g", o.Unchanged)
	case o.Unchanged > 0 && len(o.Sealed) == 0:
		return errNothingSealed
	}
	return nil
}

// Compare estimates two models of one house together: sizes, and the exponents
// of what was sealed, are free to differ, while what the tests have in common
// (calibrations of the same name, the coefficient of known holes, the exponents of
// what was not sealed, and within CompareOptions.Unchanged its size) is one unknown. A
// change so has a narrower interval than the difference of two separate answers. Spaces
// are matched by name, without regard to case and to the number of blanks.
func Compare(before, after *Model, o CompareOptions) (*Comparison, error) {
	if err := o.check(before, after); err != nil {
		return nil, err
	}
	m := merge(before, after, o.Apart)
	if len(m.pairs) == 0 {
		return nil, errSpaces
	}
	m.tie(o, o.Unchanged)
	post, err := Infer(m.model, o.Options)
	if err != nil {
		return nil, err
	}
	out, err := m.compared(post, o)
	if err != nil {
		return nil, err
	}
	out.Agreement, err = m.agreement(o)
	return out, err
}

// compared is what a posterior of both models tells of the changes.
func (m *merged) compared(post *Posterior, o CompareOptions) (*Comparison, error) {
	var c catalogue
	then := post.problem.foundIn(m.found)
	c.change(foundFlow(0), then)
	for _, p := range m.pairs {
		c.change(post.problem.pathFlow(p[0], Reference), post.problem.pathFlow(p[1], Reference))
	}
	promised := len(c.list)
	if len(o.Sealed) > 0 {
		c.promise(post, then, o.Sealed, open(o.Fraction))
	}
	if err := post.evaluate(&c); err != nil {
		return nil, err
	}
	out := &Comparison{House: changeOf(c.out[:3]), Status: post.Status()}
	for k, p := range m.pairs {
		q := m.model.Paths[p[0]]
		out.Paths = append(out.Paths, PathChange{q.A, q.B, q.Covered, m.tied(p), changeOf(c.out[3*k+3 : 3*k+6])})
	}
	if len(o.Sealed) > 0 {
		v := c.out[promised:]
		out.Promise = &Promise{Drop: flow(v[0]), Over: flow(v[1]), Share: ratio(v[2])}
	}
	return out, nil
}

// agreement holds the fall that pressures tell, without any fan flow after, to the one
// that the fan tells with every leak free.
func (m *merged) agreement(o CompareOptions) (*Agreement, error) {
	silent, fan, pressures := *m, false, false
	model := *m.model
	silent.model, model.Holds = &model, slices.Clone(m.model.Holds)
	for h := m.firstAfter; h < len(model.Holds); h++ {
		fan = fan || model.Holds[h].Fan != nil
		pressures = pressures || len(model.Holds[h].Read) > 0
		model.Holds[h].Fan = nil
	}
	if o.Unchanged == 0 || !fan || !pressures {
		return nil, nil
	}
	byPressures, err := silent.fall(o)
	if err != nil {
		return nil, err
	}
	m.tie(o, 0)
	byFan, err := m.fall(o)
	if err != nil {
		return nil, err
	}
	const hundredth = 2.576 // standard normal, two-sided
	apart := math.Abs(float64(byPressures.Value - byFan.Value))
	doubt := math.Hypot(float64(pressure.SD(byPressures)), float64(pressure.SD(byFan)))
	return &Agreement{byPressures, byFan, apart > hundredth*doubt}, nil
}

// fall is the fall of the house's flow alone, from draws enough for that.
func (m *merged) fall(o CompareOptions) (units.Estimate[units.Flow], error) {
	post, err := Infer(m.model, Options{Workers: o.Workers, CurvatureOnly: o.CurvatureOnly})
	if err != nil {
		return units.Estimate[units.Flow]{}, err
	}
	var c catalogue
	c.change(foundFlow(0), post.problem.foundIn(m.found))
	err = post.evaluate(&c)
	if err != nil {
		return units.Estimate[units.Flow]{}, err
	}
	return changeOf(c.out).Fall, nil
}

// promise adds what sealing the paths could have brought, what came less that,
// and what came over that.
func (c *catalogue) promise(post *Posterior, then quantity, sealed []int, keep float64) {
	drop, was := (&SealPlan{post: post, keep: keep}).drop(nil, sealed), foundFlow(0)
	came := func(p *probe, x []float64) float64 { return was.value(p, x) - then.value(p, x) }
	c.add(drop)
	c.add(quantity{linearScale, func(p *probe, x []float64) float64 { return came(p, x) - drop.value(p, x) }})
	c.add(quantity{linearScale, func(p *probe, x []float64) float64 { return came(p, x) / drop.value(p, x) }})
}

// change adds a quantity before, after and their difference.
func (c *catalogue) change(before, after quantity) {
	c.add(before)
	c.add(after)
	c.add(quantity{linearScale, func(p *probe, x []float64) float64 { return before.value(p, x) - after.value(p, x) }})
}

func changeOf(out []interval) Change {
	c := Change{Before: flow(out[0]), After: flow(out[1]), Fall: flow(out[2])}
	c.Real = c.Fall.Low > 0 || c.Fall.High < 0
	return c
}

// foundIn is the flow into the house at 50 Pa in the state of hold h, without
// its openings and further fans.
func (p *problem) foundIn(h *Hold) quantity {
	plan := holdPlan{direction: p.holds[p.order.holds[0]].direction, spaces: len(p.model.Spaces)}
	p.layEdges(&plan, h)
	return quantity{logScale, func(pr *probe, x []float64) float64 {
		b := plan.balance()
		plan.load(b, x)
		if !b.solve(-plan.direction * Reference) {
			return math.NaN()
		}
		return math.Abs(b.fanFlow())
	}}
}
