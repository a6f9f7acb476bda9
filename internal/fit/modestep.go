package fit

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/blas"
	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/lapack/lapack64"
	"gonum.org/v1/gonum/mat"
)

// search is the state of one run of Mode: the present point with its
// derivatives, the trial point, and buffers for the linear algebra.
type search struct {
	p      Problem
	o      ModeOptions
	bounds []Bounds
	n      int

	x, r []float64
	jac  *mat.Dense
	cost float64

	xTry, rTry []float64
	jacTry     *mat.Dense

	grad   []float64     // Jᵀr
	normal *mat.SymDense // JᵀJ
	scale  []float64     // D: largest diagonal of JᵀJ so far, fading
	damped *mat.SymDense
	rhs    *mat.VecDense
	step   *mat.VecDense
	fixed  []bool // unknowns whose step is settled by a bound
	chol   cholesky

	lambda, growth float64
	predicted      float64 // fall of the cost that the linear model promises
	iterations     int
}

const (
	firstDamping = 1e-3
	leastDamping = 1e-15
	mostDamping  = 1e15
)

func newSearch(p Problem, start []float64, bounds []Bounds, o ModeOptions) *search {
	n, m := p.Dim(), p.Terms()
	s := &search{p: p, o: o, bounds: bounds, n: n,
		x: make([]float64, n), r: make([]float64, m), jac: mat.NewDense(m, n, nil),
		xTry: make([]float64, n), rTry: make([]float64, m), jacTry: mat.NewDense(m, n, nil),
		grad: make([]float64, n), normal: mat.NewSymDense(n, nil), scale: make([]float64, n),
		damped: mat.NewSymDense(n, nil), rhs: mat.NewVecDense(n, nil), step: mat.NewVecDense(n, nil),
		fixed: make([]bool, n), lambda: firstDamping, growth: 2}
	for i, v := range start {
		s.x[i] = s.clamp(i, v)
	}
	return s
}

func (s *search) clamp(i int, v float64) float64 {
	if s.bounds == nil {
		return v
	}
	return min(s.bounds[i].High, max(s.bounds[i].Low, v))
}

// held reports that unknown i lies on a bound and the cost falls only beyond.
func (s *search) held(i int) bool {
	if s.bounds == nil {
		return false
	}
	b := s.bounds[i]
	return (s.x[i] <= b.Low && s.grad[i] >= 0) || (s.x[i] >= b.High && s.grad[i] <= 0)
}

// fading is what is left of D from one accepted step to the next: a start where the
// derivatives are huge would else hold the whole search to short steps.
const fading = 0.5

// linearise takes gradient and normal matrix at the present point.
func (s *search) linearise() {
	s.normal.SymOuterK(1, s.jac.T())
	clear(s.grad)
	j := s.jac.RawMatrix()
	for k, rk := range s.r {
		row := j.Data[k*j.Stride : k*j.Stride+s.n]
		for i, v := range row {
			s.grad[i] += v * rk
		}
	}
	for i := range s.scale {
		s.scale[i] = max(fading*s.scale[i], s.normal.At(i, i))
	}
}

// gradientSmall is the first-order test, free of the units of the unknowns.
func (s *search) gradientSmall() bool {
	limit := s.o.GradientTolerance * (1 + math.Sqrt(2*s.cost))
	for i, g := range s.grad {
		if d := s.normal.At(i, i); !s.held(i) && math.Abs(g) > limit*math.Sqrt(d) {
			return false
		}
	}
	return true
}

// solveStep solves for the damped step within the bounds. False means that the
// damped matrix cannot be factorised: more damping is needed.
func (s *search) solveStep() bool {
	for i := range s.fixed {
		s.fixed[i] = s.held(i)
		s.step.SetVec(i, 0)
	}
	for range s.n + 1 {
		if !s.solveFree() {
			return false
		}
		if !s.fixCrossing() {
			break
		}
	}
	s.predicted = s.promise()
	return true
}

// solveFree solves for the unknowns that are not fixed, given the steps of
// those that are.
func (s *search) solveFree() bool {
	for i, g := range s.grad {
		s.rhs.SetVec(i, -g)
	}
	for i, f := range s.fixed {
		if !f {
			continue
		}
		for j := range s.n {
			s.rhs.SetVec(j, s.rhs.AtVec(j)-s.normal.At(i, j)*s.step.AtVec(i))
		}
	}
	for i, f := range s.fixed {
		if f {
			s.rhs.SetVec(i, s.step.AtVec(i))
		}
	}
	if !s.factor(s.lambda, s.fixed) {
		return false
	}
	s.chol.solve(s.step, s.rhs)
	return finiteVector(s.step)
}

// factor factorises JᵀJ + λD with the rows of fixed unknowns made trivial.
func (s *search) factor(lambda float64, fixed []bool) bool {
	s.damped.CopySym(s.normal)
	for i := range s.n {
		d := s.scale[i]
		if d == 0 {
			d = 1 // no residual has felt this unknown yet
		}
		s.damped.SetSym(i, i, s.normal.At(i, i)+lambda*d)
	}
	for i, f := range fixed {
		if !f {
			continue
		}
		for j := range s.n {
			s.damped.SetSym(i, j, 0)
		}
		s.damped.SetSym(i, i, 1)
	}
	return s.chol.factorise(s.damped)
}

// factorNormal factorises JᵀJ itself.
func (s *search) factorNormal(fixed []bool) bool { return s.factor(0, fixed) }

