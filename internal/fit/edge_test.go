package fit

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The ends of a 90 % interval are the 5 and 95 % points: counted out of a hundred and
// one numbers, by weights that are whole counts, and of the normal distribution from
// its tables.
func TestEndsOfIntervals(t *testing.T) {
	values := make([]float64, 101)
	for i := range values {
		values[i] = float64(100 - i)
	}
	assert.Equal(t, Interval{5, 50, 95}, IntervalOf(values))
	few := []float64{1, 2, 3}
	heavy := WeightedIntervalOf(few, []float64{4, 92, 4})
	assert.Greater(t, heavy.Low, 1.0)
	assert.InDelta(t, 2, heavy.Median, 1e-9)
	assert.Less(t, heavy.High, 3.0)
	assert.InDelta(t, 1.1, WeightedIntervalOf(few, []float64{7, 7, 7}).Low, 1e-12)
	assert.InDelta(t, 2.9, WeightedIntervalOf(few, []float64{7, 7, 7}).High, 1e-12)
	normal := NormalInterval(10, 2)
	assert.InDelta(t, 10-2*1.644854, normal.Low, 1e-5)
	assert.InDelta(t, 10+2*1.644854, normal.High, 1e-5)
}

// The standard error of the ends of an interval of even draws, as a share of its
// width: of a uniform quantity √(p(1 − p)/n)/0.9 (textbook, p = 0.05).
func TestErrorOfTheEnds(t *testing.T) {
	const n = 4001
	r := &Draws{}
	for i := range n {
		r.X = append(r.X, []float64{0, float64(i) / (n - 1)})
		r.Weights = append(r.Weights, 1.0/n)
	}
	assert.InEpsilon(t, math.Sqrt(0.05*0.95/n)/0.9, r.endError([]int{1}), 0.02)
	assert.Zero(t, r.endError([]int{0}), "a quantity without width has no error")
}

// A line through scattered points, worked by hand: y = 0, 1, 0, 1 at x = 0, 1, 2, 3
// has slope 0.2, intercept 0.2, residual squares of 0.8 over two degrees of freedom,
// and r² = 0.2.
func TestLineByHand(t *testing.T) {
	f, err := Line([]float64{0, 1, 2, 3}, []float64{0, 1, 0, 1}, nil)
	require.NoError(t, err)
	assert.InDelta(t, 0.2, f.Slope, 1e-12)
	assert.InDelta(t, 0.2, f.Intercept, 1e-12)
	assert.InDelta(t, math.Sqrt(0.8/2), f.ResidualSD, 1e-12)
	assert.InDelta(t, math.Sqrt(0.4/5), f.SlopeSE, 1e-12)
	assert.InDelta(t, math.Sqrt(0.4*(1.0/4+1.5*1.5/5)), f.InterceptSE, 1e-12)
	assert.InDelta(t, 0.2, f.R2, 1e-12)
	assert.InDelta(t, math.Sqrt(0.4*(1+1.0/4+2.5*2.5/5)), f.PredictionSE(4, 1), 1e-12)
}
