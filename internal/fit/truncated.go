package fit

import (
	"errors"
	"math"

	"gonum.org/v1/gonum/mathext"
)

// TruncatedNormal is a normal quantity kept between two ends. It maps a
// standard normal coordinate u to the quantity, so that a prior of this sort
// needs no bound: the density of u is the standard normal one, with no Jacobian.
type TruncatedNormal struct {
	mean, sd     float64
	low, high    float64 // the ends, as given
	below, above float64 // normal probability beyond each end
	within       float64 // and between them
}

// NewTruncatedNormal makes the normal distribution of the given mean and
// standard deviation, kept in low to high (±Inf for no end). It fails when sd is not
// positive, the ends are not in order, or they hold almost no probability: less
// than 1e-100, or so little that the digits of a narrow range are lost.
func NewTruncatedNormal(mean, sd, low, high float64) (TruncatedNormal, error) {
	if !finite(mean) || !finite(sd) || !(sd > 0) {
		return TruncatedNormal{}, errors.New("truncated normal: the mean must be finite and the standard deviation positive")
	}
	if !(low < high) {
		return TruncatedNormal{}, errors.New("truncated normal: the low end must be below the high end")
	}
	a, b := (low-mean)/sd, (high-mean)/sd
	t := TruncatedNormal{mean: mean, sd: sd, low: low, high: high, below: normalBelow(a), above: normalBelow(-b)}
	t.within = normalWithin(a, b)
	// Beyond this the difference above has too few digits, or none.
	if !(t.within > 1e-100) || t.within < 1e-8*max(min(t.below, 1-t.below), min(t.above, 1-t.above)) {
		return TruncatedNormal{}, errors.New("truncated normal: almost no probability lies between the ends; choose ends nearer to the mean or a larger standard deviation")
	}
	return t, nil
}

// At returns the value at u, its derivative with respect to u, and
// d ln|derivative|/du. The value rises from the low to the high end; from
// whichever end is nearer the probability is counted, so that both tails keep
// their digits. Beyond |u| = 37, where a float holds no normal probability, the
// value stays.
func (t TruncatedNormal) At(u float64) (value, slope, logSlope float64) {
	u = min(37, max(-37, u))
	z := min(38, max(-38, t.score(u)))
	if t.below == 0 && t.above == 0 {
		return t.mean + t.sd*u, t.sd, 0
	}
	d := t.within * math.Exp((z-u)*(z+u)/2)
	return min(t.high, max(t.low, t.mean+t.sd*z)), t.sd * d, z*d - u
}

// score is the standard score of the quantity at u.
func (t TruncatedNormal) score(u float64) float64 {
	below := t.below + t.within*normalBelow(u)
	if below <= 0.5 {
		return mathext.NormalQuantile(below)
	}
	return -mathext.NormalQuantile(t.above + t.within*normalBelow(-u))
}

// Coordinate is the u at which At gives the value, kept within ±37.
func (t TruncatedNormal) Coordinate(value float64) float64 {
	z := (min(t.high, max(t.low, value)) - t.mean) / t.sd
	below := normalWithin((t.low-t.mean)/t.sd, z) / t.within
	above := normalWithin(z, (t.high-t.mean)/t.sd) / t.within
	u := 0.0
	if below <= 0.5 {
		u = mathext.NormalQuantile(max(0, below))
	} else {
		u = -mathext.NormalQuantile(max(0, min(1, above)))
	}
	return min(37, max(-37, u))
}

// normalBelow is the standard normal probability below z, good in the lower tail.
func normalBelow(z float64) float64 { return math.Erfc(-z/math.Sqrt2) / 2 }

// normalWithin is the standard normal probability from a to b, taken in the tail that
// keeps its digits.
func normalWithin(a, b float64) float64 {
	if a > 0 {
		return normalBelow(-a) - normalBelow(-b)
	}
	return normalBelow(b) - normalBelow(a)
}
