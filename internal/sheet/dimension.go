package sheet

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"holdbook/units"
)

// dimension is what the reader and the writer need to know of one sort of
// quantity. The bounds, in SI, are those of anything a house could show: they
// catch a slip of the unit and keep wild numbers away from the physics.
type dimension[Q ~float64] struct {
	example   string
	parse     func(string) (Q, error)
	low, high Q
	ip, si    string              // units the writer uses
	fill      func(*decoder) Text // unit of a bare number; nil: never
}

// smallest is the smallest size, in SI, that a quantity other than zero has.
const smallest = 1e-9

var (
	pressureOf = &dimension[units.Pressure]{`"43.9 Pa"`, units.ParsePressure, -5000, 5000, "Pa", "Pa",
		func(d *decoder) Text { return d.bare.Pressure }}
	flowOf = &dimension[units.Flow]{`"2280 cfm"`, units.ParseFlow, -100, 100, "cfm", "m3/h",
		func(d *decoder) Text { return d.bare.Flow }}
	areaOf        = &dimension[units.Area]{`"40 in2"`, units.ParseArea, 0, 1e5, "in2", "cm2", nil}
	floorOf       = &dimension[units.Area]{`"1800 ft2"`, units.ParseArea, 0, 1e5, "ft2", "m2", nil}
	lengthOf      = &dimension[units.Length]{`"16 ft"`, units.ParseLength, 0, 200, "ft", "m", nil}
	altitudeOf    = &dimension[units.Length]{`"850 ft"`, units.ParseLength, -500, 9000, "ft", "m", nil}
	volumeOf      = &dimension[units.Volume]{`"14400 ft3"`, units.ParseVolume, 1, 1e6, "ft3", "m3", nil}
	temperatureOf = &dimension[units.Temperature]{`"68 F"`, units.ParseTemperature, 203.15, 423.15, "F", "C", nil}
	powerOf       = &dimension[units.Power]{`"60000 Btu/h"`, units.ParsePower, -1e7, 1e7, "Btu/h", "W", nil}
	rateOf        = &dimension[units.Rate]{`"3 1/h"`, units.ParseRate, 0, 0.1, "1/h", "1/h", nil}
	resistanceOf  = &dimension[units.ThermalResistance]{`"8 h·ft2·F/Btu"`, units.ParseThermalResistance, 0, 50, "h·ft2·F/Btu", "m2·K/W", nil}
	shareOf       = &dimension[units.Ratio]{`"5 %"`, units.ParseRatio, 0, 1, "%", "%", nil}
	degreeDaysOf  = &dimension[KelvinDays]{`"5400 F d"`, parseDegreeDays, 0, 20000, "F d", "K d", nil}
	speedOf       = &dimension[MetresPerSecond]{`"3.5 m/s"`, parseSpeed, 0, 60, "mph", "m/s", nil}
)

// check parses a quantity and holds it to its bounds; the error is a message.
func (dim *dimension[Q]) check(text string) (Q, error) {
	v, err := dim.parse(text)
	switch {
	case err != nil:
		return 0, err
	case v != 0 && math.Abs(float64(v)) < smallest:
		return 0, fmt.Errorf("%s: too small to be a reading; check the number and its unit", quoted(text))
	case v < dim.low && dim.low >= 0 && v < 0:
		return 0, fmt.Errorf("%s: below zero; write it without the minus", quoted(text))
	case v < dim.low:
		return 0, fmt.Errorf("%s: less than any house shows; check the number and its unit", quoted(text))
	case v > dim.high:
		return 0, fmt.Errorf("%s: more than any house shows; check the number and its unit", quoted(text))
	}
	return v, nil
}

// write gives a quantity as text that reads back to the same value: as it was
// written, or with as few decimals as that takes.
func (dim *dimension[Q]) write(v Q, text, system string) string {
	if was, err := dim.parse(text); err == nil && was == v {
		return text
	}
	unit := dim.ip
	if system == "si" {
		unit = dim.si
	}
	zero, _ := dim.parse("0 " + unit)
	one, _ := dim.parse("1 " + unit)
	number := float64(v-zero) / float64(one-zero)
	for digits := 6; ; digits++ {
		short, err := strconv.ParseFloat(strconv.FormatFloat(number, 'g', digits, 64), 64)
		s := strconv.FormatFloat(short, 'f', -1, 64) + " " + unit
		back, perr := dim.parse(s)
		near := math.Abs(float64(back-v)) <= 1e-12*math.Abs(float64(v))
		if err != nil || digits >= 17 || perr == nil && near {
			return s
		}
	}
}

// factors are the units of one of the few quantities that only a sheet has.
type factors []struct {
	unit string
	si   float64
}

// parse reads "number unit".
func (f factors) parse(text, example string) (float64, error) {
	number, unit := splitNumber(text)
	v, err := strconv.ParseFloat(number, 64)
	if err != nil || math.IsInf(v, 0) || math.IsNaN(v) {
		return 0, fmt.Errorf("%s: no number with a decimal point; write %s", quoted(text), example)
	}
	unit = strings.NewReplacer("°", "", "·", " ", "*", " ").Replace(unit)
	unit = strings.Join(strings.Fields(strings.ToLower(unit)), " ")
	var names []string
	for _, one := range f {
		if strings.ToLower(one.unit) == unit {
			return v * one.si, nil
		}
		names = append(names, one.unit)
	}
	return 0, fmt.Errorf("%s: the unit must be %s; write %s", quoted(text), listed(names), example)
}

