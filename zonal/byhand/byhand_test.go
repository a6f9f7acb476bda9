package byhand

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbook/units"
)

// cfm is one cubic foot per minute in m³/s (exact: 0.3048³/60).
const cfm = 0.028316846592 / 60

// squareInch is exact.
const squareInch = 0.00064516

// exact is an error model without errors, exponents 0.65.
func exact() Errors {
	n := units.Known(units.Ratio(0.65))
	return Errors{HouseZone: n, ZoneOutside: n, Direct: n, Cd: units.Known(units.Ratio(0.60)), Air: 1.204, Draws: 10, Units: units.IP}
}

// triple is a house with one zone: three leaks, as flow at 50 Pa in cfm, with
// the exponents of house–zone, zone–outside and direct.
type triple struct{ hz, zo, direct, nH, nO, nD float64 }

func equalExponents(hz, zo, direct float64) triple { return triple{hz, zo, direct, 0.65, 0.65, 0.65} }

// change is what differs from as found: an opening of exponent 0.5 to a side
// with its flow at 50 Pa (cfm); +Inf opens the zone fully.
type change struct {
	to   Side
	flow float64
}

// solve finds the zone's pressure by bisection, which shares no code with the
// closed forms, and returns p, z and the fan flow (cfm) at a hold of P.
func (t triple) solve(P float64, c change) (p, z, q float64) {
	f := func(x, n float64) float64 { return math.Copysign(math.Pow(math.Abs(x)/50, n), x) }
	in := func(p float64) (house, outside float64) {
		house, outside = t.hz*f(p, t.nH), t.zo*f(P-p, t.nO)
		switch c.to {
		case HouseSide:
			house += c.flow * f(p, 0.5)
		case OutsideSide:
			outside += c.flow * f(P-p, 0.5)
		}
		return house, outside
	}
	switch {
	case c.to == HouseSide && math.IsInf(c.flow, 1):
		p = 0
	case c.to == OutsideSide && math.IsInf(c.flow, 1):
		p = P
	default:
		lo, hi := 0.0, P
		for range 200 {
			p = (lo + hi) / 2
			if house, outside := in(p); house < outside {
				lo = p
			} else {
				hi = p
			}
		}
	}
	z = P - p
	q = t.direct * f(P, t.nD)
	if c.to == OutsideSide && math.IsInf(c.flow, 1) {
		return p, z, q + t.hz*f(p, t.nH)
	}
	return p, z, q + t.zo*f(z, t.nO) + outwardHole(c, z)
}

func outwardHole(c change, z float64) float64 {
	if c.to != OutsideSide {
		return 0
	}
	return c.flow * math.Sqrt(math.Max(0, z)/50)
}

// state is the hold as a gauge shows it, with no errors; dir is −1 when
// depressurised.
func (t triple) state(name string, P, dir float64, c change) State {
	p, _, q := t.solve(P, c)
	return State{Name: name, House: pa(units.Pressure(dir*P), 0),
		ZoneToHouse: new(pa(units.Pressure(-dir*p), 0)), Fan: new(passes(units.Flow(q*cfm), 0))}
}

func (s State) withErrors(zone, house units.Pressure, flow float64) State {
	s.House.SD = house
	z := *s.ZoneToHouse
	z.SD = zone
	s.ZoneToHouse = &z
	if s.Fan != nil {
		s.Fan = new(passes(s.Fan.Value, flow))
	}
	return s
}

// pa is a pressure read with a standard deviation, passes a flow with a relative one.
func pa(p, sd units.Pressure) units.Measured[units.Pressure] {
	return units.Measured[units.Pressure]{Value: p, SD: sd}
}

func passes(q units.Flow, sdLn float64) units.Measured[units.Flow] { return units.Within(q, sdLn) }

func inWhole(q units.Flow) float64 { return float64(q) / cfm }

var open = math.Inf(1)

