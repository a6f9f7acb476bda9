package fit

import (
	"errors"
	"fmt"

	"gonum.org/v1/gonum/mat"
)

// linearisation is the problem made linear at the mode, which all draws start from.
type linearisation struct {
	mode      []float64
	q         *mat.Dense // terms × unknowns, orthonormal columns, the loosest direction first
	inverse   *mat.Dense // (QᵀJ)⁻¹ at the mode
	projected []float64  // Qᵀ F(mode)
	points    *halton

	nonlinear []int      // residuals whose rows of the Jacobian change, one of those in proportion
	jacobian  *mat.Dense // those rows at the mode
	columns   *mat.Dense // their columns of (QᵀJ)⁻¹Qᵀ, with those of the residuals in proportion
	across    *mat.Dense // their transpose
}

// wide tells that more rows change than there are unknowns.
func (l *linearisation) wide() bool { return len(l.nonlinear) > len(l.mode) }

func newLinearisation(p Problem, mode []float64, o RandomiseOptions) (*linearisation, error) {
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
	l := &linearisation{mode: mode, q: mat.NewDense(m, n, nil), inverse: mat.NewDense(n, n, nil), projected: make([]float64, n), points: newHalton(o.Seed, n)}
	if err := l.orient(jac, o.Relevance); err != nil {
		return nil, err
	}
	mat.NewVecDense(n, l.projected).MulVec(l.q.T(), mat.NewVecDense(m, res))
	l.keepNonlinear(p, jac)
	return l, nil
}

// keepNonlinear keeps what is needed of the residuals that are not linear.
func (l *linearisation) keepNonlinear(p Problem, jac *mat.Dense) {
	list := nonlinearOf(p)
	column := map[int]int{}
	for _, r := range list {
		if r.Base == r.Index {
			column[r.Index] = len(l.nonlinear)
			l.nonlinear = append(l.nonlinear, r.Index)
		}
	}
	if len(l.nonlinear) == 0 {
		return
	}
	l.jacobian, l.columns = mat.NewDense(len(l.nonlinear), len(l.mode), nil), mat.NewDense(len(l.mode), len(l.nonlinear), nil)
	for k, i := range l.nonlinear {
		l.jacobian.SetRow(k, jac.RawRowView(i))
	}
	for _, r := range list {
		var own mat.VecDense
		own.MulVec(l.inverse, l.q.RowView(r.Index))
		all := l.columns.ColView(column[r.Base]).(*mat.VecDense)
		all.AddScaledVec(all, r.Factor, &own)
	}
	l.across = mat.DenseCopyOf(l.columns.T())
}

// nonlinearOf are the residuals of a problem that are not linear: all where it does not say.
func nonlinearOf(p Problem) (list []NonlinearResidual) {
	if l, is := p.(PartlyLinear); is {
		return l.Nonlinear()
	}
	for i := range p.Terms() {
		list = append(list, NonlinearResidual{i, i, 1})
	}
	return list
}

// work is how many multiplications a draw takes, roughly: those of the product that all
// derivatives go through.
func (l *linearisation) work() float64 {
	n, k := float64(len(l.mode)), float64(len(l.nonlinear))
	return n * k * min(n, k)
}
