package ductleak

import (
	"math"
	"math/rand/v2"

	"holdbook/internal/fit"
	"holdbook/units"
)

// draws is the number of simulated repeats behind an interval: the 5 % and
// 95 % points are then good to 3 % of the standard deviation, 1 % of the interval.
const draws = 4000

// seed makes every simulated interval repeatable.
const seed = 0x6475637473

// z90 is the half-width of a central 90 % interval in standard deviations.
const z90 = 1.6448536269514722

// simulator draws the errors of a set of readings.
type simulator struct{ rng *rand.Rand }

func newSimulator() simulator {
	return simulator{fit.Random(seed, 1)}
}

// noise is one standard normal error.
func (s simulator) noise() float64 { return s.rng.NormFloat64() }

// around draws a reading's true value.
func around[Q ~float64](s simulator, m Measured[Q]) float64 {
	return float64(m.Value) + float64(m.SD)*s.noise()
}

// aroundPositive draws a true value that cannot be zero or below: log-normal
// with the reading's relative error.
func aroundPositive[Q ~float64](s simulator, m Measured[Q]) float64 {
	v := float64(m.Value)
	return v * math.Exp(float64(m.SD)/v*s.noise())
}

// exponentOf draws an exponent, kept in 0.5 to 1.
func exponentOf(s simulator, n Measured[units.Ratio]) float64 {
	return math.Min(1, math.Max(0.5, around(s, n)))
}

// draw draws from an estimate: its 5, 50 and 95 % points are those of the
// estimate, each side normal, in the logarithm where all three are positive.
func draw[Q ~float64](s simulator, e units.Estimate[Q]) float64 {
	return float64(at(e, s.noise()))
}

// at is the point of an estimate's distribution that lies z standard
// deviations from its middle.
func at[Q ~float64](e units.Estimate[Q], z float64) Q {
	z /= z90
	low, mid, high := float64(e.Low), float64(e.Value), float64(e.High)
	if low > 0 && mid > 0 {
		return Q(math.Exp(twoSided(math.Log(low), math.Log(mid), math.Log(high), z)))
	}
	return Q(twoSided(low, mid, high, z))
}

func twoSided(low, mid, high, z float64) float64 {
	if z < 0 {
		return mid + z*(mid-low)
	}
	return mid + z*(high-mid)
}

// Exactly is an estimate without doubt.
func Exactly[Q ~float64](v Q) units.Estimate[Q] {
	return units.Estimate[Q]{Value: v, Low: v, High: v}
}

// estimateOf is an estimate with the value given and the 5 and 95 % points of
// the simulated repeats; it always holds Low ≤ Value ≤ High.
func estimateOf[Q ~float64](value Q, repeats []float64) units.Estimate[Q] {
	iv := fit.IntervalOf(repeats)
	return units.Estimate[Q]{
		Value: value,
		Low:   min(Q(iv.Low), value),
		High:  max(Q(iv.High), value),
	}
}

// normalEstimate is the estimate of a normal error of standard deviation sd.
func normalEstimate[Q ~float64](value, sd Q) units.Estimate[Q] {
	return units.Estimate[Q]{Value: value, Low: value - z90*sd, High: value + z90*sd}
}

// notBelowZero cuts an interval at zero, where the quantity must be.
func notBelowZero[Q ~float64](e units.Estimate[Q]) units.Estimate[Q] {
	return units.Estimate[Q]{Value: max(0, e.Value), Low: max(0, e.Low), High: max(0, e.High)}
}

// Resolved tells whether an estimate fixes a positive quantity: its ends no
// more than a factor of six apart and its low end above zero.
func Resolved[Q ~float64](e units.Estimate[Q]) bool {
	return e.Low > 0 && e.High <= 6*e.Low
}
