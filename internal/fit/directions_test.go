package fit

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"
)

// aJacobian has readings that fewer unknowns move than there are, and a prior of each.
func aJacobian(r *rand.Rand, readings, moved, unknowns int) *mat.Dense {
	j := mat.NewDense(readings+unknowns, unknowns, nil)
	for i := range readings {
		for k := range moved {
			j.Set(i, k, 3*r.NormFloat64())
		}
	}
	for k := range unknowns {
		j.Set(readings+k, k, 1)
	}
	return j
}

// A last bit of the Jacobian moves the basis by its own size, also where many directions
// have one singular value, and the draws see nothing of it.
func TestDirectionsDoNotHangOnTheLastBit(t *testing.T) {
	r := rand.New(rand.NewPCG(6, 7))
	for range 20 {
		j := aJacobian(r, 5, 6, 17)
		relevance := make([]float64, 17)
		for k := range relevance {
			relevance[k] = 1 // all alike: ties are to be broken by place
		}
		first := turnedBasis(t, j, relevance)
		for range 5 {
			shaken := mat.DenseCopyOf(j)
			shaken.Apply(func(_, _ int, v float64) float64 { return v * (1 + 2e-16*r.NormFloat64()) }, shaken)
			again := turnedBasis(t, shaken, relevance)
			assert.True(t, mat.EqualApprox(first.q, again.q, 1e-8))
			assert.True(t, mat.EqualApprox(first.inverse, again.inverse, 1e-8))
		}
	}
}

// The basis is orthonormal, and inverse is that of QᵀJ.
func TestDirectionsAreABasis(t *testing.T) {
	r := rand.New(rand.NewPCG(8, 9))
	for _, n := range []int{1, 2, 9, 30} {
		j := aJacobian(r, 4, min(n, 5), n)
		b := turnedBasis(t, j, nil)
		var square, product, one mat.Dense
		square.Mul(b.q.T(), b.q)
		product.Mul(b.q.T(), j)
		one.Mul(&product, b.inverse)
		identity := mat.NewDiagDense(n, nil)
		for i := range n {
			identity.SetDiag(i, 1)
		}
		assert.True(t, mat.EqualApprox(&square, identity, 1e-12))
		assert.True(t, mat.EqualApprox(&one, identity, 1e-12))
	}
}

func turnedBasis(t *testing.T, j *mat.Dense, relevance []float64) *linearisation {
	t.Helper()
	m, n := j.Dims()
	b := &linearisation{mode: make([]float64, n), q: mat.NewDense(m, n, nil), inverse: mat.NewDense(n, n, nil)}
	require.NoError(t, b.orient(mat.DenseCopyOf(j), relevance))
	return b
}
