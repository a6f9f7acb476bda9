package fit

import (
	"cmp"
	"math"
	"slices"
	"sort"

	"gonum.org/v1/gonum/mathext"
	"gonum.org/v1/gonum/stat/distuv"
)

// The tail probabilities of the 90 % interval.
const (
	lowTail  = 0.05
	highTail = 0.95
)

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

// IntervalOf is the central 90 % interval of equally likely values: their 5,
// 50 and 95 % quantiles. The values keep their order. It is NaN for no values.
func IntervalOf(values []float64) Interval {
	s := slices.Clone(values)
	slices.Sort(s)
	return Interval{Quantile(s, lowTail), Quantile(s, 0.5), Quantile(s, highTail)}
}

// WeightedQuantiles are the quantiles of values that carry weights, in the
// order of p. Between neighbours the cumulative weight is taken by the
// trapezium rule, so equal weights give Quantile. Weights need not sum to one;
// values whose weight is zero are left out; NaN where no weight is left.
func WeightedQuantiles(values, weights []float64, p ...float64) []float64 {
	list := make([]weighted, 0, len(values))
	for i, v := range values {
		if i < len(weights) && weights[i] > 0 {
			list = append(list, weighted{v, weights[i], 0})
		}
	}
	slices.SortFunc(list, weighted.compare)
	for k := 1; k < len(list); k++ {
		list[k].sum = list[k-1].sum + (list[k-1].weight+list[k].weight)/2
	}
	q := make([]float64, len(p))
	for j := range p {
		q[j] = weightedQuantile(list, p[j])
	}
	return q
}

// weighted is a value with its weight, and the cumulative weight up to it.
type weighted struct{ value, weight, sum float64 }

// compare orders by value, then by weight; its first two lines are the fast way for
// what is no tie and no NaN.
func (a weighted) compare(b weighted) int {
	switch {
	case a.value < b.value:
		return -1
	case a.value > b.value:
		return 1
	}
	return cmp.Or(cmp.Compare(a.value, b.value), cmp.Compare(a.weight, b.weight))
}

func weightedQuantile(list []weighted, p float64) float64 {
	n := len(list)
	if n == 0 || math.IsNaN(p) {
		return math.NaN()
	}
	h := min(1, max(0, p)) * list[n-1].sum
	k := sort.Search(n, func(i int) bool { return list[i].sum >= h })
	if k == 0 || n == 1 {
		return list[0].value
	}
	if k >= n {
		return list[n-1].value
	}
	return between(list[k-1].value, list[k].value, (h-list[k-1].sum)/(list[k].sum-list[k-1].sum))
}

// WeightedIntervalOf is the central 90 % interval of weighted values.
func WeightedIntervalOf(values, weights []float64) Interval {
	q := WeightedQuantiles(values, weights, lowTail, 0.5, highTail)
	return Interval{q[0], q[1], q[2]}
}

// NormalInterval is the central 90 % interval of a normal quantity.
func NormalInterval(mean, sd float64) Interval {
	z := NormalQuantile(highTail)
	return Interval{mean - z*sd, mean, mean + z*sd}
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
