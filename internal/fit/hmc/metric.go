package hmc

import (
	"errors"
	"math"

	"gonum.org/v1/gonum/mat"
)

// metric holds the lower Cholesky factor L of the covariance that whitens the
// coordinates: x = centre + L·z. The mass matrix is the inverse covariance.
type metric struct {
	n int
	l []float64 // row by row, n wide
}

// newMetric factorises a covariance; nil stands for the unit matrix.
func newMetric(n int, cov mat.Symmetric) (*metric, error) {
	m := &metric{n: n, l: make([]float64, n*n)}
	if cov == nil {
		for i := range n {
			m.l[i*n+i] = 1
		}
		return m, nil
	}
	for i := range n {
		for j := range i + 1 {
			if !finite(cov.At(i, j)) {
				return nil, errors.New("sampling: the covariance is not finite")
			}
		}
	}
	return m, m.factorise(cov)
}

func (m *metric) factorise(cov mat.Symmetric) error {
	var chol mat.Cholesky
	if !chol.Factorize(cov) {
		return errors.New("sampling: the covariance is not positive definite")
	}
	var l mat.TriDense
	chol.LTo(&l)
	for i := range m.n {
		for j := range i + 1 {
			m.l[i*m.n+j] = l.At(i, j)
		}
	}
	return nil
}

// colour writes L·z.
func (m *metric) colour(dst, z []float64) {
	for i := range dst {
		row := m.l[i*m.n : i*m.n+i+1]
		var sum float64
		for j, v := range row {
			sum += v * z[j]
		}
		dst[i] = sum
	}
}

// pull writes Lᵀ·g: a gradient in the whitened coordinates.
func (m *metric) pull(dst, g []float64) {
	clear(dst)
	for i, gi := range g {
		row := m.l[i*m.n : i*m.n+i+1]
		for j, v := range row {
			dst[j] += v * gi
		}
	}
}

// whiten writes L⁻¹·(x − centre).
func (m *metric) whiten(dst, x, centre []float64) {
	for i := range dst {
		row := m.l[i*m.n : i*m.n+i]
		sum := x[i] - centre[i]
		for j, v := range row {
			sum -= v * dst[j]
		}
		dst[i] = sum / m.l[i*m.n+i]
	}
}

// refined is the metric learned from draws: in the present whitened
// coordinates their covariance is shrunk towards a multiple of the unit matrix
// as far as their number asks for (Ledoit and Wolf 2004), so that a covariance
// that was right to start with is kept. Draws of one chain are not independent;
// they are counted as half their number.
func (m *metric) refined(draws [][]float64) *metric {
	s, fourth := m.whitenedCovariance(draws)
	if s == nil {
		return m
	}
	var trace, square float64
	for i := range m.n {
		trace += s.At(i, i)
		for j := range m.n {
			square += s.At(i, j) * s.At(i, j)
		}
	}
	mu, count := trace/float64(m.n), float64(len(draws))
	apart := square - mu*mu*float64(m.n)
	noise := 2 * (fourth/count - square) / count
	shrink := 1.0
	if apart > noise {
		shrink = max(0, noise/apart)
	}
	for i := range m.n {
		for j := i; j < m.n; j++ {
			s.SetSym(i, j, (1-shrink)*s.At(i, j))
		}
		s.SetSym(i, i, s.At(i, i)+shrink*mu)
	}
	return m.times(s)
}

// whitenedCovariance returns the covariance of the draws in the whitened
// coordinates and the sum of the fourth powers of their lengths.
func (m *metric) whitenedCovariance(draws [][]float64) (*mat.SymDense, float64) {
	if len(draws) < 10 {
		return nil, 0
	}
	mean := make([]float64, m.n)
	for _, x := range draws {
		for i, v := range x {
			mean[i] += v / float64(len(draws))
		}
	}
	s, z, fourth := mat.NewSymDense(m.n, nil), make([]float64, m.n), 0.0
	zv := mat.NewVecDense(m.n, z)
	for _, x := range draws {
		m.whiten(z, x, mean)
		length := mat.Dot(zv, zv)
		fourth += length * length
		s.SymRankOne(s, 1/float64(len(draws)), zv)
	}
	if t := mat.Trace(s); !(t > 0) || math.IsInf(t, 0) {
		return nil, 0
	}
	return s, fourth
}

// times is the metric with factor L·chol(s); the metric itself if s has none.
func (m *metric) times(s *mat.SymDense) *metric {
	inner := &metric{n: m.n, l: make([]float64, m.n*m.n)}
	if inner.factorise(s) != nil {
		return m
	}
	out := &metric{n: m.n, l: make([]float64, m.n*m.n)}
	a, b := mat.NewDense(m.n, m.n, m.l), mat.NewDense(m.n, m.n, inner.l)
	mat.NewDense(m.n, m.n, out.l).Mul(a, b)
	return out
}
