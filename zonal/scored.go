package zonal

import (
	"math"

	"gonum.org/v1/gonum/mat"
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
		s.Linearise(jacobian)
	}
	return nil
}

// Linearise fills the Jacobian at the scores last evaluated.
func (s *scored) Linearise(jacobian *mat.Dense) {
	s.linearise(s.x, jacobian)
	for i := range s.terms {
		row := jacobian.RawRowView(i)
		for j, v := range s.slope {
			row[j] *= v
		}
	}
	k := len(s.terms)
	for i, v := range s.unknowns {
		if v.sd > 0 {
			jacobian.Set(k, i, 1)
			k++
		}
	}
}

// Bent lists the residuals that are not linear in the scores: all but the priors,
// house pressures and the flows of further fans, which are unknowns themselves.
func (s *scored) Bent() []int {
	var list []int
	for i := range s.terms {
		if k := s.terms[i].kind; k != houseTerm && k != sourceTerm {
			list = append(list, i)
		}
	}
	return list
}

// Anchor solves every hold at u and remembers the pressures for Rewind.
func (s *scored) Anchor(u []float64) {
	s.toModel(u, s.x)
	s.anchor = nil
	for h := range s.holds {
		if !s.solve(h, s.x) {
			s.anchor = nil
			return
		}
		s.anchor = append(s.anchor, append([]float64(nil), s.nets[h].p...))
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
