package fit

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/blas"
	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/lapack/lapack64"
	"gonum.org/v1/gonum/mat"
)

// drawSolver solves one perturbed problem after another with buffers of its own.
//
// Only the rows of the residuals that are not linear change, some in proportion to
// others, so with Δ the change of those that stand for all since the mode and W
// their part of (QᵀJ₀)⁻¹Qᵀ,
//
//	QᵀJ = QᵀJ₀(I + WΔ),   det(I + WΔ) = det(I + ΔW),   (I + WΔ)⁻¹ = I − W(I + ΔW)⁻¹Δ,
//
// and whichever of WΔ and ΔW is the smaller matrix is factored. That is done on
// LAPACK's level: gonum's mat would estimate a condition number for every
// factorisation, which costs as much as the solve itself.
type drawSolver struct {
	*linearisation
	p             Problem
	n             int
	res, x, try   []float64
	jac           *mat.Dense
	change        *mat.Dense // Δ, or where it is wide its transpose
	xi, gap, step []float64
	inner         []float64
	a             blas64.General // I + WΔ or I + ΔW, factored in place
	pivot         []int
	evaluated     []float64 // the point at which the problem was last evaluated
}

func newDrawSolver(p Problem, at *linearisation) *drawSolver {
	n, m, nonlinear := p.Dim(), p.Terms(), len(at.nonlinear)
	size := min(n, nonlinear)
	s := &drawSolver{linearisation: at, p: p, n: n, res: make([]float64, m), pivot: make([]int, size),
		x: make([]float64, n), try: make([]float64, n), jac: mat.NewDense(m, n, nil),
		xi: make([]float64, n), gap: make([]float64, n), step: make([]float64, n), inner: make([]float64, nonlinear),
		a: blas64.General{Rows: size, Cols: size, Stride: max(1, size), Data: make([]float64, size*size)}}
	switch {
	case s.wide():
		s.change = mat.NewDense(n, nonlinear, nil)
	case nonlinear > 0:
		s.change = mat.NewDense(nonlinear, n, nil)
	}
	return s
}

const (
	// closeEnough is how near QᵀF must come to ξ. The weight holds at whatever
	// point is reached; the gap only bends the density it assumes, by less than
	// this share.
	closeEnough = 1e-2
	fastEnough  = 0.1 // the share of the gap that a step with old derivatives may leave
	mostSolves  = 40
	leastAlpha  = 1.0 / 64
	armijo      = 0.1
	// streams of random numbers apart from those of the rest of the program
	streamOfDraw   = 1 << 40
	streamOfHalton = 1 << 42
)

// solveDraw solves the perturbed problem of number k; ok is false where it has no
// solution that Newton's method finds.
func (s *drawSolver) solveDraw(seed uint64, k int) (d draw, ok bool) {
	if r, is := s.p.(Resetter); is {
		r.Reset()
	}
	s.points.normals(k, Random(seed, streamOfDraw+uint64(k)), s.xi)
	if !s.start() || !s.newton() {
		return d, false
	}
	d.logWeight = -s.lnDet()
	for _, v := range s.res {
		d.logWeight -= 0.5 * v * v
	}
	for i, g := range s.gap {
		v := g + s.xi[i]
		d.logWeight += 0.5 * v * v
	}
	d.x, d.residuals = slices.Clone(s.x), slices.Clone(s.res)
	return d, finite(d.logWeight)
}

// lnDet is ln |det QᵀJ| less its value at the mode.
func (s *drawSolver) lnDet() float64 {
	sum := 0.0
	for i := range s.a.Rows {
		sum += math.Log(math.Abs(s.a.Data[i*s.a.Stride+i]))
	}
	return sum
}

// start goes to the solution of the linear problem, or as far towards it as the
// residuals exist.
func (s *drawSolver) start() bool {
	for i := range s.gap {
		s.gap[i] = s.xi[i] - s.projected[i]
	}
	blas64.Gemv(blas.NoTrans, 1, s.inverse.RawMatrix(), vector(s.gap), 0, vector(s.step))
	for alpha := 1.0; alpha > leastAlpha; alpha /= 2 {
		for i := range s.x {
			s.x[i] = s.mode[i] + alpha*s.step[i]
		}
		if s.evaluate(s.x) {
			return true
		}
	}
	return false
}

