package pressure

import (
	"cmp"
	"math"

	"holdbook/units"
)

// Baseline is the pressure a gauge shows with the fan covered. The zero value
// stands for a baseline that was not read and counts as zero.
type Baseline struct {
	Mean units.Pressure // signed, Pa
	// Drift is the standard deviation of the mean that comes from the change
	// between the readings before and after, and from what each swings; the latter
	// is for the caller to add.
	Drift units.Pressure
	// Change is the later reading less the earlier one, signed.
	Change units.Pressure
	Read   int // how many readings it was taken from: 0, 1 or 2
}

// OneBaseline is a baseline that was read once.
func OneBaseline(b units.Pressure) (Baseline, error) {
	if err := needFinite("the baseline", float64(b)); err != nil {
		return Baseline{}, err
	}
	return Baseline{Mean: b, Read: 1}, nil
}

// TwoBaselines is a baseline read before and after the hold: their mean, and
// for the drift between them |b1-b2|/(2√3), the standard deviation of a value
// that lies anywhere between the two. Source: mean, common to ISO 9972 and
// ASTM E779 (from memory); drift, Delmotte 2016.
func TwoBaselines(before, after units.Pressure) (Baseline, error) {
	if err := needFinite("the baseline", float64(before), float64(after)); err != nil {
		return Baseline{}, err
	}
	change := after - before
	return Baseline{
		Mean:   before + change/2,
		Drift:  units.Pressure(math.Abs(float64(change)) / (2 * math.Sqrt(3))),
		Change: change,
		Read:   2,
	}, needFinite("the change of the baseline", float64(change))
}

// Warnings tells of a baseline large or unsteady enough to put a result in
// doubt. The thresholds, 5 Pa and 2 Pa, are judgement.
func (b Baseline) Warnings() []*Fault {
	var out []*Fault
	if mean := math.Abs(float64(b.Mean)); mean > 5 {
		out = append(out, &Fault{
			What: "the baseline is " + plain(float64(b.Mean)) + " Pa",
			Why:  "wind or stack effect above 5 Pa makes a test doubtful under the standards",
			Do:   "wait for calmer weather, or hold at a higher pressure",
		})
	}
	if math.Abs(float64(b.Change)) > 2 {
		out = append(out, &Fault{
			What: "the baseline moved by " + plain(float64(b.Change)) + " Pa between before and after",
			Why:  "what it was during the hold is not known",
			Do:   "take longer averages and repeat the hold",
		})
	}
	return out
}

// Induced is a pressure reading with its baseline subtracted.
type Induced struct {
	Computed[units.Pressure]                // signed, Pa
	SD                       units.Pressure // standard deviation of the corrected reading
}

// Subtract takes the baseline out of a reading, signs and all; the magnitude
// is for the caller to take, afterwards. The standard deviation is that of one
// reading with the drift of the baseline in quadrature. Source: common to
// ISO 9972 and ASTM E779 (from memory).
func (g Gauge) Subtract(reading units.Pressure, b Baseline) (Induced, error) {
	if err := cmp.Or(needFinite("the pressure reading", float64(reading)), needFinite("the baseline", float64(b.Mean), float64(b.Drift))); err != nil {
		return Induced{}, err
	}
	c, err := compute[units.Pressure](float64(reading-b.Mean),
		formula("Δp = {reading} - {baseline}", "ISO 9972 and ASTM E779, form from memory", asPressure, asPressure),
		term{"reading", float64(reading), asPressure}, term{"baseline", float64(b.Mean), asPressure})
	return Induced{c, units.Pressure(math.Hypot(float64(g.PressureSD(reading)), float64(b.Drift)))}, err
}

// UnreadZoneBaseline is the baseline of a zone reading whose own was not read,
// from the house's baseline to outside (Pa, signed). The zone lies somewhere
// between house and outside, so a reading to the house has a baseline between
// -b and 0 and one to outside between 0 and b: the middle is taken, and the
// standard deviation of a uniform spread, |b|/√12, as the drift. Judgement,
// no source.
func UnreadZoneBaseline(house Baseline, toHouse bool) Baseline {
	half := house.Mean / 2
	if toHouse {
		half = -half
	}
	spread := math.Abs(float64(house.Mean)) / math.Sqrt(12)
	return Baseline{Mean: half, Drift: units.Pressure(math.Hypot(spread, float64(house.Drift)/2))}
}
