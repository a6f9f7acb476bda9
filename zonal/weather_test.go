package zonal

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"

	"holdbook/units"
)

// weathered puts a model into weather: leaks anywhere, a hold at rest in which everything
// is read, in some holds readings less those at rest, a fan corrected by the stack.
func weathered(m *Model, r *rand.Rand) *Model {
	m.Weather = &Weather{Stack: Normal{0.6, 0.1}, Wind: 1.5, Zero: 0.2}
	for i := range m.Spaces {
		m.Spaces[i].Crossing, m.Spaces[i].Warmth = 3*r.Float64(), r.Float64()
	}
	warm := 0.3
	m.Spaces[2].Stack = &warm
	for i := range m.Paths {
		m.Paths[i].Height, m.Paths[i].HeightSD = 6*r.Float64(), r.Float64()
	}
	rest := Hold{Rest: true, Read: []PressureReading{{Of: House, To: Outside, SD: 0.2}}}
	for z := zone1; int(z) < len(m.Spaces); z++ {
		rest.Read = append(rest.Read, PressureReading{Of: z, To: House, SD: 0.2})
	}
	m.Holds = append(m.Holds, rest)
	m.Holds[1].LessRest = true
	m.Holds[0].Read[0].LessRest = true
	for h := range m.Holds {
		if m.Holds[h].Fan != nil {
			m.Holds[h].Fan.PerStack = 0.08
		}
	}
	return m
}

// Every derivative with weather agrees with central differences: with respect to the
// stack, the drift of each leak, the zero of the gauge and all that is there without it.
func TestJacobianInWeather(t *testing.T) {
	r := rand.New(rand.NewPCG(8, 1))
	for range 20 {
		m := weathered(testModel(r, 2+r.IntN(3), 4), r)
		p, err := compile(m)
		require.NoError(t, err)
		x := p.truth(r, 0.5)
		p.simulate(r, x)
		p, err = compile(m)
		require.NoError(t, err)
		kinds := map[unknownKind]bool{}
		assertSlopes(t, p, x)
		for _, u := range p.unknowns {
			kinds[u.kind] = true
		}
		assert.True(t, kinds[houseStack] && kinds[gaugeZero] && kinds[pathDrift])
	}
}

// assertSlopes holds every derivative at x to central differences.
func assertSlopes(t *testing.T, p *problem, x []float64) {
	t.Helper()
	e := inUnknowns(p)
	n, k := e.Terms(), e.Dim()
	jac, res := mat.NewDense(n, k, nil), make([]float64, n)
	require.NoError(t, e.Evaluate(x, res, jac))
	up, down := make([]float64, n), make([]float64, n)
	for j := range k {
		const h = 3e-4 // solves are good to 1e-9 Pa, which a smaller one would show
		old := x[j]
		x[j] = old + h
		require.NoError(t, e.Evaluate(x, up, nil))
		x[j] = old - h
		require.NoError(t, e.Evaluate(x, down, nil))
		x[j] = old
		for i := range n {
			want := (up[i] - down[i]) / (2 * h)
			assert.InDelta(t, want, jac.At(i, j), 2e-4*(1+math.Abs(want)), "term %d, unknown %d (%v)", i, j, p.unknowns[j])
		}
	}
}

// airColumns is a house in still air of three densities: pressures from the columns of air
// alone, without the model's algebra. Pressures are absolute, less that of the outdoor air
// at floor height.
type airColumns struct {
	rho   [3]float64 // of house, outside and a zone
	floor [3]float64 // pressure at floor height
	gauge float64    // height of the gauge, which stands in the house
}

// at is the pressure of a space at a height.
func (c *airColumns) at(space int, height float64) float64 {
	return c.floor[space] - c.rho[space]*9.80665*height
}

// hose is the pressure at the gauge's end of a hose that comes from a space and crosses to
// the house at a height: up to there it holds the air of the space, from there on that of
// the house.
func (c *airColumns) hose(from int, crossing float64) float64 {
	return c.at(from, crossing) - c.rho[House]*9.80665*(c.gauge-crossing)
}

