package ductleak

import (
	"holdbook/pressure"
	"holdbook/units"
)

// wrong is a reading that cannot be used.
func wrong(reading, remedy, format string, args ...any) error {
	return &pressure.Fault{Reading: reading, What: units.Say(format, args...), Do: remedy}
}

// driving is the pressure that drives the leaks of ducts outwards: house to their zone
// where that was read, else house to outside.
func driving(house, zone units.Measured[units.Pressure]) units.Measured[units.Pressure] {
	if zone.Value != 0 {
		return zone
	}
	return house
}

// checkExponent refuses an exponent that no leak has.
func checkExponent(n units.Ratio) error {
	if !(n >= pressure.MinExponent && n <= pressure.MaxExponent) {
		return wrong("exponent", "give one from 0.5 to 1", "%g", float64(n))
	}
	return nil
}

// checkMeasured refuses a reading that is not a number or whose error is not
// a standard deviation.
func checkMeasured[Q ~float64](reading string, m units.Measured[Q]) error {
	if !units.Finite(float64(m.Value)) {
		return wrong(reading, "give the number read", "not a finite number")
	}
	if !units.Finite(float64(m.SD)) || m.SD < 0 {
		return wrong(reading, "give a standard deviation of 0 or more", "its standard deviation is not one")
	}
	return nil
}

// checkPositive refuses what checkMeasured does and anything not above zero.
func checkPositive[Q ~float64](reading string, m units.Measured[Q]) error {
	if err := checkMeasured(reading, m); err != nil {
		return err
	}
	if m.Value <= 0 {
		return wrong(reading, "give a value above zero", "%s is not above zero", units.Ratio(m.Value))
	}
	return nil
}

// checkNotNegative refuses what checkMeasured does and anything below zero.
func checkNotNegative[Q ~float64](reading string, m units.Measured[Q]) error {
	if err := checkMeasured(reading, m); err != nil {
		return err
	}
	if m.Value < 0 {
		return wrong(reading, "give the magnitude", "%s is below zero", units.Ratio(m.Value))
	}
	return nil
}

// checkResult refuses a result that is no finite number: the readings that led
// to it cannot all be right.
func checkResult[Q ~float64](what string, results ...units.Estimate[Q]) error {
	for _, e := range results {
		if !units.Finite(float64(e.Low), float64(e.Value), float64(e.High)) {
			return wrong(what, "check the readings and their units", "the readings lead out of the range of numbers")
		}
	}
	return nil
}

// checkEstimate refuses an interval that is not finite or does not hold its value.
func checkEstimate[Q ~float64](name string, e units.Estimate[Q]) error {
	if err := checkMeasured(name, units.Known(e.Value)); err != nil {
		return err
	}
	if !units.Finite(float64(e.Low), float64(e.High)) || e.Low > e.Value || e.Value > e.High {
		return wrong(name, "give low, value and high in that order", "its interval does not hold its value")
	}
	return nil
}

// checkPositiveEstimate refuses what checkEstimate does and an interval that
// reaches zero.
func checkPositiveEstimate[Q ~float64](name string, e units.Estimate[Q]) error {
	if err := checkEstimate(name, e); err != nil {
		return err
	}
	return checkPositive(name+", low end", units.Known(e.Low))
}
