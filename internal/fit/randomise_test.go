package fit

import (
	"errors"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat"
)

// corner is a least-squares problem on the ridge of two log sizes whose sum is
// known: each has a prior of sd 1.5 about 0, their exponentials sum to 3 within
// 5 %. Its posterior is the shape of an L.
type corner struct{ x [2]float64 }

func (*corner) Dim() int   { return 2 }
func (*corner) Terms() int { return 3 }
func (b *corner) Evaluate(x, r []float64, jac *mat.Dense) error {
	if x[0] > 6 {
		return errors.New("no residuals there")
	}
	copy(b.x[:], x)
	p, q := math.Exp(x[0]), math.Exp(x[1])
	r[0], r[1], r[2] = x[0]/1.5, x[1]/1.5, math.Log((p+q)/3)/0.05
	if jac != nil {
		jac.SetRow(0, []float64{1 / 1.5, 0})
		jac.SetRow(1, []float64{0, 1 / 1.5})
		jac.SetRow(2, []float64{p / (p + q) / 0.05, q / (p + q) / 0.05})
	}
	return nil
}

// remembering is corner with derivatives at the point last evaluated.
type remembering struct {
	corner
	taken int
}

func (b *remembering) Linearise(jac *mat.Dense, _ []int) {
	b.taken++
	x, r := b.x, make([]float64, 3)
	if b.Evaluate(x[:], r, jac) != nil {
		panic("linearised where there is nothing")
	}
}

// partly is corner that says which of its residuals are linear.
type partly struct{ corner }

func (*partly) Nonlinear() []NonlinearResidual { return []NonlinearResidual{{2, 2, 1}} }

// doubled is corner with its bent residual three quarters, and another that makes it
// straight.
type doubled struct{ corner }

func (*doubled) Terms() int { return 4 }
func (b *doubled) Evaluate(x, r []float64, jac *mat.Dense) error {
	var own *mat.Dense
	if jac != nil {
		own = mat.NewDense(3, 2, nil)
	}
	if err := b.corner.Evaluate(x, r[:3], own); err != nil {
		return err
	}
	r[2], r[3] = 0.75*r[2], x[0]-0.6*r[2]
	if jac != nil {
		for j := range 2 {
			bent := own.At(2, j)
			jac.SetCol(j, []float64{own.At(0, j), own.At(1, j), 0.75 * bent, -0.6 * bent})
		}
		jac.Set(3, 0, jac.At(3, 0)+1)
	}
	return nil
}
func (*doubled) Nonlinear() []NonlinearResidual { return []NonlinearResidual{{2, 2, 1}, {3, 2, -0.8}} }

// The small matrix that is factored stands for QᵀJ: the same determinant, less
// that at the mode, and the same step, with fewer bent residuals than unknowns,
// with more, and with some whose rows change in proportion.
func TestFactorsOfTheChange(t *testing.T) {
	for _, p := range []Problem{&partly{}, &corner{}, &doubled{}} {
		mode := modeOf(t, p, 0.3, 1)
		b, err := newLinearisation(p, mode, RandomiseOptions{}.withDefaults())
		require.NoError(t, err)
		s := newDrawSolver(p, b)
		direct := func(x []float64) *mat.Dense {
			r, jac, a := make([]float64, p.Terms()), mat.NewDense(p.Terms(), 2, nil), mat.NewDense(2, 2, nil)
			require.NoError(t, p.Evaluate(x, r, jac))
			a.Mul(b.q.T(), jac)
			return a
		}
		for _, x := range [][]float64{{0.9, -0.4}, {-1.5, 1}, {-3, 1.1}} {
			copy(s.x, x)
			s.evaluated = nil
			require.True(t, s.linearise())
			a := direct(x)
			assert.InDelta(t, math.Log(math.Abs(mat.Det(a)/mat.Det(direct(mode)))), s.lnDet(), 1e-9)
			var want mat.VecDense
			require.NoError(t, want.SolveVec(a, mat.NewVecDense(2, []float64{0.3, -1.2})))
			copy(s.gap, []float64{0.3, -1.2})
			s.solveStep()
			assert.InDeltaSlice(t, want.RawVector().Data, s.step, 1e-9)
		}
	}
}

func modeOf(t *testing.T, p Problem, start ...float64) []float64 {
	t.Helper()
	m, err := Mode(p, start, nil, ModeOptions{})
	require.NoError(t, err)
	require.False(t, m.Status.Early())
	return m.X
}

