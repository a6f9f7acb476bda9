package units

import (
	"math"
	"strconv"
	"strings"
)

const (
	// notResolved stands for a number that is not there to print.
	notResolved = "?"
	// leastUnits is how many units of its last figure the half-width of an estimate has at
	// least; it has fewer than ten times as many: one or two figures, and the Guide to the
	// expression of uncertainty in measurement (JCGM 100:2008), 7.2.6, allows two at most.
	// The ends come from draws, and are known
	// to some hundredths of the width: with two figures of every half-width seven ends in
	// ten would change their last by two and more with other draws of the same house.
	leastUnits = 1.2
	// exactFigures is how many figures a value without any width is given.
	exactFigures = 6
	// floatFigures is how many figures a float64 is sure to carry.
	floatFigures = 15
	// plainLimit is the decimal exponent from which a number is printed with a
	// power of ten, so that nonsense cannot burst a table.
	plainLimit = 15
)

// place is the number of decimals that an interval from low to high is printed with, by
// the rule of leastUnits. It is negative where the last figure is a ten or more. An interval
// without width carries six figures, less its trailing zeros; one with an end
// that is NaN or infinite gives 0.
func place(low, high float64) int {
	half := math.Abs(high/2 - low/2) // halved first: the difference may overflow
	switch {
	case !Finite(half):
		return 0
	case half == 0:
		return exactPlace(low)
	}
	most := floatFigures - 1 - exponent10(math.Max(math.Abs(low), math.Abs(high)), -1)
	return min(-exponent10(half/leastUnits, -1), most)
}

// exactPlace is the number of decimals of v written with six figures and
// without trailing zeros.
func exactPlace(v float64) int {
	mantissa, exponent := scientific(v, exactFigures-1)
	figures := len(strings.TrimRight(strings.TrimPrefix(mantissa, "-"), "0")) - len(".")
	return max(0, figures-1-exponent)
}

// scientific splits v, rounded to prec+1 significant figures (−1: as many as
// it needs), into the text of its mantissa and its power of ten.
func scientific(v float64, prec int) (mantissa string, exponent int) {
	text := strconv.FormatFloat(v, 'e', prec, 64)
	mantissa, power, _ := strings.Cut(text, "e")
	exponent, _ = strconv.Atoi(power)
	return mantissa, exponent
}

func exponent10(v float64, prec int) int {
	_, exponent := scientific(v, prec)
	return exponent
}

// FactorsApart tells whether the ends of an interval are more than a factor of six apart,
// so that its half-width says nothing of its lower end.
func FactorsApart(low, high float64) bool {
	const wide = 6
	return low > 0 && high > wide*low
}

// FormatInterval prints a value and the ends of its interval, all three to the
// place in which its half-width has between 1.2 and 12 units; or each with one figure of
// its own where the ends are positive and more than a factor of six apart. No text is ever a negative zero. Where any of the
// three is NaN or infinite the place is not known, and all are "?".
func FormatInterval(v, low, high float64) (value, lowText, highText string) {
	if !Finite(v) || !Finite(low) || !Finite(high) {
		return notResolved, notResolved, notResolved
	}
	if FactorsApart(low, high) {
		return Significant(v, 1), Significant(low, 1), Significant(high, 1)
	}
	decimals := place(low, high)
	return Fixed(v, decimals), Fixed(low, decimals), Fixed(high, decimals)
}

// Significant prints v with that many significant figures.
func Significant(v float64, figures int) string {
	if !Finite(v) || v == 0 {
		return Fixed(v, 0)
	}
	return Fixed(v, figures-1-exponent10(v, figures-1))
}

// Chance prints a probability that was counted over draws, in percent: to tens, for a few
// hundred draws tell it no closer, and at either end by what they still tell from never
// and from always.
func Chance(p float64) string {
	const far, near = 0.005, 0.05
	switch {
	case math.IsNaN(p):
		return notResolved
	case p <= far:
		return "<1"
	case p <= near:
		return "<5"
	case p >= 1-far:
		return ">99"
	case p >= 1-near:
		return ">95"
	}
	return Fixed(100*p, -1)
}

// Finite tells whether every value is a number, and none infinite.
func Finite(values ...float64) bool {
	for _, v := range values {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return false
		}
	}
	return true
}

// Fixed prints v with that many decimals; a negative number of them rounds to
// tens, hundreds and so on. NaN and infinity are "?", zero has no sign, and a
// number of 1e15 or more is printed with a power of ten.
func Fixed(v float64, decimals int) string {
	if !Finite(v) {
		return notResolved
	}
	decimals = min(decimals, maxDecimals)
	exponent := exponent10(v, -1)
	switch {
	case v != 0 && exponent >= plainLimit:
		return strconv.FormatFloat(v, 'e', min(max(exponent+decimals, 0), floatFigures-1), 64)
	case decimals >= 0:
		return unsignedZero(strconv.FormatFloat(v, 'f', decimals, 64))
	default:
		return unsignedZero(roundedToTens(v, exponent, -decimals))
	}
}

// maxDecimals is past the last decimal of the smallest float64.
const maxDecimals = 340

// roundedToTens prints v, whose leading figure counts tens to the power
// exponent, rounded to a multiple of ten to the power zeros. It works on
// decimal text: dividing first would round twice.
func roundedToTens(v float64, exponent, zeros int) string {
	if exponent < zeros-1 {
		return "0"
	}
	if exponent == zeros-1 { // rounds to nothing or to one multiple
		if math.Abs(v) <= 5*math.Pow10(exponent) {
			return "0"
		}
		return strconv.FormatFloat(math.Copysign(math.Pow10(zeros), v), 'f', 0, 64)
	}
	mantissa, power := scientific(v, exponent-zeros)
	figures := strings.Replace(mantissa, ".", "", 1)
	sign := len(figures) - len(strings.TrimPrefix(figures, "-"))
	return figures + strings.Repeat("0", power+1-(len(figures)-sign))
}

// unsignedZero takes the sign off a text of zeros.
func unsignedZero(text string) string {
	if strings.HasPrefix(text, "-") && strings.Trim(text, "-0.") == "" {
		return text[1:]
	}
	return text
}