// covariance is (JᵀJ)⁻¹, nil where an unknown is felt by no residual.
func (s *search) covariance() *mat.SymDense {
	if !s.factorNormal(nil) {
		return nil
	}
	return s.chol.inverse()
}

// fixCrossing puts the unknowns that the step carries over a bound on it, and
// reports whether there were any.
func (s *search) fixCrossing() bool {
	if s.bounds == nil {
		return false
	}
	crossed := false
	for i, f := range s.fixed {
		to := s.x[i] + s.step.AtVec(i)
		if at := s.clamp(i, to); !f && at != to {
			s.fixed[i], crossed = true, true
			s.step.SetVec(i, at-s.x[i])
		}
	}
	return crossed
}

// promise is the fall of the cost that the linear model predicts for the step.
func (s *search) promise() float64 {
	var lin float64
	for i, g := range s.grad {
		lin += g * s.step.AtVec(i)
	}
	return -lin - mat.Inner(s.step, s.normal, s.step)/2
}

func (s *search) stepTiny() bool {
	var move, size float64
	for i, d := range s.scale {
		v := s.step.AtVec(i)
		move += d * v * v
		size += d * s.x[i] * s.x[i]
	}
	t := s.o.StepTolerance
	return math.Sqrt(move) <= t*(math.Sqrt(size)+t)
}

// try evaluates the trial point. It returns the gain (the real fall of the cost
// over the promised one; not positive where the trial is no better) and the fall.
func (s *search) try() (gain, fall float64) {
	for i := range s.xTry {
		s.xTry[i] = s.moved(i)
	}
	s.iterations++
	if err := s.p.Evaluate(s.xTry, s.rTry, s.jacTry); err != nil {
		return -1, 0
	}
	cost := halfSquares(s.rTry)
	if !finite(cost) || !finiteMatrix(s.jacTry) || !(s.predicted > 0) {
		return -1, 0
	}
	fall = s.cost - cost
	return fall / s.predicted, fall
}

// moved is unknown i after the step: exactly on the bound if that settled the
// step, since a sum may fall a digit short of it.
func (s *search) moved(i int) float64 {
	d := s.step.AtVec(i)
	switch {
	case s.fixed[i] && d > 0:
		return s.bounds[i].High
	case s.fixed[i] && d < 0:
		return s.bounds[i].Low
	}
	return s.clamp(i, s.x[i]+d)
}

// accept moves to the trial point and relaxes the damping by the gain (Nielsen 1999).
func (s *search) accept(gain float64) {
	s.x, s.xTry = s.xTry, s.x
	s.r, s.rTry = s.rTry, s.r
	s.jac, s.jacTry = s.jacTry, s.jac
	s.cost = halfSquares(s.r)
	s.linearise()
	c := 2*min(gain, 2) - 1
	s.lambda = max(leastDamping, s.lambda*max(0.1, 1-c*c*c))
	s.growth = 2
}

// damp asks for a shorter step; false when there is none left.
func (s *search) damp() bool {
	s.lambda *= s.growth
	s.growth *= 2
	return s.lambda < mostDamping
}

// decrement is gᵀ(JᵀJ)⁻¹g over the unknowns not held. Where JᵀJ is singular the
// lightly damped matrix stands in.
func (s *search) decrement() float64 {
	for i, g := range s.grad {
		s.fixed[i] = s.held(i)
		if s.fixed[i] {
			g = 0
		}
		s.rhs.SetVec(i, g)
	}
	const light = 1e-12
	if !s.factorNormal(s.fixed) && !s.factor(light, s.fixed) {
		return math.Inf(1)
	}
	if s.chol.solve(s.step, s.rhs); !finiteVector(s.step) {
		return math.Inf(1)
	}
	return max(0, mat.Dot(s.step, s.rhs))
}

// cholesky is the factor of a symmetric matrix. Unlike mat.Cholesky it does not
// estimate the condition each time, which costs as much as all the rest: a step
// that is no good shows in what it does to the cost.
type cholesky struct{ factor blas64.Triangular }

// factorise overwrites a with its factor; false when a is not positive definite.
func (c *cholesky) factorise(a *mat.SymDense) (ok bool) {
	c.factor, ok = lapack64.Potrf(a.RawSymmetric())
	return ok
}

// solve sets to to A⁻¹·b.
func (c *cholesky) solve(to, b *mat.VecDense) {
	to.CopyVec(b)
	first, second := blas.Trans, blas.NoTrans // A = UᵀU
	if c.factor.Uplo == blas.Lower {
		first, second = second, first
	}
	blas64.Trsv(first, c.factor, to.RawVector())
	blas64.Trsv(second, c.factor, to.RawVector())
}

// inverse is A⁻¹, nil when it has entries that are no numbers.
func (c *cholesky) inverse() *mat.SymDense {
	n := c.factor.N
	out := mat.NewSymDense(n, nil)
	raw := out.RawSymmetric()
	for i := range n {
		copy(raw.Data[i*raw.Stride+i:i*raw.Stride+n], c.factor.Data[i*c.factor.Stride+i:i*c.factor.Stride+n])
	}
	t := blas64.Triangular{Uplo: raw.Uplo, Diag: blas.NonUnit, N: n, Stride: raw.Stride, Data: raw.Data}
	if _, ok := lapack64.Potri(t); !ok {
		return nil
	}
	if slices.ContainsFunc(raw.Data, func(v float64) bool { return !finite(v) }) {
		return nil
	}
	return out
}

func finiteVector(v *mat.VecDense) bool {
	for _, x := range v.RawVector().Data {
		if !finite(x) {
			return false
		}
	}
	return true
}