// TestWorkedExamples checks every cell of the three worked examples (garage,
// attic, crawlspace): computed from the power law, n 0.65, 50 Pa hold.
func TestWorkedExamples(t *testing.T) {
	tests := []struct {
		name                              string
		house                             triple
		r, p, z, q, Qa, out, in, dOut, dI float64
	}{
		{"garage", equalExponents(150, 600, 1350), 0.25, 44.702, 5.298, 139.47, 1489.47, 1500, 1950, 10.53, 460.53},
		{"attic", equalExponents(300, 600, 1200), 0.5, 37.195, 12.805, 247.52, 1447.52, 1500, 1800, 52.48, 352.48},
		{"crawlspace", equalExponents(600, 150, 1000), 4, 5.298, 44.702, 139.47, 1139.47, 1600, 1150, 460.53, 10.53},
	}
	for _, tc := range tests {
		t.Run(tc.name, func(t *testing.T) {
			h := tc.house
			p, z, Qa := h.solve(50, change{})
			assert.InDelta(t, tc.p, p, 5e-4)
			assert.InDelta(t, tc.z, z, 5e-4)
			assert.InDelta(t, tc.Qa, Qa, 5e-3)
			assert.InDelta(t, tc.p, float64(SeriesPressure(50, units.Ratio(tc.r), 0.65)), 5e-4)
			assert.InDelta(t, tc.r, float64(LeakRatio(units.Pressure(p), units.Pressure(z), 0.65)), 5e-5)
			assert.InDelta(t, tc.q, inWhole(SeriesFlow(units.Flow(h.hz*cfm), units.Flow(h.zo*cfm), 0.65)), 5e-3)
			_, _, qOut := h.solve(50, change{OutsideSide, open})
			_, _, qIn := h.solve(50, change{HouseSide, open})
			assert.InDelta(t, tc.out, qOut, 5e-3)
			assert.InDelta(t, tc.in, qIn, 5e-3)
			assert.InDelta(t, tc.dOut, qOut-Qa, 5e-3)
			assert.InDelta(t, tc.dI, qIn-Qa, 5e-3)
		})
	}
}

// TestExamplesReturnTheirLeaks: (8), (9), (10), (13) and (14) return the inputs
// of the three worked examples to 1e-9, in both directions of the hold.
func TestExamplesReturnTheirLeaks(t *testing.T) {
	for _, h := range []triple{equalExponents(150, 600, 1350), equalExponents(300, 600, 1200), equalExponents(600, 150, 1000)} {
		for _, dir := range []float64{-1, 1} {
			found := h.state("as found", 50, dir, change{})
			for _, side := range []Side{HouseSide, OutsideSide} {
				r, err := OpenedDoor(found, h.state("opened", 50, dir, change{side, open}), side, exact())
				if err != nil {
					// the side that is open already: see TestTooSmall
					require.ErrorIs(t, err, ErrTooSmall)
					continue
				}
				requireLeaks(t, h, r, 1e-9)
				assert.InEpsilon(t, h.solve2(), inWhole(r.Through.Value), 1e-9)
			}
			requireLeaks(t, h, nullOf(t, h, dir), 1e-9)
			requireLeaks(t, h, threeOf(t, h, dir, exact()), 1e-9)
		}
	}
}

// solve2 is the flow through the zone at 50 Pa.
func (t triple) solve2() float64 {
	p, _, _ := t.solve(50, change{})
	return t.hz * math.Pow(p/50, t.nH)
}

func requireLeaks(t *testing.T, h triple, r Result, tolerance float64) {
	t.Helper()
	require.InEpsilon(t, h.hz, inWhole(r.HouseZone.Value), tolerance, r.Method)
	require.InEpsilon(t, h.zo, inWhole(r.ZoneOutside.Value), tolerance, r.Method)
	if r.Direct != nil {
		require.InEpsilon(t, h.direct, inWhole(r.Direct.Value), tolerance, r.Method)
	}
}

// nullOf runs the null test on a house: the zone at the house's pressure leaves
// L_D to the house fan and L_ZO to the zone's.
func nullOf(t *testing.T, h triple, dir float64) Result {
	t.Helper()
	null := State{Name: "nulled", House: pa(units.Pressure(50*dir), 0),
		ZoneToHouse: new(pa(0, 0)), Fan: new(passes(units.Flow(h.direct*cfm), 0))}
	r, err := NullTest(h.state("open", 50, dir, change{OutsideSide, open}), null, passes(units.Flow(h.zo*cfm), 0), exact())
	require.NoError(t, err)
	return r
}

