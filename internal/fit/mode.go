package fit

import (
	"errors"
	"fmt"

	"gonum.org/v1/gonum/mat"
)

// Problem states a least-squares problem by its residuals, each divided by its
// standard deviation, prior terms among them.
type Problem interface {
	Dim() int   // number of unknowns
	Terms() int // number of residuals
	// Evaluate writes the residuals at x and, unless jacobian is nil, their
	// derivatives: Terms rows, Dim columns, every element set. An error means that x has no residuals;
	// the search then takes a shorter step.
	Evaluate(x, residuals []float64, jacobian *mat.Dense) error
}

// Bounds keeps one unknown between Low and High; ±Inf for no bound.
type Bounds struct{ Low, High float64 }

// ModeOptions tunes the search; zero fields take the defaults.
type ModeOptions struct {
	MaxIterations     int     // evaluations after the first; default 200
	GradientTolerance float64 // on |∂cost/∂xᵢ|/‖column i of J‖ against 1+‖residuals‖; default 1e-9
	StepTolerance     float64 // on the step against x, each in units of its column; default 1e-10
	CostTolerance     float64 // on the relative fall of the cost; default 1e-14
}

// ModeResult is where the search ended.
type ModeResult struct {
	X          []float64
	Residuals  []float64
	SumSquares float64 // of the residuals; minus twice the log density at X
	// Covariance is the inverse of JᵀJ at X over all unknowns, as though none
	// were at its bound; nil where JᵀJ is singular.
	Covariance *mat.SymDense
	AtBound    []bool // unknowns held by a bound at X
	Iterations int    // evaluations after the first
	// Decrement is gᵀ(JᵀJ)⁻¹g over the unknowns not held: the square of the
	// distance that Newton's step would still go, in standard deviations.
	Decrement float64
	Status    Status
}

// Mode minimises half the sum of the squared residuals from start, within the
// bounds (nil for none), by the method of Levenberg and Marquardt: each step
// solves (JᵀJ + λD)s = −Jᵀr, D the diagonal of JᵀJ or, where it was larger, half of the D
// before. Unknowns that the step would carry over a bound are set on it and the step of
// the others is solved again.
//
// The error tells of input that cannot be used, or of a start that has no
// residuals. A search that did not converge is told by Status alone: test it.
func Mode(p Problem, start []float64, bounds []Bounds, o ModeOptions) (ModeResult, error) {
	if err := checkMode(p, start, bounds); err != nil {
		return ModeResult{}, err
	}
	s := newSearch(p, start, bounds, o.withDefaults())
	if err := p.Evaluate(s.x, s.r, s.jac); err != nil {
		return ModeResult{}, fmt.Errorf("search for the mode: the start has no residuals: %w", err)
	}
	if s.cost = halfSquares(s.r); !finite(s.cost) || !finiteMatrix(s.jac) {
		return ModeResult{}, errors.New("search for the mode: the residuals at the start are not finite")
	}
	return s.result(s.run()), nil
}

func (o ModeOptions) withDefaults() ModeOptions {
	if o.MaxIterations <= 0 {
		o.MaxIterations = 200
	}
	if o.GradientTolerance <= 0 {
		o.GradientTolerance = 1e-9
	}
	if o.StepTolerance <= 0 {
		o.StepTolerance = 1e-10
	}
	if o.CostTolerance <= 0 {
		o.CostTolerance = 1e-14
	}
	return o
}

func checkMode(p Problem, start []float64, bounds []Bounds) error {
	n, m := p.Dim(), p.Terms()
	if n < 1 || m < 1 {
		return fmt.Errorf("search for the mode: %d unknowns and %d terms; one of each at least", n, m)
	}
	if len(start) != n || (bounds != nil && len(bounds) != n) {
		return fmt.Errorf("search for the mode: %d unknowns, but %d starts and %d bounds", n, len(start), len(bounds))
	}
	for i, v := range start {
		if !finite(v) {
			return fmt.Errorf("search for the mode: start %d is not finite", i+1)
		}
		if bounds != nil && !(bounds[i].Low <= bounds[i].High) {
			return fmt.Errorf("search for the mode: bounds %d are empty", i+1)
		}
	}
	return nil
}

// run steps until something is decided. A vanishing step counts as convergence
// only where the curvature agrees, since heavy damping, or bounds met in the wrong
// order, make any step small; otherwise the search goes on with more damping.
func (s *search) run() Status {
	s.linearise()
	for s.iterations < s.o.MaxIterations {
		if s.gradientSmall() {
			return GradientConvergence
		}
		if !s.solveStep() {
			if !s.damp() {
				return Stalled
			}
			continue
		}
		tiny := s.stepTiny()
		gain, fall := s.try()
		switch {
		case gain > 0:
			s.accept(gain)
			small := s.o.CostTolerance * s.cost
			if fall <= small && s.predicted <= small && s.confirmed() {
				return CostConvergence
			}
			if tiny && s.confirmed() {
				return StepConvergence
			}
		case tiny && s.confirmed():
			return StepConvergence
		case !s.damp():
			return Stalled
		}
	}
	return IterationLimit
}

// confirmed reports that Newton's step would go next to nowhere.
func (s *search) confirmed() bool {
	const limit = 1e-8
	return s.decrement() <= limit*(1+2*s.cost)
}

func (s *search) result(status Status) ModeResult {
	res := ModeResult{X: s.x, Residuals: s.r, SumSquares: 2 * s.cost, Iterations: s.iterations,
		AtBound: make([]bool, s.n), Decrement: s.decrement(), Status: status}
	for i := range res.AtBound {
		res.AtBound[i] = s.held(i)
	}
	res.Covariance = s.covariance()
	return res
}

func halfSquares(r []float64) float64 {
	var sum float64
	for _, v := range r {
		sum += v * v
	}
	return sum / 2
}

func finiteMatrix(m *mat.Dense) bool {
	for _, v := range m.RawMatrix().Data {
		if !finite(v) {
			return false
		}
	}
	return true
}
