package units

import (
	"errors"
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"
)

var seeds = []string{
	"43.9 Pa", "-50Pa", "0.18 inH2O", "0.18 in. w.c.", "0.18\" wc", "2280 cfm", "62 L/s", "388 m³·h⁻¹", "40 sq. in.", "1.5 ft²", "258 cm2",
	"68 F", "20 °C", "20 ℃", "293 K", "14,400 ft3", "14 400 m³", "60000 Btu/h", "17.6 kW", "10 min", "1.2 kg/m3", "5 %", "0.35 1/h",
	"19 h·ft2·°F/Btu", "3.6 m3/(h·m2)", "43,9 Pa", "1.234,5 Pa", "NaN", "-Inf Pa", "1e309 Pa", "1e308 kPa", "1e-400 Pa", "0x10 Pa", "1_0 Pa",
	"- 50 Pa", "−50 Pa", "10:42", "44 \x1b[31mPa", "44 P\u200ba", "\xff", "", "+", ".", ",", "e", "1e", "1e+", "9 in^", "9 ^2", "9 .", "-0 m2",
}

// checkParser holds one parser to its promises on one text.
func checkParser(t *testing.T, parse func(string) (float64, error), text string) {
	v, err := parse(text)
	if err == nil {
		if math.IsNaN(v) || math.IsInf(v, 0) || v == 0 && math.Signbit(v) {
			t.Fatalf("%q gave %v without an error", text, v)
		}
		return
	}
	var bad *ParseError
	if !errors.As(err, &bad) || bad.Reason == "" || bad.Accepted == "" || bad.Text != text || v != 0 {
		t.Fatalf("%q gave %v, %#v", text, v, err)
	}
	checkLine(t, err.Error(), 320)
	if strings.Contains(bad.Accepted, " such as ") || strings.Contains(bad.Accepted, " or ") {
		return
	}
	again, err := parse(bad.Accepted) // what we say to write we take, or say better
	if err == nil && (math.IsNaN(again) || math.IsInf(again, 0)) {
		t.Fatalf("%q leads to %q, which gives %v", text, bad.Accepted, again)
	}
	if err != nil && !errors.As(err, &bad) {
		t.Fatalf("%q leads to %q: %v", text, bad.Accepted, err)
	}
	if err != nil && !strings.Contains(err.Error(), " below zero") && !strings.Contains(err.Error(), "too large") &&
		!strings.Contains(err.Error(), "absolute zero") {
		t.Fatalf("%q leads to %q, which is refused: %v", text, bad.Accepted, err)
	}
}

// checkLine says that text is one line that a terminal can be given.
func checkLine(t *testing.T, text string, longest int) {
	if !utf8.ValidString(text) || utf8.RuneCountInString(text) > longest ||
		strings.ContainsFunc(text, func(r rune) bool { return unicode.In(r, unicode.Cc, unicode.Cf, unicode.Zl, unicode.Zp) }) {
		t.Fatalf("not a safe line: %q", text)
	}
}

func fuzzParser(f *testing.F, name string) {
	for _, s := range seeds {
		f.Add(s)
	}
	parse := parsers[name].parse
	f.Fuzz(func(t *testing.T, text string) { checkParser(t, parse, text) })
}

func FuzzParsePressure(f *testing.F)              { fuzzParser(f, "pressure") }
func FuzzParseFlow(f *testing.F)                  { fuzzParser(f, "flow") }
func FuzzParseArea(f *testing.F)                  { fuzzParser(f, "area") }
func FuzzParseLength(f *testing.F)                { fuzzParser(f, "length") }
func FuzzParseVolume(f *testing.F)                { fuzzParser(f, "volume") }
func FuzzParseTemperature(f *testing.F)           { fuzzParser(f, "temperature") }
func FuzzParseTemperatureDifference(f *testing.F) { fuzzParser(f, "difference") }
func FuzzParsePower(f *testing.F)                 { fuzzParser(f, "power") }
func FuzzParseTime(f *testing.F)                  { fuzzParser(f, "time") }
func FuzzParseDensity(f *testing.F)               { fuzzParser(f, "density") }
func FuzzParseRatio(f *testing.F)                 { fuzzParser(f, "ratio") }
func FuzzParseRate(f *testing.F)                  { fuzzParser(f, "rate") }
func FuzzParseThermalResistance(f *testing.F)     { fuzzParser(f, "resistance") }
func FuzzParseSpecificFlow(f *testing.F)          { fuzzParser(f, "specific") }

