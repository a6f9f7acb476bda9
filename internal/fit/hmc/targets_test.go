package hmc

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

// banana is a normal ridge bent into a parabola (Haario, Saksman and Tamminen
// 1999): x0 is normal with standard deviation 1, x1 + bend·(x0² − 1) normal with sd.
func banana(bend, sd float64) target {
	return target{2, func(x, g []float64) float64 {
		v := x[1] + bend*(x[0]*x[0]-1)
		g[0] = -x[0] - v/(sd*sd)*2*bend*x[0]
		g[1] = -v / (sd * sd)
		return -x[0]*x[0]/2 - v*v/(2*sd*sd)
	}}
}

// funnel is the funnel of Neal (2003): x0 is normal with standard deviation sd,
// the others normal with variance exp(x0).
func funnel(n int, sd float64) target {
	return target{n, func(x, g []float64) float64 {
		w := math.Exp(-x[0])
		lp := -x[0]*x[0]/(2*sd*sd) - float64(n-1)*x[0]/2
		g[0] = -x[0]/(sd*sd) - float64(n-1)/2
		for i := 1; i < n; i++ {
			lp -= w * x[i] * x[i] / 2
			g[0] += w * x[i] * x[i] / 2
			g[i] = -w * x[i]
		}
		return lp
	}}
}

// student is a product of Student t densities.
func student(n int, dof float64) target {
	return target{n, func(x, g []float64) (lp float64) {
		for i, v := range x {
			lp -= (dof + 1) / 2 * math.Log1p(v*v/dof)
			g[i] = -(dof + 1) * v / (dof + v*v)
		}
		return lp
	}}
}

// sharedFlow has a hard edge: n normal logarithms whose exponentials add up to
// less than total, weighed by the normal log density of what is left over.
func sharedFlow(n int, total, sd, rest, restSD float64) target {
	return target{n, func(x, g []float64) float64 {
		left := total
		for _, v := range x {
			left -= math.Exp(v)
		}
		if left <= 0 {
			return math.Inf(-1)
		}
		y := (math.Log(left) - rest) / restSD
		lp := -y*y/2 - math.Log(left)
		for i, v := range x {
			lp -= v * v / (2 * sd * sd)
			g[i] = -v/(sd*sd) + (y/restSD+1)/left*math.Exp(v)
		}
		return lp
	}}
}
