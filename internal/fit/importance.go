package fit

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"
)

// ImportanceOptions tunes Importance.
type ImportanceOptions struct {
	Seed  uint64  // the same seed gives the same draws
	Draws int     // default 200
	Dof   float64 // degrees of freedom of a t approximation with the same covariance scale; 0 for the normal one
}

// Weighted are draws from an approximation, with what each counts for.
type Weighted struct {
	X          [][]float64 // one row a draw
	LogWeights []float64   // exact over approximate density; the exponentials sum to one
	Effective  float64     // 1/(Σ weight²) over the number of draws: 1 where the approximation is exact
}

// Importance draws from the normal (or t) approximation of a density with the
// given mode and covariance and weighs each draw by the ratio of exact to
// approximate density. The effective fraction (Kong, Liu and Wong 1994) tells how
// far the approximation can be relied on. It is 0 where no draw has any
// density; then LogWeights are all -Inf.
//
// Importance fails when the sizes differ or the covariance is not positive definite.
func Importance(d Density, mode []float64, cov mat.Symmetric, o ImportanceOptions) (Weighted, error) {
	n := d.Dim()
	if n < 1 || len(mode) != n || cov == nil || cov.SymmetricDim() != n {
		return Weighted{}, fmt.Errorf("importance weights: %d coordinates do not match the mode or the covariance", n)
	}
	m, err := newMetric(n, cov)
	if err != nil {
		return Weighted{}, err
	}
	if o.Draws < 1 {
		o.Draws = 200
	}
	if o.Dof < 0 || math.IsNaN(o.Dof) {
		return Weighted{}, errors.New("importance weights: degrees of freedom must not be negative")
	}
	w := Weighted{X: make([][]float64, o.Draws), LogWeights: make([]float64, o.Draws)}
	w.fill(d, mode, m, o)
	w.normalise()
	return w, nil
}

// fill draws the points and takes the ratio of the densities.
func (w *Weighted) fill(d Density, mode []float64, m *metric, o ImportanceOptions) {
	const stream = 1 << 32 // apart from the chains of Sample
	src := source(o.Seed, stream)
	rng := rand.New(src)
	chi := distuv.ChiSquared{K: o.Dof, Src: src}
	z, grad := make([]float64, m.n), make([]float64, m.n)
	for k := range w.X {
		wide := 1.0
		if o.Dof > 0 {
			wide = math.Sqrt(o.Dof / chi.Rand())
		}
		square := 0.0
		for i := range z {
			z[i] = wide * rng.NormFloat64()
			square += z[i] * z[i]
		}
		x := make([]float64, m.n)
		m.colour(x, z)
		for i := range x {
			x[i] += mode[i]
		}
		w.X[k] = x
		w.LogWeights[k] = d.LogDensity(x, grad) - logKernel(square, float64(m.n), o.Dof)
	}
}

// logKernel is the log density of the approximation, up to a constant.
func logKernel(square, n, dof float64) float64 {
	if dof == 0 {
		return -square / 2
	}
	return -(dof + n) / 2 * math.Log1p(square/dof)
}

func (w *Weighted) normalise() {
	top := math.Inf(-1)
	for i, l := range w.LogWeights {
		if !finite(l) {
			w.LogWeights[i] = math.Inf(-1)
		}
		top = math.Max(top, w.LogWeights[i])
	}
	if math.IsInf(top, -1) {
		return
	}
	var sum, squares float64
	for _, l := range w.LogWeights {
		v := math.Exp(l - top)
		sum += v
		squares += v * v
	}
	shift := top + math.Log(sum)
	for i := range w.LogWeights {
		w.LogWeights[i] -= shift
	}
	w.Effective = sum * sum / squares / float64(len(w.X))
}

// Weights are the exponentials of LogWeights.
func (w Weighted) Weights() []float64 {
	v := make([]float64, len(w.LogWeights))
	for i, l := range w.LogWeights {
		v[i] = math.Exp(l)
	}
	return v
}
