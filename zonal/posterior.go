package zonal

import (
	"errors"
	"fmt"
	"hash/fnv"
	"math"
	"runtime"
	"sync"

	"gonum.org/v1/gonum/mat"

	"holdbook/internal/fit"
)

// Options tune an estimate; the zero value is what the program uses.
type Options struct {
	// Draws is the number of effective draws asked of the sampler (default 400).
	Draws int
	// Workers limits the goroutines used (default GOMAXPROCS).
	Workers int
	// CurvatureOnly leaves out the sampler: every interval is from the
	// curvature at the mode. For benchmarks and for screening.
	CurvatureOnly bool
}

// Posterior is the joint estimate of a model: its mode, and draws from it where
// curvature does not serve.
type Posterior struct {
	problem *problem
	// Mode is the search for the posterior mode in log sizes and exponents.
	Mode fit.ModeResult
	// Sampler is the status of the sampling run, fit.NotRun when none was needed.
	Sampler fit.Status
	// RHat and Effective are the worst split R-hat and the smallest effective
	// sample size over the coordinates.
	RHat, Effective float64

	loose    []float64 // how little is known of the size of each path
	u        []float64 // mode in the coordinates of the chart
	cov      *mat.SymDense
	draws    [][]float64 // parameter vectors
	laplace  [][]float64 // parameter vectors drawn from the curvature approximation
	weights  []float64   // their importance weights
	workers  int
	fraction float64 // effective fraction of the weights
}

// errEmpty is returned for a model without a finished hold.
var errEmpty = errors.New("no finished hold: a house pressure is needed before anything can be estimated")

// Infer finds the posterior of a model.
func Infer(m *Model, o Options) (*Posterior, error) {
	if len(m.Holds) == 0 {
		return nil, errEmpty
	}
	p, err := compile(m)
	if err != nil {
		return nil, err
	}
	post := &Posterior{problem: p, workers: o.Workers}
	if post.workers <= 0 {
		post.workers = runtime.GOMAXPROCS(0)
	}
	if err := post.findMode(); err != nil {
		return nil, err
	}
	post.loose = post.looseness()
	d := newDensity(p, post.loose)
	post.locate(d)
	if !o.CurvatureOnly {
		post.sample(o)
	}
	return post, nil
}

// findMode searches from the hand answer of the reference hold and, when that
// describes no house or does not converge, from the prior medians.
func (post *Posterior) findMode() error {
	p := post.problem
	e, best := newEvaluator(p), math.Inf(1)
	var last error
	for _, start := range p.starts() {
		res, err := fit.Mode(e, start, p.bounds(), fit.ModeOptions{})
		if err != nil {
			last = err
			continue
		}
		if res.SumSquares < best && (!res.Status.Early() || math.IsInf(best, 1)) {
			best, post.Mode = res.SumSquares, res
		}
		if !post.Mode.Status.Early() {
			return nil
		}
	}
	if math.IsInf(best, 1) {
		return fmt.Errorf("no start for the estimate: %w", last)
	}
	return nil
}

// looseness ranks the paths that may close the balances: by the flow they carry
// in the reference hold at the mode, so that the size that follows is a smooth
// function of the others, and between paths of like flow by how little is known
// of their size.
func (post *Posterior) looseness() []float64 {
	p := post.problem
	c := newChart(p, nil)
	u := make([]float64, len(p.unknowns))
	if c.ref < 0 || post.Mode.Covariance == nil || !c.toChart(post.Mode.X, u) {
		return nil
	}
	loose := make([]float64, len(p.size))
	for i, e := range p.holds[c.ref].paths {
		if e < 0 || p.size[i] == none {
			continue
		}
		sd := math.Sqrt(post.Mode.Covariance.At(int(p.size[i]), int(p.size[i])))
		loose[i] = math.Log(math.Abs(c.net.q[e])+1e-12) + looseWeight*math.Min(sd, 3)
	}
	return loose
}

// looseWeight makes a standard deviation of the logarithm of a size worth as
// much as a third more flow.
const looseWeight = 0.3

// bounds keep the exponents between an orifice and laminar flow.
func (p *problem) bounds() []fit.Bounds {
	b := make([]fit.Bounds, len(p.unknowns))
	for i, u := range p.unknowns {
		b[i] = fit.Bounds{Low: math.Inf(-1), High: math.Inf(1)}
		if u.kind == pathExponent {
			b[i] = fit.Bounds{Low: minExponent, High: maxExponent}
		}
	}
	return b
}

// starts are parameter vectors to search from, the likeliest first.
func (p *problem) starts() [][]float64 {
	prior := make([]float64, len(p.unknowns))
	for i, u := range p.unknowns {
		prior[i] = u.mean
	}
	c := newChart(p, nil)
	u, x := make([]float64, len(prior)), make([]float64, len(prior))
	for i := range u {
		if p.unknowns[i].kind == pathExponent {
			u[i] = c.scores[i].Coordinate(prior[i])
		}
	}
	if c.ref < 0 {
		return [][]float64{prior}
	}
	for z, s := range c.slotOf {
		if s == none || z == int(House) {
			continue
		}
		u[s] = p.shareRead(c.ref, SpaceID(z))
	}
	// a size too large for the fan leaves the house–outside path nothing: take
	// smaller ones
	for range 12 {
		if c.toModel(u, x) {
			return [][]float64{x, prior}
		}
		for i, v := range p.unknowns {
			if v.kind == pathSize && !c.dependent[i] {
				u[i] -= 0.3
			}
		}
	}
	return [][]float64{prior}
}

