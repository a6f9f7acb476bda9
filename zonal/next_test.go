package zonal

import (
	"math"
	"math/rand/v2"
	"os"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

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
	truth := make([]float64, len(y)) // the unknowns stand in an order that follows from what was read
	for i, j := range post.problem.places(q) {
		truth[i] = y[j]
	}
	return post, &more, truth
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
	list := f.actions(m, post)
	candidates := make([]Candidate, len(list))
	for i, a := range list {
		candidates[i] = a.Candidate
	}
	previews, err := post.Preview(candidates, f.question)
	require.NoError(t, err)
	rows, weights := post.rows()
	now := (&planner{post, f.question}).targets(rows, weights)
	first, gains := 0, make([]float64, len(list))
	for i, a := range list {
		came := make([]float64, len(now.flowShare))
		for range repeats {
			after := a.take(t, r, m, p, x)
			rows, weights := after.rows()
			for k, w := range (&planner{after, f.question}).targets(rows, weights).now.Now {
				came[k] += w / float64(repeats)
			}
		}
		gains[i] = now.gain(came)
		for k := range came {
			c.said[a.name] += now.flowShare[k] * previews[i].Then[k]
			c.came[a.name] += now.flowShare[k] * came[k]
		}
		c.gain[a.name] += gains[i]
		c.count[a.name]++
		if previews[i].Worth() > previews[first].Worth() {
			first = i
		}
	}
	leakiest := 0
	for k := range f.question.Through {
		if now.flowShare[k] > now.flowShare[leakiest] {
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
// Measured with HOLDBOOK_HOUSES=30 and HOLDBOOK_REPEATS=10 (180 houses, six
// families; in three of them nothing narrowed anything by 2 %, and they are left out):
// widths said are 4 % narrower to 5 % wider than came, for each kind of action in
// each family; the first recommendation is within a tenth of the best in 156 of
// 177, and in at least 24 of 30 in each family; its mean shortfall is 0.044. The
// rule of thumb falls short by 0.431, much of it because it knows of no measured
// holes and no second fan; in houses of one zone held once, by 0.160 against 0.019.
func TestPreviewComesTrue(t *testing.T) {
	long(t)
	n := houses(2)
	all := newRecord()
	for k, f := range trials {
		t.Run(f.name, func(t *testing.T) {
			r := rand.New(rand.NewPCG(51, uint64(k)))
			c := newRecord()
			for range n {
				c.try(t, r, f, repeats(4))
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

// A plan of a visit settles what it says: in houses drawn from the priors the
// intervals after each of its steps are on average as wide as was said of those
// very houses, and what was said of them is what is printed. A few houses are left
// wide open by whatever is read and carry most of the mean, so a test on other
// houses would tell nothing without hundreds of them.
//
// Measured on 150 other houses: the widths printed are 6 % narrower to 3 % wider
// than those that came.
func TestVisitComesTrue(t *testing.T) {
	long(t)
	n := houses(40)
	for k, f := range []trial{trials[0], trials[2]} {
		t.Run(f.name, func(t *testing.T) {
			r := rand.New(rand.NewPCG(53, uint64(k)))
			empty := f.build()
			first := action{"as found", Candidate{Holds: empty.Holds[:1]}}
			empty.Holds = nil
			post, err := Prior(empty, 1000)
			require.NoError(t, err)
			list := append([]action{first}, f.actions(empty, post)...)
			o := VisitOptions{First: 0}
			var candidates []Candidate
			for _, a := range list {
				candidates, o.Minutes = append(candidates, a.Candidate), append(o.Minutes, 5)
			}
			steps, err := post.Visit(candidates, f.question, o)
			require.NoError(t, err)
			require.NotEmpty(t, steps)
			rows := evenly(post.draws, post.weights, n)
			houses, err := (&planner{post, f.question}).informed(candidates, rows)
			require.NoError(t, err)
			said, came := make([]float64, len(steps)), make([]float64, len(steps))
			for _, h := range houses {
				h.foretell(steps, said)
				f.visit(t, r, empty, list, steps, h.row, came)
			}
			for i, s := range steps {
				printed, c := sum(s.Then), float64(len(houses))
				t.Logf("step %d, %s: width printed %.3f; of %d houses said %.3f, came %.3f", i+1, list[s.Candidate].name, printed, len(houses), said[i]/c, came[i]/c)
				assert.InEpsilon(t, came[i]/c, said[i]/c, 0.15+0.5/math.Sqrt(c), "step %d", i+1)
				assert.InEpsilon(t, said[i]/c, printed, 0.05+2/math.Sqrt(c), "step %d", i+1)
			}
		})
	}
}

func sum(v []float64) float64 {
	total := 0.0
	for _, x := range v {
		total += x
	}
	return total
}

// foretell adds the widths after each step that are expected in this house.
func (h *informedHouse) foretell(steps []VisitStep, said []float64) {
	for i, s := range steps {
		h.condition(s.Candidate)
		for k, prior := range steps[0].Now {
			said[i] += math.Min(intervalOf(h.cov[k][k]), prior)
		}
	}
}

// visit makes the steps of a plan in the house x, and adds the widths after each.
func (f trial) visit(t *testing.T, r *rand.Rand, empty *Model, list []action, steps []VisitStep, x, came []float64) {
	p, err := compile(empty)
	require.NoError(t, err)
	m := empty
	for i, s := range steps {
		after, more, truth := list[s.Candidate].renumbered(empty, m).made(t, r, m, p, x)
		rows, weights := after.rows()
		came[i] += sum((&planner{after, f.question}).targets(rows, weights).now.Now)
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
	for _, a := range append(m.zoned(post, zone1), m.again()) {
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
	for _, a := range m.zoned(post, zone1) {
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
	for _, a := range trials[2].actions(m, post) {
		list = append(list, a.Candidate)
	}
	for b.Loop() {
		if _, err := post.Preview(list, trials[2].question); err != nil {
			b.Fatal(err)
		}
	}
}

// A candidate in which nothing is read tells nothing, of a posterior of few draws too.
func TestPreviewOfNothing(t *testing.T) {
	m := houseModel(1)
	m.attic(zone1)
	m.hold(-50, true)
	for within, o := range map[float64]Options{1e-9: {}, 0.03: {Draws: 50, MostDraws: 60}} { // fifty draws leave some noise
		post, err := Infer(m, o)
		require.NoError(t, err)
		previews, err := post.Preview([]Candidate{{}}, Question{Through: []SpaceID{zone1}})
		require.NoError(t, err)
		require.Len(t, previews, 1)
		assert.InDelta(t, 0, previews[0].Gain, within)
	}
}
