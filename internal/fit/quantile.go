package fit

import (
	"math"

	"gonum.org/v1/gonum/mathext"
	"gonum.org/v1/gonum/stat/distuv"
)

// The tail probabilities of the 90 % interval.
const (
	lowTail  = 0.05
	highTail = 0.95
)

// Z90 is the 95 % point of the standard normal distribution: a central 90 % interval
// reaches that many standard deviations to either side.
const Z90 = 1.6448536269514722

// Quantile is the p-quantile of values in ascending order, interpolated
// linearly between the order statistics (type 7 of Hyndman and Fan 1996). It is
// NaN for no values, and p outside 0 to 1 is taken as the nearer end.
func Quantile(sorted []float64, p float64) float64 {
	n := len(sorted)
	if n == 0 || math.IsNaN(p) {
		return math.NaN()
	}
	h := min(1, max(0, p)) * float64(n-1)
	i := int(h)
	if i >= n-1 {
		return sorted[n-1]
	}
	return between(sorted[i], sorted[i+1], h-float64(i))
}

// between keeps an infinite neighbour out of the answer unless it has weight.
func between(a, b, t float64) float64 {
	if t == 0 || a == b {
		return a
	}
	return a + t*(b-a)
}

// NormalInterval is the central 90 % interval of a normal quantity.
func NormalInterval(mean, sd float64) Interval {
	return Interval{mean - Z90*sd, mean, mean + Z90*sd}
}

// NormalQuantile is the p-quantile of the standard normal distribution
// (Wichura 1988); ±Inf at 0 and 1, NaN outside.
func NormalQuantile(p float64) float64 {
	if !(p >= 0 && p <= 1) {
		return math.NaN()
	}
	return mathext.NormalQuantile(p)
}

// StudentT is the two-sided limit of Student's t: with dof degrees of freedom,
// |t| stays below it with probability level (for example 0.95). It is NaN when
// level is not between 0 and 1 or dof not positive.
func StudentT(level, dof float64) float64 {
	if !(level > 0 && level < 1) || !(dof > 0) {
		return math.NaN()
	}
	if math.IsInf(dof, 1) {
		return NormalQuantile((1 + level) / 2)
	}
	return distuv.StudentsT{Mu: 0, Sigma: 1, Nu: dof}.Quantile((1 + level) / 2)
}
