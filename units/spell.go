package units

import (
	"bytes"
	"strings"
	"unicode"
	"unicode/utf8"
)

// spelling is one way to write a unit, as fold leaves it.
type spelling struct {
	text string
	unit *Unit
}

// spellings lists how units are written, in lower case and without dots after
// abbreviations: no two units of house work differ only in case. It is static
// data: pointers and strings, nothing to run at start.
var spellings = [...]spelling{
	{"pa", &Pascal}, {"pascal", &Pascal}, {"pascals", &Pascal},
	{"hpa", &Hectopascal}, {"mbar", &Hectopascal}, {"kpa", &Kilopascal},
	{"inh2o", &InchWater}, {"in h2o", &InchWater}, {"inwc", &InchWater}, {"in wc", &InchWater}, {"in w c", &InchWater},
	{"in.wc", &InchWater}, {"in.h2o", &InchWater}, {"in w", &InchWater}, {"iwc", &InchWater}, {"iwg", &InchWater},
	{"inwg", &InchWater}, {"in wg", &InchWater}, {"in w g", &InchWater}, {"\"wc", &InchWater}, {"\" wc", &InchWater},
	{"\"wg", &InchWater}, {"\" wg", &InchWater}, {"\" h2o", &InchWater}, {"\"h2o", &InchWater},
	{"in water", &InchWater}, {"in of water", &InchWater}, {"inch of water", &InchWater}, {"inches of water", &InchWater},
	{"inch wc", &InchWater}, {"inches wc", &InchWater}, {"in water column", &InchWater}, {"inches water column", &InchWater},
	{"mmh2o", &MillimetreWater}, {"mm h2o", &MillimetreWater}, {"mmwc", &MillimetreWater}, {"mm wc", &MillimetreWater},
	{"cmh2o", &CentimetreWater}, {"cm h2o", &CentimetreWater}, {"inhg", &InchMercury}, {"in hg", &InchMercury},
	{"psi", &PoundPerSquareInch},

	{"cfm", &CFM}, {"ft3/min", &CFM}, {"cu ft/min", &CFM}, {"cubic feet per minute", &CFM},
	{"l/s", &LitrePerSecond}, {"lps", &LitrePerSecond}, {"l/sec", &LitrePerSecond}, {"l s-1", &LitrePerSecond}, {"l·s-1", &LitrePerSecond},
	{"litres per second", &LitrePerSecond}, {"liters per second", &LitrePerSecond}, {"dm3/s", &LitrePerSecond},
	{"m3/h", &CubicMetrePerHour}, {"m3/hr", &CubicMetrePerHour}, {"cmh", &CubicMetrePerHour}, {"m3 h-1", &CubicMetrePerHour},
	{"m3·h-1", &CubicMetrePerHour}, {"cubic metres per hour", &CubicMetrePerHour}, {"cubic meters per hour", &CubicMetrePerHour},
	{"m3/s", &CubicMetrePerSecond}, {"m3 s-1", &CubicMetrePerSecond}, {"m3·s-1", &CubicMetrePerSecond}, {"m3/min", &CubicMetrePerMinute},

	{"in2", &SquareInch}, {"sq in", &SquareInch}, {"sqin", &SquareInch}, {"sq.in", &SquareInch}, {"sq inch", &SquareInch}, {"sq inches", &SquareInch},
	{"square inch", &SquareInch}, {"square inches", &SquareInch},
	{"ft2", &SquareFoot}, {"sq ft", &SquareFoot}, {"sqft", &SquareFoot}, {"sq.ft", &SquareFoot}, {"sf", &SquareFoot}, {"sq feet", &SquareFoot},
	{"square foot", &SquareFoot}, {"square feet", &SquareFoot},
	{"m2", &SquareMetre}, {"sq m", &SquareMetre}, {"sqm", &SquareMetre}, {"sq.m", &SquareMetre}, {"square metre", &SquareMetre},
	{"square metres", &SquareMetre}, {"square meter", &SquareMetre}, {"square meters", &SquareMetre},
	{"cm2", &SquareCentimetre}, {"sq cm", &SquareCentimetre}, {"sqcm", &SquareCentimetre}, {"sq.cm", &SquareCentimetre},
	{"square centimetres", &SquareCentimetre}, {"square centimeters", &SquareCentimetre},
	{"mm2", &SquareMillimetre}, {"sq mm", &SquareMillimetre},

	{"ft", &Foot}, {"foot", &Foot}, {"feet", &Foot}, {"in", &Inch}, {"inch", &Inch}, {"inches", &Inch}, {"\"", &Inch},
	{"m", &Metre}, {"metre", &Metre}, {"metres", &Metre}, {"meter", &Metre}, {"meters", &Metre}, {"cm", &Centimetre}, {"mm", &Millimetre},

	{"ft3", &CubicFoot}, {"cu ft", &CubicFoot}, {"cuft", &CubicFoot}, {"cu.ft", &CubicFoot}, {"cubic foot", &CubicFoot}, {"cubic feet", &CubicFoot},
	{"m3", &CubicMetre}, {"cu m", &CubicMetre}, {"cubic metre", &CubicMetre}, {"cubic metres", &CubicMetre}, {"cubic meter", &CubicMetre},
	{"cubic meters", &CubicMetre}, {"l", &Litre}, {"litre", &Litre}, {"litres", &Litre}, {"liter", &Litre}, {"liters", &Litre},

	{"f", &Fahrenheit}, {"°f", &Fahrenheit}, {"° f", &Fahrenheit}, {"degf", &Fahrenheit}, {"deg f", &Fahrenheit}, {"degrees f", &Fahrenheit},
	{"fahrenheit", &Fahrenheit}, {"degrees fahrenheit", &Fahrenheit},
	{"c", &Celsius}, {"°c", &Celsius}, {"° c", &Celsius}, {"degc", &Celsius}, {"deg c", &Celsius}, {"degrees c", &Celsius},
	{"celsius", &Celsius}, {"degrees celsius", &Celsius}, {"k", &Kelvin}, {"kelvin", &Kelvin}, {"kelvins", &Kelvin},

	{"f", &FahrenheitDegree}, {"°f", &FahrenheitDegree}, {"° f", &FahrenheitDegree}, {"f°", &FahrenheitDegree}, {"degf", &FahrenheitDegree},
	{"deg f", &FahrenheitDegree}, {"degrees f", &FahrenheitDegree}, {"degrees fahrenheit", &FahrenheitDegree},
	{"c", &KelvinDegree}, {"°c", &KelvinDegree}, {"° c", &KelvinDegree}, {"c°", &KelvinDegree}, {"degc", &KelvinDegree}, {"deg c", &KelvinDegree},
	{"degrees c", &KelvinDegree}, {"degrees celsius", &KelvinDegree}, {"k", &KelvinDegree}, {"kelvin", &KelvinDegree}, {"kelvins", &KelvinDegree},

	{"w", &Watt}, {"watt", &Watt}, {"watts", &Watt}, {"kw", &Kilowatt}, {"kilowatts", &Kilowatt},
	{"btu/h", &BtuPerHour}, {"btu/hr", &BtuPerHour}, {"btuh", &BtuPerHour}, {"btu per hour", &BtuPerHour}, {"b t u/h", &BtuPerHour},
	{"kbtu/h", &KiloBtuPerHour}, {"kbtu/hr", &KiloBtuPerHour}, {"kbtuh", &KiloBtuPerHour}, {"ton", &TonRefrigeration}, {"tons", &TonRefrigeration},

	{"s", &Second}, {"sec", &Second}, {"secs", &Second}, {"second", &Second}, {"seconds", &Second},
	{"min", &Minute}, {"mins", &Minute}, {"minute", &Minute}, {"minutes", &Minute},
	{"h", &Hour}, {"hr", &Hour}, {"hrs", &Hour}, {"hour", &Hour}, {"hours", &Hour},

	{"kg/m3", &KilogramPerCubicMetre}, {"kg m-3", &KilogramPerCubicMetre}, {"kg·m-3", &KilogramPerCubicMetre},
	{"lb/ft3", &PoundPerCubicFoot}, {"lbm/ft3", &PoundPerCubicFoot}, {"lb/cu ft", &PoundPerCubicFoot}, {"pcf", &PoundPerCubicFoot},

	{"%", &Percent}, {"percent", &Percent}, {"per cent", &Percent}, {"pct", &Percent},

	{"1/h", &PerHour}, {"/h", &PerHour}, {"1/hr", &PerHour}, {"/hr", &PerHour}, {"h-1", &PerHour}, {"per hour", &PerHour},
	{"ach", &PerHour}, {"air changes per hour", &PerHour}, {"1/s", &PerSecond}, {"/s", &PerSecond}, {"s-1", &PerSecond},

	{"m2·k/w", &SquareMetreKelvinPerWatt}, {"m2 k/w", &SquareMetreKelvinPerWatt}, {"m2k/w", &SquareMetreKelvinPerWatt}, {"k·m2/w", &SquareMetreKelvinPerWatt},
	{"h·ft2·f/btu", &HourSquareFootPerBtu}, {"h·ft2·°f/btu", &HourSquareFootPerBtu}, {"h ft2 f/btu", &HourSquareFootPerBtu},
	{"h ft2 °f/btu", &HourSquareFootPerBtu}, {"hr·ft2·f/btu", &HourSquareFootPerBtu}, {"hr·ft2·°f/btu", &HourSquareFootPerBtu},
	{"hr ft2 f/btu", &HourSquareFootPerBtu}, {"ft2·h·f/btu", &HourSquareFootPerBtu}, {"ft2·h·°f/btu", &HourSquareFootPerBtu},
	{"ft2·f·h/btu", &HourSquareFootPerBtu}, {"ft2·°f·h/btu", &HourSquareFootPerBtu}, {"°f·ft2·h/btu", &HourSquareFootPerBtu},

	{"cfm/ft2", &CFMPerSquareFoot}, {"cfm/sq ft", &CFMPerSquareFoot}, {"cfm/sqft", &CFMPerSquareFoot},
	{"l/(s·m2)", &LitrePerSecondSquareMetre}, {"l/(s m2)", &LitrePerSecondSquareMetre}, {"l/s/m2", &LitrePerSecondSquareMetre}, {"l/s·m2", &LitrePerSecondSquareMetre},
	{"m3/(h·m2)", &CubicMetrePerHourSquareMetre}, {"m3/(h m2)", &CubicMetrePerHourSquareMetre}, {"m3/h/m2", &CubicMetrePerHourSquareMetre},
	{"m3/h·m2", &CubicMetrePerHourSquareMetre}, {"m3/(m2·h)", &CubicMetrePerHourSquareMetre}, {"m3/(m2 h)", &CubicMetrePerHourSquareMetre},
	{"m3/(s·m2)", &CubicMetrePerSecondSquareMetre}, {"m3/(s m2)", &CubicMetrePerSecondSquareMetre},
}