func threeOf(t *testing.T, h triple, dir float64, e Errors) Result {
	t.Helper()
	test := func(name string, q float64) FanTest {
		return FanTest{Name: name, Held: pa(units.Pressure(50*dir), 0), Fan: passes(units.Flow(q*cfm), 0)}
	}
	r, err := ThreeTests(test("open", h.direct+h.hz), test("joined", h.direct+h.zo), test("zone fan", h.hz+h.zo), e)
	require.NoError(t, err)
	return r
}

// TestKnownHoles: the attic of worked example 2 with holes of 20, 40 and 60 in²
// on either side, Cd 0.61, air of 1.204 kg/m³ (computed: 1.07474 cfm/in²/Pa^0.5).
func TestKnownHoles(t *testing.T) {
	const perInch = 1.07474
	h := equalExponents(300, 600, 1200)
	tests := []struct {
		side      Side
		area      float64
		p, passes float64
	}{
		{HouseSide, 20, 29.872, 117.48}, {HouseSide, 40, 23.764, 209.57}, {HouseSide, 60, 18.942, 280.65},
		{OutsideSide, 20, 40.891, 64.87}, {OutsideSide, 40, 43.319, 111.12}, {OutsideSide, 60, 44.955, 144.84},
	}
	e := exact()
	e.Cd.Value = 0.61
	for _, tc := range tests {
		hole := Hole{Area: units.Area(tc.area * squareInch)}
		at50 := hole.at50(t, e)
		assert.InEpsilon(t, perInch*tc.area*math.Sqrt(50), at50, 1e-5)
		c := change{tc.side, at50}
		p, z, _ := h.solve(50, c)
		assert.InDelta(t, tc.p, p, 5e-4)
		across := p
		if tc.side == OutsideSide {
			across = z
		}
		assert.InDelta(t, tc.passes, at50*math.Sqrt(across/50), 5e-3)
		r, err := AddedOpening(h.state("as found", 50, -1, change{}), h.state("hole", 50, -1, c), tc.side, hole, e)
		require.NoError(t, err)
		requireLeaks(t, h, r, 1e-9)
	}
}

// at50 is the hole's flow at 50 Pa in cfm.
func (h Hole) at50(t *testing.T, e Errors) float64 {
	t.Helper()
	c, err := h.cut("hole", e)
	require.NoError(t, err)
	return c.sized(e.nominal()) / cfm
}

// TestOwnCd: a hole with its own discharge coefficient replaces the common one.
func TestOwnCd(t *testing.T) {
	h, e := equalExponents(300, 600, 1200), exact()
	hole := Hole{Area: 40 * squareInch, Cd: 0.8}
	c := change{HouseSide, 0.8 / 0.6 * Hole{Area: hole.Area}.at50(t, e)}
	r, err := AddedOpening(h.state("as found", 50, -1, change{}), h.state("hole", 50, -1, c), HouseSide, hole, e)
	require.NoError(t, err)
	requireLeaks(t, h, r, 1e-9)
}

// TestRandomHouses: every absolute method returns the leaks of random houses,
// whatever their exponents, hold pressures (two different ones), direction and
// size of opening, when the readings carry no errors.
func TestRandomHouses(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	answered := map[string]int{}
	for range 300 {
		n := func() float64 { return 0.5 + 0.5*rng.Float64() }
		h := triple{150 * math.Exp(rng.NormFloat64()), 400 * math.Exp(rng.NormFloat64()), 1200 * math.Exp(0.5*rng.NormFloat64()), n(), n(), n()}
		e := exact()
		e.HouseZone.Value, e.ZoneOutside.Value, e.Direct.Value = units.Ratio(h.nH), units.Ratio(h.nO), units.Ratio(h.nD)
		dir := float64(1 - 2*rng.IntN(2))
		side := HouseSide + Side(rng.IntN(2))
		hole := Hole{Area: units.Area((10 + 90*rng.Float64()) * squareInch)}
		c := change{side, hole.at50(t, e)}
		found := h.state("as found", 30+30*rng.Float64(), dir, change{})
		holed := h.state("opened", 30+30*rng.Float64(), dir, c)
		opened, err := OpenedDoor(found, holed, side, e)
		check := func(r Result, err error) {
			if err != nil {
				require.ErrorIs(t, err, ErrTooSmall)
				return
			}
			answered[r.Method]++
			requireLeaks(t, h, r, 1e-8)
		}
		check(opened, err)
		check(AddedOpening(found, holed, side, hole, e))
	}
	require.Len(t, answered, 4)
	for method, n := range answered {
		assert.Greater(t, n, 50, method)
	}
}

