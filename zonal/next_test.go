package zonal

import (
	"math"
	"math/rand/v2"
	"os"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbook/units"
)

// action is a candidate with a name for the log.
type action struct {
	name string
	Candidate
}

// another is a hold not yet made in which some zones are read to the house.
func another(house units.Pressure, zones ...SpaceID) Hold {
	h := Hold{House: house, HouseSD: 0.47, Fan: &FlowReading{Flow: 1, SDLn: 0.01, Cal: []int{0, 1}}}
	for _, z := range zones {
		h.Read = append(h.Read, PressureReading{z, House, 0, 0.45})
	}
	return h
}

// opening is the action of opening something and reading the zone again.
func (m *Model) openedAction(name string, z SpaceID, o Opening) action {
	h := another(-50, z)
	h.Opened = []int{len(m.Openings)}
	return action{name, Candidate{Holds: []Hold{h}, Openings: []Opening{o}}}
}

func (m *Model) openHouse(z SpaceID) action {
	return m.openedAction("open to the house", z, Opening{A: House, B: z, Flow50: LogNormal{3000 * cfm, 2}})
}

func (m *Model) openOutside(z SpaceID) action {
	return m.openedAction("open to outside", z, Opening{A: z, B: Outside, Flow50: LogNormal{3000 * cfm, 2}})
}

func (m *Model) addHole(z SpaceID, area units.Area) action {
	return m.openedAction("hole to the house", z, Opening{A: House, B: z, Area: area, AreaSDLn: 0.03})
}

func (m *Model) secondReference(z SpaceID) action {
	h := another(-50)
	h.Fan, h.Read = nil, []PressureReading{{z, Outside, 0, 0.45}}
	return action{"second reference", Candidate{Holds: []Hold{h}}}
}

func (m *Model) nullFan(z SpaceID) action {
	h := another(-50, z)
	h.Fans = []FanSource{{z, Outside, FlowReading{Flow: 400 * cfm, SDLn: 0.01, Cal: []int{2}}}}
	return action{"second fan", Candidate{Holds: []Hold{h}, Trimmed: true}}
}

func (m *Model) second() action {
	return action{"second pressure", Candidate{Holds: []Hold{another(-25)}}}
}

func (m *Model) again() action {
	h := another(-50)
	for z := zone1; int(z) < len(m.Spaces); z++ {
		h.Read = append(h.Read, PressureReading{z, House, 0, 0.45})
	}
	return action{"repeat", Candidate{Holds: []Hold{h}}}
}

func (m *Model) coverDucts(z SpaceID, main int) action {
	h := another(-50, z)
	h.Sealed, h.Covered = []int{main}, []int{len(m.Paths)}
	return action{"cover the registers", Candidate{Holds: []Hold{h},
		Paths: []Path{{A: House, B: z, Flow50: LogNormal{50 * cfm, 1.5}, Exponent: crack, Covered: true}}}}
}

// trial is a kind of house, what was read of it, what could be read next, and
// what is asked.
type trial struct {
	family
	actions  func(m *Model) []action
	question Question
	// rule is the rule of thumb: open the zone with the most flow, by p the
	// pressures to the house, toward its tighter side. It is a number of an action.
	rule func(zone SpaceID, toHouse float64) int
}

// zoned are the actions on one zone, the rule's two first.
func (m *Model) zoned(z SpaceID) []action {
	return []action{m.openHouse(z), m.openOutside(z), m.addHole(z, 0.025), m.secondReference(z)}
}

func tighter(zone SpaceID, toHouse float64) int {
	at := int(zone-zone1) * 4
	if toHouse < Reference/2 {
		at++
	}
	return at
}

