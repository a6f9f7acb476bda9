package fit

import (
	"math"
	"math/rand/v2"
)

const (
	quarterPeriod   = math.Pi / 2
	jitter          = 0.3 // trajectories last (1 ± jitter) quarter periods
	longestStep     = 1.4 // the leapfrog is unstable from 2 in whitened units
	mostSteps       = 200 // of one trajectory
	divergenceLimit = 100 // loss of log density that no good trajectory shows
)

// chain is one Markov chain. Its buffers are made once: a transition does not
// allocate.
type chain struct {
	d   Density
	rng *rand.Rand
	m   *metric

	x, grad       []float64
	logp          float64
	xTry, gradTry []float64
	p, pull, move []float64

	step  float64
	adapt dualAveraging

	draws []float64 // kept positions, one after the other
	tally
}

// tally counts what the chain has met.
type tally struct {
	gradients, divergences, outside, transitions int
	acceptance                                   float64 // sum over the transitions
}

func newChain(d Density, seed, stream uint64, m *metric) *chain {
	buf := make([]float64, 7*m.n)
	cut := func() (v []float64) { v, buf = buf[:m.n:m.n], buf[m.n:]; return v }
	return &chain{d: d, rng: rand.New(rand.NewPCG(seed, stream)), m: m,
		x: cut(), grad: cut(), xTry: cut(), gradTry: cut(), p: cut(), pull: cut(), move: cut()}
}

// density evaluates the trial point; what is not finite counts as outside.
func (c *chain) density() float64 {
	c.gradients++
	v := c.d.LogDensity(c.xTry, c.gradTry)
	if !finite(v) {
		return math.Inf(-1)
	}
	for _, g := range c.gradTry {
		if !finite(g) {
			return math.Inf(-1)
		}
	}
	return v
}

func (c *chain) keepTrial(logp float64) {
	c.x, c.xTry = c.xTry, c.x
	c.grad, c.gradTry = c.gradTry, c.grad
	c.logp = logp
}

// begin places the chain at a draw from a normal distribution half as wide again as
// the covariance, and nearer to the start where that has next to no density.
// False means that the start itself is outside the support.
func (c *chain) begin(start []float64) bool {
	copy(c.xTry, start)
	top := c.density()
	if math.IsInf(top, -1) {
		return false
	}
	for i := range c.p {
		c.p[i] = c.rng.NormFloat64()
	}
	c.m.colour(c.move, c.p)
	deepest := top - 25 - 5*float64(c.m.n)
	for spread := 1.5; spread > 0.02; spread *= 0.6 {
		for i, v := range c.move {
			c.xTry[i] = start[i] + spread*v
		}
		if v := c.density(); v > deepest {
			c.keepTrial(v)
			return true
		}
	}
	copy(c.xTry, start)
	c.keepTrial(c.density())
	return true
}

// transition runs one trajectory and accepts or rejects its end (Neal 2011). It
// returns the probability of acceptance.
func (c *chain) transition() float64 {
	kinetic := 0.0
	for i := range c.p {
		c.p[i] = c.rng.NormFloat64()
		kinetic += c.p[i] * c.p[i] / 2
	}
	length := quarterPeriod * (1 + jitter*(2*c.rng.Float64()-1))
	level := c.rng.Float64()
	logp, gain := c.trajectory(length, c.logp-kinetic)
	accept := math.Exp(min(0, gain))
	c.transitions++
	c.acceptance += accept
	if level < accept {
		c.keepTrial(logp)
	}
	return accept
}

// trajectory follows the leapfrog for a whitened time, in steps no longer than the
// chain's. It returns the log density at the end and the gain of log density
// less kinetic energy, -Inf for a trajectory that is given up.
func (c *chain) trajectory(length, total float64) (logp, gain float64) {
	steps := min(mostSteps, int(math.Ceil(length/c.step)))
	half := min(length/float64(steps), c.step) / 2
	copy(c.xTry, c.x)
	copy(c.gradTry, c.grad)
	c.m.pull(c.pull, c.grad)
	for range steps {
		c.kick(half)
		c.drift(2 * half)
		if logp = c.density(); math.IsInf(logp, -1) {
			c.outside++
			return logp, logp
		}
		c.m.pull(c.pull, c.gradTry)
		if gain = logp - c.kick(half) - total; !(gain > -divergenceLimit) {
			c.divergences++
			return logp, math.Inf(-1)
		}
	}
	return logp, gain
}

// kick changes the momentum over a time t by the pull at the trial point and
// returns the kinetic energy.
func (c *chain) kick(t float64) float64 {
	var sum float64
	for i, v := range c.pull {
		c.p[i] += t * v
		sum += c.p[i] * c.p[i]
	}
	return sum / 2
}

// drift moves the trial point over a time t by the momentum.
func (c *chain) drift(t float64) {
	c.m.colour(c.move, c.p)
	for i, v := range c.move {
		c.xTry[i] += t * v
	}
}

// warm runs n transitions that adapt the step to a target acceptance, keeping
// the positions if asked.
func (c *chain) warm(n int, target float64, keep bool) {
	c.adapt.restart(c.step, target)
	for range n {
		c.step = c.adapt.update(c.transition())
		if keep {
			c.draws = append(c.draws, c.x...)
		}
	}
	c.step = c.adapt.settled()
}

// sample runs n transitions and keeps the positions.
func (c *chain) sample(n int) {
	for range n {
		c.transition()
		c.draws = append(c.draws, c.x...)
	}
}

// dualAveraging adapts the logarithm of the step to a mean acceptance (Hoffman
// and Gelman 2014, section 3.2, with their constants).
type dualAveraging struct {
	target, centre, sum, logStep, mean float64
	count                              float64
}

func (a *dualAveraging) restart(step, target float64) {
	*a = dualAveraging{target: target, centre: math.Log(1.5 * step), logStep: math.Log(step)}
}

func (a *dualAveraging) update(accept float64) float64 {
	const gamma, offset, kappa = 0.05, 10, 0.75
	a.count++
	eta := 1 / (a.count + offset)
	a.sum += eta * (a.target - accept - a.sum)
	a.logStep = min(math.Log(longestStep), a.centre-math.Sqrt(a.count)/gamma*a.sum)
	w := math.Pow(a.count, -kappa)
	a.mean += w * (a.logStep - a.mean)
	return math.Exp(a.logStep)
}

// settled is the averaged step; before any update, the one to start with.
func (a *dualAveraging) settled() float64 {
	if a.count == 0 {
		return math.Exp(a.logStep)
	}
	return math.Exp(a.mean)
}
