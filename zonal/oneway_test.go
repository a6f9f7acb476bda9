package zonal

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"

	"holdbook/units"
)

// heldBothWays is a house of one leak that was held at 50 Pa below and above outdoors, and passed
// these flows (cfm).
func heldBothWays(below, above, oneWay float64) *Model {
	m := houseModel(0)
	m.OneWaySDLn = oneWay
	m.hold(-50, true).Fan.Flow = units.Flow(below * cfm)
	m.hold(50, true).Fan.Flow = units.Flow(above * cfm)
	return m
}

// A difference between the two directions is that of a one-way leak: the answer lies in the
// middle, and no reading misfits. Without it they contradict each other.
func TestOneWayLeak(t *testing.T) {
	const below, above = 1000, 1150
	middle := math.Sqrt(below * above)
	misfit := func(e *Estimate) (worst float64) {
		for _, r := range e.Readings {
			worst = max(worst, math.Abs(r.OffBySD))
		}
		return worst
	}
	e, err := Solve(heldBothWays(below, above, UsualOneWay()), Options{CurvatureOnly: true})
	require.NoError(t, err)
	assert.InEpsilon(t, middle, float64(e.Flow50.Value)/cfm, 0.01)
	assert.Less(t, misfit(e), 1.0)
	plain, err := Solve(heldBothWays(below, above, 0), Options{CurvatureOnly: true})
	require.NoError(t, err)
	assert.InEpsilon(t, middle, float64(plain.Flow50.Value)/cfm, 0.02)
	assert.Greater(t, misfit(plain), 3.0)
	one := heldBothWays(below, above, UsualOneWay())
	one.Holds = one.Holds[:1]
	p, err := compile(one)
	require.NoError(t, err)
	assert.Equal(t, none, p.oneWay, "held in one direction there is no ratio")
	p, err = compile(heldBothWays(below, above, UsualOneWay()))
	require.NoError(t, err)
	assert.NotEqual(t, none, p.oneWay)
	for _, bad := range []float64{-0.1, math.NaN(), math.Inf(1)} {
		assert.Error(t, heldBothWays(below, above, bad).Check())
	}
}

// The derivatives of a house that was held both ways agree with central differences, with
// zones and without.
func TestOneWayDerivatives(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 61))
	for zones := range 3 {
		m := houseModel(zones)
		m.OneWaySDLn = UsualOneWay()
		for z := range zones {
			m.attic(zone1 + SpaceID(z))
		}
		m.hold(-50, true)
		m.hold(40, true)
		p, err := compile(m)
		require.NoError(t, err)
		e := inUnknowns(p)
		x := p.truth(r, 0.5)
		n, k := e.Terms(), e.Dim()
		jac, res := mat.NewDense(n, k, nil), make([]float64, n)
		require.NoError(t, e.Evaluate(x, res, jac))
		up, down := make([]float64, n), make([]float64, n)
		const h = 1e-5
		for j := range k {
			old := x[j]
			x[j] = old + h
			require.NoError(t, e.Evaluate(x, up, nil))
			x[j] = old - h
			require.NoError(t, e.Evaluate(x, down, nil))
			x[j] = old
			for i := range n {
				want := (up[i] - down[i]) / (2 * h)
				assert.InDelta(t, want, jac.At(i, j), 1e-4*(1+math.Abs(want)), "term %d, unknown %d", i, j)
			}
		}
	}
}

// recorded are the families of tests in both directions, among guarded neighbours, and of zones
// whose vents are known.
func recorded() []family {
	return []family{{name: "both directions, one-way leaks of 10 to 20 %", build: func() *Model {
		m := houseModel(1)
		m.OneWaySDLn = UsualOneWay()
		m.attic(zone1)
		for _, p := range []units.Pressure{-50, -35, -20, 50, 35, 20} {
			m.hold(p, true)
		}
		return m
	}, turn: func(p *problem, x []float64, r *rand.Rand) {
		x[p.oneWay] = math.Log(1.1 + 0.1*r.Float64())
		if r.IntN(2) == 0 {
			x[p.oneWay] = -x[p.oneWay]
		}
	}}, {name: "guarded between two neighbours", build: func() *Model {
		m := houseModel(2)
		m.Calibrations = append(m.Calibrations, Calibration{"third", 0.025})
		for _, z := range []SpaceID{zone1, zone2} {
			m.path(House, z, 200, crack)
			m.path(z, Outside, 800, crack)
		}
		m.hold(-50, true, m.opening(zone1, Outside), m.opening(zone2, Outside))
		m.hold(-50, true).Fans = []FanSource{{zone1, Outside, FlowReading{Flow: 800 * cfm, SDLn: 0.01, Cal: []int{2}}},
			{zone2, Outside, FlowReading{Flow: 800 * cfm, SDLn: 0.01, Cal: []int{3}}}}
		return m
	}, turn: nulled}, {name: "vents of known area", build: func() *Model {
		m := houseModel(1)
		m.path(House, zone1, 300, crack)
		m.Paths = append(m.Paths, Path{A: zone1, B: Outside, Flow50: LogNormal{1.1 * ventFlow * cfm, 0.17}, Exponent: Normal{0.53, 0.03}})
		m.hold(-50, true)
		return m
	}, turn: func(p *problem, x []float64, r *rand.Rand) {
		vents := ventFlow * math.Exp(0.11*r.NormFloat64()) // area and coefficient
		x[p.size[2]] = math.Log((vents + 0.08*ventFlow*math.Exp(0.8*r.NormFloat64())) * cfm)
	}}}
}

// ventFlow is what 480 in² pass at 50 Pa with coefficient 0.60, cfm: 7.475 each (facts of the
// sharp-edged hole, computed).
const ventFlow = 480 * 7.475

// The tests that standards know are right nine times in ten.
func TestCoverageOfStandardTests(t *testing.T) {
	long(t)
	n := houses(16)
	for _, f := range recorded() {
		t.Run(f.name, func(t *testing.T) {
			var all counts
			c := f.cover(t, n, &all)
			slack := 1.5 / math.Sqrt(float64(10*n))
			assert.Greater(t, c.pooled(), 0.86-slack)
			assert.Less(t, c.pooled(), 0.95+slack)
		})
	}
}