var trials = []trial{
	{families[0], func(m *Model) []action {
		return append(m.zoned(zone1), m.second(), m.again())
	}, Question{Through: []SpaceID{zone1}, Seal: []SealTarget{{Paths: []int{1}}}}, tighter},
	{families[1], func(m *Model) []action {
		return append(m.zoned(zone1), m.nullFan(zone1), m.again())
	}, Question{Through: []SpaceID{zone1}, Seal: []SealTarget{{Paths: []int{1}}}}, tighter},
	{family{name: "two zones, as found", build: func() *Model {
		m := houseModel(2)
		m.attic(zone1)
		m.garage(zone2)
		m.hold(-50, true)
		return m
	}}, func(m *Model) []action {
		return append(append(m.zoned(zone1), m.zoned(zone2)...), m.nullFan(zone2), m.second(), m.again())
	}, Question{Through: []SpaceID{zone1, zone2}, Seal: []SealTarget{{Paths: []int{1}}, {Paths: []int{3}}}}, tighter},
	{family{name: "two zones coupled, one opened", build: func() *Model {
		m := houseModel(2)
		m.garage(zone1)
		m.attic(zone2)
		m.path(zone1, zone2, 100, crack)
		m.hold(-50, true)
		m.hold(-50, true, m.opening(House, zone1))
		return m
	}}, func(m *Model) []action {
		return append(append(m.zoned(zone1), m.zoned(zone2)...), m.nullFan(zone1), m.second(), m.again())
	}, Question{Through: []SpaceID{zone1, zone2}, Seal: []SealTarget{{Paths: []int{1}}, {Paths: []int{3}}}}, tighter},
	{family{name: "attic and ducts, as found", build: func() *Model {
		m := houseModel(2)
		m.attic(zone1)
		m.path(House, zone2, 3000, square)
		m.path(zone2, Outside, 100, vent)
		m.path(zone2, zone1, 100, vent)
		m.hold(-50, true)
		return m
	}}, func(m *Model) []action {
		return append(m.zoned(zone1), m.coverDucts(zone2, 3), m.second(), m.again())
	}, Question{Through: []SpaceID{zone1, zone2}, Seal: []SealTarget{{Paths: []int{1}}, {Paths: []int{4}}, {Paths: []int{5}}}},
		func(_ SpaceID, toHouse float64) int { return tighter(zone1, toHouse) }},
}

// take really does an action in the house x and estimates again.
func (a action) take(t *testing.T, r *rand.Rand, m *Model, p *problem, x []float64) *Posterior {
	post, _, _ := a.made(t, r, m, p, x)
	return post
}

// made is take; it gives the model with the readings and its truth as well.
func (a action) made(t *testing.T, r *rand.Rand, m *Model, p *problem, x []float64) (*Posterior, *Model, []float64) {
	t.Helper()
	more := *m
	more.Openings = append(append([]Opening(nil), m.Openings...), a.Openings...)
	more.Paths = append(append([]Path(nil), m.Paths...), a.Paths...)
	more.Holds = append(append([]Hold(nil), m.Holds...), a.Holds...)
	more.Holds = more.copyHolds()
	made := more.Holds[len(m.Holds):]
	for i := range made {
		made[i].Fans = append([]FanSource(nil), made[i].Fans...)
	}
	q, err := compile(&more)
	require.NoError(t, err)
	y := make([]float64, len(q.unknowns))
	for {
		q.carry(p, x, y, r)
		level := a.Trimmed && newEvaluator(q).trim(len(m.Holds), y, 0.45*r.NormFloat64())
		if !q.trySimulate(r, y) {
			continue
		}
		if level {
			made[0].Read[0].Pressure = 0
		}
		break
	}
	copy(more.Holds, m.copyHolds()) // what was read stays as read
	post, err := Infer(&more, Options{Draws: 300})
	require.NoError(t, err)
	return post, &more, y
}

// record is how what was said of each action compares with what came.
type record struct {
	said, came      map[string]float64 // mean widths, by action
	gain            map[string]float64
	count           map[string]int
	houses, good    int
	shortfall, rule float64 // sums over houses
}

// try makes every action in one simulated house and compares.
func (c *record) try(t *testing.T, r *rand.Rand, f trial, repeats int) {
	m, p, x := f.house(r)
	post, err := Infer(m, Options{})
	require.NoError(t, err)
	list := f.actions(m)
	candidates := make([]Candidate, len(list))
	for i, a := range list {
		candidates[i] = a.Candidate
	}
	previews, err := post.Preview(candidates, f.question)
	require.NoError(t, err)
	rows, weights := post.rows()
	now := post.targets(f.question, rows, weights)
	first, gains := 0, make([]float64, len(list))
	for i, a := range list {
		came := make([]float64, len(now.share))
		for range repeats {
			after := a.take(t, r, m, p, x)
			rows, weights := after.rows()
			for k, w := range after.targets(f.question, rows, weights).now.Now {
				came[k] += w / float64(repeats)
			}
		}
		gains[i] = now.gain(came)
		for k := range came {
			c.said[a.name] += now.share[k] * previews[i].Then[k]
			c.came[a.name] += now.share[k] * came[k]
		}
		c.gain[a.name] += gains[i]
		c.count[a.name]++
		if previews[i].Gain > previews[first].Gain {
			first = i
		}
	}
	leakiest := 0
	for k := range f.question.Through {
		if now.share[k] > now.share[leakiest] {
			leakiest = k
		}
	}
	rule := f.rule(f.question.Through[leakiest], float64(m.Holds[0].Read[leakiest].Pressure))
	c.judge(gains, first, rule)
}

