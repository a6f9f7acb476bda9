// Package pressure holds the physics of a house kept at a test pressure: what
// a gauge reads and how well, the air in the leaks, the power law of a leak,
// and the results of one, two or several readings with a door fan.
//
// # Method
//
// A leak passes Q = C·Δp^n (ASHRAE Handbook of Fundamentals 2021, ch. 16
// eq 40) with n between 0.5 (an orifice) and 1 (laminar flow). Readings are
// corrected in this order: the baseline is subtracted with its sign; a flow
// that the gauge had scaled to another pressure is scaled back; an indicated
// flow becomes the true flow of the air in the fan; the fan flow becomes the
// flow through the envelope; and, where results at standard air are wanted,
// C is corrected to 20 °C and 101325 Pa in one of two published ways that
// differ by a few per cent (see Standard).
//
// # Uncertainty
//
// Intervals are central 90 % intervals by first-order propagation of the error
// model of Gauge, taken in logarithms because flows and areas are positive;
// the limits of the standards' regression are 95 % and show the scatter of the
// fit only. Every result names its level.
//
// # Errors and working
//
// Bad input gives a *Fault: what was wrong, why it matters and what to do.
// No function returns NaN or infinity. Values of type Computed carry their
// formula, the numbers that went into it and its source; Worked writes the
// line out on demand, from the same function that did the computing.
package pressure
