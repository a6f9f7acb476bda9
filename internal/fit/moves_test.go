package fit

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"
)

// corners are so many ridges of the shape of an L that nothing joins.
type corners struct{ count int }

func (c corners) Dim() int   { return 2 * c.count }
func (c corners) Terms() int { return 3 * c.count }
func (c corners) Evaluate(x, r []float64, jac *mat.Dense) error {
	own := mat.NewDense(3, 2, nil)
	if jac != nil {
		jac.Zero()
	}
	for k := range c.count {
		if err := (&corner{}).Evaluate(x[2*k:2*k+2], r[3*k:3*k+3], own); err != nil {
			return err
		}
		if jac != nil {
			jac.Slice(3*k, 3*k+3, 2*k, 2*k+2).(*mat.Dense).Copy(own)
		}
	}
	return nil
}

func (c corners) LogDensity(x, gradient []float64) float64 {
	r, jac := make([]float64, c.Terms()), mat.NewDense(c.Terms(), c.Dim(), nil)
	if c.Evaluate(x, r, jac) != nil {
		return math.Inf(-1)
	}
	g := mat.NewVecDense(len(gradient), gradient)
	g.MulVec(jac.T(), mat.NewVecDense(len(r), r))
	g.ScaleVec(-1, g)
	return -halfSquares(r)
}

func (c corners) moved(t *testing.T, o RandomiseOptions) Draws {
	t.Helper()
	var start []float64
	for range c.count {
		start = append(start, 0.3, 1)
		o.Watched = append(o.Watched, len(start)-2, len(start)-1)
	}
	o.WeightedWork = 1
	got, err := Randomise(func() Problem { return c }, modeOf(t, c, start...), o)
	require.NoError(t, err)
	return got
}

// Draws led on by moves have the quantiles of the density, however many dimensions there
// are: those of each ridge are the same, and are summed over a grid.
func TestMovesKeepTheDensity(t *testing.T) {
	var grid, weight []float64
	r := make([]float64, 3)
	for i := -300; i <= 90; i++ {
		for j := -300; j <= 90; j++ {
			require.NoError(t, (&corner{}).Evaluate([]float64{float64(i) / 50, float64(j) / 50}, r, nil))
			grid, weight = append(grid, float64(i)/50), append(weight, math.Exp(-halfSquares(r)))
		}
	}
	want := WeightedIntervalOf(grid, weight)
	got := corners{12}.moved(t, RandomiseOptions{Seed: 5})
	require.Equal(t, Sampled, got.Status)
	assert.Equal(t, 400, got.Made, "draws")
	var pooled []float64
	for i := range 12 {
		pooled = append(pooled, column(got.X, 2*i)...)
	}
	have, width := IntervalOf(pooled), want.High-want.Low
	t.Logf("%.3f %.3f", want, have)
	assert.InDelta(t, want.Low, have.Low, 0.03*width)
	assert.InDelta(t, want.Median, have.Median, 0.02*width)
	assert.InDelta(t, want.High, have.High, 0.02*width)
}

// They are the same bits however many workers there are.
func TestMovesRepeat(t *testing.T) {
	one := corners{3}.moved(t, RandomiseOptions{Seed: 3, TargetESS: 100, Workers: 1})
	assert.Positive(t, one.Moves)
	for _, workers := range []int{2, 5} {
		assert.Equal(t, one, corners{3}.moved(t, RandomiseOptions{Seed: 3, TargetESS: 100, Workers: workers}))
	}
}

// A target above the first draws takes more points of each chain.
func TestMovesReachATarget(t *testing.T) {
	got := corners{3}.moved(t, RandomiseOptions{Seed: 3, TargetESS: 100})
	assert.GreaterOrEqual(t, got.ESS, 0.5*100)
	assert.LessOrEqual(t, got.ESS, float64(len(got.X)))
	assert.InDelta(t, 1, sumOf(got.Weights), 1e-12)
	assert.Len(t, got.Residuals, len(got.X))
}

