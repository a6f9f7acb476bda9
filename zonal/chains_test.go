package zonal

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"holdbook/internal/fit/hmc"
)

// chains samples the posterior in a chart: the check of the draws, with another method
// in other coordinates.
func (post *Posterior) chains(target float64, gradients int) (hmc.Draws, *chart, error) {
	p, loose := post.problem, post.looseness()
	c := newChart(p, loose)
	start := make([]float64, len(p.unknowns))
	if !c.toChart(p.inRange(post.mode.X), start) {
		return hmc.Draws{}, nil, errNoBalance
	}
	made, err := hmc.Sample(func() hmc.Density { return newDensity(p, loose) }, hmc.Options{
		Seed: post.seed, TargetESS: target, MaxGradients: gradients, MaxDraws: int(20 * target),
		Start: start, Covariance: post.inChart(c, start),
	})
	return made, c, err
}

// inChart is the covariance of the weighted draws in the coordinates of a chart,
// with a share of the prior's unit variance in case the draws are few.
func (post *Posterior) inChart(c *chart, start []float64) *mat.SymDense {
	const few = 20
	n := len(start)
	cov, u := mat.NewSymDense(n, nil), make([]float64, n)
	d := mat.NewVecDense(n, nil)
	share := few / (few + post.ess)
	for i, x := range post.draws {
		if !c.toChart(x, u) {
			continue
		}
		for j := range n {
			d.SetVec(j, u[j]-start[j])
		}
		cov.SymRankOne(cov, (1-share)*post.weights[i], d)
	}
	for j := range n {
		cov.SetSym(j, j, cov.At(j, j)+share*0.3)
	}
	return cov
}

// looseness ranks the paths that may close the balances: by the flow they carry
// in the reference hold at the mode, so that the size that follows is a smooth
// function of the others, and between paths of like flow by how little is known
// of their size.
func (post *Posterior) looseness() []float64 {
	p := post.problem
	c := newChart(p, nil)
	u := make([]float64, len(p.unknowns))
	if c.hold < 0 || post.mode.Covariance == nil || !c.toChart(post.mode.X, u) {
		return nil
	}
	loose := make([]float64, len(p.size))
	for i, e := range p.holds[c.hold].paths {
		if e < 0 || p.size[i] == none {
			continue
		}
		sd := math.Sqrt(post.mode.Covariance.At(int(p.size[i]), int(p.size[i])))
		loose[i] = math.Log(math.Abs(c.net.q[e])+1e-12) + looseWeight*math.Min(sd, 3)
	}
	return loose
}

// looseWeight makes a standard deviation of the logarithm of a size worth as
// much as a third more flow.
const looseWeight = 0.3
