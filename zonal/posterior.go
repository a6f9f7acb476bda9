package zonal

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"

	"holdbook/internal/fit"
)

// Options tune an estimate; the zero value is what the program uses.
type Options struct {
	// Draws is the number of effective draws asked of the sampler (default 400).
	Draws int
	// MostDraws ends the sampling after so many draws, however few are effective; 0 for
	// fifteen times Draws.
	MostDraws int
	// Workers limits the goroutines used (default GOMAXPROCS).
	Workers int
	// CurvatureOnly leaves out the sampler: every interval is from the
	// curvature at the mode. For benchmarks and for screening.
	CurvatureOnly bool
	// rough stops at the effective draws, without waiting for the ends of
	// intervals to settle: for a mean over the draws.
	rough bool
	// weighted and most are how much work weighted draws may take, and any; 0 for
	// weightedWork and samplingWork.
	weighted, most float64
}

// Posterior is the joint estimate of a model: its mode, its curvature there, and
// weighted draws from it for what curvature does not serve. Infer and Prior make one; its
// methods may be called at the same time.
type Posterior struct {
	problem *problem
	mode    fit.ModeResult // the search for it in the unknowns themselves
	scores  fit.ModeResult // the mode in scores under the priors, with its covariance
	root    *mat.TriDense  // Cholesky factor of that covariance

	sampler   fit.Status
	ess       float64     // effective sample size of the draws
	made      int         // draws made, kept or not
	moves     int         // gradients that led them on, 0 where they are weighted
	draws     [][]float64 // parameter vectors
	weights   []float64   // their importance weights, of sum one
	residuals [][]float64 // of the readings at each draw; nil where they were not kept
	workers   workers
	seed      uint64
	judged    *Suspicion // once Reconciled has asked for it
	widened   float64    // see Widened; 0 for 1
}

// Converged is the Status of a posterior that can be relied on.
const Converged = "converged"

// Status is Converged, or in a few words what is wrong: that the search for the mode was
// cut off, that the weights of the draws lie on too few of them, because the readings
// contradict each other, or that there are too many unknowns to sample, so that every
// interval is from curvature. The intervals are then not to be relied on.
func (post *Posterior) Status() string {
	for _, s := range []fit.Status{post.sampler, post.mode.Status} {
		if s != fit.NotRun && s.Early() {
			return s.String()
		}
	}
	return Converged
}

// EffectiveSampleSize is how many independent draws tell as much as the weighted ones do,
// 1/Σ weight²; 0 where none were made.
func (post *Posterior) EffectiveSampleSize() float64 { return post.ess }

// errEmpty is returned for a model without a finished hold.
var errEmpty = errors.New("no finished hold: a house pressure is needed before anything can be estimated")

// Infer finds the posterior of a model.
func Infer(m *Model, o Options) (*Posterior, error) {
	p, err := compile(m)
	if err != nil {
		return nil, err
	}
	if len(m.Holds) == 0 {
		return nil, errEmpty
	}
	post := &Posterior{problem: p, workers: workersOf(o.Workers), seed: p.order.seed()}
	if err := post.infer(o); err != nil {
		return nil, err
	}
	return post, nil
}

// infer finds the mode and its curvature, and draws from the posterior.
func (post *Posterior) infer(o Options) error {
	if err := post.findMode(); err != nil {
		return err
	}
	if err := post.findCurvature(); err != nil {
		return err
	}
	if !o.CurvatureOnly {
		post.sample(o)
	}
	return nil
}

// implausible is the sum of squared residuals that one sheet in ten thousand exceeds,
// were the house linear. A mode beyond it may be a false one: a hatch far too large reads
// like no hatch at all, and the search does not leave the plateau where it stands open.
func (p *problem) implausible() float64 { return p.linearMisfit(0.9999, 0) }

// linearMisfit is a quantile of the sum of squared residuals, without so many of the
// readings, as it would be were the house linear; +Inf where nothing is left to misfit.
func (p *problem) linearMisfit(quantile float64, without int) float64 {
	dof := len(p.terms) - p.flat() - without
	if dof < 1 {
		return math.Inf(1)
	}
	return distuv.ChiSquared{K: float64(dof)}.Quantile(quantile)
}

// absurd is the sum of squared residuals above which a mode is no house:
// readings of the wrong sign can send the search to pressures of a million pascals.
func (p *problem) absurd() float64 {
	const meanSquare = 1000 // in standard deviations
	return meanSquare * float64(p.residuals())
}