// judge sets the action recommended first, and that of the rule of thumb, beside
// the best there was.
func (c *record) judge(gains []float64, first, rule int) {
	best := math.Inf(-1)
	for _, g := range gains {
		best = math.Max(best, g)
	}
	if !(best > 0.02) {
		return // nothing is worth reading in this house
	}
	lack := 1 - math.Max(gains[first], 0)/best
	c.houses++
	c.shortfall += lack
	c.rule += 1 - math.Max(gains[rule], 0)/best
	if lack <= 0.1 {
		c.good++
	}
}

func newRecord() *record {
	return &record{said: map[string]float64{}, came: map[string]float64{}, gain: map[string]float64{}, count: map[string]int{}}
}

// repeats is how often each action is made in each house, for its mean.
func repeats(fallback int) int {
	if n, err := strconv.Atoi(os.Getenv("HOLDBOOK_REPEATS")); err == nil && n > 0 {
		return n
	}
	return fallback
}

// What is predicted comes true: over simulated houses the interval after really
// taking a reading is on average as wide as was said, and the first
// recommendation narrows nearly as much as the best would have: at least nine
// tenths as much in eight houses of ten, a tenth less on average at most, and more
// than the rule of thumb. A few houses only show that to within what they can.
//
// Measured with HOLDBOOK_HOUSES=40 and HOLDBOOK_REPEATS=8 (200 houses, five
// families): widths said are 4 % narrower to 7 % wider than came, for each kind of
// action in each family; the first recommendation is within a tenth of the best in
// 174 of 200, its mean shortfall 0.055. The rule of thumb, which knows only two
// openings, falls short by 0.425.
func TestPreviewComesTrue(t *testing.T) {
	n := houses(2)
	all := newRecord()
	for k, f := range trials {
		t.Run(f.name, func(t *testing.T) {
			r := rand.New(rand.NewPCG(51, uint64(k)))
			c := newRecord()
			for range n {
				c.try(t, r, f, repeats(2))
			}
			c.log(t)
			all.add(c)
		})
	}
	all.log(t)
	for name := range all.count {
		assert.InEpsilon(t, all.came[name], all.said[name], 0.15+0.5/math.Sqrt(float64(all.count[name])), name)
	}
	slack := 0.7 / math.Sqrt(float64(all.houses))
	assert.GreaterOrEqual(t, float64(all.good)/float64(all.houses), 0.8-slack)
	assert.LessOrEqual(t, all.shortfall/float64(all.houses), 0.1+slack/2)
	assert.Less(t, all.shortfall, all.rule)
}

func (c *record) add(d *record) {
	for k := range d.count {
		c.said[k] += d.said[k]
		c.came[k] += d.came[k]
		c.gain[k] += d.gain[k]
		c.count[k] += d.count[k]
	}
	c.houses += d.houses
	c.good += d.good
	c.shortfall += d.shortfall
	c.rule += d.rule
}

func (c *record) log(t *testing.T) {
	for name, n := range c.count {
		f := float64(n)
		t.Logf("%-20s width said %.3f, came %.3f (%+.1f %%); gain %.3f", name, c.said[name]/f, c.came[name]/f, 100*(c.said[name]/c.came[name]-1), c.gain[name]/f)
	}
	f := float64(c.houses)
	t.Logf("first recommendation within 10 %% of the best in %d of %d; mean shortfall %.3f, of the rule of thumb %.3f", c.good, c.houses, c.shortfall/f, c.rule/f)
}

// A plan of a visit settles what it says: over houses drawn from the priors the
// intervals after each of its steps are on average as wide as was said. Measured
// with HOLDBOOK_HOUSES=60: 8 % narrower to 11 % wider.
func TestVisitComesTrue(t *testing.T) {
	n := houses(4)
	for k, f := range []trial{trials[0], trials[2]} {
		t.Run(f.name, func(t *testing.T) {
			r := rand.New(rand.NewPCG(53, uint64(k)))
			empty := f.build()
			first := action{"as found", Candidate{Holds: empty.Holds[:1]}}
			empty.Holds = nil
			list := append([]action{first}, f.actions(empty)...)
			o := VisitOptions{First: 0}
			var candidates []Candidate
			for _, a := range list {
				candidates, o.Minutes = append(candidates, a.Candidate), append(o.Minutes, 5)
			}
			post, err := Prior(empty, 1000)
			require.NoError(t, err)
			steps, err := post.Visit(candidates, f.question, o)
			require.NoError(t, err)
			require.NotEmpty(t, steps)
			came := make([]float64, len(steps))
			for range n {
				f.visit(t, r, empty, list, steps, came)
			}
			for i, s := range steps {
				said := 0.0
				for _, w := range s.Then {
					said += w
				}
				t.Logf("step %d, %s: width said %.3f, came %.3f", i+1, list[s.Candidate].name, said, came[i]/float64(n))
				assert.InEpsilon(t, came[i]/float64(n), said, 0.15+0.5/math.Sqrt(float64(n)), "step %d", i+1)
			}
		})
	}
}

