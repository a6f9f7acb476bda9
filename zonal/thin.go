package zonal

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

// thin takes about n rows, in equal steps of the cumulative weight.
func thin(rows [][]float64, weights []float64, n int) (few [][]float64, even []float64) {
	if len(rows) <= n {
		return rows, weights
	}
	picked := evenly(weights, n)
	for _, i := range picked {
		few, even = append(few, rows[i]), append(even, 1/float64(len(picked)))
	}
	return few, even
}

// evenly picks about n places, in equal steps of the cumulative weight.
func evenly(weights []float64, n int) (picked []int) {
	sum, next := 0.0, 0.5/float64(n)
	for i, w := range weights {
		for sum += w; sum > next && len(picked) < n; next += 1 / float64(n) {
			picked = append(picked, i)
		}
	}
	return picked
}
