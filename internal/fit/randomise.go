package fit

import (
	"errors"
	"fmt"
	"math"
	"runtime"
	"slices"

	"gonum.org/v1/gonum/blas"
	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/lapack/lapack64"
	"gonum.org/v1/gonum/mat"
)

// RandomiseOptions tunes Randomise; zero fields take the defaults.
type RandomiseOptions struct {
	Seed      uint64  // the same seed gives the same draws
	Block     int     // most draws made between two looks at the weights; default 2·Target
	MaxDraws  int     // default 15·Target
	Target    float64 // effective draws wanted; default 400
	Workers   int     // goroutines; default GOMAXPROCS
	LeastEach float64 // effective fraction below which it gives up after Block draws; default 0.02
	// Matter is how much each unknown matters to what is asked, per unit; default
	// all alike. Directions that matter most are filled most evenly.
	Matter []float64
	// Settle are unknowns whose 90 % intervals must have ends that are known, within
	// SettleError of the width (one standard error, as of independent draws), before it
	// stops at the target; it gives that three times the draws the target needs at least.
	Settle      []int
	SettleError float64 // default 0.025
}

// Rewinder is a Problem that starts each evaluation from what it found in the
// last one. Rewind brings it to a state of its own, so that a draw does not
// depend on which draws were made before it.
type Rewinder interface{ Rewind() }

// PartlyLinear is a Problem some of whose residuals are linear in the unknowns,
// such as priors. Bent lists the others: only their rows of the Jacobian change
// from point to point.
type PartlyLinear interface{ Bent() []Bend }

// Bend is a residual that is not linear. Residuals that make a linear one together,
// such as two readings of one pressure against different references, bend alike:
// their rows of the Jacobian change in proportion, and one stands for all.
type Bend struct {
	Residual int
	Like     int     // the residual, listed before, that stands for it; itself where there is none
	Times    float64 // how many times the changes of Like its own are
}

// Lineariser is a Problem that can give rows of the Jacobian at the point it was last
// evaluated at without evaluating it again. It leaves the other rows as they are.
type Lineariser interface {
	Linearise(jacobian *mat.Dense, rows []int)
}

// Randomised are weighted draws from a posterior.
type Randomised struct {
	X         [][]float64 // one row a draw
	Residuals [][]float64 // of the problem at each draw
	Weights   []float64   // their sum is one
	Effective float64     // effective number of draws, 1/Σ weight²
	Lost      int         // perturbations for which no solution was found
	Status    Status
}

// Randomise draws from the posterior exp(−½|F(x)|²) of a least-squares problem
// F, priors among its residuals, by solving perturbed problems (randomise, then
// optimise: Bardsley, Solonen, Haario and Laine 2014). With Q an orthonormal
// basis of the columns of the Jacobian at the mode, each draw solves
//
//	Qᵀ F(x) = ξ,   ξ standard normal,
//
// and is weighted by the posterior over the density that this gives it,
//
//	w = exp(½|QᵀF|² − ½|F|²) / |det QᵀJ(x)|.
//
// For a linear problem all weights are equal. Each draw is solved for on its own,
// and so follows a curved ridge of the posterior. The ξ are points of a randomised
// Halton sequence, which fill the directions that matter more evenly than
// independent ones would: the same number tells quantiles up to twice as well.
// Weights above √n times their mean are cut (Ionides 2008).
//
// The equations must have one solution: what lies beyond a fold of QᵀF, such as a
// second mode, is missed. F must be smooth, with as many residuals as unknowns at least, and x
// unbounded; coordinates that are normal scores under their priors serve best.
// Status is Sampled when Target effective draws were reached, else
// TooFewEffective; the weights are then cut until no draw has more than 1/√n of them
// all, for an interval out of one draw would look sure. Effective is that before.
func Randomise(newProblem func() Problem, mode []float64, o RandomiseOptions) (Randomised, error) {
	o = o.withDefaults()
	basis, err := newBasis(newProblem(), mode, o)
	if err != nil {
		return Randomised{}, err
	}
	solvers := make([]*perturbed, o.Workers)
	for i := range solvers {
		solvers[i] = newPerturbed(newProblem(), basis)
	}
	var all drawList
	for count := min(o.Block, int(math.Ceil(o.Target))); ; {
		all.extend(solvers, o.Seed, min(count, o.MaxDraws-len(all)))
		res := all.weigh()
		count = o.next(len(all), res.Effective)
		enough := res.Effective >= o.Target
		if enough && len(all) < o.most() {
			if e := res.endError(o.Settle); e > o.SettleError {
				count = min(o.most()-len(all), o.more(len(all), e))
				continue
			}
		}
		hopeless := len(all) >= o.Block && res.Effective < o.LeastEach*float64(len(all))
		if enough || hopeless || len(all) >= o.MaxDraws {
			if res.Status = Sampled; !enough {
				res.Status = TooFewEffective
				res.level()
			}
			return res, nil
		}
	}
}

