package units

import (
	"math"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
)

func formatShortest(v float64) string { return strconv.FormatFloat(v, 'g', -1, 64) }

// The Guide to the expression of uncertainty in measurement (JCGM 100:2008),
// 7.2.6, allows at most two figures. The expected places are worked by hand
// from the half-width that stands beside each: it has 1.2 to 12 units of the last figure.
func TestPlaceKeepsOneOrTwoFiguresOfTheHalfWidth(t *testing.T) {
	for _, row := range []struct {
		low, high float64
		want      int
	}{
		{241.04, 398.71, -1},   // ±79
		{0, 300, -2},           // ±150
		{0, 239.9, -1},         // ±119.95
		{0, 240.1, -2},         // ±120.05
		{2000, 5000, -3},       // ±1500
		{43.2, 44.6, 1},        // ±0.70
		{0.1, 0.3, 2},          // ±0.10, 0.09999999999999999 in float64
		{0, 2 * 0.1199, 2},     // ±0.1199
		{0, 2 * 0.1201, 1},     // ±0.1201
		{398.71, 241.04, -1},   // ends the wrong way round
		{-0.7, 0.7, 1},         // about zero
		{20, 20, 0}, {0, 0, 0}, // no width: six figures less trailing zeros
		{0.65, 0.65, 2}, {1.0 / 3, 1.0 / 3, 6}, {123456.7, 123456.7, 0},
		{1e9, 1e9 + 1e-6, 5}, // no more figures than a float64 is sure of
		{math.NaN(), 1, 0}, {0, math.Inf(1), 0}, {-math.MaxFloat64, math.MaxFloat64, -308},
	} {
		assert.Equalf(t, row.want, place(row.low, row.high), "%v to %v", row.low, row.high)
	}
}

func TestFormatInterval(t *testing.T) {
	for _, row := range []struct {
		v, low, high float64
		want         [3]string
	}{
		{312.4127, 241.0391, 398.7114, [3]string{"310", "240", "400"}},
		{0.6503, 0.6011, 0.6992, [3]string{"0.65", "0.60", "0.70"}},
		{1234.5, 1000, 1500, [3]string{"1200", "1000", "1500"}}, // ±250: hundreds
		{950, 700, 1300, [3]string{"1000", "700", "1300"}},      // a tie goes to the even hundred
		{3, -200, 200, [3]string{"0", "-200", "200"}},
		{-0.001, -0.7, 0.7, [3]string{"0.0", "-0.7", "0.7"}}, // no negative zero
		{-4, -121, 121, [3]string{"0", "-100", "100"}},       // ±121
		{-4, -94.9, 94.9, [3]string{"0", "-90", "90"}}, {-4, -119, 119, [3]string{"0", "-120", "120"}},
		{2.4, 1, 6, [3]string{"2", "1", "6"}},     // a factor of six, ±2.5
		{2.46, 1, 6.01, [3]string{"2", "1", "6"}}, // beyond: a figure each
		{0.62, 0.0461, 8.4, [3]string{"0.6", "0.05", "8"}}, {314, 44, 2800, [3]string{"300", "40", "3000"}},
		{314, -44, 2800, [3]string{"0", "0", "3000"}}, // no factor without a sign
		{50, 50, 50, [3]string{"50", "50", "50"}},
		{math.NaN(), 1, 2, [3]string{"?", "?", "?"}},
		{1, 1, math.Inf(1), [3]string{"?", "?", "?"}},
		{1, math.Inf(-1), 2, [3]string{"?", "?", "?"}},
	} {
		v, low, high := FormatInterval(row.v, row.low, row.high)
		assert.Equalf(t, row.want, [3]string{v, low, high}, "%v (%v to %v)", row.v, row.low, row.high)
	}
}

func TestFixed(t *testing.T) {
	for _, row := range []struct {
		v        float64
		decimals int
		want     string
	}{
		{43.94, 1, "43.9"}, {-43.96, 1, "-44.0"}, {-0.04, 1, "0.0"}, {math.Copysign(0, -1), 0, "0"}, {-0.06, 1, "-0.1"},
		{314, -1, "310"}, {316, -1, "320"}, {-316, -2, "-300"}, {15, -1, "20"}, {25, -1, "20"}, {34.99999999999999, -1, "30"},
		{35.00000000000001, -1, "40"}, {5, -1, "0"}, {math.Nextafter(5, 6), -1, "10"}, {-5.1, -1, "-10"}, {4.9, -1, "0"}, {0.4, -1, "0"},
		{996, -1, "1000"}, {96, -1, "100"}, {94, -2, "100"}, {49, -2, "0"}, {3, -5, "0"}, {999999, -1, "1000000"},
		{math.Nextafter(1e15, 0), 0, "1000000000000000"}, {1e15, 0, "1.00000000000000e+15"}, {1.23456e20, -18, "1.23e+20"},
		{math.MaxFloat64, -300, "1.79769313e+308"}, {math.Inf(1), 2, "?"}, {math.NaN(), 2, "?"},
	} {
		assert.Equalf(t, row.want, Fixed(row.v, row.decimals), "%v to %d", row.v, row.decimals)
	}
}

func TestText(t *testing.T) {
	assert.Equal(t, "-50.0 Pa", Pressure(-50).Text(Pascal, 1))
	assert.Equal(t, "0.20 inH2O", Pressure(50).Text(InchWater, 2))
	assert.Equal(t, "2280 cfm", Flow(2280*cubicFoot/60).Text(CFM, 0))
	assert.Equal(t, "388 m³/h", Flow(388./3600).Text(CubicMetrePerHour, 0))
	assert.Equal(t, "40.0 in²", Area(0.0258064).Text(SquareInch, 1))
	assert.Equal(t, "68.0 °F", Temperature(293.15).Text(Fahrenheit, 1))
	assert.Equal(t, "18 °F", TemperatureDifference(10).Text(FahrenheitDegree, 0))
	assert.Equal(t, "14400 ft³", Volume(14400*cubicFoot).Text(CubicFoot, 0))
	assert.Equal(t, "850 ft", Length(259.08).Text(Foot, 0))
	assert.Equal(t, "60000 Btu/h", Power(17584.264210333).Text(BtuPerHour, 0))
	assert.Equal(t, "1.5 h", Time(5400).Text(Hour, 1))
	assert.Equal(t, "1.20 kg/m³", Density(1.2).Text(KilogramPerCubicMetre, 2))
	assert.Equal(t, "5 %", Ratio(0.05).Text(Percent, 0))
	assert.Equal(t, "0.65", Ratio(0.65).Text(One, 2))
	assert.Equal(t, "0.36 1/h", Rate(0.0001).Text(PerHour, 2))
	assert.Equal(t, "3.3 m²·K/W", ThermalResistance(3.3).Text(SquareMetreKelvinPerWatt, 1))
	assert.Equal(t, "3.6 m³/(h·m²)", SpecificFlow(0.001).Text(CubicMetrePerHourSquareMetre, 1))
}

func TestEstimateFormat(t *testing.T) {
	e := Estimate[Flow]{Value: 0.1, Low: 0.09, High: 0.115}
	v, low, high := e.Format(CubicMetrePerHour)
	assert.Equal(t, []string{"360", "320", "410"}, []string{v, low, high})
}
