package pressure

import (
	"cmp"
	"math"

	"holdbook/internal/fit"
	"holdbook/units"
)

// LogEstimate returns the median and the central 90 % interval of a positive
// quantity whose logarithm has standard deviation sdLn (zero or more). Errors:
// a median not above zero, or an interval that leaves the range of numbers.
func LogEstimate[Q ~float64](median Q, sdLn float64) (units.Estimate[Q], error) {
	return logInterval(median, sdLn, fit.Z90)
}

// logInterval is LogEstimate at any level: k standard deviations to either side.
func logInterval[Q ~float64](median Q, sdLn, k float64) (units.Estimate[Q], error) {
	err := cmp.Or(needPositive("the value", float64(median)), needWithin("the relative standard deviation", sdLn, 0, 20, ""))
	if err != nil {
		return units.Estimate[Q]{}, err
	}
	f := Q(math.Exp(k * sdLn))
	e := units.Estimate[Q]{Value: median, Low: median / f, High: median * f}
	return e, needFinite("the interval", float64(e.Low), float64(e.High))
}

// NormalEstimate returns the mean and the central 90 % interval of a quantity
// with standard deviation sd (zero or more). Errors: numbers that are not finite,
// a negative sd.
func NormalEstimate[Q ~float64](mean, sd Q) (units.Estimate[Q], error) {
	return normalInterval(mean, sd, fit.Z90)
}

// Interval90 is the central 90 % interval of what was measured, its error normal.
func Interval90[Q ~float64](m units.Measured[Q]) units.Estimate[Q] {
	return units.Estimate[Q]{Value: m.Value, Low: m.Value - fit.Z90*m.SD, High: m.Value + fit.Z90*m.SD}
}

// SD is the standard deviation of a quantity given with its 90 % interval, its error normal:
// the inverse of Interval90. SDLn is that of the logarithm.
func SD[Q ~float64](e units.Estimate[Q]) Q { return (e.High - e.Low) / (2 * fit.Z90) }

// normalInterval is NormalEstimate at any level.
func normalInterval[Q ~float64](mean, sd Q, k float64) (units.Estimate[Q], error) {
	e := units.Estimate[Q]{Value: mean, Low: mean - Q(k)*sd, High: mean + Q(k)*sd}
	if sd < 0 {
		return units.Estimate[Q]{}, needPositive("the standard deviation", float64(sd))
	}
	if err := needFinite("the interval", float64(e.Low), float64(e.Value), float64(e.High)); err != nil {
		return units.Estimate[Q]{}, err
	}
	return e, nil
}

// Propagate carries an estimate through a formula that rises or falls all the
// way between its limits: quantiles go over into quantiles, so the level of
// the interval stays. The formula is the same function that computes the value.
func Propagate[A, B ~float64](e units.Estimate[A], f func(A) (Computed[B], error)) (units.Estimate[B], error) {
	var out [3]B
	for i, x := range []A{e.Low, e.Value, e.High} {
		y, err := f(x)
		if err != nil {
			return units.Estimate[B]{}, err
		}
		out[i] = y.Value
	}
	return units.Estimate[B]{Value: out[1], Low: min(out[0], out[2]), High: max(out[0], out[2])}, nil
}

// SDLn returns the standard deviation of the logarithm of a positive quantity
// given with its 90 % interval; 0 where the interval is not positive.
func SDLn[Q ~float64](e units.Estimate[Q]) float64 {
	if e.Low <= 0 || e.High < e.Low {
		return 0
	}
	return math.Log(float64(e.High)/float64(e.Low)) / (2 * fit.Z90)
}

// quadrature is the root of the sum of squares of independent contributions.
func quadrature(sds ...float64) float64 {
	sum := 0.0
	for _, s := range sds {
		sum += s * s
	}
	return math.Sqrt(sum)
}
