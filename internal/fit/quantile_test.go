package fit

import (
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestQuantile(t *testing.T) {
	v := []float64{1, 2, 4, 8}
	// Type 7 of Hyndman and Fan (1996): position 1 + (n − 1)p.
	for _, c := range []struct{ p, want float64 }{{0, 1}, {1, 8}, {0.5, 3}, {0.25, 1.75}, {0.95, 7.4}, {-1, 1}, {2, 8}} {
		require.InDelta(t, c.want, Quantile(v, c.p), 1e-14, "p %v", c.p)
	}
	require.True(t, math.IsNaN(Quantile(nil, 0.5)))
	require.True(t, math.IsNaN(Quantile(v, math.NaN())))
	require.Equal(t, 3.0, Quantile([]float64{3}, 0.7))
	require.Equal(t, math.Inf(-1), Quantile([]float64{math.Inf(-1), math.Inf(-1), 1}, 0.1))
}

func TestIntervalOfKeepsOrder(t *testing.T) {
	v := make([]float64, 101)
	for i := range v {
		v[i] = float64((i * 37) % 101)
	}
	before := slices.Clone(v)
	got := IntervalOf(v)
	require.Equal(t, before, v)
	require.InDelta(t, 5, got.Low, 1e-12)
	require.InDelta(t, 50, got.Median, 1e-12)
	require.InDelta(t, 95, got.High, 1e-12)
	require.True(t, math.IsNaN(IntervalOf(nil).Median))
}

// Published tables: Roulet 2008, Table 7.6, for the 95 % limits; the 90 % limits are calculated.
func TestStudentT(t *testing.T) {
	for i, want := range []float64{12.706, 4.3027, 3.1824, 2.7764, 2.5706, 2.4469, 2.3646, 2.3060, 2.2622} {
		require.InDelta(t, want, StudentT(0.95, float64(i+1)), 5e-4)
	}
	for i, want := range []float64{6.3138, 2.9200, 2.3534, 2.1318, 2.0150} {
		require.InDelta(t, want, StudentT(0.90, float64(i+1)), 5e-4)
	}
	require.InDelta(t, NormalQuantile(0.95), StudentT(0.9, math.Inf(1)), 1e-15)
	require.True(t, math.IsNaN(StudentT(1, 3)) && math.IsNaN(StudentT(0.9, 0)))
}

func TestNormalQuantile(t *testing.T) {
	for _, z := range []float64{-30, -8, -1.6, -1e-9, 0, 0.5, 3, 8} {
		p := math.Erfc(-z/math.Sqrt2) / 2
		tol := 1e-12
		if z > 0 {
			tol = 1e-16/(math.Exp(-z*z/2)/2.5) + 1e-12 // 1 − p has lost its digits
		}
		require.InDelta(t, z, NormalQuantile(p), tol*max(1, math.Abs(z)))
	}
	require.True(t, math.IsInf(NormalQuantile(0), -1) && math.IsInf(NormalQuantile(1), 1))
	require.True(t, math.IsNaN(NormalQuantile(1.1)) && math.IsNaN(NormalQuantile(math.NaN())))
	n := NormalInterval(3, 2)
	require.InDelta(t, 2*2*NormalQuantile(0.95), n.High-n.Low, 1e-14)
}

func TestStatusTable(t *testing.T) {
	for s := NotRun; s <= TooMuchWork; s++ {
		require.NotEmpty(t, s.String())
		require.Equal(t, s.Early(), s.Err() != nil, s.String())
	}
	for _, good := range []Status{GradientConvergence, StepConvergence, CostConvergence, Sampled} {
		require.False(t, good.Early())
	}
	require.True(t, Status(99).Early() && Status(-1).Err() != nil)
}
