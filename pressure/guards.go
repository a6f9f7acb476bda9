package pressure

import (
	"math"

	"holdbook/units"
)

// badExponent is the refusal of a fit whose exponent no leak has.
func badExponent(n float64) *Fault {
	return &Fault{
		What: "the fitted exponent is " + plain(n),
		Why:  "leaks lie between 0.5 and 1: wind, a moving flap or a change between the holds has bent the curve",
		Do:   "repeat the holds in calm weather, or use one point with an assumed exponent",
	}
}

// noFit is the answer of a fit that was never made.
func noFit() *Fault {
	return &Fault{What: "there is no fit", Why: "it was refused or never made", Do: "look at the error that the fit gave"}
}

// exponentWarnings tells of an exponent that is possible but unlikely. The
// thresholds 0.55 and 0.75 are judgement.
func exponentWarnings(n float64) []*Fault {
	switch {
	case n < 0.55:
		return []*Fault{{
			What: "the fitted exponent is " + plain(n),
			Why:  "below 0.55 one large opening rules the leakage",
			Do:   "look for something left open, a damper, a flue or a pet door",
		}}
	case n > 0.75:
		return []*Fault{{
			What: "the fitted exponent is " + plain(n),
			Why:  "above 0.75 wind, a moving flap or a drifting baseline is likely",
			Do:   "read the baseline again and repeat the lowest holds",
		}}
	}
	return nil
}

// LowPressureWarning tells of a lowest hold that wind and baseline rule: below
// 10 Pa, or below five times the baseline. The limits are those of the
// standards as remembered and serve as a warning only. It is nil when all is
// well.
func LowPressureWarning(lowest, baseline units.Pressure) *Fault {
	p, b := math.Abs(float64(lowest)), math.Abs(float64(baseline))
	if p >= 10 && p >= 5*b {
		return nil
	}
	return &Fault{
		What: "the lowest hold is at " + plain(p) + " Pa with a baseline of " + plain(b) + " Pa",
		Why:  "below 10 Pa, or five times the baseline, wind and stack effect rule the reading",
		Do:   "leave that hold out, or take longer averages in calm weather",
	}
}

// WindWarning tells of a wind in which the exponent should be assumed and not
// fitted: above 6 m/s. Source: Walker 2013. It is nil below.
func WindWarning(u Speed) *Fault {
	if !(u > 6) {
		return nil
	}
	return &Fault{
		What: "the wind was " + plain(float64(u)) + " m/s",
		Why:  "above 6 m/s a fitted exponent is mostly noise",
		Do:   "take the exponent as 0.65, or wait for calmer weather",
	}
}

// StackWarning tells of a temperature difference and height whose stack effect
// spoils the low pressures: the product above 200 m·K, as remembered of the
// standards. It is nil below.
func StackWarning(dt units.TemperatureDifference, height units.Length) *Fault {
	product := math.Abs(float64(dt)) * float64(height)
	if !(product > 200) {
		return nil
	}
	return &Fault{
		What: "temperature difference times height is " + plain(product) + " m·K",
		Why:  "above about 200 m·K the pressure differs too much between floor and ceiling",
		Do:   "test when it is milder, or at higher pressures only",
	}
}
