package fit

import (
	"errors"
	"math"
	"math/rand/v2"
	"slices"

	"gonum.org/v1/gonum/blas"
	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/mat"
)

// measure averages the curvature JᵀJ over some of the draws, and takes its root.
func (m *mover) measure(rows [][]float64, weights []float64) error {
	p := m.problems[0]
	n := p.Dim()
	jac, res := mat.NewDense(p.Terms(), n, nil), make([]float64, p.Terms())
	sum, count := mat.NewSymDense(n, nil), 0
	for _, k := range Evenly(weights, metricDraws) {
		if r, is := p.(Resetter); is {
			r.Reset()
		}
		if p.Evaluate(rows[k], res, jac) == nil && finiteMatrix(jac) {
			sum.SymRankK(sum, 1, jac.T())
			count++
		}
	}
	sum.ScaleSym(1/math.Max(1, float64(count)), sum)
	var c mat.Cholesky
	if count == 0 || !c.Factorize(sum) {
		return errors.New("randomise: the draws have no curvature")
	}
	m.root = mat.NewTriDense(n, mat.Lower, nil)
	c.LTo(m.root)
	return nil
}

// trajectory follows Hamilton's equations from where a chain is, by leapfrog steps, and
// takes their end with the chance that keeps the posterior as it is (Metropolis).
func (m *mover) trajectory(p Graded, c *chain, r *rand.Rand) {
	n := len(c.x)
	momentum, velocity := make([]float64, n), make([]float64, n)
	for i := range momentum {
		momentum[i] = r.NormFloat64()
	}
	step := m.step * (1 + stepJitter*(2*r.Float64()-1))
	energy := func(logDensity float64) float64 {
		return 0.5*blas64.Dot(vector(momentum), vector(momentum)) - logDensity
	}
	start := energy(c.logDensity)
	x, gradient, l := append([]float64(nil), c.x...), append([]float64(nil), c.gradient...), c.logDensity
	c.accepted = 0
	m.kick(momentum, gradient, velocity, step/2)
	for k := range moveSteps {
		copy(velocity, momentum)
		m.solveRoot(blas.Trans, velocity)
		blas64.Axpy(step, vector(velocity), vector(x))
		if l = p.LogDensity(x, gradient); math.IsInf(l, -1) {
			return
		}
		if k == moveSteps-1 {
			step /= 2
		}
		m.kick(momentum, gradient, velocity, step)
	}
	if chance := math.Exp(start - energy(l)); chance >= 0 { // false for NaN
		c.accepted = math.Min(1, chance)
	}
	if r.Float64() < c.accepted {
		c.x, c.gradient, c.logDensity = x, gradient, l
	}
}

// kick changes the momentum by the gradient, in coordinates in which the metric is the unit
// matrix.
func (m *mover) kick(momentum, gradient, buffer []float64, step float64) {
	copy(buffer, gradient)
	m.solveRoot(blas.NoTrans, buffer)
	blas64.Axpy(step, vector(buffer), vector(momentum))
}

// solveRoot replaces v by L⁻¹v or L⁻ᵀv.
func (m *mover) solveRoot(t blas.Transpose, v []float64) {
	blas64.Trsv(t, m.root.RawTriangular(), vector(v))
}

// temper raises weights, given by their logarithms, to the power at which they count for a
// share of their number, one where they do anyway, and makes their sum one.
func temper(logWeights []float64, share float64) []float64 {
	wanted := share * float64(len(logWeights))
	weights, ess := powered(logWeights, 1)
	if ess >= wanted {
		return weights
	}
	low, high := 0.0, 1.0
	for range 30 {
		power := (low + high) / 2
		if _, ess = powered(logWeights, power); ess < wanted {
			high = power
		} else {
			low = power
		}
	}
	weights, _ = powered(logWeights, low)
	return weights
}

// powered are weights raised to a power, of sum one, and what they count for.
func powered(logWeights []float64, power float64) (weights []float64, ess float64) {
	top := slices.Max(logWeights)
	weights = make([]float64, len(logWeights))
	sum, squares := 0.0, 0.0
	for i, l := range logWeights {
		weights[i] = math.Exp(power * (l - top))
		sum += weights[i]
		squares += weights[i] * weights[i]
	}
	for i := range weights {
		weights[i] /= sum
	}
	return weights, sum * sum / squares
}

// clusteredESS is how many independent draws tell the means of some unknowns as well as
// these do, of which those of one origin may hang together; of all unknowns where none are
// named, and their number at most. The mean is of the variances.
func (r *Draws) clusteredESS(unknowns []int, origins []int) float64 {
	if len(unknowns) == 0 && len(r.X) > 0 {
		for i := range r.X[0] {
			unknowns = append(unknowns, i)
		}
	}
	loss := 0.0
	for _, i := range unknowns {
		mean, variance, spread := 0.0, 0.0, 0.0
		for k, x := range r.X {
			mean += r.Weights[k] * x[i]
		}
		together := make([]float64, 1+slices.Max(origins))
		for k, x := range r.X {
			variance += r.Weights[k] * (x[i] - mean) * (x[i] - mean)
			together[origins[k]] += r.Weights[k] * (x[i] - mean)
		}
		for _, t := range together {
			spread += t * t
		}
		if variance > 0 {
			loss += spread / variance / float64(len(unknowns))
		}
	}
	return math.Min(1/loss, float64(len(r.X)))
}