// find looks for the unit that text names: one of the dimension wanted if
// there is one, else one of any.
func find(text string, want dimension) (Unit, bool) {
	var buffer [foldLimit]byte
	folded, ok := fold(buffer[:0], text)
	if !ok {
		return Unit{}, false
	}
	var other *Unit
	for i := range spellings {
		if spellings[i].text != string(folded) { // compared in place, not copied
			continue
		}
		if spellings[i].unit.dim == want {
			return *spellings[i].unit, true
		}
		if other == nil {
			other = spellings[i].unit
		}
	}
	if other == nil {
		return Unit{}, false
	}
	return *other, true
}

// foldLimit is longer than any spelling, before and after folding.
const foldLimit = 64

// fold appends the common form of a unit's text to dst: lower case, plain
// figures for raised and lowered ones, one space for any white space and none
// about a stroke or a middle dot, no dot after an abbreviation. It reports
// false where the text is longer than any unit.
func fold(dst []byte, text string) ([]byte, bool) {
	for i, r := range text {
		if len(dst) > foldLimit-2*utf8.UTFMax {
			return dst, false
		}
		if r == '.' && endsAbbreviation(text, i) || r == '^' && raises(text, i) {
			continue
		}
		dst = appendFolded(dst, r)
	}
	return trimSpaceEnd(dst), true
}