// For a linear problem each draw is exact: equal weights, the mean and the
// covariance of the normal posterior.
func TestRandomiseLinear(t *testing.T) {
	p := straight{a: mat.NewDense(4, 2, []float64{3, 1, 0, 2, 1, 0, 0, 1}), b: []float64{1, -2, 0, 0}}
	mode := modeOf(t, p, 0, 0)
	got, err := Randomise(func() Problem { return p }, mode, RandomiseOptions{Seed: 1, TargetESS: 20000})
	require.NoError(t, err)
	assert.Equal(t, Sampled, got.Status)
	assert.Zero(t, got.Failed)
	assert.InDelta(t, float64(len(got.X)), got.ESS, 1e-6*got.ESS)
	var normal, cov mat.SymDense
	normal.SymOuterK(1, p.a.T())
	var chol mat.Cholesky
	require.True(t, chol.Factorize(&normal))
	require.NoError(t, chol.InverseTo(&cov))
	for i := range mode {
		mean, square := 0.0, 0.0
		for _, x := range got.X {
			mean += x[i] / float64(len(got.X))
			square += (x[i] - mode[i]) * (x[i] - mode[i]) / float64(len(got.X))
		}
		sd := math.Sqrt(cov.At(i, i))
		assert.InDelta(t, mode[i], mean, 4*sd/math.Sqrt(20000))
		assert.InDelta(t, cov.At(i, i), square, 4*math.Sqrt(2)*cov.At(i, i)/math.Sqrt(20000))
	}
}

// straight is the linear problem with the residuals a·x − b.
type straight struct {
	a *mat.Dense
	b []float64
}

func (l straight) Dim() int   { _, n := l.a.Dims(); return n }
func (l straight) Terms() int { return len(l.b) }
func (l straight) Evaluate(x, r []float64, jac *mat.Dense) error {
	v := mat.NewVecDense(len(r), r)
	v.MulVec(l.a, mat.NewVecDense(len(x), slices.Clone(x)))
	v.SubVec(v, mat.NewVecDense(len(r), l.b))
	if jac != nil {
		jac.Copy(l.a)
	}
	return nil
}

// On a curved ridge the weighted quantiles are those of the density summed over
// a grid.
func TestRandomiseFollowsARidge(t *testing.T) {
	mode := modeOf(t, &corner{}, 0.3, 1)
	got, err := Randomise(func() Problem { return &corner{} }, mode, RandomiseOptions{Seed: 2, TargetESS: 20000})
	require.NoError(t, err)
	require.Equal(t, Sampled, got.Status)
	var grid [2][]float64
	var weight []float64
	b, r := &corner{}, make([]float64, 3)
	for i := -600; i <= 180; i++ {
		for j := -600; j <= 180; j++ {
			x := []float64{float64(i) / 100, float64(j) / 100}
			require.NoError(t, b.Evaluate(x, r, nil))
			grid[0], grid[1] = append(grid[0], x[0]), append(grid[1], x[1])
			weight = append(weight, math.Exp(-halfSquares(r)))
		}
	}
	for i := range grid {
		var drawn []float64
		for _, x := range got.X {
			drawn = append(drawn, x[i])
		}
		want, have := WeightedIntervalOf(grid[i], weight), WeightedIntervalOf(drawn, got.Weights)
		width := want.High - want.Low
		assert.InDelta(t, want.Low, have.Low, 0.02*width, "low end, coordinate %d", i)
		assert.InDelta(t, want.Median, have.Median, 0.02*width, "median, coordinate %d", i)
		assert.InDelta(t, want.High, have.High, 0.02*width, "high end, coordinate %d", i)
	}
}

// The draws are the same bits however many workers there are, and the same but
// for rounding when the problem gives its derivatives without evaluating again.
func TestRandomiseRepeats(t *testing.T) {
	mode := modeOf(t, &corner{}, 0.3, 1)
	draw := func(workers int, p func() Problem) Draws {
		got, err := Randomise(p, mode, RandomiseOptions{Seed: 3, Workers: workers})
		require.NoError(t, err)
		return got
	}
	one := draw(1, func() Problem { return &corner{} })
	for _, workers := range []int{2, 3, 7} {
		assert.Equal(t, one, draw(workers, func() Problem { return &corner{} }))
	}
	b := &remembering{}
	assert.Equal(t, one, draw(1, func() Problem { return b }))
	assert.Positive(t, b.taken)
}

// It stops near the target, and says so when the draws run out before.
func TestRandomiseStops(t *testing.T) {
	mode := modeOf(t, &corner{}, 0.3, 1)
	for _, target := range []float64{50, 300, 1000, 3000} {
		got, err := Randomise(func() Problem { return &corner{} }, mode, RandomiseOptions{Seed: 4, TargetESS: target})
		require.NoError(t, err)
		assert.Equal(t, Sampled, got.Status)
		assert.GreaterOrEqual(t, got.ESS, target)
		if target > 400 {
			assert.Less(t, got.ESS, 1.15*target)
		}
	}
	short, err := Randomise(func() Problem { return &corner{} }, mode, RandomiseOptions{Seed: 4, TargetESS: 1e4, MaxDraws: 500})
	require.NoError(t, err)
	assert.Equal(t, TooFewEffective, short.Status)
	assert.LessOrEqual(t, len(short.X)+short.Failed, 500)
}

