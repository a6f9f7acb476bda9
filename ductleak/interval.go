package ductleak

import (
	"holdbook/internal/fit"
	"holdbook/pressure"
	"holdbook/units"
)

// draws is the number of simulated repeats behind an interval: the 5 % and
// 95 % points are then good to 3 % of the standard deviation, 1 % of the interval.
const draws = 4000

// seed makes every simulated interval repeatable.
const seed = 0x6475637473

// simulate propagates errors through a formula.
func simulate(f func(fit.Noise) []float64) []fit.Simulated {
	return fit.Simulate(fit.Random(seed, 1), draws, f)
}

// simulateOne is simulate for a formula of one quantity.
func simulateOne[Q ~float64](f func(fit.Noise) Q) units.Estimate[Q] {
	return estimateOf[Q](simulate(func(n fit.Noise) []float64 { return []float64{float64(f(n))} })[0])
}

// around draws a reading's true value.
func around[Q ~float64](n fit.Noise, m units.Measured[Q]) Q {
	return Q(n.Around(float64(m.Value), float64(m.SD)))
}

// aroundPositive draws a true value that cannot be zero or below: log-normal
// with the reading's relative error.
func aroundPositive[Q ~float64](n fit.Noise, m units.Measured[Q]) Q {
	return Q(n.Times(float64(m.Value), m.Relative()))
}

// exponentOf draws an exponent, kept in 0.5 to 1.
func exponentOf(n fit.Noise, m units.Measured[units.Ratio]) units.Ratio {
	if n.None() {
		return m.Value
	}
	return min(pressure.MaxExponent, max(pressure.MinExponent, around(n, m)))
}

// draw draws from an estimate.
func draw[Q ~float64](n fit.Noise, e units.Estimate[Q]) Q { return at(e, n.Normal()) }

// at is the point of an estimate's distribution that lies z standard
// deviations from its middle.
func at[Q ~float64](e units.Estimate[Q], z float64) Q {
	return Q(fit.Interval{Low: float64(e.Low), Median: float64(e.Value), High: float64(e.High)}.At(z))
}

// Exactly is an estimate without doubt.
func Exactly[Q ~float64](v Q) units.Estimate[Q] {
	return units.Estimate[Q]{Value: v, Low: v, High: v}
}

// estimateOf is the interval of a simulated quantity, with its value by the formula itself.
func estimateOf[Q ~float64](s fit.Simulated) units.Estimate[Q] {
	return fromInterval[Q](s.Interval())
}

func fromInterval[Q ~float64](i fit.Interval) units.Estimate[Q] {
	return units.Estimate[Q]{Value: Q(i.Median), Low: Q(i.Low), High: Q(i.High)}
}

// Resolved tells whether an estimate fixes a positive quantity: its ends no
// more than a factor of six apart and its low end above zero.
func Resolved[Q ~float64](e units.Estimate[Q]) bool {
	return e.Low > 0 && !units.FactorsApart(float64(e.Low), float64(e.High))
}
