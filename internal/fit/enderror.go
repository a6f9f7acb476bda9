package fit

import "math"

// endError is the largest standard error of an end of the 90 % intervals of some
// unknowns, as a share of the interval's width. It takes the draws as independent:
// draws that fill the space more evenly know the ends better than that.
//
// The error of a quantile is that of its probability, Σ w²(1{x ≤ q} − p)², over
// the density there, taken from the quantiles beside it.
func (r *Draws) endError(unknowns []int) float64 {
	worst, values := 0.0, make([]float64, len(r.X))
	for _, i := range unknowns {
		for k, x := range r.X {
			values[k] = x[i]
		}
		const beside = lowTail / 2
		q := WeightedQuantiles(values, r.Weights, lowTail-beside, lowTail, lowTail+beside, highTail-beside, highTail, highTail+beside)
		width := q[4] - q[1]
		for _, end := range []struct{ p, at, spacing float64 }{{lowTail, q[1], q[2] - q[0]}, {highTail, q[4], q[5] - q[3]}} {
			e := r.probabilityError(values, end.at, end.p) * end.spacing / (2 * beside)
			if e > worst*width { // false for NaN
				worst = e / width
			}
		}
	}
	return worst
}

// probabilityError is the standard error of the probability p found below at.
func (r *Draws) probabilityError(values []float64, at, p float64) float64 {
	sum := 0.0
	for k, w := range r.Weights {
		d := -p
		if values[k] <= at {
			d = 1 - p
		}
		sum += w * w * d * d
	}
	return math.Sqrt(sum)
}