// shareRead is the logit of a zone's pressure share as read in a hold, or 0.
func (p *problem) shareRead(h int, z SpaceID) float64 {
	hold := &p.model.Holds[h]
	for _, r := range hold.Read {
		v := float64(r.Pressure / hold.House)
		switch {
		case r.Of == z && r.To == House:
			v++
		case r.Of == House && r.To == z:
			v = 1 - v
		case r.Of == z && r.To == Outside:
		case r.Of == Outside && r.To == z:
			v = -v
		default:
			continue
		}
		return logitScale.to(min(max(v, 0.002), 0.998))
	}
	return 0
}

// locate brings the mode into the chart and finds the curvature there. The
// density has its own maximum in the chart, a little off the mode in log sizes;
// Newton steps go to it.
func (post *Posterior) locate(d *density) {
	n := len(post.problem.unknowns)
	post.u = make([]float64, n)
	x := append([]float64(nil), post.Mode.X...)
	for i, u := range post.problem.unknowns {
		if u.kind == pathExponent { // a mode at a bound has no finite score
			x[i] = min(max(x[i], minExponent+0.005), maxExponent-0.005)
		}
	}
	if !d.chart.toChart(x, post.u) {
		clear(post.u)
	}
	grad, step := make([]float64, n), mat.NewVecDense(n, nil)
	value := d.LogDensity(post.u, grad)
	for range 6 {
		post.cov = curvature(d, post.u)
		step.MulVec(post.cov, mat.NewVecDense(n, grad))
		next, size, ok := climb(d, post.u, step, value, grad)
		if !ok {
			break
		}
		value = next
		if size < 0.01 {
			break
		}
	}
}

// climb moves u along step, shortened until the density rises.
func climb(d *density, u []float64, step *mat.VecDense, value float64, grad []float64) (next, size float64, ok bool) {
	trial := make([]float64, len(u))
	for alpha := 1.0; alpha > 0.01; alpha /= 2 {
		for i := range u {
			trial[i] = u[i] + alpha*step.AtVec(i)
		}
		if next = d.LogDensity(trial, grad); next >= value {
			copy(u, trial)
			return next, alpha * mat.Norm(step, math.Inf(1)), true
		}
	}
	d.LogDensity(u, grad)
	return value, 0, false
}

// curvature is the inverse of minus the Hessian of the log density at u. The
// Hessian is the difference of exact gradients: it steers the sampler and
// Newton's steps, and no derivative of a reading comes from it. Directions in
// which the density is not concave are given the width of their prior.
func curvature(d *density, u []float64) *mat.SymDense {
	const h = 1e-4
	n := len(u)
	hess := mat.NewSymDense(n, nil)
	up, down, at := make([]float64, n), make([]float64, n), append([]float64(nil), u...)
	for i := range n {
		at[i] = u[i] + h
		hi := d.LogDensity(at, up)
		at[i] = u[i] - h
		lo := d.LogDensity(at, down)
		at[i] = u[i]
		for j := range n {
			v := 0.0
			if finite(hi) && finite(lo) {
				v = -(up[j] - down[j]) / (2 * h)
			} else if i == j {
				v = 1
			}
			if i == j {
				hess.SetSym(i, i, v)
			} else {
				hess.SetSym(i, j, hess.At(i, j)+v/2)
			}
		}
	}
	return invert(hess)
}

// invert inverts a symmetric matrix with its eigenvalues kept above a floor:
// no coordinate is wider than a few of its prior's standard deviations.
func invert(h *mat.SymDense) *mat.SymDense {
	const floor = 0.03
	n := h.SymmetricDim()
	inv := mat.NewSymDense(n, nil)
	var chol mat.Cholesky
	if chol.Factorize(h) {
		if err := chol.InverseTo(inv); err == nil && maxDiagonal(inv) < 1/floor {
			return inv
		}
	}
	var eig mat.EigenSym
	if !eig.Factorize(h, true) {
		for i := range n {
			inv.SetSym(i, i, 1)
		}
		return inv
	}
	var v mat.Dense
	eig.VectorsTo(&v)
	for k, e := range eig.Values(nil) {
		inv.SymRankOne(inv, 1/math.Max(math.Abs(e), floor), v.ColView(k))
	}
	return inv
}

func maxDiagonal(m *mat.SymDense) float64 {
	largest := 0.0
	for i := range m.SymmetricDim() {
		largest = math.Max(largest, m.At(i, i))
	}
	return largest
}

// seed is the same for the same readings and priors.
func (p *problem) seed() uint64 {
	h := fnv.New64a()
	fmt.Fprintf(h, "%v|%v|%v|%v|%v|%v", p.model.Paths, p.model.Openings, p.model.Calibrations, p.model.CdSDLn, p.model.Air, len(p.model.Spaces))
	for i := range p.model.Holds {
		hold := p.model.Holds[i]
		fan := hold.Fan
		hold.Fan = nil
		fmt.Fprintf(h, "|%v", hold)
		if fan != nil {
			fmt.Fprintf(h, "%v", *fan)
		}
	}
	return h.Sum64()
}

// eachDraw runs visit over the rows, split between workers, each with a probe
// of its own. Rows at which a network cannot be solved are left out: visit is
// not called for them.
func (post *Posterior) eachDraw(rows [][]float64, visit func(i int, p *probe, x []float64)) {
	workers := max(1, min(post.workers, len(rows)/16))
	var wg sync.WaitGroup
	for w := range workers {
		low, high := len(rows)*w/workers, len(rows)*(w+1)/workers
		wg.Add(1)
		go func() {
			defer wg.Done()
			p := newProbe(post.problem)
			for i := low; i < high; i++ {
				if p.at(rows[i]) {
					visit(i, p, rows[i])
				}
			}
		}()
	}
	wg.Wait()
}
