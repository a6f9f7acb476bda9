package fit

import (
	"math"
	"math/rand/v2"
	"slices"
	"sync"

	"gonum.org/v1/gonum/mat"
)

// Graded is a Problem that can give its log density, minus half the sum of its squared
// residuals, with the gradient, for a small part of what its Jacobian costs.
type Graded interface {
	Problem
	// LogDensity fills the gradient at x. It is −Inf where there are no residuals; the
	// gradient is not looked at then.
	LogDensity(x, gradient []float64) float64
}

// In many dimensions the weights of the draws spread: what each adds to the variance of
// their logarithm adds up, and the number of draws grows with its exponential. Moves cost
// the same in any. Each of a few hundred draws, picked by tempered weights, is the start of
// a chain of its own, that Hamiltonian trajectories (Neal 2011) lead on: they leave the
// posterior as it is, whatever the start, so what the weights were tempered by fades. The
// draws know the long curved ridges already, which is what costs chains most; what is left
// is short of reach, and a few trajectories settle it.
const (
	moveShare    = 0.35 // of the draws that the tempered weights must count for; with half, ends of long tails were off by a tenth of the width
	moveSteps    = 8    // of a trajectory
	firstStep    = 0.35 // in standard deviations of the momentum's metric
	stepJitter   = 0.3  // either way, so that no direction comes back to where it was
	wantedAccept = 0.75 // of the trajectories
	leastRounds  = 2    // trajectories of each chain before any point of it is kept
	mostRounds   = 8
	// settledDrift is how far a round may still carry the means of what is watched, in
	// standard deviations, root of the mean square; chance alone gives 0.07 for 400 chains.
	settledDrift = 0.1
	keptRounds   = 2  // rounds behind the settling whose points are kept, at least
	metricDraws  = 60 // whose curvatures are averaged
	streamOfMove = 1 << 43
)

// chain is one walker.
type chain struct {
	origin      int // draw that it started from
	x, gradient []float64
	logDensity  float64
	accepted    float64 // chance that the last trajectory was taken
}

// mover leads chains on. Momentum has the averaged curvature of the posterior for its
// metric: a step as long as the narrowest places allow is then long in all directions that
// are narrow somewhere.
type mover struct {
	o        RandomiseOptions
	problems []Graded
	chains   []chain
	root     *mat.TriDense // of the mean curvature, lower
	step     float64
	gradient int // evaluations
}

// moved are draws from chains that start at some of the draws made.
func (l drawList) moved(newProblem func() Problem, o RandomiseOptions) (Draws, error) {
	from := l.weigh()
	if len(from.X) == 0 { // contradictory readings: no perturbed problem was solved
		from.Status = TooFewEffective
		return from, nil
	}
	weights := temper(from.logWeights, moveShare)
	m := &mover{o: o, step: firstStep}
	for range o.Workers {
		m.problems = append(m.problems, newProblem().(Graded))
	}
	if err := m.measure(from.X, weights); err != nil {
		return Draws{}, err
	}
	for _, k := range Evenly(weights, min(len(from.X), int(math.Ceil(o.TargetESS)))) {
		m.chains = append(m.chains, chain{origin: k, x: slices.Clone(from.X[k]), gradient: make([]float64, len(from.X[k]))})
	}
	m.each(func(p Graded, c *chain, _ *rand.Rand) { c.logDensity = p.LogDensity(c.x, c.gradient) }, 0)
	settled := m.settle()
	out, origins := m.collect()
	out.Made, out.Failed, out.Moves, out.ESS = from.Made, from.Failed, m.gradient, out.clusteredESS(o.Watched, origins)
	switch {
	case !settled:
		out.Status = Unsettled
	case out.ESS < leastOfTarget*o.TargetESS:
		out.Status = TooFewEffective
	default:
		out.Status = Sampled
	}
	return out, nil
}

// leastOfTarget is the share of the effective draws asked for that chains must give.
const leastOfTarget = 0.5

// settle moves the chains until what is watched no longer drifts, and tells whether it came
// to that.
func (m *mover) settle() bool {
	before := m.centres()
	for k := 1; k <= mostRounds; k++ {
		m.round(k)
		now := m.centres()
		drift := driftOf(before, now)
		if before = now; k >= leastRounds && drift <= settledDrift {
			return true
		}
	}
	return false
}

// collect moves the chains on and keeps where they are.
func (m *mover) collect() (out Draws, origins []int) {
	rounds := max(keptRounds, int(math.Ceil(m.o.TargetESS/float64(len(m.chains)))))
	for k := range rounds {
		if k > 0 {
			m.round(mostRounds + k)
		}
		first := len(out.X)
		for _, c := range m.chains {
			out.X, origins = append(out.X, slices.Clone(c.x)), append(origins, c.origin)
		}
		out.Residuals = append(out.Residuals, make([][]float64, len(m.chains))...)
		m.share(func(p Graded, i int) {
			r := make([]float64, p.Terms())
			if p.Evaluate(m.chains[i].x, r, nil) == nil {
				out.Residuals[first+i] = r
			}
		})
	}
	out.keepSolved(&origins)
	return out, origins
}

// keepSolved leaves out rows without residuals, and weighs the others alike.
func (r *Draws) keepSolved(origins *[]int) {
	n := 0
	for i, res := range r.Residuals {
		if res != nil {
			r.X[n], r.Residuals[n], (*origins)[n] = r.X[i], res, (*origins)[i]
			n++
		}
	}
	r.X, r.Residuals, *origins = r.X[:n], r.Residuals[:n], (*origins)[:n]
	r.Weights = make([]float64, n)
	for i := range r.Weights {
		r.Weights[i] = 1 / float64(n)
	}
}

// share does a job for every chain, shared out between the workers. A problem is reset
// before each, so that no chain hangs on which were moved before it.
func (m *mover) share(job func(p Graded, i int)) {
	var wg sync.WaitGroup
	for w, p := range m.problems {
		wg.Go(func() {
			for i := w; i < len(m.chains); i += len(m.problems) {
				if r, is := p.(Resetter); is {
					r.Reset()
				}
				job(p, i)
			}
		})
	}
	wg.Wait()
}

// each does a job with every chain and random numbers of its round.
func (m *mover) each(job func(p Graded, c *chain, r *rand.Rand), round int) {
	m.share(func(p Graded, i int) {
		job(p, &m.chains[i], Random(m.o.Seed, streamOfMove+uint64(round)<<20+uint64(i)))
	})
}

// round leads every chain along one trajectory, and fits the step to how many were taken.
func (m *mover) round(number int) {
	m.each(m.trajectory, number)
	m.gradient += moveSteps * len(m.chains)
	mean := 0.0
	for _, c := range m.chains {
		mean += c.accepted / float64(len(m.chains))
	}
	m.step *= math.Exp(mean - wantedAccept)
}

// centres are the means of what is watched over the chains, and the variances.
func (m *mover) centres() (list [][2]float64) {
	for _, i := range m.o.Watched {
		mean, square := 0.0, 0.0
		for _, c := range m.chains {
			mean += c.x[i] / float64(len(m.chains))
		}
		for _, c := range m.chains {
			square += (c.x[i] - mean) * (c.x[i] - mean) / float64(len(m.chains))
		}
		list = append(list, [2]float64{mean, square})
	}
	return list
}

// driftOf is by how many standard deviations the means differ, root of the mean square.
func driftOf(a, b [][2]float64) float64 {
	sum := 0.0
	for i := range a {
		if d := a[i][0] - b[i][0]; d != 0 {
			sum += d * d / b[i][1]
		}
	}
	return math.Sqrt(sum / math.Max(1, float64(len(a))))
}
