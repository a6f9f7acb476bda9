package zonal

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"holdbook/internal/fit"
)

// objective is the least-squares problem of the posterior: a residual of each reading and
// one of each unknown with a prior, each over its standard deviation. Half the sum of their
// squares is minus the log posterior density.
//
// Its coordinates are the unknowns themselves, or their scores under the priors: an
// unknown less its prior mean over its prior sd, for an exponent the normal score within
// its bounds, and for an unknown without a prior the same with its scale. In scores every
// prior residual is the coordinate itself, and no coordinate has bounds.
type objective struct {
	*evaluator
	scored   bool
	x, slope []float64   // the unknowns, and their derivatives, at the coordinates last looked at
	byX      []float64   // gradient by the unknowns
	anchor   [][]float64 // pressures of each hold at the mode
}

// inUnknowns is the objective as a function of the unknowns.
func inUnknowns(p *problem) *objective { return newObjective(p, false) }

// inScores is the objective as a function of the scores.
func inScores(p *problem) *objective { return newObjective(p, true) }

func newObjective(p *problem, scored bool) *objective {
	n := len(p.unknowns)
	return &objective{evaluator: newEvaluator(p), scored: scored, x: make([]float64, n), slope: make([]float64, n), byX: make([]float64, n)}
}

// Dim is the number of unknowns.
func (s *objective) Dim() int { return len(s.problem.unknowns) }

// Terms is the number of residuals.
func (s *objective) Terms() int { return s.problem.residuals() }

// residuals is the number of residuals: of readings and of priors.
func (p *problem) residuals() int { return len(p.terms) + len(p.unknowns) - p.flat() }

// toModel writes the unknowns at the coordinates u into x.
func (s *objective) toModel(u, x []float64) {
	for i, v := range u {
		if s.scored {
			x[i], s.slope[i] = s.problem.fromScore(i, v)
		} else {
			x[i], s.slope[i] = v, 1
		}
	}
}

// fromScore is unknown i at a score, and its derivative with respect to that.
func (p *problem) fromScore(i int, score float64) (x, slope float64) {
	v := &p.unknowns[i]
	if v.bounded() {
		x, slope, _ = p.scores[i].At(score)
		return x, slope
	}
	return v.mean + v.scale*score, v.scale
}

// toScores are the scores of the unknowns x.
func (p *problem) toScores(x []float64) []float64 {
	u := make([]float64, len(x))
	for i, v := range p.unknowns {
		if v.bounded() {
			u[i] = p.scores[i].Coordinate(x[i])
		} else {
			u[i] = (x[i] - v.mean) / v.scale
		}
	}
	return u
}

// prior is the normal prior of an unknown in the coordinates.
func (s *objective) prior(v *unknown) (mean, sd float64) {
	if s.scored {
		return 0, 1
	}
	return v.mean, v.sd
}

// Evaluate fills the residuals at the coordinates u, those of the readings first, and when
// it is not nil their Jacobian.
func (s *objective) Evaluate(u, residuals []float64, jacobian *mat.Dense) error {
	s.toModel(u, s.x)
	for h := range s.problem.holds {
		if !s.solve(h, s.x) {
			return errNoBalance
		}
	}
	for i := range s.problem.terms { // a reading less that at rest looks at two holds
		residuals[i], _ = s.residual(&s.problem.terms[i], s.x)
	}
	if jacobian != nil {
		for i := range s.problem.terms {
			s.slopes(i, jacobian.RawRowView(i))
		}
	}
	k := len(s.problem.terms)
	for i := range s.problem.unknowns {
		v := &s.problem.unknowns[i]
		if v.sd == 0 {
			continue
		}
		mean, sd := s.prior(v)
		residuals[k] = (u[i] - mean) / sd
		if jacobian != nil {
			row := jacobian.RawRowView(k)
			clear(row)
			row[i] = 1 / sd
		}
		k++
	}
	return nil
}

