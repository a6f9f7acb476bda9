package fit

import (
	"math"
	"math/rand/v2"
	"slices"
	"sort"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestWeightedQuantiles(t *testing.T) {
	v := []float64{5, 1, 4, 2, 3.5}
	s := slices.Clone(v)
	slices.Sort(s)
	p := []float64{0, 0.05, 0.3, 0.5, 0.77, 0.95, 1}
	even := WeightedQuantiles(v, []float64{2, 2, 2, 2, 2}, p...)
	for i := range p {
		require.InDelta(t, Quantile(s, p[i]), even[i], 1e-14, "equal weights are none, p %v", p[i])
	}
	got := WeightedIntervalOf([]float64{9, 1, 2, 3}, []float64{0, 1, 1, 1})
	require.InDelta(t, 2, got.Median, 1e-14)
	require.Less(t, got.High, 3.0, "a value without weight is left out")
	require.True(t, math.IsNaN(WeightedQuantiles(v, nil, 0.5)[0]))
	require.Equal(t, 7.0, WeightedQuantiles([]float64{7}, []float64{1}, 0.2)[0])
}

// sortedQuantile is the plain way to a weighted quantile.
func sortedQuantile(values, weights []float64, p float64) float64 {
	order := make([]int, len(values))
	for i := range order {
		order[i] = i
	}
	sort.SliceStable(order, func(i, j int) bool { return values[order[i]] < values[order[j]] })
	at := make([]float64, len(order))
	for k := 1; k < len(order); k++ {
		at[k] = at[k-1] + (weights[order[k-1]]+weights[order[k]])/2
	}
	h := p * at[len(at)-1]
	k := sort.SearchFloat64s(at, h)
	if k == 0 {
		return values[order[0]]
	}
	k = min(k, len(at)-1)
	return between(values[order[k-1]], values[order[k]], (h-at[k-1])/(at[k]-at[k-1]))
}

// Selection finds what sorting finds: many values and few, in order and not,
// with ties, and with weights of every size.
func TestSelectionIsSorting(t *testing.T) {
	r := rand.New(rand.NewPCG(8, 8))
	for range 3000 {
		values, weights := make([]float64, 1+r.IntN(400)), make([]float64, 400)
		kind := r.IntN(5)
		for i := range values {
			weights[i] = math.Exp(2 * r.NormFloat64())
			switch kind {
			case 0:
				values[i] = float64(i)
			case 1:
				values[i] = -float64(i)
			default:
				values[i] = r.NormFloat64()
			}
		}
		ask := []float64{0, 0.025, 0.05, 0.5, 0.95, 1, r.Float64(), r.Float64()}
		together := WeightedQuantiles(values, weights, ask...)
		for j, p := range ask {
			want := sortedQuantile(values, weights, p)
			require.InDelta(t, want, WeightedQuantiles(values, weights, p)[0], 1e-8*max(1, math.Abs(want)), "%d values, p %v", len(values), p)
			require.InDelta(t, want, together[j], 1e-8*max(1, math.Abs(want)), "%d values, p %v among others", len(values), p)
		}
	}
	// with ties the neighbours may change places, so their weights are alike here
	for range 500 {
		values, weights := make([]float64, 1+r.IntN(300)), make([]float64, 300)
		for i := range values {
			values[i], weights[i] = float64(r.IntN(1+r.IntN(6))), 1
		}
		for _, p := range []float64{0, 0.05, 0.5, 0.95, 1} {
			require.InDelta(t, sortedQuantile(values, weights, p), WeightedQuantiles(values, weights, p)[0], 1e-9)
		}
	}
	before := []float64{3, 1, 2}
	WeightedQuantiles(before, []float64{1, 1, 1}, 0.5)
	require.Equal(t, []float64{3, 1, 2}, before, "the values keep their order")
	holed := WeightedQuantiles([]float64{2, math.NaN(), 1, 3, 4}, []float64{1, 1, 1, 1, 1}, 0, 0.5, 1)
	require.Equal(t, []float64{math.Inf(-1), 2, 4}, holed)
	require.True(t, slices.ContainsFunc(WeightedQuantiles([]float64{1, 2}, []float64{1, 1}, math.NaN()), math.IsNaN))
}

func BenchmarkWeightedInterval(b *testing.B) {
	r := rand.New(rand.NewPCG(9, 9))
	values, weights := make([]float64, 1800), make([]float64, 1800)
	for i := range values {
		values[i], weights[i] = r.NormFloat64(), r.ExpFloat64()
	}
	for b.Loop() {
		WeightedIntervalOf(values, weights)
	}
}