func FuzzParseFlowIn(f *testing.F) {
	for _, s := range append(seeds, "44", "-50", "43,9", "1,234", "1 234") {
		f.Add(s)
	}
	parse := plainParser(func(s string) (Flow, error) { return ParseFlowIn(s, CFM) })
	f.Fuzz(func(t *testing.T, text string) { checkParser(t, parse, text) })
}

// FuzzPrintedIsReadBack: what Text prints is parsed to the same, within the
// rounding of the print.
func FuzzPrintedIsReadBack(f *testing.F) {
	f.Add(43.9, 1)
	f.Add(-0.001, 2)
	f.Add(2280.0, -1)
	f.Add(1e300, 3)
	f.Fuzz(func(t *testing.T, pascals float64, decimals int) {
		if math.IsNaN(pascals) || math.IsInf(pascals, 0) || math.Abs(pascals) > 1e300 || decimals < -300 || decimals > 300 {
			t.Skip()
		}
		text := Pressure(pascals).Text(Pascal, decimals)
		back, err := ParsePressure(text)
		if err != nil {
			t.Fatalf("%v prints as %q: %v", pascals, text, err)
		}
		tolerance := 0.5000001*math.Pow(10, float64(-decimals)) + 1e-14*math.Abs(pascals)
		if math.Abs(float64(back)-pascals) > tolerance {
			t.Fatalf("%v to %d places prints as %q", pascals, decimals, text)
		}
	})
}

var printedForm = regexp.MustCompile(`^-?[0-9]+(\.[0-9]+)?(e\+[0-9]+)?$`)

// FuzzFormatInterval: three numbers to one place, near what they stand for,
// never a negative zero, or three question marks.
func FuzzFormatInterval(f *testing.F) {
	f.Add(312.4127, 241.0391, 398.7114)
	f.Add(-0.001, -0.7, 0.7)
	f.Add(0.2, 0.1, 0.3)
	f.Add(1.0, 1.0, math.Inf(1))
	f.Add(0.0, -math.MaxFloat64, math.MaxFloat64)
	f.Add(5e-324, 0.0, 5e-324)
	f.Fuzz(func(t *testing.T, v, low, high float64) {
		a, b, c := FormatInterval(v, low, high)
		if !Finite(v) || !Finite(low) || !Finite(high) {
			if a != "?" || b != "?" || c != "?" {
				t.Fatal(a, b, c)
			}
			return
		}
		decimals := func(float64) int { return place(low, high) }
		if FactorsApart(low, high) {
			decimals = func(v float64) int { return -exponent10(v, 0) }
		}
		for text, number := range map[string]float64{a: v, b: low, c: high} {
			back, err := strconv.ParseFloat(text, 64)
			if !printedForm.MatchString(text) || back == 0 && strings.HasPrefix(text, "-") {
				t.Fatalf("%v printed as %q", number, text)
			}
			off := math.Abs(back/2 - number/2)
			if err == nil && off > 0.26*math.Pow(10, float64(-decimals(number)))+1e-14*math.Abs(number) {
				t.Fatalf("%v printed as %q to place %d", number, text, decimals(number))
			}
		}
		if !FactorsApart(low, high) && math.Abs(v) < 1e15 && math.Abs(low) < 1e15 && math.Abs(high) < 1e15 {
			sameDecimals(t, a, b, c)
		}
	})
}

func sameDecimals(t *testing.T, texts ...string) {
	_, first, _ := strings.Cut(texts[0], ".")
	for _, text := range texts {
		if _, decimals, _ := strings.Cut(text, "."); len(decimals) != len(first) {
			t.Fatalf("not to one place: %q", texts)
		}
	}
}

func FuzzSanitize(f *testing.F) {
	for _, s := range append(seeds, "\x1b[31mred\x1b[0m", "\x1b]0;t\a", "a\u202eb", "\u009b31m", strings.Repeat("ü ", 60)) {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		clean := Sanitize(text)
		checkLine(t, clean, nameLimit)
		if again := Sanitize(clean); again != clean {
			t.Fatalf("%q becomes %q, then %q", text, clean, again)
		}
	})
}
