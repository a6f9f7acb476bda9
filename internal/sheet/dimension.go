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
	pressureOf = &dimension[units.Pressure]{"43.9 Pa", units.ParsePressure, -5000, 5000, "Pa", "Pa",
		func(d *decoder) Text { return d.bare.Pressure }}
	flowOf = &dimension[units.Flow]{"2280 cfm", units.ParseFlow, -100, 100, "cfm", "m3/h",
		func(d *decoder) Text { return d.bare.Flow }}
	fanFlowOf = &dimension[units.Flow]{"2280 cfm", parseFanFlow, -100, 100, "cfm", "m3/h",
		func(d *decoder) Text { return d.bare.Flow }}
	holeOf        = &dimension[units.Area]{"40 in2", units.ParseArea, 0, 1e5, "in2", "cm2", nil}
	areaOf        = &dimension[units.Area]{"1800 ft2", units.ParseArea, 0, 1e5, "ft2", "m2", nil}
	lengthOf      = &dimension[units.Length]{"16 ft", units.ParseLength, 0, 200, "ft", "m", nil}
	altitudeOf    = &dimension[units.Length]{"850 ft", units.ParseLength, -500, 9000, "ft", "m", nil}
	volumeOf      = &dimension[units.Volume]{"14400 ft3", units.ParseVolume, 1, 1e6, "ft3", "m3", nil}
	temperatureOf = &dimension[units.Temperature]{"68 F", units.ParseTemperature, 203.15, 423.15, "F", "C", nil}
	powerOf       = &dimension[units.Power]{"60000 Btu/h", units.ParsePower, -1e7, 1e7, "Btu/h", "W", nil}
	rateOf        = &dimension[units.Rate]{"3 1/h", units.ParseRate, 0, 0.1, "1/h", "1/h", nil}
	resistanceOf  = &dimension[units.ThermalResistance]{"8 h·ft2·F/Btu", units.ParseThermalResistance, 0, 50, "h·ft2·F/Btu", "m2·K/W", nil}
	fractionOf    = &dimension[units.Ratio]{"92 %", units.ParseRatio, 0, 1e3, "%", "%", nil}
	shareOf       = &dimension[units.Ratio]{"5 %", units.ParseRatio, 0, 1, "%", "%", nil}
	degreeDaysOf  = &dimension[KelvinDays]{"5400 F d", parseDegreeDays, 0, 20000, "F d", "K d", nil}
	ppmOf         = &dimension[PartsPerMillion]{"4 ppm", parsePPM, 0, 10000, "ppm", "ppm", nil}
	speedOf       = &dimension[MetresPerSecond]{"3.5 m/s", parseSpeed, 0, 60, "mph", "m/s", nil}
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

// spell gives a quantity as text that reads back to the same value: as it was
// written, or with as few decimals as that takes.
func (dim *dimension[Q]) spell(v Q, text, system string) string {
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

// parseFanFlow reads a flow, which a gauge may show carried to a pressure: "2280 cfm50".
func parseFanFlow(s string) (units.Flow, error) {
	q, _, err := units.ParseScaledFlow(s)
	return q, err
}

func parsePPM(s string) (PartsPerMillion, error) {
	v, err := factors{{"ppm", 1}}.parse(s, `"4 ppm"`)
	return PartsPerMillion(v), err
}

// Miles, kilometres and knots an hour are exact by definition.
var speedUnits = factors{{"m/s", 1}, {"mph", 1609.344 / 3600}, {"km/h", 1 / 3.6}, {"kn", 1852.0 / 3600}}

func parseSpeed(s string) (MetresPerSecond, error) {
	v, err := speedUnits.parse(s, `"3.5 m/s" or "8 mph"`)
	return MetresPerSecond(v), err
}
