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
	anchor   [][]float64 // pressures of each hold at the mode
}

// inUnknowns is the objective as a function of the unknowns.
func inUnknowns(p *problem) *objective { return newObjective(p, false) }

// inScores is the objective as a function of the scores.
func inScores(p *problem) *objective { return newObjective(p, true) }

func newObjective(p *problem, scored bool) *objective {
	n := len(p.unknowns)
	return &objective{evaluator: newEvaluator(p), scored: scored, x: make([]float64, n), slope: make([]float64, n)}
}

// Dim is the number of unknowns.
func (s *objective) Dim() int { return len(s.problem.unknowns) }

// Terms is the number of residuals.
func (s *objective) Terms() int { return s.problem.residuals() }

// residuals is the number of residuals: of readings and of priors.
func (p *problem) residuals() int { return len(p.terms) + len(p.unknowns) - p.flat() }

// toModel writes the unknowns at the coordinates u into x.
func (s *objective) toModel(u, x []float64) {
	for i, v := range s.problem.unknowns {
		switch {
		case !s.scored:
			x[i], s.slope[i] = u[i], 1
		case v.kind == pathExponent:
			x[i], s.slope[i], _ = s.problem.scores[i].At(u[i])
		case v.sd > 0:
			x[i], s.slope[i] = v.mean+v.sd*u[i], v.sd
		default:
			x[i], s.slope[i] = v.mean+v.scale*u[i], v.scale
		}
	}
}

// toScores are the scores of the unknowns x.
func (p *problem) toScores(x []float64) []float64 {
	u := make([]float64, len(x))
	for i, v := range p.unknowns {
		switch {
		case v.kind == pathExponent:
			u[i] = p.scores[i].Coordinate(x[i])
		case v.sd > 0:
			u[i] = (x[i] - v.mean) / v.sd
		default:
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
		for _, i := range s.problem.holds[h].terms {
			residuals[i], _ = s.residual(&s.problem.terms[i], s.x)
		}
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
		space, slope := t.zoneRead()
		switch f, seen := first[zone{t.hold, space}]; {
		case t.kind == houseTerm || t.kind == sourceTerm:
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
// any other term, and the derivative of the residual with respect to that pressure.
func (t *term) zoneRead() (space int, slope float64) {
	switch {
	case t.kind != pressureTerm:
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
		s.nets[h].done = stepDoneOfDraw
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

// inRange keeps exponents off their bounds, where a score is infinite.
func (p *problem) inRange(x []float64) []float64 {
	const margin = 0.005
	y := append([]float64(nil), x...)
	for i, u := range p.unknowns {
		if u.kind == pathExponent {
			y[i] = math.Min(math.Max(y[i], minExponent+margin), maxExponent-margin)
		}
	}
	return y
}
