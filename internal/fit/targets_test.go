package fit

import (
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/mat"
)

// target is a Density of a function, for tests.
type target struct {
	n int
	f func(x, g []float64) float64
}

func (d target) Dim() int                          { return d.n }
func (d target) LogDensity(x, g []float64) float64 { return d.f(x, g) }

func always(d target) func() Density { return func() Density { return d } }

// gaussian is a normal density with a random rotation and standard deviations from
// 1 to the root of the condition number.
func gaussian(n int, cond float64, seed uint64) (target, *mat.SymDense) {
	rng := rand.New(rand.NewPCG(seed, 1))
	a := mat.NewDense(n, n, nil)
	for i := range n {
		for j := range n {
			a.Set(i, j, rng.NormFloat64())
		}
	}
	var qr mat.QR
	qr.Factorize(a)
	var q mat.Dense
	qr.QTo(&q)
	cov, prec := mat.NewSymDense(n, nil), mat.NewSymDense(n, nil)
	for k := range n {
		v := math.Pow(cond, float64(k)/math.Max(1, float64(n-1)))
		cov.SymRankOne(cov, v, q.ColView(k))
		prec.SymRankOne(prec, 1/v, q.ColView(k))
	}
	return target{n, func(x, g []float64) float64 {
		var sum float64
		for i := range n {
			g[i] = 0
			for j := range n {
				g[i] -= prec.At(i, j) * x[j]
			}
			sum += g[i] * x[i] / 2
		}
		return sum
	}}, cov
}