// LogDensity is minus half the sum of the squared residuals at the coordinates u, with its
// gradient: one adjoint solve a hold. It is −Inf where a hold cannot be solved.
func (s *objective) LogDensity(u, gradient []float64) float64 {
	s.toModel(u, s.x)
	clear(s.byX)
	sum := s.logLikelihood(s.x, s.byX)
	if math.IsInf(sum, -1) || math.IsNaN(sum) {
		return math.Inf(-1)
	}
	for i := range s.problem.unknowns {
		v := &s.problem.unknowns[i]
		gradient[i] = s.byX[i] * s.slope[i]
		if v.sd > 0 {
			mean, sd := s.prior(v)
			r := (u[i] - mean) / sd
			sum -= 0.5 * r * r
			gradient[i] -= r / sd
		}
	}
	return sum
}

// Linearise fills the rows of some readings in the Jacobian at the coordinates last
// evaluated.
func (s *objective) Linearise(jacobian *mat.Dense, rows []int) {
	for _, i := range rows {
		s.slopes(i, jacobian.RawRowView(i))
	}
}

// slopes are the derivatives of the residual of a reading at the coordinates last evaluated.
func (s *objective) slopes(i int, row []float64) {
	clear(row)
	t := &s.problem.terms[i]
	_, slope := s.residual(t, s.x)
	s.gradient(t, s.x, slope, row)
	if !s.scored {
		return
	}
	for j, v := range s.slope {
		row[j] *= v
	}
}

// Nonlinear lists the residuals that are not linear in the scores: all but the priors,
// house pressures and the flows of further fans, which are unknowns themselves.
// Readings of one zone against the house and against outside change in proportion.
func (s *objective) Nonlinear() []fit.NonlinearResidual {
	type zone struct{ hold, space int }
	var list []fit.NonlinearResidual
	first := map[zone]fit.NonlinearResidual{} // of each zone the first reading, with the slope it has in the zone's pressure
	for i := range s.problem.terms {
		t, own := &s.problem.terms[i], fit.NonlinearResidual{Index: i, Base: i, Factor: 1}
		space, slope := zoneRead(s.problem, t)
		switch f, seen := first[zone{t.hold, space}]; {
		case t.kind == houseTerm && t.less < 0, t.kind == sourceTerm:
			continue
		case space >= 0 && seen:
			own.Base, own.Factor = f.Index, slope/f.Factor
		case space >= 0:
			first[zone{t.hold, space}] = fit.NonlinearResidual{Index: i, Factor: slope}
		}
		list = append(list, own)
	}
	return list
}

// zoneRead is the zone whose pressure a term reads against the house or outside, −1 for
// any other term, and the derivative of the residual with respect to that pressure. At rest
// the pressure of the house hangs on everything too.
func zoneRead(p *problem, t *term) (space int, slope float64) {
	switch {
	case t.kind != pressureTerm, t.less >= 0, p.holds[t.hold].rest:
	case t.to <= int(Outside) && t.of > int(Outside):
		return t.of, -1 / t.sd
	case t.of <= int(Outside) && t.to > int(Outside):
		return t.to, 1 / t.sd
	}
	return -1, 0
}

// forDraws prepares the objective for draws about a mode: every hold is solved there as
// closely as ever, its pressures are kept for Reset, and from then on the holds are solved
// as closely as draws need.
func (s *objective) forDraws(mode []float64) *objective {
	s.toModel(mode, s.x)
	for h := range s.problem.holds {
		if !s.solve(h, s.x) {
			s.anchor = nil
			return s
		}
		s.anchor = append(s.anchor, append([]float64(nil), s.nets[h].p...))
		s.nets[h].done, s.nets[h].left = stepDoneOfDraw, leftOfDraw
	}
	return s
}

// Reset puts every network back to the pressures at the mode, so that one draw
// does not depend on another.
func (s *objective) Reset() {
	for h, p := range s.anchor {
		copy(s.nets[h].p, p)
		s.nets[h].warm = true
	}
}

// inRange keeps unknowns off their bounds, where a score is infinite.
func (p *problem) inRange(x []float64) []float64 {
	const margin = 0.005
	y := append([]float64(nil), x...)
	for i, u := range p.unknowns {
		if u.bounded() {
			y[i] = math.Min(math.Max(y[i], u.low+margin), u.high-margin)
		}
	}
	return y
}
