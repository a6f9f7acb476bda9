package hmc

import (
	"errors"
	"fmt"
	"math"
	"sync"

	"gonum.org/v1/gonum/mat"
)

// Options tunes Sample; zero fields take the defaults.
type Options struct {
	Seed     uint64 // the same seed gives the same draws
	Draws    int    // of each chain before the first look; default TargetESS/4
	MaxDraws int    // of each chain; default 5·TargetESS
	// MaxGradients is how many evaluations of the density all chains together
	// may cost, give or take a block; half of it at most goes into warming up. Default 60000.
	MaxGradients int
	TargetESS    float64 // effective draws of every coordinate; its tails get half; default 400
	// Start is a point of the support, best the mode.
	Start []float64
	// Covariance is roughly that of the density, best the curvature covariance
	// at the mode; nil for the unit matrix.
	Covariance mat.Symmetric
}

const (
	chainCount = 4
	warmup     = 120 // transitions of each chain that are thrown away
)

// Draws are draws from a density, with what is known of their quality.
type Draws struct {
	X   [][]float64 // one row a draw, chain after chain, each chain as long as the others
	Err error       // rely on the draws only if it is nil

	RHat, ESS, TailESS []float64 // of each coordinate; NaN where it did not move
	Divergences        int       // trajectories after the warm-up that lost their energy
	Gradients          int       // evaluations of the density, warm-up and retry included
	Retried            bool      // a first attempt was thrown away
}

// Why draws cannot be relied on.
var (
	errDisagree  = errors.New("sampling: the chains do not agree")
	errTooFew    = errors.New("sampling: the chains hold too few independent draws")
	errDivergent = errors.New("sampling: too many trajectories lost their energy, so that parts of the density may not have been reached")
)

// Limits that the diagnostics must keep.
const (
	rhatLimit       = 1.05
	divergenceShare = 0.02 // of the transitions after the warm-up
)

// Sample draws from a density by Hamiltonian Monte Carlo with exact gradients.
//
// Each chain has its own density and its own random numbers, which follow from
// the seed and its number; chains meet only between blocks, so the draws do not
// depend on who was faster. They start at draws from a normal distribution wider than
// the covariance. Blocks of draws follow until every coordinate has TargetESS
// effective draws, half that in its tails, or MaxDraws or MaxGradients is reached.
// When the diagnostics are bad and half of MaxGradients is left, all is thrown
// away and repeated once with a longer warm-up, a covariance learned from the
// draws and a smaller step.
//
// The error tells of input that cannot be used. Whether the draws can be relied
// on is told by their Err alone: test it.
func Sample(newDensity func() Density, o Options) (Draws, error) {
	r, err := newRun(newDensity, o)
	if err != nil {
		return Draws{}, err
	}
	if err := r.begin(); err != nil {
		return Draws{}, err
	}
	r.warmUp(warmup, firstAcceptance)
	fault := r.untilEnough(false)
	if fault != nil && r.spent() < 0.5 {
		r.retried = true
		r.learn()
		r.warmUp(3*warmup, retryAcceptance)
		fault = r.untilEnough(true)
	}
	return r.collect(fault), nil
}

const (
	firstAcceptance = 0.8
	retryAcceptance = 0.9
	warmJitter      = 0.8 // wide, since the period is not yet known
	sampleJitter    = 0.5
	warmShare       = 0.5 // of MaxGradients
)

// run is one call of Sample.
type run struct {
	o       Options
	n       int
	m       *metric
	chains  []*chain
	step    float64 // of all chains
	retried bool

	rhat, ess, tail []float64
}

func newRun(newDensity func() Density, o Options) (*run, error) {
	r := &run{o: o.withDefaults()}
	for k := range chainCount {
		d := newDensity()
		if k == 0 {
			if err := r.size(d); err != nil {
				return nil, err
			}
		}
		r.chains = append(r.chains, newChain(d, r.o.Seed, uint64(k), r.m))
	}
	r.rhat, r.ess, r.tail = make([]float64, r.n), make([]float64, r.n), make([]float64, r.n)
	return r, nil
}

// size checks the options against the dimension.
func (r *run) size(d Density) (err error) {
	r.n = d.Dim()
	if r.n < 1 {
		return errors.New("sampling: the density has no coordinates")
	}
	if len(r.o.Start) != r.n {
		return fmt.Errorf("sampling: %d coordinates, but a start of %d", r.n, len(r.o.Start))
	}
	if c := r.o.Covariance; c != nil && c.SymmetricDim() != r.n {
		return fmt.Errorf("sampling: %d coordinates, but a covariance of %d", r.n, c.SymmetricDim())
	}
	r.m, err = newMetric(r.n, r.o.Covariance)
	return err
}

func (o Options) withDefaults() Options {
	if !(o.TargetESS > 0) {
		o.TargetESS = 400
	}
	each := int(math.Ceil(o.TargetESS / chainCount))
	if o.Draws < 1 {
		o.Draws = each
	}
	o.Draws = max(o.Draws, 10) // fewer show nothing
	if o.MaxDraws < 1 {
		o.MaxDraws = 20 * each
	}
	if o.MaxGradients < 1 {
		o.MaxGradients = 60000
	}
	o.MaxDraws = max(o.MaxDraws, o.Draws)
	return o
}

// each does something with every chain, all at once.
func (r *run) each(do func(k int, c *chain)) {
	var wg sync.WaitGroup
	for k, c := range r.chains {
		wg.Go(func() { do(k, c) })
	}
	wg.Wait()
}

