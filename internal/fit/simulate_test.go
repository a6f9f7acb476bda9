package fit

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
)

// The constant is what the quantile function gives, but for its rounding.
func TestZ90(t *testing.T) {
	assert.InDelta(t, NormalQuantile(highTail), Z90, 1e-15)
}

// The interval of a sum of independent normal errors and of a product of log-normal ones
// is known in closed form (textbook): √(0.3² + 0.4²) = 0.5.
func TestSimulateKnownSpreads(t *testing.T) {
	out := Simulate(Random(1, 2), 100_000, func(n Noise) []float64 {
		return []float64{n.Around(2, 0.3) + n.Around(1, 0.4), n.Times(2, 0.3) * n.Times(-1, 0.4)}
	})
	sum, product := out[0].Interval(), out[1].Interval()
	assert.InDelta(t, 3, sum.Median, 0)
	assert.InDelta(t, 3-0.5*Z90, sum.Low, 0.01)
	assert.InDelta(t, 3+0.5*Z90, sum.High, 0.01)
	assert.InDelta(t, -2, product.Median, 0)
	assert.InEpsilon(t, -2*math.Exp(0.5*Z90), product.Low, 0.01)
	assert.InEpsilon(t, -2*math.Exp(-0.5*Z90), product.High, 0.01)
}

// A quantity drawn from an interval has that interval, skewed or not, positive or not.
func TestNoiseOfAnInterval(t *testing.T) {
	for _, i := range []Interval{{1, 2, 8}, {-1, 0, 3}, {0, 2, 3}, {-5, -3, -2}, {4, 4, 4}} {
		got := Simulate(Random(3, 4), 100_000, func(n Noise) []float64 { return []float64{i.At(n.Normal())} })[0].Interval()
		assert.InDelta(t, i.Median, got.Median, 1e-12, "%v", i)
		assert.InDelta(t, i.Low, got.Low, 0.02*math.Abs(i.Low)+0.03, "%v", i)
		assert.InDelta(t, i.High, got.High, 0.02*math.Abs(i.High)+0.03, "%v", i)
	}
}

// The central value lies in its interval even where no repeat comes near it.
func TestSimulatedHoldsItsCentralValue(t *testing.T) {
	values := make([]float64, 101)
	for i := range values {
		values[i] = float64(100 - i)
	}
	assert.Equal(t, Interval{5, 50, 95}, Simulated{50, values}.Interval())
	assert.Equal(t, Interval{3, 3, 95}, Simulated{3, values}.Interval())
	assert.Equal(t, Interval{5, 97, 97}, Simulated{97, values}.Interval())
	assert.True(t, math.IsNaN(Simulated{1, nil}.Interval().Low))
}

// The zero Noise has no errors, and a formula may use its result again.
func TestSimulateTakesCopies(t *testing.T) {
	assert.True(t, Noise{}.None())
	assert.InDelta(t, 7, Noise{}.Around(7, 3), 0)
	row := make([]float64, 1)
	out := Simulate(Random(5, 6), 2, func(n Noise) []float64 {
		row[0] = n.Normal()
		return row
	})
	assert.InDelta(t, 0, out[0].Central, 0)
	assert.NotEqual(t, out[0].Values[0], out[0].Values[1])
}
