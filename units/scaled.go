package units

import "strings"

// The pressures that a gauge may carry a flow to.
const (
	leastScaled = Pressure(4)
	mostScaled  = Pressure(100)
)

// ParseScaledFlow reads a flow that a gauge may have shown carried to a pressure: "2280
// cfm50", "2280 cfm@50", "62 L/s @ 50 Pa". The pressure is zero for a plain flow. The error
// is that of ParseFlow, or of a pressure outside 4 to 100 Pa.
func ParseScaledFlow(s string) (q Flow, to Pressure, err error) {
	flow, at, found := strings.Cut(s, "@")
	if !found {
		if trimmed := strings.TrimSpace(s); len(trimmed) > 5 && strings.EqualFold(trimmed[len(trimmed)-5:], "cfm50") {
			flow, at, found = trimmed[:len(trimmed)-2], "50", true
		}
	}
	if !found {
		q, err = ParseFlow(s)
		return q, 0, err
	}
	if at = strings.TrimSpace(at); strings.IndexFunc(at, isLetter) < 0 {
		at += " " + Pascal.symbol
	}
	if q, err = ParseFlow(flow); err != nil {
		return 0, 0, err
	}
	if to, err = ParsePressure(at); err != nil {
		return 0, 0, err
	}
	if to < leastScaled || to > mostScaled {
		return 0, 0, &ParseError{s, "no gauge carries a flow to that pressure", "the flow as shown with the pressure behind it: 2280 cfm@50"}
	}
	return q, to, nil
}

func isLetter(r rune) bool { return r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' }