func (r *run) begin() error {
	r.step = min(1, 1.6*math.Pow(float64(r.n), -0.25))
	placed := make([]bool, len(r.chains))
	r.each(func(k int, c *chain) { placed[k] = c.begin(r.o.Start) })
	for _, ok := range placed {
		if !ok {
			return errors.New("sampling: the start has no density, or its gradient is not finite; start from the mode")
		}
	}
	return nil
}

// warmUp adapts step and covariance: a sixth of the transitions to find the
// typical set, half to learn the covariance, a third for the step under it.
func (r *run) warmUp(n int, acceptance float64) {
	for _, c := range r.chains {
		c.jitter = warmJitter
	}
	r.adaptStep(n/6, acceptance)
	r.forget()
	r.adaptStep(n/2, acceptance)
	r.learn()
	r.adaptStep(n-n/6-n/2, acceptance)
	r.forget()
	for _, c := range r.chains {
		c.jitter = sampleJitter
		c.tally = tally{gradients: c.gradients}
	}
}

// adaptStep runs n transitions of every chain; after each few of them the
// common step is adapted to the mean acceptance of all chains.
func (r *run) adaptStep(n int, acceptance float64) {
	const pulse = 2
	a := newDualAveraging(r.step, acceptance)
	for ; n > 0 && r.spent() < warmShare; n -= pulse {
		for _, c := range r.chains {
			c.step = r.step
		}
		before := r.total()
		r.each(func(_ int, c *chain) { c.sample(min(n, pulse)) })
		after := r.total()
		r.step = a.update((after.acceptance - before.acceptance) / float64(after.transitions-before.transitions))
	}
	r.step = a.settled()
	for _, c := range r.chains {
		c.step = r.step
	}
}

func (r *run) forget() {
	for _, c := range r.chains {
		c.draws = c.draws[:0]
	}
}

// learn takes the covariance of the draws in hand and forgets them.
func (r *run) learn() {
	r.m = r.m.refined(r.rows())
	for _, c := range r.chains {
		c.m = r.m
	}
	r.forget()
}

// spent is the share of MaxGradients that is gone.
func (r *run) spent() float64 { return float64(r.total().gradients) / float64(r.o.MaxGradients) }

// untilEnough draws block after block until the diagnostics are good, a limit
// is reached, or (unless this is the last attempt) it is clear after two blocks
// that a limit will be.
func (r *run) untilEnough(last bool) error {
	before, block, done := r.spent(), r.firstBlock(), 0
	for blocks := 1; ; blocks++ {
		r.each(func(_ int, c *chain) { c.sample(block) })
		done += block
		reached, fault := r.judge()
		room := min(float64(r.o.MaxDraws), float64(done)*(1-before)/(r.spent()-before)) - float64(done)
		if fault == nil || room < 1 {
			return fault
		}
		if !last && blocks >= 2 && float64(done) > reached*(float64(done)+room) {
			return fault
		}
		more := float64(done) * (1/max(reached, 0.25) - 1) * 1.1
		more = max(more, float64(done)/4, 10)
		block = int(math.Ceil(min(more, room)))
	}
}

// firstBlock is Draws, or what MaxGradients will roughly pay for.
func (r *run) firstBlock() int {
	left := (1 - r.spent()) * float64(r.o.MaxGradients) / float64(len(r.chains))
	return min(r.o.Draws, max(10, int(left*r.step/(2*quarterPeriod))))
}

// judge takes the diagnostics: the smallest effective sample size against what is
// wanted of it, and what is wrong.
func (r *run) judge() (float64, error) {
	worst, reached := 0.0, math.Inf(1)
	for i := range r.n {
		col := r.column(i)
		r.rhat[i], r.ess[i], r.tail[i] = RHat(col), ESS(col), TailESS(col)
		worst = math.Max(worst, r.rhat[i]) // NaN wins
		reached = math.Min(reached, math.Min(r.ess[i], 2*r.tail[i])/r.o.TargetESS)
	}
	t := r.total()
	switch {
	case float64(t.divergences) > divergenceShare*float64(t.transitions):
		return reached, errDivergent
	case !(worst <= rhatLimit):
		return reached, errDisagree
	case !(reached >= 1):
		return reached, errTooFew
	}
	return reached, nil
}

func (r *run) total() tally {
	var t tally
	for _, c := range r.chains {
		t.gradients += c.gradients
		t.divergences += c.divergences
		t.transitions += c.transitions
		t.acceptance += c.acceptance
	}
	return t
}

// column is one coordinate of the draws in hand, by chain.
func (r *run) column(i int) [][]float64 {
	col := make([][]float64, len(r.chains))
	for k, c := range r.chains {
		col[k] = make([]float64, 0, len(c.draws)/r.n)
		for j := i; j < len(c.draws); j += r.n {
			col[k] = append(col[k], c.draws[j])
		}
	}
	return col
}

// rows are the draws in hand, chain after chain.
func (r *run) rows() [][]float64 {
	var x [][]float64
	for _, c := range r.chains {
		for d := c.draws; len(d) > 0; d = d[r.n:] {
			x = append(x, d[:r.n:r.n])
		}
	}
	return x
}

func (r *run) collect(fault error) Draws {
	t := r.total()
	return Draws{X: r.rows(), Err: fault, RHat: r.rhat, ESS: r.ess, TailESS: r.tail,
		Divergences: t.divergences, Gradients: t.gradients, Retried: r.retried}
}