// TestBothReadings: with the zone read to the house and to outside, what they
// miss one another by is shared out by the variances, and a larger miss is
// noted or refused.
func TestBothReadings(t *testing.T) {
	s := State{Name: "as found", House: pa(-50, 0.1), ZoneToHouse: new(pa(40, 0.3)), ZoneToOutside: new(pa(-9, 0.1))}
	m := s.moment(&draw{})
	assert.InDelta(t, m.P, m.p+m.z, 1e-12)
	assert.InDelta(t, 40+9.0/11, m.p, 1e-9)
	assert.InDelta(t, 9+1.0/11, m.z, 1e-9)
	assert.InDelta(t, 1, float64(Closure(-50, 40, -9)), 1e-12)

	s.ZoneToOutside.Value = -7.5
	a, err := Series(s, DefaultErrors())
	require.NoError(t, err)
	assert.Contains(t, strings.Join(a.Notes, " "), "miss one another by 2.5 Pa")
	s.ZoneToOutside.Value = -4.9
	_, err = Series(s, DefaultErrors())
	require.ErrorIs(t, err, ErrReading)
	assert.ErrorContains(t, err, "5.1 Pa")
}

// TestWorkingShowsTheReadersNumbers follows the line that a reader checks by
// hand: 2638 − 2277 = 361 cfm; 361 / (0.831 − 0.257), as far as its interval carries.
func TestWorkingShowsTheReadersNumbers(t *testing.T) {
	z := func(f float64) *units.Measured[units.Pressure] {
		return new(pa(units.Pressure(-50*math.Pow(f, 1/0.65)), 0.5))
	}
	found := State{Name: "as found", House: pa(-50, 0.3), ZoneToOutside: z(0.257), Fan: new(passes(2277*cfm, 0.01))}
	opened := State{Name: "hatch open", House: pa(-50, 0.3), ZoneToOutside: z(0.831), Fan: new(passes(2638*cfm, 0.01))}
	e := DefaultErrors()
	e.Units = units.IP
	r, err := OpenedDoor(found, opened, HouseSide, e)
	require.NoError(t, err)
	assert.Contains(t, r.Working[0].Numbers, "2638 - 2277 = 361 cfm at 50 Pa; 361 / (0.831 - 0.257) = 630 cfm")
	assert.NotEmpty(t, r.Working[0].Source)

	// the same at 40 Pa says how it was scaled
	found.House.Value, found.Fan.Value = -40, 2000*cfm
	r, err = OpenedDoor(found, opened, HouseSide, e)
	require.NoError(t, err)
	assert.Contains(t, r.Working[0].Numbers, "2000 × (50 / 40.0)^0.65 = 2312 cfm; 2638 - 2312")
}

// TestNumbersAreFinite: working and messages never carry NaN or infinity.
func TestNumbersAreFinite(t *testing.T) {
	assert.Equal(t, "(-0.1)", less(-0.06, 1))
	assert.Equal(t, "0.0", less(-0.01, 1))
	ratio := func(v, low, high units.Ratio) string {
		return carried(Answer[units.Ratio]{Estimate: units.Estimate[units.Ratio]{Value: v, Low: low, High: high}}, units.One)
	}
	assert.Equal(t, "600", ratio(628.3, 300, 1000))
	assert.Equal(t, "630", ratio(628.3, 600, 660))
	assert.Equal(t, "628", ratio(628.3, 620, 636))
	assert.Equal(t, "0.28", ratio(0.28123, 0.25, 0.31))
	assert.Equal(t, "?", ratio(units.Ratio(math.NaN()), 1, 2))
}
