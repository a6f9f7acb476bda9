package zonal

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

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
	Change
}

// Comparison is what changed in a house between two sets of holds.
type Comparison struct {
	House   Change // flow through the fan at 50 Pa, as found
	Paths   []PathChange
	Promise *Promise // nil unless asked for
	Status  string   // see Posterior.Status
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
	// Fraction of them that was to be sealed; 0 means all.
	Fraction float64
}

// errSpaces is returned for models of different houses.
var errSpaces = errors.New("the two models have no path in common")

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
	for _, i := range o.Sealed {
		if err := before.checkTargets([]SealTarget{{Paths: []int{i}}}); err != nil {
			return fmt.Errorf("what was sealed: %w", err)
		}
	}
	return nil
}

// Compare estimates two models of one house together: sizes, and the exponents
// of what was sealed, are free to differ, while what the tests have in common
// (calibrations of the same name, the coefficient of known holes, the exponents of
// what was not sealed) is one unknown. A change so has a narrower interval than
// the difference of two separate answers. Spaces are matched by name, without
// regard to case and to the number of blanks.
func Compare(before, after *Model, o CompareOptions) (*Comparison, error) {
	if err := o.check(before, after); err != nil {
		return nil, err
	}
	m, pairs, found := merge(before, after, o.Apart)
	if len(pairs) == 0 {
		return nil, errSpaces
	}
	if len(o.Sealed) > 0 {
		m.alike(pairs, o.Sealed)
	}
	post, err := Infer(m, o.Options)
	if err != nil {
		return nil, err
	}
	var c catalogue
	then := post.problem.foundIn(found)
	c.change(foundFlow(0), then)
	for _, p := range pairs {
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
	for k, p := range pairs {
		q := m.Paths[p[0]]
		out.Paths = append(out.Paths, PathChange{q.A, q.B, q.Covered, changeOf(c.out[3*k+3 : 3*k+6])})
	}
	if len(o.Sealed) > 0 {
		v := c.out[promised:]
		out.Promise = &Promise{Drop: flow(v[0]), Over: flow(v[1]), Share: ratio(v[2])}
	}
	return out, nil
}

// alike gives the leaks that were not sealed one exponent before and after.
func (m *Model) alike(pairs [][2]int, sealed []int) {
	for _, p := range pairs {
		if !slices.Contains(sealed, p[0]) {
			m.Alike = append(m.Alike, p)
			m.Paths[p[1]].Exponent = m.Paths[p[0]].Exponent
		}
	}
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
	plan := holdPlan{direction: p.holds[p.order.holds[0]].direction}
	p.layEdges(&plan, h)
	return quantity{logScale, func(pr *probe, x []float64) float64 {
		b := plan.balance(len(p.model.Spaces))
		plan.load(b, x)
		if !b.solve(-plan.direction * Reference) {
			return math.NaN()
		}
		return math.Abs(b.fanFlow())
	}}
}

// merge puts both models into one: the paths after stand beside those before as
// paths that only the holds after have. pairs joins a path before with the same
// one after; found is the state after as found.
func merge(before, after *Model, apart bool) (m *Model, pairs [][2]int, found *Hold) {
	m = &Model{Spaces: slices.Clone(before.Spaces), Paths: slices.Clone(before.Paths), Openings: slices.Clone(before.Openings),
		Calibrations: slices.Clone(before.Calibrations), Holds: slices.Clone(before.Holds), CdSDLn: before.CdSDLn, Air: before.Air}
	space := m.spacesOf(after)
	cal := m.calibrationsOf(after, apart)
	first, opening := len(m.Paths), len(m.Openings)
	var gone, found0 []int
	for i, p := range before.Paths {
		if !p.Covered {
			gone = append(gone, i)
		}
	}
	for i, p := range after.Paths {
		q := p
		q.A, q.B, q.Covered = space[p.A], space[p.B], true
		m.Paths = append(m.Paths, q)
		if !p.Covered {
			found0 = append(found0, first+i)
		}
		j := slices.IndexFunc(before.Paths, func(b Path) bool {
			return b.Covered == p.Covered && (b.A == q.A && b.B == q.B || b.A == q.B && b.B == q.A)
		})
		if j >= 0 {
			pairs = append(pairs, [2]int{j, first + i})
		}
	}
	for _, o := range after.Openings {
		o.A, o.B = space[o.A], space[o.B]
		if o.Area > 0 && after.Air > 0 { // the merged model has one density: the same flow needs another area
			o.Area *= units.Area(math.Sqrt(float64(before.Air / after.Air)))
		}
		m.Openings = append(m.Openings, o)
	}
	for h := range after.Holds {
		m.Holds = append(m.Holds, after.moved(h, space, cal, first, opening, gone))
	}
	return m, pairs, &Hold{Sealed: gone, Covered: found0}
}

// sameName matches names without regard to case and to the number of blanks.
func sameName(a, b string) bool {
	return strings.EqualFold(strings.Join(strings.Fields(a), " "), strings.Join(strings.Fields(b), " "))
}

// spacesOf numbers the spaces of another model in m, adding those it lacks.
func (m *Model) spacesOf(other *Model) []SpaceID {
	id := make([]SpaceID, len(other.Spaces))
	for i, s := range other.Spaces {
		j := i // house and outside
		if i > int(Outside) {
			j = slices.IndexFunc(m.Spaces, func(t Space) bool { return sameName(t.Name, s.Name) })
		}
		if j < 0 {
			j = len(m.Spaces)
			m.Spaces = append(m.Spaces, s)
		}
		id[i] = SpaceID(j)
	}
	return id
}

// calibrationsOf does the same with calibrations.
func (m *Model) calibrationsOf(other *Model, apart bool) []int {
	at := make([]int, len(other.Calibrations))
	mine := m.Calibrations
	for i, c := range other.Calibrations {
		j := slices.IndexFunc(mine, func(d Calibration) bool { return sameName(d.Name, c.Name) })
		if j < 0 || apart {
			j = len(m.Calibrations)
			m.Calibrations = append(m.Calibrations, c)
		}
		at[i] = j
	}
	return at
}

// moved is a hold of the model after in the numbering of the merged one.
func (m *Model) moved(h int, space []SpaceID, cal []int, path, opening int, gone []int) Hold {
	hold := m.Holds[h]
	reading := func(f FlowReading) FlowReading {
		var c []int
		for _, i := range f.Cal {
			c = append(c, cal[i])
		}
		f.Cal = c
		return f
	}
	out := Hold{Name: hold.Name, House: hold.House, HouseSD: hold.HouseSD, Sealed: gone}
	if hold.Fan != nil {
		f := reading(*hold.Fan)
		out.Fan = &f
	}
	for i, p := range m.Paths {
		if hold.has(i, p.Covered) {
			out.Covered = append(out.Covered, path+i)
		}
	}
	for _, k := range hold.Opened {
		out.Opened = append(out.Opened, opening+k)
	}
	for _, f := range hold.Fans {
		out.Fans = append(out.Fans, FanSource{space[f.From], space[f.To], reading(f.FlowReading)})
	}
	for _, r := range hold.Read {
		r.Of, r.To = space[r.Of], space[r.To]
		out.Read = append(out.Read, r)
	}
	for _, f := range hold.Flows {
		out.Flows = append(out.Flows, PathFlow{space[f.Of], space[f.To], reading(f.FlowReading)})
	}
	return out
}