// Where nearly all weight lies on one draw, or on two, no draw keeps more than 1/√n of
// it; the order of the weights stays, and weights that were level stay as they are.
func TestWeightsAreLimited(t *testing.T) {
	const n = 900
	for _, heavy := range []int{1, 2, 29} {
		r := &Draws{}
		for i := range n {
			w := math.Exp(-float64(i) / 100)
			if i < heavy {
				w = 1e12 * float64(i+1)
			}
			r.Weights = append(r.Weights, w)
		}
		r.truncate(sumOf(r.Weights))
		before, effective := slices.Clone(r.Weights), r.ESS
		r.limitWeights()
		assert.InDelta(t, 1, sumOf(r.Weights), 1e-12)
		assert.InDelta(t, 1.0/30, slices.Max(r.Weights), 1e-9)
		assert.InDelta(t, math.Exp(-1), r.Weights[heavy+150]/r.Weights[heavy+50], 1e-6, "the light ones keep their proportions")
		assert.Equal(t, effective, r.ESS)
		for i := range before[1:] {
			if before[i] <= before[i+1] {
				assert.LessOrEqual(t, r.Weights[i], r.Weights[i+1])
			}
		}
	}
	few := &Draws{Weights: make([]float64, n)}
	few.Weights[3], few.Weights[7] = 0.9, 0.1
	few.limitWeights()
	assert.InDelta(t, 0.5, few.Weights[3], 1e-12)
	assert.InDelta(t, 0.5, few.Weights[7], 1e-12)
	even := &Draws{Weights: []float64{0.3, 0.3, 0.2, 0.2}}
	even.limitWeights()
	assert.Equal(t, []float64{0.3, 0.3, 0.2, 0.2}, even.Weights)
	(&Draws{}).limitWeights()
}

func sumOf(v []float64) (sum float64) {
	for _, x := range v {
		sum += x
	}
	return sum
}

// An end in a long tail is drawn for until it is known, within three times the
// draws of the target; the error it goes by is no smaller than repeats show.
func TestRandomiseSettles(t *testing.T) {
	mode := modeOf(t, &corner{}, 0.3, 1)
	draw := func(seed uint64, settle ...int) Draws {
		got, err := Randomise(func() Problem { return &corner{} }, mode, RandomiseOptions{Seed: seed, Watched: settle})
		require.NoError(t, err)
		return got
	}
	var few, more []float64
	said := 0.0
	const repeats = 60
	for seed := range uint64(repeats) {
		a, b := draw(seed), draw(seed, 0, 1)
		assert.GreaterOrEqual(t, len(b.X), len(a.X))
		assert.LessOrEqual(t, len(b.X), 1200)
		few = append(few, WeightedQuantiles(column(a.X, 0), a.Weights, lowTail)[0])
		more = append(more, WeightedQuantiles(column(b.X, 0), b.Weights, lowTail)[0])
		iv := WeightedIntervalOf(column(a.X, 0), a.Weights)
		said += a.endError([]int{0}) * (iv.High - iv.Low) / repeats
	}
	shown := stat.StdDev(few, nil)
	t.Logf("sd of the low end %.4f, said %.4f; settled %.4f", shown, said, stat.StdDev(more, nil))
	assert.Less(t, stat.StdDev(more, nil), 0.85*shown)
	assert.Less(t, shown, 1.2*said)
}

func column(rows [][]float64, i int) []float64 {
	var c []float64
	for _, x := range rows {
		c = append(c, x[i])
	}
	return c
}

// Problems that have no posterior are refused.
func TestRandomiseRefuses(t *testing.T) {
	for name, p := range map[string]straight{
		"an unknown nothing depends on": {mat.NewDense(2, 2, []float64{1, 0, 2, 0}), []float64{0, 0}},
		"fewer terms than unknowns":     {mat.NewDense(1, 2, []float64{1, 1}), []float64{0}},
		"derivatives not finite":        {mat.NewDense(2, 2, []float64{1, math.NaN(), 2, 0}), []float64{0, 0}},
	} {
		_, err := Randomise(func() Problem { return p }, []float64{0, 0}, RandomiseOptions{})
		assert.Error(t, err, name)
	}
	_, err := Randomise(func() Problem { return &corner{} }, []float64{7, 0}, RandomiseOptions{})
	assert.Error(t, err, "a mode without residuals")
}
