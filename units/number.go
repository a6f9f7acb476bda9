package units

import (
	"errors"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Reasons why the start of a text is not a number.
var (
	errEmpty       = errors.New("nothing is written here")
	errNoNumber    = errors.New("no number at the start")
	errNaN         = errors.New("not a number is no reading")
	errInfinite    = errors.New("infinity is no reading")
	errHex         = errors.New("a hexadecimal number")
	errUnderscore  = errors.New("an underscore in a number")
	errSignGap     = errors.New("a space after the sign")
	errTwoPoints   = errors.New("two decimal points in one number")
	errComma       = errors.New("a decimal comma")
	errStrayComma  = errors.New("a comma that neither groups thousands nor marks decimals")
	errClock       = errors.New("a time of day")
	errTooLarge    = errors.New("too large a number")
	errFigureGroup = errors.New("a space inside a number")
)

// number is what was found at the start of a text.
type number struct {
	value  float64
	sign   string // "-" or empty
	digits string // as ParseFloat reads them; where err is set, the correction, or empty
	rest   string // what follows, without surrounding space
	err    error
}

// plain is the number as we would write it.
func (n number) plain() string { return n.sign + n.digits }

// scanNumber reads a decimal number from the start of s: a sign, figures with
// thousands grouped in threes by commas or not grouped, a point, an exponent.
func scanNumber(s string) number {
	s = strings.TrimFunc(s, unicode.IsSpace)
	if s == "" {
		return number{err: errEmpty}
	}
	sign, unsigned := cutSign(s)
	body := strings.TrimLeftFunc(unsigned, unicode.IsSpace)
	figures, after := cutFigures(body)
	if !strings.ContainsAny(figures, "0123456789") {
		return number{rest: s, err: whyNoNumber(body)}
	}
	exponent, after := cutExponent(after)
	rest := strings.TrimLeftFunc(after, unicode.IsSpace)
	digits, err := plainFigures(figures)
	n := number{sign: sign, digits: digits, rest: rest, err: err}
	if digits != "" {
		n.digits += exponent
	}
	if n.err == nil {
		n.err = whyNotDecimal(figures, after)
	}
	if n.err == nil && len(body) != len(unsigned) && sign != "" {
		n.err = errSignGap
	}
	if n.err == nil {
		n.value, n.err = parseFinite(n.digits)
	}
	if sign != "" {
		n.value = -n.value
	}
	return n
}

// cutSign takes a sign off the front: plus, hyphen, minus, or the en dash that
// word processors make of a hyphen.
func cutSign(s string) (sign, rest string) {
	r, n := utf8.DecodeRuneInString(s)
	switch r {
	case '+':
		return "", s[n:]
	case '-', '−', '–':
		return "-", s[n:]
	}
	return "", s
}

func cutFigures(s string) (figures, rest string) {
	end := 0
	for end < len(s) && (s[end] >= '0' && s[end] <= '9' || s[end] == '.' || s[end] == ',') {
		end++
	}
	return s[:end], s[end:]
}

// cutExponent takes "e-3" off the front of s, and nothing that could be a unit.
func cutExponent(s string) (exponent, rest string) {
	if s == "" || s[0] != 'e' && s[0] != 'E' {
		return "", s
	}
	sign, rest := cutSign(s[1:])
	end := 0
	for end < len(rest) && rest[end] >= '0' && rest[end] <= '9' {
		end++
	}
	if end == 0 {
		return "", s
	}
	return "e" + sign + rest[:end], rest[end:]
}

func whyNoNumber(body string) error {
	lower := strings.ToLower(body)
	switch {
	case strings.HasPrefix(lower, "nan"):
		return errNaN
	case strings.HasPrefix(lower, "inf"), strings.HasPrefix(body, "∞"):
		return errInfinite
	}
	return errNoNumber
}

// whyNotDecimal looks at what follows the figures for other ways of writing
// numbers.
func whyNotDecimal(figures, after string) error {
	switch {
	case figures == "0" && (strings.HasPrefix(after, "x") || strings.HasPrefix(after, "X")):
		return errHex
	case strings.HasPrefix(after, "_"):
		return errUnderscore
	case strings.HasPrefix(after, ":"):
		return errClock
	}
	return nil
}

// plainFigures takes the commas out of figures, or says what is wrong with
// them; then plain is the correction where there is only one, else empty.
func plainFigures(figures string) (plain string, err error) {
	whole, decimals, _ := strings.Cut(figures, ".")
	switch {
	case !strings.Contains(figures, ","):
		if strings.Contains(decimals, ".") {
			return "", errTwoPoints
		}
		return figures, nil
	case inThrees(whole, ',') && !strings.ContainsAny(decimals, ".,"):
		return strings.ReplaceAll(figures, ",", ""), nil
	}
	whole, decimals, _ = strings.Cut(figures, ",")
	switch {
	case decimals == "" || strings.ContainsAny(decimals, ".,"):
		return "", errStrayComma
	case !strings.Contains(whole, "."):
		return whole + "." + decimals, errComma
	case inThrees(whole, '.'):
		return strings.ReplaceAll(whole, ".", "") + "." + decimals, errComma
	}
	return "", errStrayComma
}

// inThrees says whether whole is figures grouped by separator as in 14,400:
// one to three, not starting with a zero, then threes.
func inThrees(whole string, separator byte) bool {
	first := strings.IndexByte(whole, separator)
	if first < 1 || first > 3 || whole[0] == '0' {
		return false
	}
	for groups := whole[first:]; groups != ""; groups = groups[4:] {
		if len(groups) < 4 || groups[0] != separator || !allFigures(groups[1:4]) {
			return false
		}
	}
	return allFigures(whole[:first])
}

func allFigures(s string) bool {
	for i := range len(s) {
		if s[i] < '0' || s[i] > '9' {
			return false
		}
	}
	return s != ""
}

func parseFinite(digits string) (float64, error) {
	v, err := strconv.ParseFloat(digits, 64)
	switch {
	case errors.Is(err, strconv.ErrRange):
		return 0, errTooLarge
	case err != nil:
		return 0, errNoNumber
	case !Finite(v): // cannot be, and must not
		return 0, errTooLarge
	}
	return v, nil
}

// secondNumber says whether a further number starts in rest, which no unit
// could be made of: "44 Pa", say, after "43.9 Pa –".
func secondNumber(rest string) bool {
	previous := ' '
	for _, r := range rest {
		if r >= '0' && r <= '9' && !unicode.IsLetter(previous) && !unicode.IsDigit(previous) && previous != '^' {
			return true
		}
		previous = r
	}
	return false
}

// groupedBySpaces joins figures that stand in groups of three, as in
// "14 400 ft3", to the number before them. It reports false where they do not.
func groupedBySpaces(plain, rest string) (joined, unit string, ok bool) {
	digits := strings.TrimPrefix(plain, "-")
	if !allFigures(digits) || len(digits) > 3 || digits[0] == '0' {
		return "", "", false
	}
	for {
		group, after := cutFigures(rest)
		if len(group) != 3 || !allFigures(group) {
			return plain, rest, ok
		}
		plain, rest, ok = plain+group, strings.TrimLeftFunc(after, unicode.IsSpace), true
	}
}
