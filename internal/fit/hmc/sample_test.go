package hmc

import (
	"math"
	"slices"
	"sort"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"

	"holdbook/internal/fit"
)

// quantity is a function of the coordinates whose quantiles are known.
type quantity struct {
	name     string
	of       func(x []float64) float64
	quantile func(p float64) float64
}

func normalBelow(z float64) float64 { return distuv.UnitNormal.CDF(z) }

func coordinate(i int) func(x []float64) float64 { return func(x []float64) float64 { return x[i] } }

func normalQuantiles(mean, sd float64) func(p float64) float64 {
	return func(p float64) float64 { return mean + sd*fit.NormalQuantile(p) }
}

type samplingCase struct {
	name  string
	d     target
	start []float64
	cov   mat.Symmetric
	o     Options
	want  []quantity
}

// tabulated gives the quantiles of a one-dimensional density by summing it on a fine grid.
func tabulated(d target, low, high float64) func(p float64) float64 {
	const n = 400000
	sum, g := make([]float64, n+1), make([]float64, 1)
	h := (high - low) / n
	for i := 1; i <= n; i++ {
		sum[i] = sum[i-1] + math.Exp(d.f([]float64{low + (float64(i)-0.5)*h}, g))
	}
	return func(p float64) float64 { return low + h*float64(sort.SearchFloat64s(sum, p*sum[n])) }
}

func unitCovariance(n int) *mat.SymDense {
	s := mat.NewSymDense(n, nil)
	for i := range n {
		s.SetSym(i, i, 1)
	}
	return s
}

func scaledCovariance(c *mat.SymDense, f float64) *mat.SymDense {
	var s mat.SymDense
	s.ScaleSym(f, c)
	return &s
}

func samplingCases(t *testing.T) []samplingCase {
	g1, c1 := gaussian(1, 1, 1)
	g2, c2 := gaussian(2, 100, 2)
	g30, c30 := gaussian(30, 1e4, 3)
	of30 := []quantity{
		{"x0", coordinate(0), normalQuantiles(0, math.Sqrt(c30.At(0, 0)))},
		{"x29", coordinate(29), normalQuantiles(0, math.Sqrt(c30.At(29, 29)))},
	}
	tn, err := fit.NewTruncatedNormal(0.55, 0.06, 0.5, 1)
	require.NoError(t, err)
	share := normalBelow(0.45/0.06) - normalBelow(-0.05/0.06)
	edge := sharedFlow(1, 8, 1.5, 1.6, 0.6)
	bend := func(x []float64) float64 { return x[1] + 0.3*(x[0]*x[0]-1) }
	student5 := distuv.StudentsT{Sigma: 1, Nu: 5}
	zeros := make([]float64, 30)
	return []samplingCase{
		{"one coordinate", g1, zeros[:1], c1, Options{}, []quantity{{"x0", coordinate(0), normalQuantiles(0, 1)}}},
		{"two coordinates", g2, zeros[:2], c2, Options{}, []quantity{{"x0", coordinate(0), normalQuantiles(0, math.Sqrt(c2.At(0, 0)))}}},
		{"normal 30", g30, zeros, c30, Options{}, of30},
		{"normal 30, covariance three times too wide", g30, zeros, scaledCovariance(c30, 9), Options{}, of30},
		{"normal 30, covariance three times too narrow", g30, zeros, scaledCovariance(c30, 1./9), Options{}, of30},
		{"banana", banana(0.3, 0.5), zeros[:2], unitCovariance(2), Options{},
			[]quantity{{"x0", coordinate(0), normalQuantiles(0, 1)}, {"across", bend, normalQuantiles(0, 0.5)}}},
		{"funnel", funnel(5, 1), zeros[:5], unitCovariance(5), Options{},
			[]quantity{{"x0", coordinate(0), normalQuantiles(0, 1)},
				{"x1 unscaled", func(x []float64) float64 { return x[1] * math.Exp(-x[0]/2) }, normalQuantiles(0, 1)}}},
		{"Student t", student(3, 5), zeros[:3], unitCovariance(3), Options{},
			[]quantity{{"x0", coordinate(0), student5.Quantile}, {"x2", coordinate(2), student5.Quantile}}},
		{"hard edge", edge, []float64{0}, unitCovariance(1), Options{},
			[]quantity{{"x0", coordinate(0), tabulated(edge, -12, math.Log(8))}}},
		{"truncated normal", target{1, func(x, g []float64) float64 { g[0] = -x[0]; return -x[0] * x[0] / 2 }}, zeros[:1], nil, Options{},
			[]quantity{{"value", func(x []float64) float64 { v, _, _ := tn.At(x[0]); return v },
				func(p float64) float64 { return 0.55 + 0.06*fit.NormalQuantile(normalBelow(-0.05/0.06)+p*share) }}}},
	}
}

