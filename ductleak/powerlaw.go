package ductleak

import (
	"math"

	"holdbook/units"
)

// Exponents of the leak law where no test gave one.
const (
	// DuctExponent scales a duct flow from one pressure to another: 0.60, as
	// cited from ASHRAE 152 Annex C.
	DuctExponent units.Ratio = 0.60
	// CorrectionExponent belongs to the duct-pressure correction of the
	// subtraction test, and to envelopes: 0.65.
	CorrectionExponent units.Ratio = 0.65
	// ExponentSD is the standard deviation of either where it was not measured.
	ExponentSD units.Ratio = 0.06
)

// Reference pressures.
const (
	reference25 = 25 * units.Pressure(1)
	reference50 = 50 * units.Pressure(1)
)

// SignedPower is |x|^n with the sign of x: the leak law for a pressure that
// may turn round. n is above zero. (math.Pow costs three times as much, and every
// simulated repeat of a test takes some.)
func SignedPower(x, n float64) float64 {
	return math.Copysign(math.Exp(n*math.Log(math.Abs(x))), x)
}

// ScaleFlow carries a leak's flow from one pressure across it to another,
// Q·(to/from)^n. Both pressures are magnitudes above zero.
func ScaleFlow(q units.Flow, from, to units.Pressure, n units.Ratio) units.Flow {
	return q * units.Flow(math.Pow(float64(to/from), float64(n)))
}

// PressureFor is the inverse of ScaleFlow: the pressure at which a leak that
// passes q at the pressure at would pass want.
func PressureFor(want, q units.Flow, at units.Pressure, n units.Ratio) units.Pressure {
	return at * units.Pressure(math.Pow(float64(want/q), 1/float64(n)))
}

// SeriesRatio is the size of the leaks between ducts and outside over those
// between house and ducts, from the house-to-duct pressure p during a hold at
// H: (p/(H−p))^n. It is a ratio, never a size; 0 at p = 0 and +Inf at p = H.
func SeriesRatio(p, hold units.Pressure, n units.Ratio) units.Ratio {
	return units.Ratio(math.Pow(float64(p/(hold-p)), float64(n)))
}
