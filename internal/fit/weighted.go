package fit

import (
	"cmp"
	"math"
	"slices"
)

// WeightedQuantiles are the quantiles of values that carry weights, in the
// order of p. Between neighbours the cumulative weight is taken by the
// trapezium rule, so equal weights give Quantile. Weights need not sum to one;
// values whose weight is not above zero are left out, NaN counts as −Inf, and the
// answer is NaN where no value is left.
//
// The few order statistics that are needed are selected, in time proportional to
// the number of values: sorting them all was a seventh of a whole estimate.
func WeightedQuantiles(values, weights []float64, p ...float64) []float64 {
	list := make([]weighted, 0, len(values))
	for i, v := range values {
		if i < len(weights) && weights[i] > 0 {
			list = append(list, weighted{orLeast(v), weights[i]})
		}
	}
	return quantiles(list, p...)
}

// orLeast gives a value that is no number the place in front of all others.
func orLeast(v float64) float64 {
	if math.IsNaN(v) {
		return math.Inf(-1)
	}
	return v
}

// quantiles changes the order of the list. Where p ascends, each search starts where the
// last one ended.
func quantiles(list []weighted, p ...float64) []float64 {
	q, c := make([]float64, len(p)), newCumulative(list)
	for j := range p {
		if j > 0 && p[j] < p[j-1] {
			c.k, c.before = 0, 0
		}
		q[j] = c.quantile(p[j])
	}
	return q
}

// IntervalOf is the central 90 % interval of equally likely values: their 5,
// 50 and 95 % quantiles (see Quantile). The values keep their order; NaN counts as
// −Inf. It is NaN for no values.
func IntervalOf(values []float64) Interval {
	list := make([]weighted, len(values))
	for i, v := range values {
		list[i] = weighted{orLeast(v), 1}
	}
	q := quantiles(list, lowTail, 0.5, highTail)
	return Interval{q[0], q[1], q[2]}
}

// WeightedIntervalOf is the central 90 % interval of weighted values.
func WeightedIntervalOf(values, weights []float64) Interval {
	q := WeightedQuantiles(values, weights, lowTail, 0.5, highTail)
	return Interval{q[0], q[1], q[2]}
}

// weighted is a value with its weight.
type weighted struct{ value, weight float64 }

func (a weighted) compare(b weighted) int { return cmp.Compare(a.value, b.value) }

// cumulative is a list of values with the place k that was last looked for: the k smallest
// values are in front of it and weigh before.
type cumulative struct {
	list   []weighted
	first  float64 // half the weight of the least value
	span   float64 // the weight from the middle of the least to the middle of the largest
	k      int
	before float64
}

func newCumulative(list []weighted) cumulative {
	c := cumulative{list: list}
	if len(list) == 0 {
		return c
	}
	least, most, total := list[0], list[0], 0.0
	for _, w := range list {
		if w.value < least.value {
			least = w
		}
		if w.value >= most.value {
			most = w
		}
		total += w.weight
	}
	c.first, c.span = least.weight/2, total-least.weight/2-most.weight/2
	return c
}

// quantile changes the order of the list. With the list in ascending order
// the trapezium rule puts the k-th value at the weight before it and half its
// own, less half that of the first. p is not below that of the last call.
func (c *cumulative) quantile(p float64) float64 {
	if len(c.list) == 0 || math.IsNaN(p) {
		return math.NaN()
	}
	reach, from := c.first+min(1, max(0, p))*c.span, c.k
	c.seek(reach)
	if c.k == 0 {
		return c.list[0].value
	}
	if c.k == from { // else all in front of from are smaller than it
		from = 0
	}
	at, last := c.list[c.k], slices.MaxFunc(c.list[from:c.k], weighted.compare)
	step := (last.weight + at.weight) / 2
	return between(last.value, at.value, 1-(c.before+at.weight/2-reach)/step)
}

// seek puts at place k the first value, in ascending order, with at least reach of
// weight before it and in half of its own, the smaller ones in front of it; the last
// value where there is none. It is quickselect (Hoare 1961) by weight in place of rank.
func (c *cumulative) seek(reach float64) {
	const few = 16
	list, lo, hi := c.list, c.k, len(c.list)
	for hi-lo > few {
		m, weight := partition(list[lo:hi])
		if c.before+weight > reach {
			if lo+m+1 == hi {
				break
			}
			hi = lo + m + 1
			continue
		}
		if m == 0 {
			break // many equal values
		}
		lo, c.before = lo+m, c.before+weight
	}
	slices.SortFunc(list[lo:hi], weighted.compare)
	for c.k = lo; c.k < len(list)-1 && c.before+list[c.k].weight/2 < reach; c.k++ {
		c.before += list[c.k].weight
	}
}

// partition brings the values below a pivot to the front and the pivot after them; m
// is their number and weight what they weigh. The pivot is the median of three.
func partition(list []weighted) (m int, weight float64) {
	last := len(list) - 1
	a, b, c := 0, last/2, last
	if list[b].value < list[a].value {
		a, b = b, a
	}
	if list[c].value < list[b].value {
		if b = c; list[b].value < list[a].value {
			b = a
		}
	}
	list[b], list[last] = list[last], list[b]
	pivot := list[last].value
	for i := range last {
		if w := list[i]; w.value < pivot {
			list[i], list[m] = list[m], w
			m, weight = m+1, weight+w.weight
		}
	}
	list[m], list[last] = list[last], list[m]
	return m, weight
}