// What drives a leak is the pressure difference of the columns of air on either side of
// it, less that of what the gauge shows, at whatever height the gauge stands.
func TestDriveIsThatOfColumnsOfAir(t *testing.T) {
	r := rand.New(rand.NewPCG(8, 2))
	for range 500 {
		c := airColumns{rho: [3]float64{1.1 + 0.1*r.Float64(), 1.2 + 0.3*r.Float64(), 1.1 + 0.3*r.Float64()},
			floor: [3]float64{-60 * r.Float64(), 0, -60 * r.Float64()}, gauge: 5 * r.Float64()}
		m := NewModel()
		_, err := m.AddZone(Attic, "attic")
		require.NoError(t, err)
		tau := (c.rho[Outside] - c.rho[House]) * 9.80665
		zone := (c.rho[Outside] - c.rho[2]) * 9.80665
		m.Spaces[House].Crossing, m.Spaces[2].Crossing = 3*r.Float64(), 6*r.Float64()
		if m.Spaces[2].Warmth = zone / tau; r.IntN(2) == 0 {
			m.Spaces[2].Warmth, m.Spaces[2].Stack = r.Float64(), &zone
		}
		shown := [3]float64{}
		shown[House] = c.at(int(House), c.gauge) - c.hose(int(Outside), m.Spaces[House].Crossing)
		shown[2] = shown[House] + c.hose(2, m.Spaces[2].Crossing) - c.at(int(House), c.gauge)
		height := 8 * r.Float64()
		for _, ends := range [][2]SpaceID{{House, Outside}, {2, Outside}, {House, 2}, {2, House}} {
			a, b := ends[0], ends[1]
			d := m.drive(a, b, height)
			want := c.at(int(a), height) - c.at(int(b), height)
			assert.InDelta(t, want, shown[a]-shown[b]+d.fixed+d.per*tau, 1e-9, "%v", ends)
		}
	}
}

// restOf solves a model that has one hold, at rest, at the medians.
func restOf(t *testing.T, m *Model) (*balance, *holdPlan) {
	t.Helper()
	p, err := compile(m)
	require.NoError(t, err)
	x := make([]float64, len(p.unknowns))
	for i, u := range p.unknowns {
		x[i] = u.mean
	}
	e := newEvaluator(p)
	require.True(t, e.solve(0, x))
	return e.nets[0], &p.holds[0]
}

// A house of one leak has its neutral level there: at rest the gauge shows −τ(h − h_T).
// With two leaks alike the level lies half-way.
func TestNeutralLevelAtTheLeak(t *testing.T) {
	for _, tau := range []float64{0.9, -0.3} {
		for _, height := range []float64{0.2, 1, 4.7} {
			m := NewModel()
			m.Holds = []Hold{{Rest: true}}
			m.Weather = &Weather{Stack: Normal{tau, 0.01}}
			m.Spaces[House].Crossing, m.Spaces[House].Warmth = 1, 1
			m.Paths[0].Height = height
			net, plan := restOf(t, m)
			assert.InDelta(t, -tau*(height-1), net.p[plan.node(House)], 1e-9)
			other := m.Paths[0]
			other.Height = 0
			// a second leak between the same spaces needs a space of its own: a zone as
			// warm as the house, joined to it by a hole without measure
			z, err := m.AddZone(Room, "room")
			require.NoError(t, err)
			m.Spaces[z].Warmth, m.Spaces[z].Crossing = 1, 1
			joined, out := m.PathBetween(House, z), m.PathBetween(z, Outside)
			m.Paths[joined].Flow50 = LogNormal{1e4, 0}
			m.Paths[out].Flow50, m.Paths[out].Exponent, m.Paths[out].Height = other.Flow50, other.Exponent, 0
			net, plan = restOf(t, m)
			assert.InDelta(t, -tau*(height/2-1), net.p[plan.node(House)], 1e-4)
		}
	}
}

// twoZones is a simulated sheet of two zones in three holds, without weather.
func twoZones(r *rand.Rand) *Model {
	m, _, _ := families[4].house(r)
	for i := range m.Spaces {
		m.Spaces[i].Name = string(rune('a' + i))
	}
	return m
}

func byCurvature(t *testing.T, m *Model) *Estimate {
	t.Helper()
	e, err := Solve(m, Options{CurvatureOnly: true})
	require.NoError(t, err)
	return e
}

// Weather without stack, wind, zero and spread is no weather: the same estimate, to the
// last digit.
func TestNoWeatherIsWithoutWeather(t *testing.T) {
	r := rand.New(rand.NewPCG(8, 3))
	for range 5 {
		m := twoZones(r)
		want := byCurvature(t, m)
		still := *m
		still.Stand(5)
		still.Weather = &Weather{}
		got := byCurvature(t, &still)
		assert.Equal(t, want.Paths, got.Paths)
		assert.Equal(t, want.Zones, got.Zones)
		assert.Equal(t, want.Flow50, got.Flow50)
	}
}

