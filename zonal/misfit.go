package zonal

import (
	"math"
	"slices"
)

// Boundary is a leak between two spaces of which a model says nothing.
type Boundary struct {
	A, B   SpaceID
	Model  *Model    // with it
	Misfit float64   // sum of squared residuals at the mode with it
	With   *Estimate // the answer with it
}

// boundaryFall is how much a boundary that nobody spoke of must take from the misfit to be
// named: one good sheet in a thousand falls as much.
const boundaryFall = 10.8

// missing is the boundary whose leak would cure the sheet, nil where none does or a slip
// does nearly as well.
func (j *judge) missing(s *Suspicion, o Options) (*Boundary, error) {
	if j.problem.heavy() {
		return nil, nil
	}
	best := &Boundary{Misfit: math.Min(s.Misfit-boundaryFall, j.problem.linearMisfit(screenLevel, 1))}
	if s.Reading >= 0 || s.Hold >= 0 {
		best.Misfit = math.Min(best.Misfit, s.Explains-clearer)
	}
	found := false
	for b := range unjoined(j.problem.model) {
		b.Model = with(j.problem.model, b)
		post, err := Infer(b.Model, Options{Workers: o.Workers, CurvatureOnly: true})
		if err == nil && post.scores.SumSquares < best.Misfit {
			b.Misfit, found = post.scores.SumSquares, true
			*best = b
		}
	}
	if !found {
		return nil, nil
	}
	var err error
	best.With, err = Solve(best.Model, o)
	return best, err
}

// unjoined are the boundaries of zones that a model has no leak in.
func unjoined(m *Model) func(yield func(Boundary) bool) {
	return func(yield func(Boundary) bool) {
		for b := SpaceID(2); int(b) < len(m.Spaces); b++ {
			for a := range b {
				if m.PathBetween(a, b) < 0 && !yield(Boundary{A: a, B: b}) {
					return
				}
			}
		}
	}
}

// with is a model with one boundary more.
func with(m *Model, b Boundary) *Model {
	more := *m
	more.Paths = slices.Clone(m.Paths)
	if k, err := more.Join(b.A, b.B); err == nil && m.Weather != nil {
		p := &more.Paths[k]
		p.Height, p.HeightSD = m.placed(b.A, b.B, math.Inf(1))
		if p.B == Outside || p.A == House {
			p.Height = max(m.Spaces[b.A].Crossing, m.Spaces[b.B].Crossing)
		}
	}
	return &more
}

// Reconciled is the posterior itself, with the judgement of its readings, or, where they
// disagree by more than their errors and no reading and no hold is to blame, the posterior
// for errors of the readings that are larger by the factor Widened: the root of the misfit
// over what is expected of it. Suspect tells of both the judgement of the errors as stated.
func (post *Posterior) Reconciled(o Options) (*Posterior, error) {
	s, err := post.Suspect(o)
	if err != nil {
		return nil, err
	}
	post.judged = s
	p := post.problem
	factor := s.overdispersion(len(p.terms) - p.flat())
	if factor <= 1 {
		return post, nil
	}
	again := &Posterior{problem: p.inflated(factor, slices.Concat(p.eachTerm()...)), workers: post.workers, seed: post.seed, judged: s, widened: factor}
	return again, again.infer(o)
}

// Widened is the factor by which the errors of the readings were taken larger than stated,
// since they contradict each other; 1 where they do not. See Reconciled.
func (post *Posterior) Widened() float64 { return max(1, post.widened) }

// overdispersion is the factor by which readings miss each other more than their errors
// allow, 1 where they do not or where what is wrong can be named. dof is what is expected of
// the misfit.
func (s *Suspicion) overdispersion(dof int) float64 {
	if !s.Suspect || s.Reading >= 0 || s.Hold >= 0 || dof < 1 {
		return 1
	}
	return math.Sqrt(s.Misfit / float64(dof))
}