func trimSpaceEnd(b []byte) []byte {
	for len(b) > 0 && b[len(b)-1] == ' ' {
		b = b[:len(b)-1]
	}
	return b
}

func appendFolded(dst []byte, r rune) []byte {
	switch r {
	case '¹':
		r = '1'
	case '²', '₂':
		r = '2'
	case '³':
		r = '3'
	case '⁻', '−':
		r = '-'
	case '⋅', '•', '*', '∙':
		r = '·'
	case '∕', '⁄':
		r = '/'
	case 'º', '˚':
		r = '°'
	case '″', '”', '“':
		r = '"'
	case '℃':
		return append(dst, "°c"...)
	case '℉':
		return append(dst, "°f"...)
	}
	switch {
	case unicode.IsSpace(r):
		if len(dst) == 0 || bytes.HasSuffix(dst, []byte("·")) || dst[len(dst)-1] == ' ' || dst[len(dst)-1] == '/' {
			return dst
		}
		return append(dst, ' ')
	case r == '/' || r == '·':
		dst = trimSpaceEnd(dst)
	}
	return utf8.AppendRune(dst, unicode.ToLower(r))
}

// endsAbbreviation says whether the dot at text[i] is that of an abbreviation,
// as in "in. w.c.": after a letter, and before a space, a stroke, the end, or
// a further abbreviated letter.
func endsAbbreviation(text string, i int) bool {
	before, _ := utf8.DecodeLastRuneInString(text[:i])
	if !unicode.IsLetter(before) {
		return false
	}
	next, n := utf8.DecodeRuneInString(text[i+1:])
	if n == 0 || next == '/' || unicode.IsSpace(next) {
		return true
	}
	return unicode.IsLetter(next) && strings.HasPrefix(text[i+1+n:], ".")
}

// raises says whether the caret at text[i] makes an exponent, as in "ft^2".
func raises(text string, i int) bool {
	before, _ := utf8.DecodeLastRuneInString(text[:i])
	next, _ := utf8.DecodeRuneInString(text[i+1:])
	return unicode.IsLetter(before) && (next == '-' || next >= '0' && next <= '9')
}

// foldASCII is s in lower case without surrounding space.
func foldASCII(s string) string { return strings.ToLower(strings.TrimSpace(s)) }