// raised is a sheet whose gauge has a zero of its own, in weather, as the gauge showed it.
func raised(t *testing.T, r *rand.Rand, zero float64) *Model {
	t.Helper()
	m := twoZones(r)
	m.Stand(5)
	m.Weather = &Weather{Stack: Normal{0.8, 0.04}, Wind: 0.3, Zero: units.Pressure(zero)}
	m.Holds = append(m.Holds, Hold{Rest: true})
	for _, of := range []SpaceID{House, zone1, zone2} {
		to := House
		if of == House {
			to = Outside
		}
		m.Holds[3].Read = append(m.Holds[3].Read, PressureReading{Of: of, To: to, SD: 1e-3})
	}
	p, err := compile(m)
	require.NoError(t, err)
	x := p.drawTruth(r, 0.3)
	x[p.visits[0].zero] = 1.5
	p.simulate(r, x)
	return m
}

// alone is a house without zones, held at four pressures in weather, as a gauge with a zero
// of its own showed it, and the baseline it showed.
func alone(t *testing.T, r *rand.Rand) *Model {
	t.Helper()
	m := NewModel()
	m.Stand(5)
	m.Paths[0].Height = 4
	m.Weather = &Weather{Stack: Normal{0.8, 0.04}, Wind: 0.3, Zero: 50}
	for _, p := range []units.Pressure{-60, -45, -30, -15} {
		m.Holds = append(m.Holds, Hold{House: p, HouseSD: 0.05, Fan: &FlowReading{Flow: 1, SDLn: 0.002}})
	}
	m.Holds = append(m.Holds, Hold{Rest: true, Read: []PressureReading{{Of: House, To: Outside, SD: 1e-3}}})
	p, err := compile(m)
	require.NoError(t, err)
	x := p.drawTruth(r, 0.3)
	x[p.visits[0].zero] = 1.5
	p.simulate(r, x)
	return m
}

// A gauge that takes the baseline off by itself tells what one that does not tells with its
// baseline, where nobody knows the gauge's zero. Raw readings without the baseline do not
// tell it, and what it shows taken for raw readings tells something else.
func TestLessRestIsWhatBaselinesTakeOff(t *testing.T) {
	r := rand.New(rand.NewPCG(8, 4))
	for range 5 {
		raw := alone(t, r)
		less, bare, mistaken := *raw, *raw, *raw
		less.Holds, bare.Holds, mistaken.Holds = raw.copyHolds(), raw.copyHolds()[:4], raw.copyHolds()[:4]
		less.Holds[4].Read = nil
		mistaken.Weather = &Weather{Stack: raw.Weather.Stack, Wind: raw.Weather.Wind}
		for h := range 4 {
			less.Holds[h].LessRest = true
			less.Holds[h].House -= raw.Holds[4].Read[0].Pressure
			mistaken.Holds[h].House = less.Holds[h].House
		}
		want, got := byCurvature(t, raw), byCurvature(t, &less)
		assert.InEpsilon(t, float64(want.Exponent.Value), float64(got.Exponent.Value), 1e-3)
		assert.InEpsilon(t, float64(want.Flow50.Value), float64(got.Flow50.Value), 1e-3)
		width := func(e *Estimate) float64 { return float64(e.Exponent.High - e.Exponent.Low) }
		assert.InEpsilon(t, width(want), width(got), 0.01)
		assert.Greater(t, width(byCurvature(t, &bare)), 1.3*width(want), "without the baseline less is known")
		wrong := byCurvature(t, &mistaken)
		assert.Greater(t, math.Abs(float64(wrong.Exponent.Value-want.Exponent.Value)), 0.25*width(want))
	}
}

// Where the hold at rest stands among the holds changes nothing.
func TestRestFirstOrLast(t *testing.T) {
	m := raised(t, rand.New(rand.NewPCG(8, 5)), 0.2)
	last, err := Solve(m, Options{})
	require.NoError(t, err)
	moved := *m
	moved.Holds = append([]Hold{m.Holds[3]}, m.Holds[:3]...)
	first, err := Solve(&moved, Options{})
	require.NoError(t, err)
	assert.Equal(t, last.Paths, first.Paths)
	assert.Equal(t, last.Zones, first.Zones)
	assert.Equal(t, []int{1, 2, 3, 0}[3], moved.HoldOrder()[3], "at rest last")
}

