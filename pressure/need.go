package pressure

import (
	"holdbook/units"
)

// plain writes a number for a message with at most four significant digits;
// a value that is no number is written in words.
func plain(v float64) string {
	if !units.Finite(v) {
		return "not a number"
	}
	return units.Number(v, 4)
}

// needFinite refuses values that are not finite numbers.
func needFinite(name string, values ...float64) error {
	if units.Finite(values...) {
		return nil
	}
	return &Fault{
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
	return &Fault{
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
	return &Fault{
		What: name + " is " + plain(v) + unit,
		Why:  "it must lie between " + plain(low) + " and " + plain(high) + unit,
		Do:   "check the value and its unit",
	}
}

// needExponent refuses a flow exponent that no leak has.
func needExponent(n units.Ratio) error {
	return needWithin("the exponent n", float64(n), MinExponent, MaxExponent, "")
}