// Weighted draws are made where they take no more work than they may, and none where any
// would take too much.
func TestWorkDecides(t *testing.T) {
	c := corners{3}
	mode := modeOf(t, c, 0.3, 1, 0.3, 1, 0.3, 1)
	draw := func(weighted, most float64) Draws {
		got, err := Randomise(func() Problem { return c }, mode, RandomiseOptions{Seed: 3, WeightedWork: weighted, MostWork: most})
		require.NoError(t, err)
		return got
	}
	plain := draw(0, 0)
	assert.Zero(t, plain.Moves)
	perDraw := 6.0 * 9 * 6 // unknowns, rows that change, the smaller of them
	first := drawList{}
	at, err := newLinearisation(c, mode, RandomiseOptions{Seed: 3}.withDefaults())
	require.NoError(t, err)
	assert.Equal(t, perDraw, at.work())
	first.extend([]*drawSolver{newDrawSolver(c, at)}, 3, 400)
	needed := 400 / first.weigh().ESS * 400 * perDraw
	assert.Equal(t, plain, draw(1.0001*needed, 0))
	assert.Positive(t, draw(0.9999*needed, 0).Moves)
	assert.Equal(t, plain, draw(0, 400*perDraw))
	few, err := Randomise(func() Problem { return c }, mode, RandomiseOptions{Seed: 3, WeightedWork: 500 * perDraw, MaxDraws: 500})
	require.NoError(t, err)
	assert.Zero(t, few.Moves, "as many draws as there may be are paid for")
	none := draw(0, 400*perDraw-1)
	assert.Equal(t, TooMuchWork, none.Status)
	assert.Empty(t, none.X)
}

// Where no perturbed problem has a solution there is nothing to lead on.
func TestNoDrawToMove(t *testing.T) {
	got, err := (drawList{{}, {}}).moved(func() Problem { return corners{1} }, RandomiseOptions{}.withDefaults())
	require.NoError(t, err)
	assert.Equal(t, TooFewEffective, got.Status)
	assert.Equal(t, 2, got.Failed)
	assert.Empty(t, got.X)
}

// Chains whose means still drift after the last round say so, and a drift is told in
// standard deviations.
func TestUnsettledChains(t *testing.T) {
	at := func(mean, variance float64) [][2]float64 { return [][2]float64{{mean, variance}} }
	assert.InDelta(t, 0.5, driftOf(at(1, 4), at(2, 4)), 1e-12)
	m := &mover{o: RandomiseOptions{Watched: []int{0}}, step: 1e-9, problems: []Graded{corners{1}}}
	require.NoError(t, m.measure([][]float64{{0.3, 1}}, []float64{1}))
	for k := range 50 {
		m.chains = append(m.chains, chain{x: []float64{float64(k), 1}, gradient: make([]float64, 2)})
	}
	assert.True(t, m.settle(), "chains that stand still do not drift")
	m = &mover{o: RandomiseOptions{Watched: []int{0}, Seed: 1}, step: 0.05, problems: []Graded{away{}}, root: m.root}
	for range 50 {
		c := chain{x: []float64{0, 0}, gradient: make([]float64, 2)}
		c.logDensity = away{}.LogDensity(c.x, c.gradient)
		m.chains = append(m.chains, c)
	}
	assert.False(t, m.settle(), "a slope without an end")
}

// away is a density that rises for ever.
type away struct{ corners }

func (away) LogDensity(x, gradient []float64) float64 {
	gradient[0], gradient[1] = 2, 0
	return 2 * x[0]
}

// Tempered weights count for half of the draws, weights that count for more stay as they are.
func TestTemperedWeights(t *testing.T) {
	steep := make([]float64, 100)
	for i := range steep {
		steep[i] = float64(i)
	}
	w := temper(steep, 0.5)
	squares := 0.0
	for i, v := range w {
		squares += v * v
		if i > 0 {
			assert.Greater(t, v, w[i-1])
		}
	}
	assert.InDelta(t, 50, 1/squares, 0.01)
	assert.InDelta(t, 1, sumOf(w), 1e-12)
	level := temper([]float64{0, math.Log(2), 0, 0}, 0.5)
	assert.InDeltaSlice(t, []float64{0.2, 0.4, 0.2, 0.2}, level, 1e-12)
	assert.Equal(t, []int{0, 1, 1, 2, 3}, Evenly(level, 5))
}

// Rows of one origin that are alike count for one, those that are not for as many.
func TestClusteredESS(t *testing.T) {
	of := func(values ...float64) Draws {
		var d Draws
		for _, v := range values {
			d.X, d.Weights = append(d.X, []float64{v}), append(d.Weights, 1/float64(len(values)))
		}
		return d
	}
	pairs, apart := of(-1, -1, 1, 1), of(-1, 1, -1, 1)
	assert.InDelta(t, 2, pairs.clusteredESS(nil, []int{0, 0, 1, 1}), 1e-12)
	assert.InDelta(t, 4, pairs.clusteredESS([]int{0}, []int{0, 1, 2, 3}), 1e-12)
	assert.InDelta(t, 4, apart.clusteredESS([]int{0}, []int{0, 0, 1, 1}), 1e-12, "never more than there are")
}