// splitNumber cuts a text after its leading number.
func splitNumber(text string) (number, rest string) {
	text = strings.TrimSpace(text)
	end := strings.IndexFunc(text, func(r rune) bool { return !strings.ContainsRune("+-.,0123456789", r) })
	if end < 0 {
		end = len(text)
	}
	return text[:end], strings.TrimSpace(text[end:])
}

var degreeDayUnits = factors{{"K d", 1}, {"C d", 1}, {"F d", 5.0 / 9}}

func parseDegreeDays(s string) (KelvinDays, error) {
	v, err := degreeDayUnits.parse(s, `"5400 F d" or "3000 K d"`)
	return KelvinDays(v), err
}

// Miles, kilometres and knots an hour are exact by definition.
var speedUnits = factors{{"m/s", 1}, {"mph", 1609.344 / 3600}, {"km/h", 1 / 3.6}, {"kn", 1852.0 / 3600}}

func parseSpeed(s string) (MetresPerSecond, error) {
	v, err := speedUnits.parse(s, `"3.5 m/s" or "8 mph"`)
	return MetresPerSecond(v), err
}

// energyUnits in joules: the international table Btu, and the therm of
// 100,000 of them (NIST Special Publication 811, 2008, appendix B).
var energyUnits = factors{{"kWh", 3.6e6}, {"MJ", 1e6}, {"GJ", 1e9}, {"therm", 1.05505585262e8}, {"million Btu", 1.05505585262e9}}

// parsePrice reads "1.35 per therm", "$0.14 / kWh" or "0.30 EUR per kWh".
func parsePrice(s string) (Price, error) {
	const example = `"1.35 per therm" or "0.14 EUR per kWh"`
	amount, unit, ok := strings.Cut(s, " per ")
	if !ok {
		amount, unit, ok = strings.Cut(s, "/")
	}
	if !ok {
		return Price{}, fmt.Errorf("%s: no price for a unit of energy; write %s", quoted(s), example)
	}
	start := strings.IndexAny(amount, "+-.0123456789")
	if start < 0 {
		return Price{}, fmt.Errorf("%s: no number; write %s", quoted(s), example)
	}
	number, after := splitNumber(amount[start:])
	energy, err := energyUnits.parse("1 "+strings.TrimSpace(unit), example)
	if err != nil {
		return Price{}, fmt.Errorf("%s: the unit of energy must be kWh, MJ, GJ, therm or million Btu; write %s", quoted(s), example)
	}
	v, err := strconv.ParseFloat(number, 64)
	if err != nil || v < 0 || v > 1e6 {
		return Price{}, fmt.Errorf("%s: no price with a decimal point and above zero; write %s", quoted(s), example)
	}
	currency := units.Sanitize(strings.TrimSpace(strings.TrimSpace(amount[:start]) + after))
	return Price{PerJoule: v / energy, Currency: currency, Text: s, Given: true}, nil
}

// parseTolerance reads "1 % or 0.25 Pa", or one of the two parts alone.
func parseTolerance(s string) (Tolerance, error) {
	const example = `"1 % or 0.25 Pa"`
	t := Tolerance{Text: s, Given: true}
	for i, part := range strings.SplitN(s, " or ", 3) {
		var err error
		switch {
		case i == 2:
			err = fmt.Errorf("%s: three parts where two are wanted; write %s", quoted(s), example)
		case strings.Contains(part, "%") || strings.Contains(part, "percent"):
			t.Relative, err = shareOf.check(part)
		default:
			t.Absolute, err = pressureOf.check(part)
		}
		if err != nil {
			return Tolerance{}, err
		}
	}
	if t.Relative < 0 || t.Absolute < 0 || t.Relative+units.Ratio(t.Absolute) == 0 {
		return Tolerance{}, fmt.Errorf("%s: an error must be above zero; write %s", quoted(s), example)
	}
	return t, nil
}

// parseAmount reads a limit's number by its unit.
func parseAmount(s string) (Amount, error) {
	a := Amount{Text: s, Given: true}
	try := func(kind AmountKind, v float64, err error) bool {
		if err == nil {
			a.Kind, a.Value = kind, v
		}
		return err == nil
	}
	flow, ferr := flowOf.check(s)
	pressure, perr := pressureOf.check(s)
	rate, rerr := rateOf.check(s)
	share, serr := units.ParseRatio(s)
	area, aerr := floorOf.check(s)
	specific, sperr := parseFlowPerArea(s)
	if try(FlowAmount, float64(flow), ferr) || try(PressureAmount, float64(pressure), perr) ||
		try(RateAmount, float64(rate), rerr) || try(ShareAmount, float64(share), serr) ||
		try(AreaAmount, float64(area), aerr) || try(FlowPerAreaAmount, float64(specific), sperr) {
		return a, nil
	}
	return a, fmt.Errorf(`%s: no limit this program knows the unit of; write "3 1/h", "60 cfm", "6 %%", "5 Pa", "0.25 cfm/ft2" or "4 cfm per 100 ft2"`, quoted(s))
}

// parseFlowPerArea also reads "4 cfm per 100 ft2".
func parseFlowPerArea(s string) (units.SpecificFlow, error) {
	above, below, ok := strings.Cut(s, " per ")
	if !ok {
		return units.ParseSpecificFlow(s)
	}
	if below = strings.TrimSpace(below); strings.IndexAny(below, "0123456789") != 0 {
		below = "1 " + below
	}
	flow, err := flowOf.check(above)
	if err != nil {
		return 0, err
	}
	area, err := floorOf.check(below)
	if err == nil && area <= 0 {
		err = fmt.Errorf("%s: an area of zero", quoted(s))
	}
	return units.SpecificFlow(float64(flow) / float64(area)), err
}