// Over many seeds the error of each quantile, in the standard errors that the effective
// sample size of its indicator gives, must have a mean near 0 and a mean square near 1: the
// draws are right and so is what is said of their number.
func TestSampleQuantiles(t *testing.T) {
	if testing.Short() {
		t.Skip("many long chains: left out with -short")
	}
	const seeds = 16
	probabilities := []float64{0.05, 0.5, 0.95}
	for _, c := range samplingCases(t) {
		t.Run(c.name, func(t *testing.T) {
			sum, square, good := map[string]float64{}, map[string]float64{}, 0
			gradients := 0
			for seed := range seeds {
				o := c.o
				o.Seed, o.Start, o.Covariance = uint64(seed+1), c.start, c.cov
				d, err := Sample(always(c.d), o)
				require.NoError(t, err)
				gradients += d.Gradients
				if d.Err == nil {
					good++
				}
				for _, q := range c.want {
					chains := byChain(d, q.of)
					for _, p := range probabilities {
						z := score(chains, q.quantile(p), p)
						sum[q.name] += z
						square[q.name] += z * z
					}
				}
			}
			t.Logf("%d evaluations a run", gradients/seeds)
			require.GreaterOrEqual(t, good, seeds-1)
			for name, s := range sum {
				n := float64(seeds * len(probabilities))
				t.Logf("%s: mean %.2f, mean square %.2f", name, s/n, square[name]/n)
				require.InDelta(t, 0, s/n, 4/math.Sqrt(n/2), name)
				require.Less(t, square[name]/n, 1.9, name)
				require.Greater(t, square[name]/n, 0.4, name)
			}
		})
	}
}

// score is the error of the share of draws below the exact p-quantile, in standard errors.
func score(chains [][]float64, at, p float64) float64 {
	var below, n float64
	for _, chain := range chains {
		for _, v := range chain {
			n++
			if v <= at {
				below++
			}
		}
	}
	return (below/n - p) / math.Sqrt(p*(1-p)/QuantileESS(chains, at))
}

// byChain is a function of the draws, chain by chain.
func byChain(d Draws, f func(x []float64) float64) [][]float64 {
	n, out := len(d.X)/chainCount, make([][]float64, chainCount)
	for i, x := range d.X {
		out[i/n] = append(out[i/n], f(x))
	}
	return out
}

// Same seed, same bits, whichever chain is faster; another seed, other draws.
func TestSampleRepeats(t *testing.T) {
	d, cov := gaussian(6, 100, 4)
	run := func(seed uint64) Draws {
		out, err := Sample(always(d), Options{Seed: seed, Start: make([]float64, 6), Covariance: cov})
		require.NoError(t, err)
		return out
	}
	first := run(1)
	for range 4 {
		require.Equal(t, first, run(1))
	}
	require.NotEqual(t, first.X[0], run(2).X[0])
}

// Two heaps that no chain crosses must not pass for one.
func TestSampleTellsOfTwoHeaps(t *testing.T) {
	heaps := target{1, func(x, g []float64) float64 {
		a, b := -(x[0]-12)*(x[0]-12)/2, -(x[0]+12)*(x[0]+12)/2
		w := 1 / (1 + math.Exp(b-a))
		g[0] = -w*(x[0]-12) - (1-w)*(x[0]+12)
		return max(a, b) + math.Log1p(math.Exp(-math.Abs(a-b)))
	}}
	told := 0
	for seed := range uint64(8) {
		d, err := Sample(always(heaps), Options{Seed: seed, Start: []float64{0}})
		require.NoError(t, err)
		sides := map[bool]int{}
		for _, x := range d.X {
			sides[x[0] > 0]++
		}
		if len(sides) == 2 {
			require.Equal(t, errDisagree, d.Err)
			require.Greater(t, slices.Max(d.RHat), rhatLimit)
			told++
		}
	}
	require.Positive(t, told, "no seed put chains on both heaps")
}

func TestSampleTellsOfTooFew(t *testing.T) {
	d, cov := gaussian(5, 10, 4)
	o := Options{Seed: 1, Start: make([]float64, 5), Covariance: cov, Draws: 12, MaxDraws: 20}
	out, err := Sample(always(d), o)
	require.NoError(t, err)
	require.Error(t, out.Err)
	require.True(t, out.Retried)
	require.Len(t, out.X, 80)
	o = Options{Seed: 1, Start: make([]float64, 5), Covariance: cov, MaxGradients: 2000, TargetESS: 4000}
	out, err = Sample(always(d), o)
	require.NoError(t, err)
	require.Equal(t, errTooFew, out.Err)
	require.Less(t, out.Gradients, 2*o.MaxGradients)
}