// The seed of a model without weather does not know where things stand; that of one with
// weather hangs on all of it.
func TestSeedInWeather(t *testing.T) {
	r := rand.New(rand.NewPCG(8, 6))
	seed := func(m *Model) uint64 { o := orderOf(m); return o.seed() }
	m := twoZones(r)
	before := seed(m)
	m.Stand(5)
	assert.Equal(t, before, seed(m))
	m = raised(t, r, 0.2)
	before = seed(m)
	warm := 0.1
	for name, change := range map[string]func(*Model){
		"stack":     func(m *Model) { m.Weather.Stack.Mean++ },
		"stack sd":  func(m *Model) { m.Weather.Stack.SD++ },
		"wind":      func(m *Model) { m.Weather.Wind++ },
		"zero":      func(m *Model) { m.Weather.Zero++ },
		"crossing":  func(m *Model) { m.Spaces[2].Crossing++ },
		"warmth":    func(m *Model) { m.Spaces[2].Warmth /= 2 },
		"zone":      func(m *Model) { m.Spaces[2].Stack = &warm },
		"height":    func(m *Model) { m.Paths[1].Height++ },
		"height sd": func(m *Model) { m.Paths[1].HeightSD++ },
		"rest":      func(m *Model) { m.Holds[3].Rest, m.Holds[3].House, m.Holds[3].HouseSD = false, 1, 1 },
		"less rest": func(m *Model) { m.Holds[0].LessRest = true },
		"reading":   func(m *Model) { m.Holds[0].Read[0].LessRest = true },
		"per stack": func(m *Model) { m.Holds[0].Fan.PerStack = 0.1 },
	} {
		other := *m
		weather := *m.Weather
		other.Weather, other.Spaces, other.Paths, other.Holds = &weather, slices.Clone(m.Spaces), slices.Clone(m.Paths), m.copyHolds()
		change(&other)
		assert.NotEqual(t, before, seed(&other), name)
	}
}

// Bad weather and bad holds at rest are refused, with what is wrong.
func TestBadWeather(t *testing.T) {
	nan := math.NaN()
	for name, c := range map[string]struct {
		change func(*Model)
		says   string
	}{
		"stack":         {func(m *Model) { m.Weather.Stack.Mean = nan }, "the stack must be finite"},
		"stack sd":      {func(m *Model) { m.Weather.Stack.SD = -1 }, "not negative"},
		"wind":          {func(m *Model) { m.Weather.Wind = -1 }, "not negative"},
		"zero":          {func(m *Model) { m.Weather.Zero = units.Pressure(nan) }, "finite"},
		"crossing":      {func(m *Model) { m.Spaces[2].Crossing = nan }, "crossing"},
		"warmth":        {func(m *Model) { m.Spaces[2].Warmth = math.Inf(1) }, "warmth"},
		"zone":          {func(m *Model) { m.Spaces[2].Stack = &nan }, "stack"},
		"height":        {func(m *Model) { m.Paths[1].Height = nan }, "height must be finite"},
		"height sd":     {func(m *Model) { m.Paths[1].HeightSD = -1 }, "not negative"},
		"held rest":     {func(m *Model) { m.Holds[3].House = -50 }, "at rest the house is not held"},
		"fan at rest":   {func(m *Model) { m.Holds[3].Fan = m.Holds[0].Fan }, "the door fan carries nothing"},
		"rest less":     {func(m *Model) { m.Holds[3].LessRest = true }, "at rest"},
		"rest read sd":  {func(m *Model) { m.Holds[3].Read[0].SD = 0 }, "standard deviation"},
		"less no rest":  {func(m *Model) { m.Holds = m.Holds[:3]; m.Holds[0].LessRest = true }, "needs a hold at rest"},
		"read, no rest": {func(m *Model) { m.Holds = m.Holds[:3]; m.Holds[0].Read[0].LessRest = true }, "needs a hold at rest"},
		"per stack":     {func(m *Model) { m.Holds[0].Fan.PerStack = nan }, "stack"},
	} {
		m := raised(t, rand.New(rand.NewPCG(8, 7)), 0.2)
		require.NoError(t, m.Check())
		c.change(m)
		assert.ErrorContains(t, m.Check(), c.says, name)
	}
}

