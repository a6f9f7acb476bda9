package units

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// Number prints v with as many significant figures, but never drops digits before the
// decimal point, and without trailing zeros: 1672.2 with three is "1672". NaN and infinity
// are "?". What would need more than four zeros behind the point, or more than fifteen
// digits, is printed with a power of ten.
func Number(v float64, figures int) string {
	switch exponent := exponent10(v, figures-1); {
	case !Finite(v):
		return notResolved
	case v == 0:
		return "0"
	case exponent < -4 || exponent >= plainLimit:
		return strconv.FormatFloat(v, 'g', figures, 64)
	default:
		return trimZeros(Fixed(v, max(0, figures-1-exponent)))
	}
}

func trimZeros(text string) string {
	if !strings.Contains(text, ".") {
		return text
	}
	return strings.TrimRight(strings.TrimRight(text, "0"), ".")
}

// Common is the number of decimals, 0 or more, at which values of one unit stand in one
// line, so that a sum can be followed: as many as show each with that many significant
// figures or exactly, and not so many that the largest has more than six.
func Common(figures int, values ...float64) int {
	decimals, largest := 0, 0.0
	for _, v := range values {
		if v == 0 || !Finite(v) {
			continue
		}
		decimals = max(decimals, min(figures-1-exponent10(v, figures-1), exactPlace(v)))
		largest = math.Max(largest, math.Abs(v))
	}
	if largest == 0 {
		return 0
	}
	return max(0, min(decimals, exactFigures-1-exponent10(largest, -1)))
}

// Put puts a unit behind a number as the SI brochure does, with a space (before % and °C
// too); a number without a unit stays as it is.
func Put(number string, u Unit) string {
	if u.symbol == "" {
		return number
	}
	return number + " " + u.Pretty()
}

// Say is fmt.Sprintf for messages: a pressure among the arguments stands for its text in
// pascals with one decimal, "43.9 Pa", and a ratio for three significant figures.
func Say(format string, args ...any) string {
	said := make([]any, len(args))
	for i, a := range args {
		switch q := a.(type) {
		case Pressure:
			said[i] = q.Text(Pascal, 1)
		case Ratio:
			said[i] = Number(float64(q), 3)
		default:
			said[i] = a
		}
	}
	return fmt.Sprintf(format, said...)
}
