package units

import (
	"errors"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func plainParser[Q ~float64](parse func(string) (Q, error)) func(string) (float64, error) {
	return func(s string) (float64, error) {
		q, err := parse(s)
		return float64(q), err
	}
}

// parsers are the exported ones, one a dimension, with one of their examples.
var parsers = map[string]struct {
	parse   func(string) (float64, error)
	example string
}{
	"pressure":    {plainParser(ParsePressure), "43.9 Pa"},
	"flow":        {plainParser(ParseFlow), "2280 cfm"},
	"area":        {plainParser(ParseArea), "40 in2"},
	"length":      {plainParser(ParseLength), "850 ft"},
	"volume":      {plainParser(ParseVolume), "14400 ft3"},
	"temperature": {plainParser(ParseTemperature), "68 F"},
	"difference":  {plainParser(ParseTemperatureDifference), "10 K"},
	"power":       {plainParser(ParsePower), "60000 Btu/h"},
	"time":        {plainParser(ParseTime), "20 s"},
	"density":     {plainParser(ParseDensity), "1.2 kg/m3"},
	"ratio":       {plainParser(ParseRatio), "5 %"},
	"rate":        {plainParser(ParseRate), "0.35 1/h"},
	"resistance":  {plainParser(ParseThermalResistance), "3.3 m2·K/W"},
	"specific":    {plainParser(ParseSpecificFlow), "0.25 cfm/ft2"},
}

// Expected values are the exact definitions of the units, by hand: inch
// 25.4 mm, conventional inch of water 249.08891 Pa, Btu(IT) 1055.05585262 J.
func TestParsersTakeWhatPeopleWrite(t *testing.T) {
	const inH2O, cfm, in2, ft3, btuh = 249.08891, 0.3048 * 0.3048 * 0.3048 / 60, 0.0254 * 0.0254, 0.3048 * 0.3048 * 0.3048, 1055.05585262 / 3600
	for _, row := range []struct {
		parser, text string
		want         float64
	}{
		{"pressure", "43.9 Pa", 43.9}, {"pressure", "-50Pa", -50}, {"pressure", "  -1.2 pa ", -1.2}, {"pressure", "+.5 PA", 0.5},
		{"pressure", "\u221251.3 Pa", -51.3}, {"pressure", "\u201350 Pa", -50}, {"pressure", "43.9\u00a0Pa", 43.9}, {"pressure", "43.9\u202fPa", 43.9},
		{"pressure", "0.18 inH2O", 0.18 * inH2O}, {"pressure", "0.18 in. w.c.", 0.18 * inH2O}, {"pressure", "0.18 in wc", 0.18 * inH2O},
		{"pressure", "0.18inwc", 0.18 * inH2O}, {"pressure", "0.18 in. W.G.", 0.18 * inH2O}, {"pressure", "0.18 in. H₂O", 0.18 * inH2O},
		{"pressure", "0.18 in.w.c.", 0.18 * inH2O}, {"pressure", "0.18\" w.c.", 0.18 * inH2O}, {"pressure", "0.18 inches of water", 0.18 * inH2O},
		{"pressure", "0.05 kPa", 50}, {"pressure", "1013.25 hPa", 101325}, {"pressure", "1,013.25 mbar", 101325}, {"pressure", "5e1 Pa", 50},
		{"pressure", "50. Pa", 50}, {"pressure", "0 Pa", 0}, {"pressure", "1e−1 Pa", 0.1}, {"pressure", "5 mm H2O", 49.03325},
		{"flow", "2280 cfm", 2280 * cfm}, {"flow", "2,280 CFM", 2280 * cfm}, {"flow", "1180 cfm", 1180 * cfm}, {"flow", "10 ft³/min", 10 * cfm},
		{"flow", "62 L/s", 0.062}, {"flow", "62 l/s", 0.062}, {"flow", "388 m3/h", 388. / 3600}, {"flow", "388 m³/h", 388. / 3600},
		{"flow", "388 m^3 / hr", 388. / 3600}, {"flow", "388 m³·h⁻¹", 388. / 3600}, {"flow", "0.1 m3/s", 0.1}, {"flow", "-60 m3/min", -1},
		{"area", "40 in2", 40 * in2}, {"area", "40 sq. in.", 40 * in2}, {"area", "40 sq in", 40 * in2}, {"area", "40 in^2", 40 * in2},
		{"area", "1.5 ft²", 1.5 * 144 * in2}, {"area", "1,800 sq ft", 1800 * 144 * in2}, {"area", "258 cm2", 0.0258}, {"area", "2 m²", 2}, {"area", "-0 m2", 0},
		{"length", "850 ft", 850 * 0.3048}, {"length", "2.4 m", 2.4}, {"length", "-3 ft", -0.9144}, {"length", "6 in", 0.1524}, {"length", "6\"", 0.1524},
		{"volume", "14,400 ft3", 14400 * ft3}, {"volume", "14400 cu. ft.", 14400 * ft3}, {"volume", "1,014,400 ft³", 1014400 * ft3}, {"volume", "408 m3", 408},
		{"temperature", "68 F", 293.15}, {"temperature", "68 °F", 293.15}, {"temperature", "20 °C", 293.15}, {"temperature", "20°C", 293.15},
		{"temperature", "20 ℃", 293.15}, {"temperature", "20 º C", 293.15}, {"temperature", "293 K", 293}, {"temperature", "-40 deg. F", 233.15},
		{"difference", "18 F", 10}, {"difference", "18 °F", 10}, {"difference", "10 K", 10}, {"difference", "-10 °C", -10},
		{"power", "60000 Btu/h", 60000 * btuh}, {"power", "-24,000 BTUH", -24000 * btuh}, {"power", "60 kBtu/h", 60000 * btuh}, {"power", "2 tons", 24000 * btuh},
		{"power", "17.6 kW", 17600}, {"power", "500 W", 500},
		{"time", "10 min", 600}, {"time", "20 s", 20}, {"time", "1.5 h", 5400}, {"time", "2 hrs.", 7200},
		{"density", "1.2 kg/m³", 1.2}, {"density", "0.075 lb/ft3", 0.075 * 0.45359237 / ft3},
		{"ratio", "1 %", 0.01}, {"ratio", "5%", 0.05}, {"ratio", "5 percent", 0.05},
		{"rate", "0.36 1/h", 0.0001}, {"rate", "0.36/h", 0.0001}, {"rate", "0.36 h⁻¹", 0.0001},
		{"resistance", "3.3 m²·K/W", 3.3}, {"resistance", "3.3 m2 K/W", 3.3}, {"resistance", "1 h·ft²·°F/Btu", 3600 * 144 * in2 * 5 / 9 / 1055.05585262},
		{"specific", "0.25 cfm/ft²", 0.25 * 0.3048 / 60}, {"specific", "3.6 m3/(h·m2)", 0.001}, {"specific", "1 L/(s m2)", 0.001},
	} {
		got, err := parsers[row.parser].parse(row.text)
		if assert.NoErrorf(t, err, "%s %q", row.parser, row.text) {
			assert.Truef(t, got == row.want || within(got, row.want, 1e-15), "%q: got %.17g, want %.17g", row.text, got, row.want)
		}
		assert.Falsef(t, got == 0 && math.Signbit(got), "%q is a negative zero", row.text)
	}
}

const (
	aPressure = "a pressure such as 43.9 Pa or 0.18 inH2O"
	aFlow     = "a flow such as 2280 cfm, 62 L/s or 388 m3/h"
	anArea    = "an area such as 40 in2, 1.5 ft2 or 258 cm2"
	aTime     = "a length of time such as 20 s, 10 min or 1.5 h"
	aWarmth   = "a temperature such as 68 F or 20 °C"
	aVolume   = "a volume such as 14400 ft3 or 408 m3"
)

func TestParsersRefuseWithARemedy(t *testing.T) {
	for _, row := range []struct{ parser, text, reason, accepted string }{
		{"pressure", "", "nothing is written here", aPressure},
		{"pressure", " \t", "nothing is written here", aPressure},
		{"pressure", "Pa", "no number at the start", aPressure},
		{"pressure", "about 50 Pa", "no number at the start", aPressure},
		{"pressure", "--50 Pa", "no number at the start", aPressure},
		{"pressure", ". Pa", "no number at the start", aPressure},
		{"pressure", "٤٣ Pa", "no number at the start", aPressure},
		{"pressure", "NaN Pa", "not a number is no reading", aPressure},
		{"pressure", "-inf Pa", "infinity is no reading", aPressure},
		{"pressure", "+Infinity", "infinity is no reading", aPressure},
		{"pressure", "∞ Pa", "infinity is no reading", aPressure},
		{"pressure", "1e309 Pa", "too large a number", aPressure},
		{"pressure", "1e308 kPa", "too large a number", aPressure},
		{"pressure", "0x10 Pa", "a hexadecimal number", aPressure},
		{"pressure", "1_000 Pa", "an underscore in a number", aPressure},
		{"pressure", "43.9.1 Pa", "two decimal points in one number", aPressure},
		{"pressure", "43,9 Pa", "a decimal comma", "43.9 Pa"},
		{"pressure", "−0,180 inH2O", "a decimal comma", "-0.180 inH2O"},
		{"pressure", "43,9", "a decimal comma", aPressure},
		{"pressure", ",5 Pa", "a decimal comma", ".5 Pa"},
		{"pressure", "1.234,5 Pa", "a decimal comma", "1234.5 Pa"},
		{"pressure", "1,2,3 Pa", "a comma that neither groups thousands nor marks decimals", aPressure},
		{"pressure", "50, Pa", "a comma that neither groups thousands nor marks decimals", aPressure},
		{"pressure", "- 50 Pa", "a space after the sign", "-50 Pa"},
		{"pressure", "44", "no unit", "44 Pa or 44 inH2O, whichever was meant"},
		{"pressure", "-1,200", "no unit", "-1200 Pa or -1200 inH2O, whichever was meant"},
		{"pressure", "44 Px", "unknown unit Px", aPressure},
		{"pressure", "44 P.a", "unknown unit P.a", aPressure},
		{"pressure", "44 Pa Pa", "unknown unit Pa Pa", aPressure},
		{"pressure", "44 \x1b[31mPa", "an invisible character near the unit", "44 Pa"},
		{"pressure", "44 P\u200ba", "an invisible character near the unit", "44 Pa"},
		{"pressure", "43.9 44.2 Pa", "two numbers where one is wanted", aPressure},
		{"pressure", "43.9-44.2 Pa", "two numbers where one is wanted", aPressure},
		{"pressure", "43.9 ± 0.5 Pa", "two numbers where one is wanted", aPressure},
		{"pressure", "44 Pa 45 Pa", "two numbers where one is wanted", aPressure},
		{"pressure", "2280 cfm", "cfm is a flow", aPressure},
		{"pressure", "0.18 in", "in is a length (inches of water are inH2O)", aPressure},
		{"pressure", "10:42", "a time of day", aPressure},
		{"flow", "44 Pa", "Pa is a pressure", aFlow},
		{"flow", "2280 cfm50", "cfm50 states a pressure besides the flow", aFlow},
		{"area", "-40 in2", "an area below zero", anArea},
		{"area", "40 in", "in is a length (inches of water are inH2O)", anArea},
		{"volume", "14 400 ft3", "a space inside a number", "14400 ft3"},
		{"volume", "14\u202f400\u00a0m³", "a space inside a number", "14400 m³"},
		{"volume", "14,4000 ft3", "a decimal comma", "14.4000 ft3"},
		{"volume", "0,400 ft3", "a decimal comma", "0.400 ft3"},
		{"volume", "-1 m3", "a volume below zero", aVolume},
		{"temperature", "-459.67 F", "not above absolute zero, -459.67 °F or -273.15 °C", aWarmth},
		{"temperature", "-273.15 °C", "not above absolute zero, -459.67 °F or -273.15 °C", aWarmth},
		{"temperature", "0 K", "not above absolute zero, -459.67 °F or -273.15 °C", aWarmth},
		{"temperature", "68", "no unit", "68 °F or 68 °C, whichever was meant"},
		{"temperature", "20 °", "a degree of which scale is not said", aWarmth},
		{"time", "10:42:00", "a time of day", aTime},
		{"time", "10 m", "m is a length", aTime},
		{"time", "-1 s", "a length of time below zero", aTime},
		{"time", "1 h 30 min", "two numbers where one is wanted", aTime},
		{"ratio", "5", "no unit", "5 %"},
		{"ratio", "1,5 %", "a decimal comma", "1.5 %"},
		{"power", "60 MBH", "MBH is a thousand Btu/h to some and a million to others", "a power such as 60000 Btu/h or 17.6 kW"},
		{"power", "17 MW", "unknown unit MW", "a power such as 60000 Btu/h or 17.6 kW"},
	} {
		got, err := parsers[row.parser].parse(row.text)
		assert.Zerof(t, got, "%q", row.text)
		var bad *ParseError
		if assert.Truef(t, errors.As(err, &bad), "%s %q", row.parser, row.text) {
			assert.Equal(t, ParseError{row.text, row.reason, row.accepted}, *bad)
		}
	}
}

func TestParseErrorIsOneSafeLine(t *testing.T) {
	_, err := ParsePressure("43,9 Pa")
	assert.EqualError(t, err, `"43,9 Pa": a decimal comma; write 43.9 Pa`)
	_, err = ParsePressure("9\x1b[2J\u202e\nnonsense" + strings.Repeat("x", 1000))
	assert.NotContains(t, err.Error(), "\x1b")
	assert.NotContains(t, err.Error(), "\u202e")
	assert.NotContains(t, err.Error(), "\n")
	assert.Less(t, len(err.Error()), 300)
	_, err = ParsePressure(strings.Repeat("1", 300))
	assert.Less(t, len(err.Error()), 300)
}

// Every example in a message must itself be accepted, and each dimension must
// name the unit of every other.
func TestExamplesAreAcceptedWhereTheyBelong(t *testing.T) {
	for name, p := range parsers {
		_, err := p.parse("nonsense")
		var bad *ParseError
		require.ErrorAs(t, err, &bad)
		_, examples, found := strings.Cut(bad.Accepted, " such as ")
		require.True(t, found, bad.Accepted)
		for _, example := range strings.Split(strings.ReplaceAll(examples, " or ", ", "), ", ") {
			_, err := p.parse(example)
			assert.NoErrorf(t, err, "%s offers %s", name, example)
		}
		for other, q := range parsers {
			if _, err := p.parse(q.example); name != other && !(name == "difference" && other == "temperature" || name == "temperature" && other == "difference") {
				assert.Errorf(t, err, "%s took %s", name, q.example)
			}
		}
	}
}

func TestBareNumbers(t *testing.T) {
	flow, err := ParseFlowIn("2,280", CFM)
	require.NoError(t, err)
	assert.Equal(t, CFM.ToSI(2280), float64(flow))
	flow, err = ParseFlowIn("62 L/s", CFM)
	require.NoError(t, err)
	assert.Equal(t, Flow(0.062), flow)
	pressure, err := ParsePressureIn("-50", Pascal)
	require.NoError(t, err)
	assert.Equal(t, Pressure(-50), pressure)
	_, err = ParsePressureIn("43,9", Pascal)
	assert.EqualError(t, err, `"43,9": a decimal comma; write 43.9`)
	_, err = ParsePressureIn("1 013", Pascal)
	assert.EqualError(t, err, `"1 013": a space inside a number; write 1013`)
	_, err = ParsePressureIn("50", CFM) // a slip of the program: refused, not read as a flow
	assert.Error(t, err)
	ratio, err := ParseRatioIn("0.6", One)
	require.NoError(t, err)
	assert.Equal(t, Ratio(0.6), ratio)
}

func TestUnitsAlone(t *testing.T) {
	u, err := ParsePressureUnit(" in. w.c. ")
	require.NoError(t, err)
	assert.Equal(t, InchWater, u)
	u, err = ParseFlowUnit("m³/h")
	require.NoError(t, err)
	assert.Equal(t, CubicMetrePerHour, u)
	_, err = ParseFlowUnit("Pa")
	assert.EqualError(t, err, `"Pa": Pa is a pressure; write cfm, L/s or m3/h`)
	_, err = ParseFlowUnit("")
	assert.EqualError(t, err, `"": nothing is written here; write cfm, L/s or m3/h`)
	_, err = ParsePressureUnit("bars")
	assert.EqualError(t, err, `"bars": unknown unit; write Pa or inH2O`)
}

// The last float64 on either side of each limit.
func TestJustAroundTheLimits(t *testing.T) {
	text := func(v float64, unit string) string { return formatShortest(v) + " " + unit }
	for _, row := range []struct {
		parser, unit string
		limit        float64
		up           bool // accepted above the limit, refused at and below it
	}{
		{"temperature", "K", 0, true}, {"temperature", "F", -459.67, true}, {"temperature", "°C", -273.15, true},
		{"pressure", "Pa", math.MaxFloat64, false},
	} {
		parse := parsers[row.parser].parse
		if row.up {
			_, err := parse(text(row.limit, row.unit))
			assert.Error(t, err)
			_, err = parse(text(math.Nextafter(row.limit, -1e9), row.unit))
			assert.Error(t, err)
			_, err = parse(text(math.Nextafter(row.limit, 1e9), row.unit))
			assert.NoError(t, err)
			continue
		}
		_, err := parse(text(row.limit, row.unit))
		assert.NoError(t, err)
		_, err = parse("1.7976931348623159e308 " + row.unit)
		assert.Error(t, err)
	}
	_, err := ParsePressure(text(math.MaxFloat64/1000, "kPa"))
	assert.NoError(t, err)
	_, err = ParsePressure(text(math.Nextafter(math.MaxFloat64/1000, math.Inf(1))*1.0000001, "kPa"))
	assert.Error(t, err)
	area, err := ParseArea(text(-math.SmallestNonzeroFloat64, "m2"))
	assert.Errorf(t, err, "%g", area)
}

func TestParsingAllocatesNothing(t *testing.T) {
	for _, text := range []string{"43.9 Pa", "-50Pa", "0.18 in. w.c."} {
		assert.Zero(t, testing.AllocsPerRun(100, func() { _, _ = ParsePressure(text) }), text)
	}
}

func BenchmarkParsePressure(b *testing.B) {
	for b.Loop() {
		if _, err := ParsePressure("0.18 in. w.c."); err != nil {
			b.Fatal(err)
		}
	}
}
