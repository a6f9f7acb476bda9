package units

import (
	"strings"
	"unicode"
)

// ParseError says why a text is not the quantity wanted and what would be.
type ParseError struct {
	Text     string // as it was written, or the part of it that is wrong
	Reason   string // what is wrong with it
	Accepted string // what to write instead
}

// Error is one line, safe to show on a terminal.
func (e *ParseError) Error() string {
	return `"` + SanitizeTo(e.Text, textLimit) + `": ` + e.Reason + "; write " + e.Accepted
}

// textLimit is how much of a wrong text is repeated to its writer.
const textLimit = 40

// kind is what the messages about one dimension need.
type kind struct {
	name     string // with its article: "a pressure"
	examples string
	units    [2]*Unit // offered when a unit is missing
	positive bool     // a negative one is nonsense
}

var kinds = [...]kind{
	dimPressure:              {"a pressure", "43.9 Pa or 0.18 inH2O", [2]*Unit{&Pascal, &InchWater}, false},
	dimFlow:                  {"a flow", "2280 cfm, 62 L/s or 388 m3/h", [2]*Unit{&CFM, &CubicMetrePerHour}, false},
	dimArea:                  {"an area", "40 in2, 1.5 ft2 or 258 cm2", [2]*Unit{&SquareInch, &SquareCentimetre}, true},
	dimLength:                {"a length", "850 ft or 260 m", [2]*Unit{&Foot, &Metre}, false},
	dimVolume:                {"a volume", "14400 ft3 or 408 m3", [2]*Unit{&CubicFoot, &CubicMetre}, true},
	dimTemperature:           {"a temperature", "68 F or 20 °C", [2]*Unit{&Fahrenheit, &Celsius}, false},
	dimTemperatureDifference: {"a temperature difference", "18 F or 10 K", [2]*Unit{&FahrenheitDegree, &KelvinDegree}, false},
	dimPower:                 {"a power", "60000 Btu/h or 17.6 kW", [2]*Unit{&BtuPerHour, &Kilowatt}, false},
	dimTime:                  {"a length of time", "20 s, 10 min or 1.5 h", [2]*Unit{&Second, &Minute}, true},
	dimDensity:               {"a density", "1.2 kg/m3 or 0.075 lb/ft3", [2]*Unit{&KilogramPerCubicMetre, &PoundPerCubicFoot}, true},
	dimRatio:                 {"a share", "5 %", [2]*Unit{&Percent, &Percent}, false},
	dimRate:                  {"a rate", "0.35 1/h", [2]*Unit{&PerHour, &PerHour}, true},
	dimThermalResistance:     {"a thermal resistance", "19 h·ft2·F/Btu or 3.3 m2·K/W", [2]*Unit{&HourSquareFootPerBtu, &SquareMetreKelvinPerWatt}, true},
	dimSpecificFlow:          {"a flow per area", "0.25 cfm/ft2 or 4.6 m3/(h·m2)", [2]*Unit{&CFMPerSquareFoot, &CubicMetrePerHourSquareMetre}, false},
}

// such offers examples: "a pressure such as 43.9 Pa or 0.18 inH2O".
func (k kind) such() string { return k.name + " such as " + k.examples }

// hints are for units that are left out on purpose, and why.
var hints = [...]struct{ text, reason string }{
	{"cfm50", "cfm50 states a pressure besides the flow"},
	{"cfm25", "cfm25 states a pressure besides the flow"},
	{"mbh", "MBH is a thousand Btu/h to some and a million to others"},
	{"btu", "Btu is an energy"},
	{"kwh", "kWh is an energy"},
	{"°", "a degree of which scale is not said"},
	{"deg", "a degree of which scale is not said"},
	{"degrees", "a degree of which scale is not said"},
	{"ton h", "ton h is an energy"},
	{"r", "an R-value is in h·ft2·F/Btu in one country and in m2·K/W in the next"},
}

// parse reads a quantity of the dimension wanted and gives it in SI. A number
// without a unit is read in bare, and refused where bare is nil.
func parse(text string, want dimension, bare *Unit) (float64, error) {
	n := scanNumber(text)
	if n.err != nil {
		return 0, numberError(text, n, want, bare)
	}
	unit, err := unitOf(text, n, want, bare)
	if err != nil {
		return 0, err
	}
	v := unit.ToSI(n.value)
	if reason := unphysical(v, want); reason != "" {
		return 0, &ParseError{text, reason, kinds[want].such()}
	}
	return v + 0, nil // a negative zero becomes zero
}

