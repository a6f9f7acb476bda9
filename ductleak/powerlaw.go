package ductleak

import (
	"math"

	"holdbook/pressure"
	"holdbook/units"
)

// Exponents of the leak law where no test gave one.
const (
	// DuctExponent scales a duct flow from one pressure to another: 0.60, as
	// cited from ASHRAE 152 Annex C.
	DuctExponent units.Ratio = 0.60
	// CorrectionExponent belongs to the duct-pressure correction of the
	// subtraction test, and to envelopes: 0.65.
	CorrectionExponent = pressure.DefaultExponent
	// ExponentSD is the standard deviation of either where it was not measured.
	ExponentSD = pressure.DefaultExponentSD
)

// ReferencePressure is the pressure in pascals at which duct leakage is stated: common to
// ASTM E1554 and the codes.
const ReferencePressure = 25.0

// Reference pressures of the package.
const (
	reference25 units.Pressure = ReferencePressure
	reference50 units.Pressure = pressure.ReferencePressure
)

// ScaleFlow carries a leak's flow from one pressure across it to another,
// Q·(to/from)^n. from is a magnitude above zero;
// the flow turns round with the sign of to.
func ScaleFlow(q units.Flow, from, to units.Pressure, n units.Ratio) units.Flow {
	return q * units.Flow(pressure.FlowRatio(to, from, n))
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
	return units.Ratio(pressure.SignedPower(float64(p/(hold-p)), float64(n)))
}