// next is how many more draws the target is likely to need, as one block.
func (o RandomiseOptions) next(made int, effective float64) int {
	const spare, least = 1.03, 1.0 / 16
	if !(effective > 0) {
		return o.Block
	}
	need := (spare*o.Target/effective - 1) * float64(made)
	return int(math.Ceil(max(least*float64(o.Block), min(float64(o.Block), need))))
}

// most is how many draws are made for the sake of the ends of intervals.
func (o RandomiseOptions) most() int { return min(o.MaxDraws, 3*int(math.Ceil(o.Target))) }

// more is how many more draws bring an end's error e to what is asked.
func (o RandomiseOptions) more(made int, e float64) int {
	need := (e*e/(o.SettleError*o.SettleError) - 1) * float64(made)
	return int(math.Ceil(max(o.Target/8, min(3*o.Target, need))))
}

func (o RandomiseOptions) withDefaults() RandomiseOptions {
	if !(o.Target > 0) {
		o.Target = 400
	}
	if o.Block < 1 {
		o.Block = int(math.Ceil(2 * o.Target))
	}
	if o.MaxDraws < 1 {
		o.MaxDraws = int(15 * o.Target)
	}
	if o.Workers < 1 {
		o.Workers = runtime.GOMAXPROCS(0)
	}
	if o.LeastEach <= 0 {
		o.LeastEach = 0.02
	}
	if !(o.SettleError > 0) {
		o.SettleError = 0.025
	}
	return o
}

// basis is the linearisation at the mode that all draws share.
type basis struct {
	mode []float64
	q    *mat.Dense // terms × unknowns, orthonormal columns, the loosest direction first
	back *mat.Dense // (QᵀJ)⁻¹ at the mode
	rest []float64  // Qᵀ F(mode)
	even *halton

	bent  []int      // residuals that are not linear, one of those that bend alike
	slope *mat.Dense // their rows of the Jacobian at the mode
	into  *mat.Dense // back·Qᵀ, their columns, with those of what bends alike
}

func newBasis(p Problem, mode []float64, o RandomiseOptions) (*basis, error) {
	n, m := p.Dim(), p.Terms()
	if len(mode) != n || n < 1 || m < n {
		return nil, fmt.Errorf("randomise: %d unknowns, %d terms and a mode of %d", n, m, len(mode))
	}
	res, jac := make([]float64, m), mat.NewDense(m, n, nil)
	if err := p.Evaluate(mode, res, jac); err != nil {
		return nil, fmt.Errorf("randomise: the mode has no residuals: %w", err)
	}
	if !finiteMatrix(jac) {
		return nil, errors.New("randomise: the derivatives at the mode are not finite")
	}
	b := &basis{mode: mode, q: mat.NewDense(m, n, nil), back: mat.NewDense(n, n, nil), rest: make([]float64, n), even: newHalton(o.Seed, n)}
	if err := b.turn(jac, o.Matter); err != nil {
		return nil, err
	}
	mat.NewVecDense(n, b.rest).MulVec(b.q.T(), mat.NewVecDense(m, res))
	b.bend(p, jac)
	return b, nil
}

// bend keeps what is needed of the residuals that are not linear.
func (b *basis) bend(p Problem, jac *mat.Dense) {
	bends := bendsOf(p)
	column := map[int]int{}
	for _, d := range bends {
		if d.Like == d.Residual {
			column[d.Residual] = len(b.bent)
			b.bent = append(b.bent, d.Residual)
		}
	}
	if len(b.bent) == 0 {
		return
	}
	b.slope, b.into = mat.NewDense(len(b.bent), len(b.mode), nil), mat.NewDense(len(b.mode), len(b.bent), nil)
	for k, i := range b.bent {
		b.slope.SetRow(k, jac.RawRowView(i))
	}
	for _, d := range bends {
		var own mat.VecDense
		own.MulVec(b.back, b.q.RowView(d.Residual))
		all := b.into.ColView(column[d.Like]).(*mat.VecDense)
		all.AddScaledVec(all, d.Times, &own)
	}
}

// bendsOf are the residuals of a problem that are not linear.
func bendsOf(p Problem) (list []Bend) {
	if l, is := p.(PartlyLinear); is {
		return l.Bent()
	}
	for i := range p.Terms() {
		list = append(list, Bend{i, i, 1})
	}
	return list
}

// perturbed solves one perturbed problem after another with buffers of its own.
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
type perturbed struct {
	*basis
	p             Problem
	n             int
	res, x, try   []float64
	jac           *mat.Dense
	change        *mat.Dense // Δ
	xi, gap, step []float64
	inner         []float64
	a             blas64.General // I + WΔ or I + ΔW, factored in place
	pivot         []int
	at            []float64 // where the problem was last evaluated
}

