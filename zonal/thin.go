package zonal

import "holdbook/internal/fit"

// rows are weighted parameter vectors of the posterior: its draws, or where
// there are none the points of the curvature approximation.
func (post *Posterior) rows() (rows [][]float64, weights []float64) {
	if len(post.draws) > 0 {
		return post.draws, post.weights
	}
	const count = 400
	s, n := inScores(post.problem), len(post.scores.X)
	src := newNormals(post.seed)
	z := make([]float64, n)
	for range count {
		for j := range z {
			z[j] = src()
		}
		rows = append(rows, post.at(s, z))
		weights = append(weights, 1.0/count)
	}
	return rows, weights
}

// thin takes about n rows, in equal steps of the cumulative weight. A heavy one comes once,
// with the weight of all its steps: two of the same row, evaluated apart, would differ by
// their last digits, and so stand in another order on another machine.
func thin(rows [][]float64, weights []float64, n int) (few [][]float64, share []float64) {
	if len(rows) <= n {
		return rows, weights
	}
	picked := fit.Evenly(weights, n)
	for k, i := range picked {
		if k == 0 || i != picked[k-1] {
			few, share = append(few, rows[i]), append(share, 0)
		}
		share[len(share)-1] += 1 / float64(len(picked))
	}
	return few, share
}

// evenly picks about n rows of equal weight, in equal steps of the cumulative weight: a heavy
// one more than once.
func evenly(rows [][]float64, weights []float64, n int) (few [][]float64) {
	if len(rows) <= n {
		return rows
	}
	for _, i := range fit.Evenly(weights, n) {
		few = append(few, rows[i])
	}
	return few
}
