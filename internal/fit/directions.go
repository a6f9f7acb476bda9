package fit

import (
	"cmp"
	"errors"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
)

// Which draws a seed gives must not hang on the last bit of a Jacobian, or the same
// readings would print other digits on another processor. Two things in a singular
// value decomposition do: the sign of each direction, and the basis of directions
// that have one singular value, as all those have that nothing but a prior holds.
// Both are fixed here by rules on numbers that rounding moves by its own size only.
const (
	// alike is the relative difference of singular values that count as one. Rounding
	// then turns a direction by 1e-16 over this at most.
	alike = 1e-6
	// tied is the relative difference of two candidates that count as level, so that
	// the first of them is taken.
	tied = 1e-6
)

// orient takes the singular directions of the Jacobian in the order of what they
// contribute to the variance of the unknowns that matter.
func (l *linearisation) orient(jac *mat.Dense, relevance []float64) error {
	u, s, v, err := singular(jac)
	if err != nil {
		return err
	}
	n := len(s)
	w := mat.NewDense(n, n, nil) // columns of V·S⁻¹: (QᵀJ)⁻¹ before any turn
	for j, sj := range s {
		for i := range n {
			w.Set(i, j, v.At(i, j)/sj)
		}
	}
	for from := 0; from < n; {
		to := from + 1
		for to < n && s[to] > s[to-1]*(1-alike) {
			to++
		}
		alignGroup(v.Slice(0, n, from, to).(*mat.Dense), u, w, from)
		from = to
	}
	l.order(u, w, relevance)
	return nil
}

// singular is the thin decomposition J = U·S·Vᵀ.
func singular(jac *mat.Dense) (u *mat.Dense, s []float64, v *mat.Dense, err error) {
	const least = 1e-13
	var svd mat.SVD
	if !svd.Factorize(jac, mat.SVDThin) {
		return nil, nil, nil, errors.New("randomise: the derivatives at the mode have no singular values")
	}
	s = svd.Values(nil)
	if !(s[len(s)-1] > least*s[0]) {
		return nil, nil, nil, errors.New("randomise: an unknown that no residual depends on")
	}
	u, v = new(mat.Dense), new(mat.Dense)
	svd.UTo(u)
	svd.VTo(v)
	return u, s, v, nil
}

// alignGroup turns the directions of one singular value, the columns of group, onto the
// basis that the unknowns themselves suggest: the projection of the unknown that lies
// most within the group, then that of the one that lies most in what is left of it,
// and so on. Columns first and after of u and w turn with them.
func alignGroup(group *mat.Dense, u, w *mat.Dense, first int) {
	_, k := group.Dims()
	left := mat.DenseCopyOf(group)  // of each unknown, a row, what the new directions leave
	turn := mat.NewDense(k, k, nil) // the new directions in terms of the old, as columns
	for j := range k {
		d := mat.NewVecDense(k, nil)
		d.CopyVec(left.RowView(pivot(left)))
		for c := range j { // rounding left a little of the directions before
			before := turn.ColView(c)
			d.AddScaledVec(d, -mat.Dot(d, before), before)
		}
		d.ScaleVec(1/mat.Norm(d, 2), d)
		turn.SetCol(j, d.RawVector().Data)
		var along mat.VecDense
		along.MulVec(left, d)
		left.RankOne(left, -1, &along, d)
	}
	for _, m := range []*mat.Dense{u, w} {
		r, _ := m.Dims()
		part := m.Slice(0, r, first, first+k).(*mat.Dense)
		var turned mat.Dense
		turned.Mul(part, turn)
		part.Copy(&turned)
	}
}

// pivot is the longest row; of those that are level the first.
func pivot(rows *mat.Dense) int {
	n, _ := rows.Dims()
	best, most := 0, 0.0
	for i := range n {
		if size := mat.Norm(rows.RowView(i), 2); size > most*(1+tied) {
			best, most = i, size
		}
	}
	return best
}

// order puts the directions in order, the loosest first: by what each contributes to
// the variance of the unknowns that matter, those that are level by their place.
func (l *linearisation) order(u, w *mat.Dense, relevance []float64) {
	n := len(l.mode)
	level, sorted := make([]float64, n), make([]int, n)
	for j := range n {
		sorted[j] = j
		variance := 0.0
		for i := range n {
			a := w.At(i, j)
			if len(relevance) == n {
				a *= relevance[i]
			}
			variance += a * a
		}
		level[j] = math.Round(math.Log(variance) / tied)
	}
	slices.SortStableFunc(sorted, func(i, j int) int { return cmp.Compare(level[j], level[i]) })
	for k, j := range sorted {
		l.inverse.SetCol(k, mat.Col(nil, j, w))
		l.q.SetCol(k, mat.Col(nil, j, u))
	}
}
