package zonal

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"holdbook/internal/fit"
)

// The rule that decides, quantity by quantity, whether curvature serves:
// importance draws from the curvature approximation are weighted by the
// posterior. Where their effective fraction is below leastFraction the
// approximation misses part of the posterior and every quantity is sampled.
// Otherwise curvature serves a quantity when each of its three quantiles lies
// within offLimit of the interval's width from the weighted one; else the
// quantity is sampled.
const (
	checkDraws    = 300
	leastFraction = 0.5
	offLimit      = 0.08
)

// sample checks the curvature approximation and, where it may not serve, runs
// the sampler.
func (post *Posterior) sample(o Options) {
	p := post.problem
	draws := o.Draws
	if draws <= 0 {
		draws = 400
	}
	if post.curvatureServes() {
		return
	}
	made, err := fit.Sample(func() fit.Density { return newDensity(p, post.loose) }, fit.SampleOptions{
		Seed: p.seed(), TargetESS: float64(draws), Workers: post.workers, Start: post.u, Covariance: post.cov,
	})
	if err != nil {
		post.Sampler = fit.Stalled
		return
	}
	post.Sampler = made.Status
	post.RHat, post.Effective = worst(made)
	c := newChart(p, post.loose)
	for _, u := range made.X {
		x := make([]float64, len(u))
		if c.toModel(u, x) {
			post.draws = append(post.draws, x)
		}
	}
}

// worst is the largest split R-hat and the smallest effective sample size.
func worst(d fit.Draws) (rhat, ess float64) {
	ess = math.Inf(1)
	for i := range d.RHat {
		rhat = math.Max(rhat, d.RHat[i])
		ess = math.Min(ess, d.ESS[i])
	}
	return rhat, ess
}

// stencilStep is the step, in posterior standard deviations, of the differences
// that propagate curvature.
const stencilStep = 0.3

// stencil is the mode and, either side of it, a step along each column of the
// covariance's Cholesky factor, as parameter vectors.
func (post *Posterior) stencil() [][]float64 {
	n := len(post.u)
	c := newChart(post.problem, post.loose)
	var chol mat.Cholesky
	var l mat.TriDense
	if chol.Factorize(post.cov) {
		chol.LTo(&l)
	} else {
		l = *mat.NewTriDense(n, mat.Lower, nil)
	}
	rows := [][]float64{post.toModel(c, post.u)}
	at := make([]float64, n)
	for j := range n {
		for _, step := range []float64{stencilStep, -stencilStep} {
			for i := range n {
				at[i] = post.u[i] + step*l.At(i, j)
			}
			rows = append(rows, post.toModel(c, at))
		}
	}
	return rows
}

// toModel is the parameter vector at u, or the mode's where u has none.
func (post *Posterior) toModel(c *chart, u []float64) []float64 {
	x := make([]float64, len(u))
	if !c.toModel(u, x) {
		copy(x, post.Mode.X)
	}
	return x
}
