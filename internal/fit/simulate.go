package fit

import (
	"math"
	"math/rand/v2"
)

// Noise is where one repeat of a simulation takes its errors from. The zero Noise has
// none: a formula is written once, for a Noise, and its central answer is that of the
// zero one.
type Noise struct{ rng *rand.Rand }

// Normal is one standard normal error.
func (n Noise) Normal() float64 {
	if n.rng == nil {
		return 0
	}
	return n.rng.NormFloat64()
}

// None tells whether this is the zero Noise.
func (n Noise) None() bool { return n.rng == nil }

// Around is a true value of which v was read, with a normal error of standard deviation sd.
func (n Noise) Around(v, sd float64) float64 { return v + sd*n.Normal() }

// Times is a true value of which v was read, with a log-normal error of standard
// deviation sdLn: it never changes its sign.
func (n Noise) Times(v, sdLn float64) float64 { return v * math.Exp(sdLn*n.Normal()) }

// Simulated is one quantity of a formula: its central value, with no errors, and its
// value at each repeat.
type Simulated struct {
	Central float64
	Values  []float64
}

// Simulate propagates errors through a formula by repeated draws: f is called once with
// the zero Noise and then n times with errors drawn from rng (see Random), and returns
// the same quantities, in the same order, each time. What f returns it may use again.
//
// It serves where a formula is too far from a straight line for first-order propagation:
// ratios of small differences, quantities cut at zero.
func Simulate(rng *rand.Rand, n int, f func(Noise) []float64) []Simulated {
	out := make([]Simulated, 0, 4)
	for _, v := range f(Noise{}) {
		out = append(out, Simulated{Central: v, Values: make([]float64, 0, n)})
	}
	for range n {
		for i, v := range f(Noise{rng}) {
			out[i].Values = append(out[i].Values, v)
		}
	}
	return out
}

// Interval is the central value with the 5 and 95 % points of the repeats. The central
// value is not their median; where it falls outside (a skewed answer near its limits)
// the interval is widened to hold it. NaN counts as −Inf, see IntervalOf.
func (s Simulated) Interval() Interval {
	i := IntervalOf(s.Values)
	return Interval{Low: min(i.Low, s.Central), Median: s.Central, High: max(i.High, s.Central)}
}

// At is the point of an interval's distribution that lies z standard deviations from its
// middle: each side is normal, in the logarithm where both the low end and the middle are
// positive.
func (i Interval) At(z float64) float64 {
	z /= Z90
	if i.Low > 0 && i.Median > 0 {
		return math.Exp(twoSided(math.Log(i.Low), math.Log(i.Median), math.Log(i.High), z))
	}
	return twoSided(i.Low, i.Median, i.High, z)
}

func twoSided(low, middle, high, z float64) float64 {
	if z < 0 {
		return middle + z*(middle-low)
	}
	return middle + z*(high-middle)
}
