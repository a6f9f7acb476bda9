package report

import (
	"fmt"
	"strings"

	"holdbook/internal/survey"
	"holdbook/units"
)

// empty stands in a cell that has nothing to say.
const empty = "-"

// texts is an estimate with the digits its interval carries: the value and
// "low–high". The interval is "" for a value that is known exactly.
func texts(q *survey.Q) (value, interval string) {
	if q == nil {
		return empty, ""
	}
	if q.Low == q.High {
		return number(q.Value), ""
	}
	v, l, h := units.FormatInterval(q.Value, q.Low, q.High)
	return v, span(l, h)
}

// span joins two limits with an en dash, or with "to" where a minus sign would
// make a dash hard to read.
func span(low, high string) string {
	if strings.HasPrefix(low, "-") {
		return low + " to " + high
	}
	return low + "–" + high
}

// number prints a number that carries no interval, such as a reading: four
// significant digits, or all the digits before the decimal point if there are
// more, and no trailing zeros.
func number(v float64) string { return units.Number(v, 4) }

// percent prints a fraction as whole percent; the ends are kept for what is certain.
func percent(fraction float64) string {
	switch {
	case fraction > 0 && fraction < 0.01:
		return "<1"
	case fraction > 0.99 && fraction < 1:
		return ">99"
	}
	return units.Fixed(100*fraction, 0)
}

// inline is an estimate in running text: "312 cfm (241–399)".
func inline(q *survey.Q) string {
	v, i := texts(q)
	if q != nil {
		v = units.Put(v, q.Unit)
	}
	if i != "" {
		v += " (" + i + ")"
	}
	return v
}

// inlineIf is inline for a result that may not be resolved.
func inlineIf(q *survey.Q, resolved bool, b survey.Bound) string {
	if resolved {
		return inline(q)
	}
	return unresolved(q, b)
}

// unresolved is what is said of an estimate that the readings bound but do not
// fix: "not resolved (40–900 cfm)", or where they bound it on one side "at least 40 cfm".
func unresolved(q *survey.Q, b survey.Bound) string {
	if q == nil {
		return "not resolved"
	}
	_, i := texts(q)
	if i == "" {
		return "not resolved"
	}
	_, low, high := units.FormatInterval(q.Value, q.Low, q.High)
	switch b {
	case survey.AtLeast:
		return string(b) + " " + units.Put(low, q.Unit)
	case survey.AtMost:
		return string(b) + " " + units.Put(high, q.Unit)
	}
	return "not resolved (" + units.Put(i, q.Unit) + ")"
}

// between names a path.
func between(p [2]string) string { return p[0] + "–" + p[1] }

// unitOf is the unit that all of the estimates share, "" when there is none or
// they differ. The unit of a ratio is "".
func unitOf(qs ...*survey.Q) string {
	unit := ""
	for _, q := range qs {
		switch {
		case q == nil || q.Unit.Pretty() == "":
		case unit == "":
			unit = q.Unit.Pretty()
		case unit != q.Unit.Pretty():
			return ""
		}
	}
	return unit
}

// each is one estimate out of every element of a list.
func each[T any](list []T, pick func(T) *survey.Q) []*survey.Q {
	var out []*survey.Q
	for _, e := range list {
		out = append(out, pick(e))
	}
	return out
}

// areaBasis names the pressure and coefficient of areas, as every area must.
func areaBasis(areas ...*survey.Q) string {
	for _, a := range areas {
		if a != nil && a.Coefficient > 0 {
			at := ""
			if a.Pressure > 0 {
				at = " at " + number(a.Pressure) + " Pa"
			}
			return fmt.Sprintf(" Areas%s with discharge coefficient %s.", at, coefficient(a.Coefficient))
		}
	}
	return ""
}

// coefficient prints a discharge coefficient as the trade writes it: 1.0,
// 0.611, 0.60.
func coefficient(c float64) string {
	s := number(c)
	switch {
	case !strings.Contains(s, "."):
		return s + ".0"
	case len(s) == len("0.6"):
		return s + "0"
	}
	return s
}

// bounded is whether an interval is narrow enough for its middle to be a size.
func bounded(q *survey.Q) bool { return q == nil || !units.FactorsApart(q.Low, q.High) }

// airChanges says "9.4 air changes an hour (9.1–9.8)".
func airChanges(q *survey.Q) string {
	v, i := texts(q)
	v += " air changes an hour"
	if i != "" {
		v += " (" + i + ")"
	}
	return v
}
