package zonal

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"holdbook/internal/fit"
)

// scored is the least-squares problem of the posterior in coordinates that are
// scores under the priors: an unknown less its prior mean over its prior sd,
// for an exponent the normal score within its bounds, and for an unknown
// without a prior the same with its scale. Every prior residual is then the
// coordinate itself, and no coordinate has bounds.
type scored struct {
	*evaluator
	x, slope []float64
	anchor   [][]float64 // pressures of each hold at the mode
}

func newScored(p *problem) *scored {
	n := len(p.unknowns)
	return &scored{evaluator: newEvaluator(p), x: make([]float64, n), slope: make([]float64, n)}
}

// toModel writes the parameters at the scores u into x.
func (s *scored) toModel(u, x []float64) {
	for i, v := range s.unknowns {
		switch {
		case v.kind == pathExponent:
			x[i], s.slope[i], _ = s.scores[i].At(u[i])
		case v.sd > 0:
			x[i], s.slope[i] = v.mean+v.sd*u[i], v.sd
		default:
			x[i], s.slope[i] = v.mean+v.scale*u[i], v.scale
		}
	}
}

// toScores is the inverse of toModel.
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

// Evaluate fills the residuals at the scores u and, when it is not nil, their
// Jacobian.
func (s *scored) Evaluate(u, residuals []float64, jacobian *mat.Dense) error {
	s.toModel(u, s.x)
	if err := s.evaluator.Evaluate(s.x, residuals, nil); err != nil {
		return err
	}
	k := len(s.terms)
	for i, v := range s.unknowns {
		if v.sd > 0 {
			residuals[k] = u[i]
			k++
		}
	}
	if jacobian != nil {
		s.linearise(jacobian)
	}
	return nil
}

// linearise fills the Jacobian at the scores last evaluated.
func (s *scored) linearise(jacobian *mat.Dense) {
	for i := range s.terms {
		s.slopes(i, jacobian.RawRowView(i))
	}
	k := len(s.terms)
	for i, v := range s.unknowns {
		if v.sd > 0 {
			row := jacobian.RawRowView(k)
			clear(row)
			row[i] = 1
			k++
		}
	}
}

// Linearise fills the rows of some readings in the Jacobian at the scores last
// evaluated.
func (s *scored) Linearise(jacobian *mat.Dense, rows []int) {
	for _, i := range rows {
		s.slopes(i, jacobian.RawRowView(i))
	}
}

// slopes are the derivatives of the residual of a reading.
func (s *scored) slopes(i int, row []float64) {
	s.evaluator.slopes(i, s.x, row)
	for j, v := range s.slope {
		row[j] *= v
	}
}

// Bent lists the residuals that are not linear in the scores: all but the priors,
// house pressures and the flows of further fans, which are unknowns themselves.
// Readings of one zone against the house and against outside bend alike.
func (s *scored) Bent() []fit.Bend {
	type zone struct{ hold, space int }
	var list []fit.Bend
	first := map[zone]fit.Bend{} // of each zone the first reading, with the slope it has in the zone's pressure
	for i := range s.terms {
		t, own := &s.terms[i], fit.Bend{Residual: i, Like: i, Times: 1}
		space, slope := t.zoneRead()
		switch f, seen := first[zone{t.hold, space}]; {
		case t.kind == houseTerm || t.kind == sourceTerm:
			continue
		case space >= 0 && seen:
			own.Like, own.Times = f.Residual, slope/f.Times
		case space >= 0:
			first[zone{t.hold, space}] = fit.Bend{Residual: i, Times: slope}
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

// Anchor solves every hold at u and remembers the pressures for Rewind. From then on
// the holds are solved as closely as draws need.
func (s *scored) Anchor(u []float64) {
	s.toModel(u, s.x)
	s.anchor = nil
	for h := range s.holds {
		if !s.solve(h, s.x) {
			s.anchor = nil
			return
		}
		s.anchor = append(s.anchor, append([]float64(nil), s.nets[h].p...))
		s.nets[h].done = stepDoneOfDraw
	}
}

// Rewind puts every network back to the pressures at the mode, so that one draw
// does not depend on another.
func (s *scored) Rewind() {
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