// modeOptions put the mode within a hundred thousandth of a posterior standard
// deviation. The last digits would cost as much as all before them.
var modeOptions = fit.ModeOptions{GradientTolerance: 1e-6}

// findMode searches from the hand answer of the reference hold and, when that
// describes no house, does not converge or ends where no sheet should, from the other
// starts too. A later one counts only where it fits clearly better, or no worse than one
// whose search was cut off.
func (post *Posterior) findMode() error {
	const clearly = 1
	p := post.problem
	best, limit, enough := math.Inf(1), p.absurd(), p.implausible()
	var last error
	for _, start := range p.starts() {
		// each from a network at rest: on absurd sheets the end hangs on the first solve
		res, err := fit.Mode(inUnknowns(p), start, p.bounds(), modeOptions)
		if err != nil {
			last = err
			continue
		}
		betterBy := float64(clearly)
		if post.mode.Status.Early() && !res.Status.Early() {
			betterBy = -clearly
		}
		if res.SumSquares < best-betterBy && (!res.Status.Early() || best > limit) {
			best, post.mode = res.SumSquares, res
		}
		if !post.mode.Status.Early() && best <= enough {
			return nil
		}
	}
	if math.IsInf(best, 1) {
		return fmt.Errorf("no start for the estimate: %w", last)
	}
	return nil
}

// bounds keep the exponents between an orifice and laminar flow.
func (p *problem) bounds() []fit.Bounds {
	b := make([]fit.Bounds, len(p.unknowns))
	for i, u := range p.unknowns {
		b[i] = fit.Bounds{Low: math.Inf(-1), High: math.Inf(1)}
		if u.bounded() {
			b[i] = fit.Bounds{Low: u.low, High: u.high}
		}
	}
	return b
}

// findCurvature searches the mode again in scores under the priors, where the
// posterior is nearest to normal, and finds the covariance there. Where that fails
// or ends beyond belief it searches from the prior means too, and takes the better.
func (post *Posterior) findCurvature() error {
	p := post.problem
	mode, root, err := p.curvatureFrom(p.toScores(p.inRange(post.mode.X)))
	if err != nil || mode.SumSquares > p.absurd() {
		again, itsRoot, fault := p.curvatureFrom(make([]float64, len(p.unknowns)))
		if fault == nil && (err != nil || again.SumSquares <= mode.SumSquares) {
			mode, root, err = again, itsRoot, nil
		}
	}
	post.scores, post.root = mode, root
	return err
}

// curvatureFrom is the mode found from the scores start, and the Cholesky factor of
// its covariance.
func (p *problem) curvatureFrom(start []float64) (fit.ModeResult, *mat.TriDense, error) {
	res, err := fit.Mode(inScores(p), start, nil, modeOptions)
	if err != nil {
		return res, nil, fmt.Errorf("no curvature at the mode: %w", err)
	}
	if res.Covariance == nil {
		return res, nil, errors.New("no curvature at the mode: an unknown that no reading and no prior holds")
	}
	var chol mat.Cholesky
	if !chol.Factorize(res.Covariance) {
		return res, nil, errors.New("no curvature at the mode: the covariance is not positive definite")
	}
	root := mat.NewTriDense(len(p.unknowns), mat.Lower, nil)
	chol.LTo(root)
	return res, root, nil
}

// Seed is what the draws follow from: the same for the same readings and priors.
func (post *Posterior) Seed() uint64 { return post.seed }

// newNormals gives standard normal numbers that follow from a seed.
func newNormals(seed uint64) func() float64 {
	const stream = 1 << 41 // apart from those of package fit
	return fit.Random(seed, stream).NormFloat64
}

// blockOfRows is how many rows are evaluated one after the other from a cold
// start, so that no result depends on how the rows are shared out.
const blockOfRows = 32

// eachRow runs visit over rows of parameters, shared out between workers, each
// with a probe of its own. visit is not called for rows at which a network
// cannot be solved.
func (post *Posterior) eachRow(rows [][]float64, visit func(i int, p *probe, x []float64)) {
	blocks := (len(rows) + blockOfRows - 1) / blockOfRows
	stride := min(int(post.workers), blocks)
	post.workers.each(stride, func(w int) {
		p := newProbe(post.problem)
		for b := w; b < blocks; b += stride {
			p.cool()
			for i := b * blockOfRows; i < min(len(rows), (b+1)*blockOfRows); i++ {
				if p.at(rows[i]) {
					visit(i, p, rows[i])
				}
			}
		}
	})
}