// evaluate finds the residuals and the gap QᵀF − ξ at x.
func (s *drawSolver) evaluate(x []float64) bool {
	s.evaluated = nil
	if s.p.Evaluate(x, s.res, nil) != nil {
		return false
	}
	s.evaluated = x
	copy(s.gap, s.xi)
	blas64.Gemv(blas.Trans, 1, s.q.RawMatrix(), vector(s.res), -1, vector(s.gap))
	return finite(norm(s.gap))
}

func norm(v []float64) float64 {
	return blas64.Nrm2(vector(v))
}

// newton closes the gap by Newton steps, shortened until it shrinks. Derivatives
// cost more than residuals do: those last taken serve as long as they close the
// gap fast.
func (s *drawSolver) newton() bool {
	size, fresh, slow := norm(s.gap), false, true
	for range mostSolves {
		if size < closeEnough {
			return fresh || s.linearise() // for the determinant
		}
		if slow && !fresh {
			if !s.linearise() {
				return false
			}
			fresh = true
		}
		s.solveStep()
		next, ok := s.shorten(size)
		if !ok && fresh {
			return false
		}
		slow = !ok || next > fastEnough*size
		if ok {
			size, fresh = next, false
		}
	}
	return false
}

// linearise factors QᵀJ at x.
func (s *drawSolver) linearise() bool {
	if (s.evaluated == nil || &s.evaluated[0] != &s.x[0]) && !s.evaluate(s.x) {
		return false
	}
	if l, is := s.p.(Lineariser); is {
		l.Linearise(s.jac, s.nonlinear)
	} else if s.p.Evaluate(s.x, s.res, s.jac) != nil {
		return false
	}
	return s.factorise()
}

// factorise factors the change of QᵀJ since the mode.
func (s *drawSolver) factorise() bool {
	if len(s.nonlinear) == 0 {
		return true
	}
	for k, i := range s.nonlinear {
		now, then := s.jac.RawRowView(i), s.jacobian.RawRowView(k)
		for j := range now {
			if s.wide() {
				s.change.Set(j, k, now[j]-then[j])
			} else {
				s.change.Set(k, j, now[j]-then[j])
			}
		}
	}
	clear(s.a.Data)
	left, right := s.change, s.across
	if s.wide() {
		left, right = s.columns, s.change
	}
	// row by row: a product of matrices in one call would start goroutines of its own
	for i := range s.a.Rows {
		row := s.a.Data[i*s.a.Stride:][:s.a.Cols]
		row[i] = 1
		blas64.Gemv(blas.NoTrans, 1, right.RawMatrix(), vector(left.RawRowView(i)), 1, vector(row))
	}
	return lapack64.Getrf(s.a, s.pivot)
}

// solveStep finds Newton's step from the gap, with the factors at hand.
func (s *drawSolver) solveStep() {
	step := vector(s.step)
	blas64.Gemv(blas.NoTrans, 1, s.inverse.RawMatrix(), vector(s.gap), 0, step)
	switch {
	case len(s.nonlinear) == 0:
	case s.wide():
		s.solve(s.step)
	default:
		inner := vector(s.inner)
		blas64.Gemv(blas.NoTrans, 1, s.change.RawMatrix(), step, 0, inner)
		s.solve(s.inner)
		blas64.Gemv(blas.NoTrans, -1, s.columns.RawMatrix(), inner, 1, step)
	}
}

func vector(v []float64) blas64.Vector { return blas64.Vector{N: len(v), Inc: 1, Data: v} }

// solve replaces v by the solution of what was factored.
func (s *drawSolver) solve(v []float64) {
	for i, k := range s.pivot {
		v[i], v[k] = v[k], v[i]
	}
	blas64.Trsv(blas.NoTrans, s.factor(blas.Lower, blas.Unit), vector(v))
	blas64.Trsv(blas.NoTrans, s.factor(blas.Upper, blas.NonUnit), vector(v))
}

func (s *drawSolver) factor(side blas.Uplo, diag blas.Diag) blas64.Triangular {
	return blas64.Triangular{Uplo: side, Diag: diag, N: s.a.Rows, Stride: s.a.Stride, Data: s.a.Data}
}

func (s *drawSolver) shorten(size float64) (float64, bool) {
	for alpha := 1.0; alpha > leastAlpha; alpha /= 2 {
		for i := range s.try {
			s.try[i] = s.x[i] - alpha*s.step[i]
		}
		if !s.evaluate(s.try) {
			continue
		}
		if next := norm(s.gap); next < size*(1-armijo*alpha) {
			s.x, s.try = s.try, s.x
			return next, true
		}
	}
	return size, false
}
