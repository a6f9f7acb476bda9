package batch

import (
	"cmp"
	"maps"
	"math"
	"slices"

	"holdbook/internal/fit"
	"holdbook/units"
)

// exactUpTo is how many values a distribution keeps as they are.
const exactUpTo = 10_000

// Beyond that, values are counted in classes, each class a factor of growth wide;
// a class's middle is within a quarter of a percent of every value in it. What is
// smaller than the smallest counts as zero, what is larger than the largest as that:
// there are some 11,000 classes of either sign at the most.
const (
	growth   = 1.005
	within   = 0.0025
	smallest = 1e-12
	largest  = 1e12
)

// distribution takes values in and gives quantiles, in bounded memory. What it gives
// does not depend on the order of the values.
type distribution struct {
	n       int
	values  []float64 // until there are too many
	classes map[int]int
}

// add takes a value in; one that is no number is left out.
func (s *distribution) add(v float64) {
	if !units.Finite(v) {
		return
	}
	s.n++
	if s.classes != nil {
		s.classes[class(v)]++
		return
	}
	if s.values = append(s.values, v); len(s.values) > exactUpTo {
		s.classes = make(map[int]int)
		for _, v := range s.values {
			s.classes[class(v)]++
		}
		s.values = nil
	}
}

// class is the number of a value's class: 0 for zero, negative for negatives, in
// the order of the values.
func class(v float64) int {
	size := min(math.Abs(v), largest)
	if size < smallest {
		return 0
	}
	k := 1 + int(math.Log(size/smallest)/math.Log(growth))
	if v < 0 {
		return -k
	}
	return k
}

// middle is the value that stands for a class.
func middle(class int) float64 {
	if class == 0 {
		return 0
	}
	size := smallest * math.Pow(growth, math.Abs(float64(class))-0.5)
	return math.Copysign(size, float64(class))
}

// error is the largest error of a quantile as a share of it.
func (s *distribution) error() float64 {
	if s.classes == nil {
		return 0
	}
	return within
}

// quantiles are the values at the probabilities, which ascend. There must be values.
func (s *distribution) quantiles(probabilities []float64) []float64 {
	out := make([]float64, len(probabilities))
	if s.classes == nil {
		sorted := slices.Sorted(slices.Values(s.values))
		for i, p := range probabilities {
			out[i] = fit.Quantile(sorted, p)
		}
		return out
	}
	order := slices.SortedFunc(maps.Keys(s.classes), cmp.Compare[int])
	for i, p := range probabilities {
		rank := p * float64(s.n-1)
		low := s.ranked(order, int(rank))
		high := s.ranked(order, min(int(rank)+1, s.n-1))
		out[i] = low + (rank-math.Floor(rank))*(high-low)
	}
	return out
}

// ranked is the value that stands at a rank, counted from 0, in the classes in
// their order.
func (s *distribution) ranked(order []int, rank int) float64 {
	for _, k := range order {
		if rank -= s.classes[k]; rank < 0 {
			return middle(k)
		}
	}
	return middle(order[len(order)-1])
}