// A fan corrected by a stack that is known reads what that takes or gives.
func TestFanInAKnownStack(t *testing.T) {
	m := NewModel()
	m.Holds = []Hold{{House: -50, HouseSD: 1e-3, Fan: &FlowReading{Flow: 0.5, SDLn: 1e-4}}}
	want := byCurvature(t, m).Flow50.Value
	m.Weather = &Weather{Stack: Normal{0.5, 0}}
	m.Holds[0].Fan.PerStack = 0.08
	assert.InEpsilon(t, float64(want)*math.Exp(-0.04), float64(byCurvature(t, m).Flow50.Value), 1e-4)
}

// inWinter is a family with the weather of a heated house, drawn from the model: baselines
// read as said, temperatures known or not.
func inWinter(name string, f family, stack Normal, zones bool) family {
	build := f.build
	return family{name: name, build: func() *Model {
		m := build()
		m.Spaces[House].Kind, m.Spaces[Outside].Kind = HouseKind, OutsideKind
		for z, k := range []Kind{Attic, Garage} {
			if at := int(zone1) + z; at < len(m.Spaces) {
				m.Spaces[at].Kind = k
			}
		}
		m.Stand(5.2)
		m.Weather = &Weather{Stack: stack, Wind: 0.84, Zero: UsualZero()}
		rest := Hold{Rest: true, Read: []PressureReading{{Of: House, To: Outside, SD: 0.2}}}
		for z := zone1; zones && int(z) < len(m.Spaces); z++ {
			rest.Read = append(rest.Read, PressureReading{Of: z, To: House, SD: 0.2})
		}
		m.Holds = append(m.Holds, rest)
		if stack.Mean == 0 {
			for h := range m.Holds {
				if m.Holds[h].Fan != nil {
					m.Holds[h].Fan.PerStack = -1 / (1.2 * units.Gravity)
				}
			}
		}
		return m
	}}
}

// Right nine times in ten in weather too, for houses drawn from the model.
func TestCoverageInWeather(t *testing.T) {
	long(t)
	n := houses(40)
	var all counts
	for _, f := range []family{
		inWinter("winter, zone baselines", families[4], Normal{0.9, 0.045}, true),
		inWinter("winter, house baseline", families[4], Normal{0.9, 0.045}, false),
		inWinter("no temperatures", families[4], UnknownStack(), false),
		inWinter("coupled, zone baselines", families[5], Normal{0.9, 0.045}, true),
		inWinter("one zone, known hole", families[3], Normal{1.5, 0.075}, true),
	} {
		t.Run(f.name, func(t *testing.T) { f.cover(t, n, &all) })
	}
	assert.InDelta(t, 0.90, all.pooled(), 0.03)
	for k, v := range all.all {
		share := float64(all.in[k]) / float64(v)
		assert.Truef(t, share > 0.80 && share < 0.97, "%s: %.3f of %d", k, share, v)
	}
}

// What it would tell to know the stack, or to read a zone at rest, is foreseen: by about as
// much as it comes to, and nothing of the kind where the stack is known.
func TestPreviewOfWeather(t *testing.T) {
	winter := inWinter("", families[4], UnknownStack(), false)
	winter.narrow = 0.5
	m, _, _ := winter.house(rand.New(rand.NewPCG(8, 9)))
	post, err := Infer(m, Options{})
	require.NoError(t, err)
	rest := Hold{Rest: true, Read: []PressureReading{{Of: zone1, To: House, SD: 0.2}}}
	q := Question{Through: []SpaceID{zone1, zone2}}
	list, err := post.Preview([]Candidate{{StackSD: 0.05}, {Holds: []Hold{rest}}, {StackSD: 50}}, q)
	require.NoError(t, err)
	for k := range 2 {
		assert.Greater(t, list[k].Gain, 0.01)
		assert.Less(t, list[k].Gain, 1.0)
	}
	assert.Less(t, list[2].Gain, 0.01, "known no better than before")
	known := *m
	known.Weather = &Weather{Stack: Normal{0.5, 0}, Wind: m.Weather.Wind, Zero: m.Weather.Zero}
	sure, err := Infer(&known, Options{})
	require.NoError(t, err)
	list, err = sure.Preview([]Candidate{{StackSD: 0.05}}, q)
	require.NoError(t, err)
	assert.InDelta(t, 0, list[0].Gain, 0.01)
	steps, err := post.Visit([]Candidate{{StackSD: 0.05}, {Holds: []Hold{rest}}}, q, VisitOptions{Minutes: []float64{0, 1}, First: 0})
	require.NoError(t, err)
	require.NotEmpty(t, steps)
	assert.Equal(t, 0, steps[0].Candidate)
}