// unitOf finds the unit that follows the number.
func unitOf(text string, n number, want dimension, bare *Unit) (Unit, error) {
	if n.rest == "" {
		if bare != nil && bare.dim == want {
			return *bare, nil
		}
		return Unit{}, &ParseError{text, "no unit", missing(n.plain(), want)}
	}
	unit, ok := find(n.rest, want)
	switch {
	case !ok:
		return Unit{}, unitError(text, n, want, bare)
	case unit.dim != want:
		return Unit{}, &ParseError{text, wrongDimension(n.rest, unit), kinds[want].such()}
	}
	return unit, nil
}

// missing offers the number with each of the usual units.
func missing(plain string, want dimension) string {
	first, second := kinds[want].units[0], kinds[want].units[1]
	if len(plain) > textLimit {
		return kinds[want].such()
	}
	if first == second {
		return plain + " " + first.symbol
	}
	return plain + " " + first.symbol + " or " + plain + " " + second.symbol + ", whichever was meant"
}

func wrongDimension(rest string, unit Unit) string {
	reason := SanitizeTo(rest, textLimit) + " is " + kinds[unit.dim].name
	if unit == Inch {
		reason += " (inches of water are inH2O)"
	}
	return reason
}

// unitError says what is wrong with a text whose number is followed by
// something that is no unit.
func unitError(text string, n number, want dimension, bare *Unit) error {
	if joined, rest, ok := groupedBySpaces(n.plain(), n.rest); ok && acceptable(rest, want, bare) {
		return &ParseError{text, errFigureGroup.Error(), corrected(joined, rest, want)}
	}
	if seen := SanitizeTo(n.rest, textLimit); seen != n.rest && acceptable(seen, want, nil) {
		return &ParseError{text, "an invisible character near the unit", corrected(n.plain(), seen, want)}
	}
	for _, h := range hints {
		if foldASCII(n.rest) == h.text {
			return &ParseError{text, h.reason, kinds[want].such()}
		}
	}
	if secondNumber(n.rest) {
		return &ParseError{text, "two numbers where one is wanted", kinds[want].such()}
	}
	return &ParseError{text, "unknown unit " + SanitizeTo(n.rest, textLimit), kinds[want].such()}
}

// numberError says what is wrong with a text that does not start with a
// number, and puts it right where that can be done in one way only.
func numberError(text string, n number, want dimension, bare *Unit) error {
	accepted := kinds[want].such()
	if n.digits != "" && acceptable(n.rest, want, bare) && correctable(n.err) {
		accepted = corrected(n.plain(), n.rest, want)
	}
	return &ParseError{text, n.err.Error(), accepted}
}

// corrected is the text with its number put right, or an example where that
// would be too long to read.
func corrected(plain, rest string, want dimension) string {
	if len(plain)+len(rest) > textLimit {
		return kinds[want].such()
	}
	return SanitizeTo(plain+" "+rest, 2*textLimit)
}

func correctable(err error) bool { return err == errComma || err == errSignGap }

// acceptable says whether rest is a unit of the dimension, or may be missing.
func acceptable(rest string, want dimension, bare *Unit) bool {
	if rest == "" {
		return bare != nil && bare.dim == want
	}
	unit, ok := find(rest, want)
	return ok && unit.dim == want
}

// unphysical says why v, in SI, cannot be, or gives nothing.
func unphysical(v float64, want dimension) string {
	switch {
	case !Finite(v):
		return errTooLarge.Error()
	case want == dimTemperature && v <= 0:
		return "not above absolute zero, -459.67 °F or -273.15 °C"
	case kinds[want].positive && v < 0:
		return kinds[want].name + " below zero"
	}
	return ""
}

// ParsePressureUnit reads the name of a unit of pressure alone.
func ParsePressureUnit(s string) (Unit, error) { return parseUnit(s, dimPressure, "Pa or inH2O") }

// ParseFlowUnit reads the name of a unit of flow alone.
func ParseFlowUnit(s string) (Unit, error) { return parseUnit(s, dimFlow, "cfm, L/s or m3/h") }

func parseUnit(s string, want dimension, accepted string) (Unit, error) {
	name := strings.TrimFunc(s, unicode.IsSpace)
	unit, ok := find(name, want)
	switch {
	case name == "":
		return Unit{}, &ParseError{s, errEmpty.Error(), accepted}
	case !ok:
		return Unit{}, &ParseError{s, "unknown unit", accepted}
	case unit.dim != want:
		return Unit{}, &ParseError{s, wrongDimension(name, unit), accepted}
	}
	return unit, nil
}