// visit makes the steps of a plan in a house drawn from the priors, and adds the
// widths after each.
func (f trial) visit(t *testing.T, r *rand.Rand, empty *Model, list []action, steps []VisitStep, came []float64) {
	p, err := compile(empty)
	require.NoError(t, err)
	m := empty
	x := p.drawTruth(r, 1)
	for i, s := range steps {
		after, more, truth := list[s.Candidate].renumbered(empty, m).made(t, r, m, p, x)
		rows, weights := after.rows()
		for _, w := range after.targets(f.question, rows, weights).now.Now {
			came[i] += w
		}
		m, p, x = more, after.problem, truth
	}
}

// renumbered is the action in the numbering of a model that has grown.
func (a action) renumbered(from, to *Model) action {
	a.Holds = append([]Hold(nil), a.Holds...)
	for i := range a.Holds {
		for j := range a.Holds[i].Opened {
			a.Holds[i].Opened = append([]int(nil), a.Holds[i].Opened...)
			a.Holds[i].Opened[j] += len(to.Openings) - len(from.Openings)
		}
		for j := range a.Holds[i].Covered {
			a.Holds[i].Covered = append([]int(nil), a.Holds[i].Covered...)
			a.Holds[i].Covered[j] += len(to.Paths) - len(from.Paths)
		}
	}
	return a
}

// A visit keeps to its time, starts where it must and never repeats a step.
func TestVisitKeepsToItsTime(t *testing.T) {
	m := houseModel(1)
	m.attic(zone1)
	post, err := Prior(m, 500)
	require.NoError(t, err)
	var candidates []Candidate
	for _, a := range append(m.zoned(zone1), m.again()) {
		candidates = append(candidates, a.Candidate)
	}
	q := Question{Through: []SpaceID{zone1}}
	minutes := []float64{5, 5, 5, 1, 4}
	for _, limit := range []float64{3, 4, 9, 14, 0} {
		steps, err := post.Visit(candidates, q, VisitOptions{Minutes: minutes, Limit: limit, First: 4})
		require.NoError(t, err)
		sum, seen := 0.0, map[int]bool{}
		for _, s := range steps {
			sum += minutes[s.Candidate]
			assert.False(t, seen[s.Candidate])
			seen[s.Candidate] = true
		}
		assert.True(t, limit == 0 || sum <= limit)
		if limit == 3 {
			assert.Empty(t, steps, "the first hold does not fit")
			continue
		}
		assert.Equal(t, 4, steps[0].Candidate)
		if limit == 4 {
			assert.Len(t, steps, 1)
		}
	}
	_, err = post.Visit(candidates, q, VisitOptions{})
	assert.Error(t, err)
}

// A visit can be planned before any hold.
func TestPreviewFromThePrior(t *testing.T) {
	m := houseModel(1)
	m.attic(zone1)
	post, err := Prior(m, 500)
	require.NoError(t, err)
	var list []Candidate
	for _, a := range m.zoned(zone1) {
		list = append(list, a.Candidate)
	}
	previews, err := post.Preview(list, Question{Through: []SpaceID{zone1}})
	require.NoError(t, err)
	for i, p := range previews {
		assert.Less(t, p.Then[0], p.Now[0]*1.02, "action %d", i)
	}
	_, err = Prior(families[0].build(), 10)
	assert.Error(t, err)
}

func BenchmarkPreview(b *testing.B) {
	r := rand.New(rand.NewPCG(52, 1))
	m, _, _ := trials[2].house(r)
	post, err := Infer(m, Options{})
	if err != nil {
		b.Fatal(err)
	}
	var list []Candidate
	for _, a := range trials[2].actions(m) {
		list = append(list, a.Candidate)
	}
	for b.Loop() {
		if _, err := post.Preview(list, trials[2].question); err != nil {
			b.Fatal(err)
		}
	}
}
