package advise

import (
	"errors"
	"fmt"
	"strings"

	"holdbook/units"
)

// ParseShare reads a share of each leak, between 0.01 and 1.
func ParseShare(text string) (units.Ratio, error) {
	v, err := units.ParseRatioIn(text, units.One)
	if err == nil && !(v >= 0.01 && v <= 1) {
		err = fmt.Errorf("%q: a share is between 0.01 and 1", units.Sanitize(text))
	}
	return v, err
}

// ParseSealed reads what was sealed, spaces or pairs of them with commas between.
func ParseSealed(text string) (names []string) {
	for _, name := range strings.Split(text, ",") {
		if name = strings.TrimSpace(name); name != "" {
			names = append(names, name)
		}
	}
	return names
}

// leastBareTarget is the smallest number that a target without a unit may be: below it an
// air change may be meant as well as a flow.
const leastBareTarget = 30

// ParseTarget reads what the sealing is to reach at 50 Pa: a flow, or air changes such as
// "5 /h"; a bare number is a flow in the unit of a system.
func ParseTarget(text string, s units.System) (units.Flow, units.Rate, error) {
	if flow, err := units.ParseFlowIn(text, s.Flow()); err == nil && flow > 0 {
		if _, err := units.ParseFlow(text); err != nil && s.Flow().FromSI(float64(flow)) < leastBareTarget {
			return 0, 0, fmt.Errorf("%q: write its unit, a flow such as 1500 cfm, or air changes such as 5 /h", units.Sanitize(text))
		}
		return flow, 0, nil
	}
	rate, err := units.ParseRate(text)
	if err != nil || !(rate > 0) {
		return 0, 0, errors.New("write a flow such as 1500 cfm, or air changes such as 5 /h")
	}
	return 0, rate, nil
}
