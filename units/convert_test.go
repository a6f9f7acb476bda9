package units

import (
	"bufio"
	"math"
	"os"
	"os/exec"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// within says whether got is want to a relative tolerance; NaN never is.
func within(got, want, relative float64) bool {
	return math.Abs(got-want) <= relative*math.Abs(want)
}

// every is each unit the parsers know, once.
func every() []*Unit {
	seen := map[*Unit]bool{}
	var all []*Unit
	for _, s := range spellings {
		if !seen[s.unit] {
			seen[s.unit], all = true, append(all, s.unit)
		}
	}
	return all
}

// anyQuantity reads a quantity of whatever dimension its unit has.
func anyQuantity(t *testing.T, text string) float64 {
	t.Helper()
	n := scanNumber(text)
	require.NoError(t, n.err, text)
	u, ok := find(n.rest, dimNone)
	require.True(t, ok, text)
	return u.ToSI(n.value)
}

// NIST Special Publication 811 (2008), appendix B.8, seven figures, or fewer
// where the factor is exact. The figures stand here from memory of the table,
// not from the page; each one is checked a second time, to fourteen figures,
// by the answers of GNU units below, and those decide.
func TestFactorsAgreeWithNIST(t *testing.T) {
	table := []struct {
		unit Unit
		want float64
	}{
		{InchWater, 2.490889e2},             // inch of water, conventional (inH2O)
		{MillimetreWater, 9.80665},          // millimeter of water, conventional (mmH2O)
		{CentimetreWater, 9.80665e1},        // centimeter of water, conventional (cmH2O)
		{InchMercury, 3.386389e3},           // inch of mercury, conventional (inHg)
		{PoundPerSquareInch, 6.894757e3},    // pound-force per square inch (psi)
		{Hectopascal, 1e2},                  // millibar
		{CFM, 4.719474e-4},                  // cubic foot per minute
		{SquareInch, 6.4516e-4},             // square inch, exact
		{SquareFoot, 9.290304e-2},           // square foot, exact
		{Inch, 2.54e-2},                     // inch, exact
		{Foot, 3.048e-1},                    // foot, exact
		{CubicFoot, 2.831685e-2},            // cubic foot
		{Litre, 1e-3},                       // liter, exact
		{FahrenheitDegree, 5.555556e-1},     // degree Fahrenheit, interval
		{BtuPerHour, 2.930711e-1},           // British thermal unit (International Table) per hour
		{TonRefrigeration, 3.516853e3},      // ton of refrigeration, 12 000 Btu(IT)/h
		{PoundPerCubicFoot, 1.601846e1},     // pound per cubic foot
		{HourSquareFootPerBtu, 1.761102e-1}, // degree Fahrenheit hour square foot per Btu(IT)
		{Minute, 60},                        // minute
		{Hour, 3600},                        // hour
	}
	for _, row := range table {
		got := row.unit.ToSI(1)
		assert.Equal(t, strconv.FormatFloat(row.want, 'e', 6, 64), strconv.FormatFloat(got, 'e', 6, 64), row.unit.Symbol())
	}
}

// The same publication, B.8: T/K = (t/°F + 459.67)/1.8, and t/°C + 273.15;
// absolute zero and the triple point of water (SI brochure, 9th edition,
// 2019, 2.3.1: 273.16 K, exactly 0.01 °C on the scale).
func TestTemperatureScales(t *testing.T) {
	for _, row := range []struct {
		unit    Unit
		degrees float64
		kelvins float64
	}{
		{Fahrenheit, 32, 273.15}, {Fahrenheit, 212, 373.15}, {Fahrenheit, 68, 293.15}, {Fahrenheit, -40, 233.15},
		{Fahrenheit, -459.67, 0}, {Celsius, 0, 273.15}, {Celsius, 0.01, 273.16}, {Celsius, -40, 233.15}, {Kelvin, 293, 293},
	} {
		assert.InDelta(t, row.kelvins, row.unit.ToSI(row.degrees), 1e-12)
		assert.InDelta(t, row.degrees, row.unit.FromSI(row.kelvins), 1e-12)
	}
}

// Whole-house and duct figures as published in both systems, to the places
// printed there: Cummings & Withers 2006 (inH2O and Pa, 70 Florida homes),
// Bohac 2022 (cfm/ft² and m³/(h·m²)).
func TestPublishedPairs(t *testing.T) {
	for _, row := range []struct {
		text string
		unit Unit
		want float64
		tol  float64
	}{
		{"0.0249 inH2O", Pascal, 6.2, 0.05}, {"0.0116 inH2O", Pascal, 2.9, 0.05}, {"0.020 inH2O", Pascal, 5.0, 0.05},
		{"0.20 cfm/ft2", CubicMetrePerHourSquareMetre, 3.658, 0.0005},
		{"0.25 cfm/ft2", CubicMetrePerHourSquareMetre, 4.572, 0.0005},
		{"0.40 cfm/ft2", CubicMetrePerHourSquareMetre, 7.315, 0.0005},
	} {
		got := row.unit.FromSI(anyQuantity(t, row.text))
		assert.LessOrEqualf(t, math.Abs(got-row.want), row.tol, "%s is %g %s", row.text, got, row.unit.Symbol())
	}
}

// gnuRow is one answer of GNU units.
type gnuRow struct{ ours, asked, in, answer string }

func gnuTable(t *testing.T) []gnuRow {
	t.Helper()
	f, err := os.Open("testdata/gnu-units.txt")
	require.NoError(t, err)
	defer f.Close()
	var rows []gnuRow
	for lines := bufio.NewScanner(f); lines.Scan(); {
		if strings.HasPrefix(lines.Text(), "#") {
			continue
		}
		cells := strings.Split(lines.Text(), "\t")
		require.Len(t, cells, 4, lines.Text())
		rows = append(rows, gnuRow{cells[0], cells[1], cells[2], cells[3]})
	}
	require.GreaterOrEqual(t, len(rows), 40)
	return rows
}

// ourAnswer reads "68 F", or one of the unit named.
func (r gnuRow) ourAnswer(t *testing.T) float64 {
	if n := scanNumber(r.ours); n.err == nil && r.ours != "1/h" {
		return anyQuantity(t, r.ours)
	}
	return anyQuantity(t, "1 "+r.ours)
}

// GNU units 2.22 as packaged by Debian, its answers kept in testdata.
func TestFactorsAgreeWithStoredGNUUnits(t *testing.T) {
	asked := map[string]bool{}
	for _, row := range gnuTable(t) {
		want, err := strconv.ParseFloat(row.answer, 64)
		require.NoError(t, err, row.asked)
		got := row.ourAnswer(t)
		assert.Truef(t, within(got, want, 1e-14), "%s: got %.16g, GNU units %.16g", row.ours, got, want)
		asked[row.ours] = true
	}
	for _, u := range every() {
		if u.factor != 1 && u.offset == 0 && u.dim != dimTemperatureDifference {
			assert.Truef(t, asked[u.symbol], "%s was never checked", u.symbol)
		}
	}
}

// The same questions put to the program itself, where it is installed.
func TestFactorsAgreeWithGNUUnits(t *testing.T) {
	program, err := exec.LookPath("units")
	if err != nil {
		t.Skip("GNU units is not installed")
	}
	version, err := exec.Command(program, "--version").Output()
	if err != nil || !strings.HasPrefix(string(version), "GNU Units") {
		t.Skip("the program called units is not GNU units")
	}
	for _, row := range gnuTable(t) {
		out, err := exec.Command(program, "-1", "-t", "-d", "15", row.asked, row.in).Output()
		require.NoError(t, err, row.asked)
		want, err := strconv.ParseFloat(strings.TrimSpace(string(out)), 64)
		require.NoError(t, err, row.asked)
		assert.Truef(t, within(row.ourAnswer(t), want, 1e-14), "%s against %s", row.ours, out)
	}
}

func TestConversionComesBack(t *testing.T) {
	for _, u := range every() {
		for _, v := range []float64{-1e6, -459, -50, -0.1, 0, 1e-9, 0.18, 1, 43.9, 2280, 1e9} {
			back := u.FromSI(u.ToSI(v))
			assert.LessOrEqualf(t, math.Abs(back-v), 4e-16*(math.Abs(v)+2*math.Abs(u.offset)), "%g %s", v, u.symbol)
		}
	}
}

func TestSymbolsReadBack(t *testing.T) {
	for _, u := range every() {
		for _, symbol := range []string{u.Symbol(), u.Pretty()} {
			got, ok := find(symbol, u.dim)
			require.Truef(t, ok, "%q", symbol)
			assert.Equalf(t, *u, got, "%q", symbol)
		}
	}
}

// Every spelling must be as fold leaves it, or nothing could ever match it,
// and must name one unit only within its dimension.
func TestSpellingsAreFoldedAndUnique(t *testing.T) {
	seen := map[string]bool{}
	for _, s := range spellings {
		folded, ok := fold(nil, s.text)
		require.True(t, ok, s.text)
		assert.Equal(t, s.text, string(folded))
		key := s.text + "|" + strconv.Itoa(int(s.unit.dim))
		assert.Falsef(t, seen[key], "%s is listed twice", s.text)
		seen[key] = true
	}
}

func TestSystems(t *testing.T) {
	for text, want := range map[string]System{"ip": IP, "SI": SI, " si ": SI} {
		got, err := ParseSystem(text)
		require.NoError(t, err)
		assert.Equal(t, want, got)
	}
	_, err := ParseSystem("metric")
	assert.EqualError(t, err, `"metric": not a system of units; write ip or si`)
	assert.Equal(t, "ip si", IP.String()+" "+SI.String())
	symbols := func(s System) (all []string) {
		for _, u := range []Unit{s.Pressure(), s.Flow(), s.Area(), s.FloorArea(), s.Volume(), s.Length(), s.Temperature(),
			s.TemperatureDifference(), s.Power(), s.Rate(), s.Density(), s.ThermalResistance(), s.SpecificFlow()} {
			all = append(all, u.Symbol())
		}
		return all
	}
	assert.Equal(t, []string{"Pa", "cfm", "in2", "ft2", "ft3", "ft", "°F", "°F", "Btu/h", "1/h", "lb/ft3", "h·ft2·°F/Btu", "cfm/ft2"}, symbols(IP))
	assert.Equal(t, []string{"Pa", "m3/h", "cm2", "m2", "m3", "m", "°C", "K", "W", "1/h", "kg/m3", "m2·K/W", "m3/(h·m2)"}, symbols(SI))
}

func TestAnotherDimensionPrintsNoNumber(t *testing.T) {
	assert.True(t, math.IsNaN(Flow(1).In(Pascal)))
	assert.True(t, math.IsNaN(Temperature(300).In(KelvinDegree)))
	assert.Equal(t, "? Pa", Flow(1).Text(Pascal, 1))
}
