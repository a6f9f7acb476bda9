package hmc

import (
	"math"
	"math/rand/v2"

	"holdbook/internal/fit"
)

const (
	quarterPeriod   = math.Pi / 2
	longestStep     = 1.4 // the leapfrog is unstable from 2 in whitened units
	mostSteps       = 64  // of one trajectory
	divergenceLimit = 100 // loss of log density that no good trajectory shows
)

// phase is a point of the motion: position, momentum, and the density there.
type phase struct {
	x, grad, p []float64
	logp       float64
}

// chain is one Markov chain. Its buffers are made once: a transition does not
// allocate.
type chain struct {
	d   Density
	rng *rand.Rand
	m   *metric

	now, first, second phase // present point and proposals
	pull, move         []float64

	step   float64
	jitter float64 // trajectories last (1 ± jitter) quarter periods

	draws []float64 // kept positions, one after the other
	tally
}

// tally counts what the chain has met.
type tally struct {
	gradients, divergences, transitions int
	acceptance                          float64 // of first proposals, summed over the transitions
}

func newChain(d Density, seed, stream uint64, m *metric) *chain {
	v := func() []float64 { return make([]float64, m.n) }
	ph := func() phase { return phase{x: v(), grad: v(), p: v()} }
	return &chain{d: d, rng: fit.Random(seed, stream), m: m,
		now: ph(), first: ph(), second: ph(), pull: v(), move: v()}
}

// evaluate takes the density at a point; what is not finite counts as outside.
func (c *chain) evaluate(at *phase) bool {
	c.gradients++
	at.logp = c.d.LogDensity(at.x, at.grad)
	ok := finite(at.logp)
	for _, g := range at.grad {
		ok = ok && finite(g)
	}
	return ok
}

// begin places the chain at a draw from a normal distribution half as wide again as
// the covariance, and nearer to the start where that has next to no density.
// False means that the start itself is outside the support.
func (c *chain) begin(start []float64) bool {
	copy(c.now.x, start)
	if !c.evaluate(&c.now) {
		return false
	}
	c.refresh()
	c.m.colour(c.move, c.now.p)
	deepest := c.now.logp - 25 - 5*float64(c.m.n)
	for width := 1.5; width > 0.02; width *= 0.6 {
		for i, v := range c.move {
			c.first.x[i] = start[i] + width*v
		}
		if c.evaluate(&c.first) && c.first.logp > deepest {
			c.now, c.first = c.first, c.now
			return true
		}
	}
	return true
}

// refresh draws a new momentum and returns its kinetic energy.
func (c *chain) refresh() float64 {
	var sum float64
	for i := range c.now.p {
		c.now.p[i] = c.rng.NormFloat64()
		sum += c.now.p[i] * c.now.p[i]
	}
	return sum / 2
}

// transition runs one trajectory and accepts or rejects its end (Neal 2011). After a
// clear rejection it may try once more with a smaller step. It returns the
// probability of acceptance of the first try.
func (c *chain) transition() float64 {
	total := c.now.logp - c.refresh()
	length := quarterPeriod * (1 + c.jitter*(2*c.rng.Float64()-1))
	level, retry := c.rng.Float64(), c.rng.Float64()
	accept := c.propose(&c.now, &c.first, total, length, c.step)
	c.transitions++
	c.acceptance += accept
	if level < accept {
		c.now, c.first = c.first, c.now
	} else if retry < retryChance(accept) {
		c.tryAgain(total, length, accept)
	}
	return accept
}

// retryChance keeps the second, dear trajectory for clear rejections.
func retryChance(accept float64) float64 {
	miss := 1 - accept
	return miss * miss * miss
}

// tryAgain proposes the end of the same trajectory followed in smaller steps, so
// that places narrower than the common step are still entered and left: delayed
// rejection (Tierney and Mira 1999; for this motion Modi, Barnett and Carpenter
// 2023). Detailed balance asks how likely the way back would come to a second try.
func (c *chain) tryAgain(total, length, accept float64) {
	const finer = 5
	gain := c.follow(&c.now, &c.second, total, length, c.step/finer)
	if gain < -divergenceLimit {
		if !math.IsInf(c.second.logp, -1) { // not outside the support
			c.divergences++
		}
		return
	}
	for i, p := range c.second.p {
		c.second.p[i] = -p
	}
	back := c.propose(&c.second, &c.first, total+gain, length, c.step)
	ways := (1 - back) * retryChance(back) / ((1 - accept) * retryChance(accept))
	if c.rng.Float64() < math.Exp(gain)*ways {
		c.now, c.second = c.second, c.now
	}
}

// propose is follow with the gain turned into a probability of acceptance.
func (c *chain) propose(from, to *phase, total, length, step float64) float64 {
	return math.Exp(min(0, c.follow(from, to, total, length, step)))
}

// follow runs the leapfrog for a whitened time, in steps no longer than step. It
// returns the gain of log density less kinetic energy against total, -Inf for a
// trajectory that is given up.
func (c *chain) follow(from, to *phase, total, length, step float64) (gain float64) {
	steps := min(mostSteps, int(math.Ceil(length/step)))
	half := min(length/float64(steps), step) / 2
	copy(to.x, from.x)
	copy(to.p, from.p)
	c.m.pull(c.pull, from.grad)
	for range steps {
		c.kick(to, half)
		c.m.colour(c.move, to.p)
		for i, v := range c.move {
			to.x[i] += 2 * half * v
		}
		if !c.evaluate(to) {
			to.logp = math.Inf(-1)
			return to.logp
		}
		c.m.pull(c.pull, to.grad)
		if gain = to.logp - c.kick(to, half) - total; !(gain > -divergenceLimit) {
			return math.Inf(-1)
		}
	}
	return gain
}

// kick changes the momentum over a time t by the pull of the density and returns
// the kinetic energy.
func (c *chain) kick(at *phase, t float64) float64 {
	var sum float64
	for i, v := range c.pull {
		at.p[i] += t * v
		sum += at.p[i] * at.p[i]
	}
	return sum / 2
}

// sample runs n transitions and keeps the positions.
func (c *chain) sample(n int) {
	for range n {
		c.transition()
		c.draws = append(c.draws, c.now.x...)
	}
}

// dualAveraging adapts the logarithm of the step to a mean acceptance (Hoffman
// and Gelman 2014, section 3.2, with a smaller offset and more
// damping, since each acceptance is a mean over the chains).
type dualAveraging struct {
	target, centre, sum, logStep, mean float64
	count                              float64
}

func newDualAveraging(step, target float64) *dualAveraging {
	return &dualAveraging{target: target, centre: math.Log(1.2 * step), logStep: math.Log(step)}
}

func (a *dualAveraging) update(accept float64) float64 {
	const gamma, offset, kappa = 0.1, 5, 0.75
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

func finite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }
