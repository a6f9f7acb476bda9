package pressure

import (
	"fmt"
	"math"
	"strconv"

	"holdbook/units"
)

// Problem says what is wrong with a reading or a result. As an error it stops
// the computation; in a list of warnings it goes with a usable result.
type Problem struct {
	What string // the reading and its value: "flow of hold 2 is 0"
	Why  string // why that cannot be used, or what it puts in doubt
	Do   string // what cures it
}

// Error joins the three parts into one line.
func (p *Problem) Error() string {
	return fmt.Sprintf("%s: %s; %s", p.What, p.Why, p.Do)
}

// finite reports whether every value is a finite number.
func finite(values ...float64) bool {
	for _, v := range values {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return false
		}
	}
	return true
}

// plain writes a number for a message with at most four significant digits;
// a value that is no number is written in words.
func plain(v float64) string {
	if !finite(v) {
		return "not a number"
	}
	return strconv.FormatFloat(v, 'g', 4, 64)
}

// needFinite refuses values that are not finite numbers.
func needFinite(name string, values ...float64) error {
	if finite(values...) {
		return nil
	}
	return &Problem{
		What: name + " is not a number",
		Why:  "nothing can be computed from it",
		Do:   "write the value that was read, or leave the reading out",
	}
}

// needPositive refuses a value that is not a finite number above zero.
func needPositive(name string, v float64) error {
	if err := needFinite(name, v); err != nil {
		return err
	}
	if v > 0 {
		return nil
	}
	return &Problem{
		What: name + " is " + plain(v),
		Why:  "it must be above zero",
		Do:   "check the reading and its unit",
	}
}

// needWithin refuses a value outside low to high; unit is written after the
// numbers and does not convert them.
func needWithin(name string, v, low, high float64, unit string) error {
	if err := needFinite(name, v); err != nil {
		return err
	}
	if v >= low && v <= high {
		return nil
	}
	if unit != "" {
		unit = " " + unit
	}
	return &Problem{
		What: name + " is " + plain(v) + unit,
		Why:  "it must lie between " + plain(low) + " and " + plain(high) + unit,
		Do:   "check the value and its unit",
	}
}

// needExponent refuses a flow exponent outside 0.5 to 1.
func needExponent(n units.Ratio) error {
	return needWithin("the exponent n", float64(n), 0.5, 1, "")
}

// firstError returns the first error that is not nil.
func firstError(errs ...error) error {
	for _, err := range errs {
		if err != nil {
			return err
		}
	}
	return nil
}
