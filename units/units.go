// Package units holds the physical quantities of a house test as typed
// numbers: each is a float64 in its SI base, so that a pressure cannot be
// added to a flow by accident. Text is parsed and printed at the edges of the
// program only; everything in between is SI.
//
// Conversion factors are exact where the unit is defined exactly (inch, foot,
// pound, degree Fahrenheit) and otherwise those of NIST Special Publication
// 811 (2008), appendix B. The inch of water is the conventional one, of water
// weighing exactly 1000 kg/m³ under standard gravity: 249.08891 Pa.
//
// Parsing is strict: an unknown unit, a missing one, a decimal comma or a
// value that no instrument could show is an error that says what to write
// instead. Nothing is guessed, and no error-free result is NaN or infinite.
package units

import "math"

// Pressure is a pressure or a pressure difference in pascals.
type Pressure float64

// Flow is a volume flow in cubic metres per second.
type Flow float64

// Area is an area in square metres.
type Area float64

// Length is a length in metres.
type Length float64

// Volume is a volume in cubic metres.
type Volume float64

// Temperature is a thermodynamic temperature in kelvins.
type Temperature float64

// TemperatureDifference is a temperature difference in kelvins.
type TemperatureDifference float64

// Power is a power (heating or cooling rate) in watts.
type Power float64

// Time is a duration in seconds.
type Time float64

// Density is a mass density in kilograms per cubic metre.
type Density float64

// Ratio is a number without a unit: a fraction, an exponent, a coefficient.
type Ratio float64

// Rate is a rate per second: air changes are printed per hour.
type Rate float64

// ThermalResistance is the resistance of a layer to heat, in m²·K/W.
type ThermalResistance float64

// SpecificFlow is a volume flow for each area of floor or envelope, in
// m³/(s·m²).
type SpecificFlow float64

// Estimate is a quantity that is known to within an interval. Value is the
// central estimate (the median of its distribution) and Low to High the
// central interval of the stated level, 90 % unless a field says otherwise.
type Estimate[Q ~float64] struct {
	Value, Low, High Q
}

// NotBelowZero is the estimate of a quantity that cannot be below zero.
func (e Estimate[Q]) NotBelowZero() Estimate[Q] {
	return Estimate[Q]{Value: max(0, e.Value), Low: max(0, e.Low), High: max(0, e.High)}
}

// Measured is a reading, or a constant known to within an error: its value and the
// standard deviation of its error, both in SI. SD 0 means known exactly.
type Measured[Q ~float64] struct {
	Value, SD Q
}

// Known is a quantity without error.
func Known[Q ~float64](v Q) Measured[Q] { return Measured[Q]{Value: v} }

// Within is a quantity with a relative standard deviation, such as 0.05 for 5 %.
func Within[Q ~float64](v Q, relative float64) Measured[Q] {
	return Measured[Q]{Value: v, SD: Q(math.Abs(float64(v)) * relative)}
}

// Relative is the standard deviation over the size of the value, without a unit: for a
// positive quantity that of its logarithm. It is 0 where SD is 0, and +Inf where only the
// value is.
func (m Measured[Q]) Relative() float64 {
	if m.SD == 0 {
		return 0
	}
	return float64(m.SD) / math.Abs(float64(m.Value))
}
