package pressure

import (
	"cmp"
	"math"

	"holdbook/units"
)

// Gauge is what the instruments promise. Makers state the limits of error; they
// are read here as two standard deviations.
type Gauge struct {
	Accuracy    units.Ratio    // pressure, share of the reading, two sd
	Floor       units.Pressure // pressure, least error, two sd
	Wobble      units.Pressure // wind left in an averaged pressure reading, one sd
	Repeat      units.Ratio    // one flow reading against the next, one sd
	Calibration units.Ratio    // fan calibration, two sd
}

// DefaultGauge is assumed where a sheet says nothing: pressure the larger of
// 1 % and 0.25 Pa, wobble 0.4 Pa, flow 1 % repeat and 5 % calibration.
// Common practice and judgement, no source.
func DefaultGauge() Gauge {
	return Gauge{Accuracy: 0.01, Floor: 0.25, Wobble: 0.4, Repeat: 0.01, Calibration: 0.05}
}

// Check refuses negative and unbelievable promises.
func (g Gauge) Check() error {
	return cmp.Or(
		needWithin("the gauge's pressure accuracy", float64(g.Accuracy), 0, 0.5, ""),
		needWithin("the gauge's least pressure error", float64(g.Floor), 0, 20, "Pa"),
		needWithin("the wobble", float64(g.Wobble), 0, 20, "Pa"),
		needWithin("the repeat error of the flow", float64(g.Repeat), 0, 0.5, ""),
		needWithin("the calibration error of the fan", float64(g.Calibration), 0, 0.5, ""),
	)
}

// PressureSD is the standard deviation of one pressure reading p (Pa, either
// sign): half of the larger of the relative and the least error, with the
// wobble in quadrature.
func (g Gauge) PressureSD(p units.Pressure) units.Pressure {
	half := math.Max(float64(g.Accuracy)*math.Abs(float64(p)), float64(g.Floor)) / 2
	return units.Pressure(math.Hypot(half, float64(g.Wobble)))
}

// Calibration is the error that several flow readings of one fan have in
// common, as standard deviations of the logarithm: one for the whole fan, and
// one for each of its flow ranges.
type Calibration struct {
	Common, PerRange units.Ratio
}

// FanCalibration splits the stated calibration error (two sd) into the part
// common to the fan and the part of each flow range, 4 to 3 in standard
// deviations: 5 % becomes 2.0 % and 1.5 %. Judgement, no source.
func (g Gauge) FanCalibration() Calibration {
	return Calibration{Common: 0.4 * g.Calibration, PerRange: 0.3 * g.Calibration}
}

// SD is the standard deviation of one reading's calibration error.
func (c Calibration) SD() float64 {
	return math.Hypot(float64(c.Common), float64(c.PerRange))
}

// check refuses negative and unbelievable errors.
func (c Calibration) check() error {
	return cmp.Or(
		needWithin("the calibration error common to the fan", float64(c.Common), 0, 0.5, ""),
		needWithin("the calibration error of a flow range", float64(c.PerRange), 0, 0.5, ""),
	)
}