// A cliff that the gradient does not announce loses energy, and that is told.
func TestSampleTellsOfDivergence(t *testing.T) {
	cliff := target{2, func(x, g []float64) float64 {
		g[0], g[1] = -x[0], -x[1]
		lp := -(x[0]*x[0] + x[1]*x[1]) / 2
		if x[0] > 0.3 {
			lp -= 500
		}
		return lp
	}}
	d, err := Sample(always(cliff), Options{Seed: 1, Start: []float64{0, 0}})
	require.NoError(t, err)
	require.Equal(t, errDivergent, d.Err)
	require.Positive(t, d.Divergences)
}

func TestSampleRefuses(t *testing.T) {
	d, _ := gaussian(2, 10, 1)
	nowhere := target{2, func(x, g []float64) float64 { return math.Inf(-1) }}
	odd := mat.NewSymDense(2, []float64{1, 2, 2, 1})
	bad := mat.NewSymDense(2, []float64{1, math.NaN(), math.NaN(), 1})
	for text, c := range map[string]struct {
		d target
		o Options
	}{
		"a start of 1":             {d, Options{Start: []float64{0}}},
		"a covariance of 1":        {d, Options{Start: []float64{0, 0}, Covariance: unitCovariance(1)}},
		"not positive definite":    {d, Options{Start: []float64{0, 0}, Covariance: odd}},
		"covariance is not finite": {d, Options{Start: []float64{0, 0}, Covariance: bad}},
		"start has no density":     {nowhere, Options{Start: []float64{0, 0}}},
		"no coordinates":           {target{n: 0}, Options{}},
	} {
		_, err := Sample(always(c.d), c.o)
		require.ErrorContains(t, err, text)
	}
}

// From a start next to the edge of the support every chain still finds a place.
func TestSampleStartsAtAnEdge(t *testing.T) {
	half := target{3, func(x, g []float64) (lp float64) {
		for i, v := range x {
			if v <= 0 {
				return math.Inf(-1)
			}
			g[i] = 1/v - 1
			lp += math.Log(v) - v
		}
		return lp
	}}
	d, err := Sample(always(half), Options{Seed: 3, Start: []float64{1, 0.01, 1}})
	require.NoError(t, err)
	require.NoError(t, d.Err)
	gamma := distuv.Gamma{Alpha: 2, Beta: 1}
	for i := range 3 {
		require.Less(t, math.Abs(score(byChain(d, coordinate(i)), gamma.Quantile(0.5), 0.5)), 4.0)
	}
}

func TestTransitionDoesNotAllocate(t *testing.T) {
	d, cov := gaussian(20, 100, 1)
	m, err := newMetric(20, cov)
	require.NoError(t, err)
	c := newChain(d, 1, 0, m)
	require.True(t, c.begin(make([]float64, 20)))
	c.step, c.jitter = 1.2, 0.5 // a step long enough to be rejected at times
	require.Zero(t, testing.AllocsPerRun(200, func() { c.transition() }))
	require.Less(t, c.acceptance, 0.95*float64(c.transitions))
}

// The wall ln(total − Σ exp x) of sharedFlow, whose total is known to 3 %, in the coordinates
// that the package documentation advises: ln total and ln(part/rest). The map to the logarithms of
// parts and rest has a Jacobian of 1, so the priors carry over as they are.
func TestSampleSharesWithoutAWall(t *testing.T) {
	const parts, lnTotal, totalSD, partSD, rest, restSD = 3, 2.08, 0.03, 1.5, 1.6, 1.5
	shares := target{parts + 1, func(x, g []float64) float64 {
		sum := 1.0
		for _, v := range x[1:] {
			sum += math.Exp(v)
		}
		lnRest := x[0] - math.Log(sum)
		u, y := (x[0]-lnTotal)/totalSD, (lnRest-rest)/restSD
		lp := -u*u/2 - y*y/2
		g[0] = -u/totalSD - y/restSD
		all := -y / restSD // pull on lnRest, which every part's logarithm holds too
		for _, v := range x[1:] {
			part := v + lnRest
			lp -= part * part / (2 * partSD * partSD)
			g[0] -= part / (partSD * partSD)
			all -= part / (partSD * partSD)
		}
		for i, v := range x[1:] {
			g[i+1] = -(v+lnRest)/(partSD*partSD) - all*math.Exp(v)/sum
		}
		return lp
	}}
	cov := unitCovariance(parts + 1)
	cov.SetSym(0, 0, totalSD*totalSD)
	d, err := Sample(always(shares), Options{Seed: 1, Start: []float64{lnTotal, -2, -2, -2}, Covariance: cov})
	require.NoError(t, err)
	require.NoError(t, d.Err)
	require.Less(t, d.Gradients, 15000)
	// The parts are alike, so their medians agree.
	first := fit.IntervalOf(slices.Concat(byChain(d, coordinate(1))...))
	last := fit.IntervalOf(slices.Concat(byChain(d, coordinate(parts))...))
	require.InDelta(t, first.Median, last.Median, 0.5)
	t.Logf("%d evaluations, smallest ESS %.0f", d.Gradients, slices.Min(d.ESS))
}
