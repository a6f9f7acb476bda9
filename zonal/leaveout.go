package zonal

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"

	"holdbook/internal/fit"
	"holdbook/units"
)

// leftOut is the mode without some readings.
type leftOut struct {
	problem    *problem
	x          []float64 // scores; nil where the mode was not sought anew
	sumSquares float64
	// Of a lone reading: (read − expected) and the variance of what is expected, by its
	// own sd and without it.
	residual, variance float64
	ok                 bool
}

// mostWork bounds what is done to judge a sheet, in readings times the square of the
// unknowns: five zones in five holds. Beyond, a step of Newton's method from the mode with
// all readings stands for the mode without some, which would be sought once for each of
// hundreds of readings; it is sought for the few without which the rest fits best.
const (
	mostWork  = 2e5
	soughtFew = 3
)

// heavy tells whether the mode without each reading is too much to ask.
func (p *problem) heavy() bool {
	d := float64(len(p.unknowns))
	return float64(len(p.terms))*d*d > mostWork
}

// leaveOut finds the mode without each set of readings, from the mode with all.
func (j *judge) leaveOut(sets [][]int) []leftOut {
	out := make([]leftOut, len(sets))
	which := make([]int, len(sets))
	for k := range which {
		which[k] = k
	}
	if j.problem.heavy() {
		out = j.leaveOutByAStep(sets)
		slices.SortStableFunc(which, func(i, j int) int { return cmp.Compare(out[i].sumSquares, out[j].sumSquares) })
		which = which[:min(soughtFew, len(which))]
	}
	j.post.workers.each(len(which), func(i int) {
		k := which[i]
		if left := j.problem.leaveOut(j.post.scores.X, sets[k]); left.ok || !out[k].ok {
			out[k] = left
		}
	})
	return out
}

// leaveOut seeks the mode without some readings from the scores start.
func (p *problem) leaveOut(start []float64, terms []int) leftOut {
	left := leftOut{problem: p.inflated(removed, terms)}
	s := inScores(left.problem)
	res, err := fit.Mode(s, start, nil, fit.ModeOptions{MaxIterations: 60})
	if err != nil || res.Covariance == nil {
		return left
	}
	left.x, left.sumSquares, left.ok = res.X, res.SumSquares, true
	if len(terms) > 1 {
		return left
	}
	i := terms[0]
	residuals, jacobian, err := linearised(s, res.X)
	if err != nil {
		left.ok = false
		return left
	}
	row := mat.NewVecDense(s.Dim(), jacobian.RawRowView(i))
	left.residual = residuals[i] * removed
	left.variance = math.Max(mat.Inner(row, res.Covariance, row)*removed*removed, 0)
	return left
}

// linearised are the residuals at the coordinates u, with their Jacobian.
func linearised(s *objective, u []float64) ([]float64, *mat.Dense, error) {
	residuals, jacobian := make([]float64, s.Terms()), mat.NewDense(s.Terms(), s.Dim(), nil)
	return residuals, jacobian, s.Evaluate(u, residuals, jacobian)
}

// leaveOutByAStep takes the residuals for straight lines about the mode with all readings.
// With the hat matrix H = J·C·Jᵀ of the set, its residuals r grow to (I − H)⁻¹r without it,
// and the sum of squares falls by rᵀ(I − H)⁻¹r (Cook and Weisberg 1982, Residuals and
// Influence in Regression, 2.2, from memory). A direction that nothing but the set holds
// has no residual, and stays out of the inverse.
func (j *judge) leaveOutByAStep(sets [][]int) []leftOut {
	out := make([]leftOut, len(sets))
	residuals, jacobian, err := linearised(inScores(j.problem), j.post.scores.X)
	if err != nil {
		return out
	}
	_, dim := jacobian.Dims()
	j.post.workers.each(len(sets), func(k int) {
		n := len(sets[k])
		rows, r := mat.NewDense(n, dim, nil), mat.NewVecDense(n, nil)
		for at, i := range sets[k] {
			rows.SetRow(at, jacobian.RawRowView(i))
			r.SetVec(at, residuals[i])
		}
		var half, hat mat.Dense
		half.Mul(rows, j.post.scores.Covariance)
		hat.Mul(&half, rows.T())
		grown, ok := growth(&hat, r)
		const least = 1e-12
		out[k] = leftOut{sumSquares: j.post.scores.SumSquares - mat.Dot(r, grown), residual: grown.AtVec(0),
			variance: hat.At(0, 0) / math.Max(1-hat.At(0, 0), least), ok: ok}
	})
	return out
}

// growth is (I − H)⁻¹r, left out what H holds alone.
func growth(hat *mat.Dense, r *mat.VecDense) (*mat.VecDense, bool) {
	const alone = 1e-9
	n := r.Len()
	left, out := mat.NewSymDense(n, nil), mat.NewVecDense(n, nil)
	for i := range n {
		for j := i; j < n; j++ {
			left.SetSym(i, j, -hat.At(i, j))
		}
		left.SetSym(i, i, 1-hat.At(i, i))
	}
	var eigen mat.EigenSym
	if !eigen.Factorize(left, true) {
		return out, false
	}
	var v mat.Dense
	eigen.VectorsTo(&v)
	for i, value := range eigen.Values(nil) {
		if value > alone {
			out.AddScaledVec(out, mat.Dot(v.ColView(i), r)/value, v.ColView(i))
		}
	}
	return out, true
}

// inflated is the problem with the errors of some readings larger by a factor.
func (p *problem) inflated(factor float64, terms []int) *problem {
	q := *p
	q.terms = slices.Clone(p.terms)
	for _, i := range terms {
		q.terms[i].sd *= factor
	}
	return &q
}

// check compares reading i with what the mode without it says.
func (j *judge) check(i int, left leftOut) Check {
	c := Check{Reading: i}
	if !left.ok {
		return c
	}
	total := math.Sqrt(1 + left.variance)
	c.Off = left.residual / total
	c.Checkable = left.variance < checkableSD*checkableSD
	c.Expected = j.problem.terms[i].expected(left.residual, total)
	return c
}

// confirmDraws are the effective draws a suspicion is confirmed with.
const confirmDraws = 200

// confirm looks again at a reading that is far off by curvature, which may
// mislead where the others say little of it: off then follows from the tail
// probability of the reading over draws of the posterior without it.
func (j *judge) confirm(c Check, left leftOut) Check {
	if math.Abs(c.Off) < offLimit999 || left.x == nil {
		return c
	}
	again := &Posterior{problem: left.problem, workers: j.post.workers, seed: j.post.seed}
	if again.infer(Options{Draws: confirmDraws, rough: true}) != nil {
		return c
	}
	t := &j.problem.terms[c.Reading]
	rows, weights := again.rows()
	below, total := 0.0, 0.0
	for k, v := range again.values([]quantity{left.problem.predicted(c.Reading)}, rows)[0] {
		if !units.Finite(v) {
			continue
		}
		z := (t.read - v) / t.sd
		if t.isFlow() {
			ln, _ := lnRatio(t.read / v)
			z = ln / t.sd
		}
		below += weights[k] * distuv.UnitNormal.CDF(z)
		total += weights[k]
	}
	if total > 0 {
		const edge = 1e-12
		c.Off = fit.NormalQuantile(min(max(below/total, edge), 1-edge))
	}
	return c
}
