package fit

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
)

// normalDraws are n evenly spread draws of normal unknowns of these standard
// deviations, of like weight.
func normalDraws(n int, sds ...float64) *Draws {
	r := &Draws{}
	for k := range n {
		z := NormalQuantile((float64(k) + 0.5) / float64(n))
		x := make([]float64, len(sds))
		for i, sd := range sds {
			x[i] = sd * z
		}
		r.X, r.Weights = append(r.X, x), append(r.Weights, 1/float64(n))
	}
	return r
}

// The 5 % point of n independent draws has the standard error √(p(1−p)/n)/f, f the
// density there: for a normal quantity 2.11 sd/√n, which is 0.642/√n of the width of
// its 90 % interval. The unit of the quantity makes no difference, and of several
// unknowns the worst counts, wherever it stands and however narrow it is.
func TestEndErrorOfNormalDraws(t *testing.T) {
	z := NormalQuantile(highTail)
	density := math.Exp(-z*z/2) / math.Sqrt(2*math.Pi)
	for _, n := range []int{400, 1600} {
		want := math.Sqrt(lowTail*highTail/float64(n)) / density / (2 * z)
		for _, sd := range []float64{1e-3, 1, 1e3} {
			assert.InEpsilon(t, want, normalDraws(n, sd).endError([]int{0}), 0.1, "%d draws, sd %g", n, sd)
		}
	}
	r := normalDraws(400, 1, 0, 0)
	for k, x := range r.X { // tails four times as long, in a unit a thousand times as small and as large
		tail := x[0] + math.Copysign(4*max(0, math.Abs(x[0])-1.5), x[0])
		r.X[k] = []float64{x[0], 1e-3 * tail, 1e3 * tail}
	}
	alone, long := r.endError([]int{0}), r.endError([]int{1})
	assert.Greater(t, long, 1.2*alone)
	assert.InEpsilon(t, long, r.endError([]int{2}), 1e-9)
	for _, order := range [][]int{{0, 1}, {1, 0}, {0, 2}, {2, 0}} {
		assert.InEpsilon(t, long, r.endError(order), 1e-9, "%v", order)
	}
}