func newPerturbed(p Problem, b *basis) *perturbed {
	n, m, bent := p.Dim(), p.Terms(), len(b.bent)
	size := min(n, bent)
	s := &perturbed{basis: b, p: p, n: n, res: make([]float64, m), pivot: make([]int, size),
		x: make([]float64, n), try: make([]float64, n), jac: mat.NewDense(m, n, nil),
		xi: make([]float64, n), gap: make([]float64, n), step: make([]float64, n), inner: make([]float64, bent),
		a: blas64.General{Rows: size, Cols: size, Stride: max(1, size), Data: make([]float64, size*size)}}
	if bent > 0 {
		s.change = mat.NewDense(bent, n, nil)
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
	leastStep   = 1.0 / 64
	armijo      = 0.1
	// streams of random numbers apart from those of the rest of the program
	streamOfDraw   = 1 << 40
	streamOfHalton = 1 << 42
)

// draw solves the perturbed problem of number k; ok is false where it has no
// solution that Newton's method finds.
func (s *perturbed) draw(seed uint64, k int) (d drawn, ok bool) {
	if r, is := s.p.(Rewinder); is {
		r.Rewind()
	}
	s.even.normals(k, Random(seed, streamOfDraw+uint64(k)), s.xi)
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
func (s *perturbed) lnDet() float64 {
	sum := 0.0
	for i := range s.a.Rows {
		sum += math.Log(math.Abs(s.a.Data[i*s.a.Stride+i]))
	}
	return sum
}

// start goes to the solution of the linear problem, or as far towards it as the
// residuals exist.
func (s *perturbed) start() bool {
	for i := range s.gap {
		s.gap[i] = s.xi[i] - s.rest[i]
	}
	blas64.Gemv(blas.NoTrans, 1, s.back.RawMatrix(), vector(s.gap), 0, vector(s.step))
	for share := 1.0; share > leastStep; share /= 2 {
		for i := range s.x {
			s.x[i] = s.mode[i] + share*s.step[i]
		}
		if s.evaluate(s.x) {
			return true
		}
	}
	return false
}

// evaluate finds the residuals and the gap QᵀF − ξ at x.
func (s *perturbed) evaluate(x []float64) bool {
	s.at = nil
	if s.p.Evaluate(x, s.res, nil) != nil {
		return false
	}
	s.at = x
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
func (s *perturbed) newton() bool {
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
func (s *perturbed) linearise() bool {
	if (s.at == nil || &s.at[0] != &s.x[0]) && !s.evaluate(s.x) {
		return false
	}
	if l, is := s.p.(Lineariser); is {
		l.Linearise(s.jac, s.bent)
	} else if s.p.Evaluate(s.x, s.res, s.jac) != nil {
		return false
	}
	return s.factorise()
}

// factorise factors the change of QᵀJ since the mode.
func (s *perturbed) factorise() bool {
	if len(s.bent) == 0 {
		return true
	}
	for k, i := range s.bent {
		row, now, then := s.change.RawRowView(k), s.jac.RawRowView(i), s.slope.RawRowView(k)
		for j := range row {
			row[j] = now[j] - then[j]
		}
	}
	clear(s.a.Data)
	for i := range s.a.Rows {
		s.a.Data[i*s.a.Stride+i] = 1
	}
	left, right := s.change, s.into
	if len(s.bent) > s.n {
		left, right = right, left
	}
	blas64.Gemm(blas.NoTrans, blas.NoTrans, 1, left.RawMatrix(), right.RawMatrix(), 1, s.a)
	return lapack64.Getrf(s.a, s.pivot)
}

// solveStep finds Newton's step from the gap, with the factors at hand.
func (s *perturbed) solveStep() {
	step := vector(s.step)
	blas64.Gemv(blas.NoTrans, 1, s.back.RawMatrix(), vector(s.gap), 0, step)
	switch {
	case len(s.bent) == 0:
	case len(s.bent) > s.n:
		s.solve(s.step)
	default:
		inner := vector(s.inner)
		blas64.Gemv(blas.NoTrans, 1, s.change.RawMatrix(), step, 0, inner)
		s.solve(s.inner)
		blas64.Gemv(blas.NoTrans, -1, s.into.RawMatrix(), inner, 1, step)
	}
}

func vector(v []float64) blas64.Vector { return blas64.Vector{N: len(v), Inc: 1, Data: v} }

// solve replaces v by the solution of what was factored.
func (s *perturbed) solve(v []float64) {
	for i, k := range s.pivot {
		v[i], v[k] = v[k], v[i]
	}
	blas64.Trsv(blas.NoTrans, s.factor(blas.Lower, blas.Unit), vector(v))
	blas64.Trsv(blas.NoTrans, s.factor(blas.Upper, blas.NonUnit), vector(v))
}

func (s *perturbed) factor(side blas.Uplo, diag blas.Diag) blas64.Triangular {
	return blas64.Triangular{Uplo: side, Diag: diag, N: s.a.Rows, Stride: s.a.Stride, Data: s.a.Data}
}

func (s *perturbed) shorten(size float64) (float64, bool) {
	for share := 1.0; share > leastStep; share /= 2 {
		for i := range s.try {
			s.try[i] = s.x[i] - share*s.step[i]
		}
		if !s.evaluate(s.try) {
			continue
		}
		if next := norm(s.gap); next < size*(1-armijo*share) {
			s.x, s.try = s.try, s.x
			return next, true
		}
	}
	return size, false
}
