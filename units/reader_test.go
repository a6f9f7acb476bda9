package units

import (
	"encoding/json"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Factors: NIST SP 811 (2008), appendix B.8: cubic foot per minute, square inch,
// square foot, foot, cubic foot, degree Fahrenheit (1 °F is -17.2222 °C), therm (EC); the
// kilowatt-hour is exact.
func TestUnitForAReader(t *testing.T) {
	for _, c := range []struct {
		base   Unit
		ip, si string
		perIP  float64
	}{
		{CubicMetrePerSecond, "cfm", "m3/h", 4.719474e-4},
		{SquareMetre, "in2", "cm2", 6.4516e-4},
		{PerSecond, "1/h", "1/h", 1.0 / 3600},
		{Pascal, "Pa", "Pa", 1},
		{SquareMetreOfFloor, "ft2", "m2", 0.09290304},
		{Metre, "ft", "m", 0.3048},
		{CubicMetre, "ft3", "m3", 0.02831685},
		{Kelvin, "°F", "°C", 273.15 - 17.222222},
		{Joule, "therm", "kWh", 1.05505585262e8},
		{CubicMetrePerSecond.Per("h"), "cfm/h", "m3/h/h", 4.719474e-4},
		{CubicMetrePerSecond.Per("Pa^n"), "cfm/Pa^n", "m3/h/Pa^n", 4.719474e-4},
		{CubicMetrePerSecondSquareMetre, "cfm/ft2", "m3/(h·m2)", 5.08e-3},
		{One, "", "", 1}, {Percent, "%", "%", 1}, {Named("USD"), "USD", "USD", 1},
	} {
		assert.Equal(t, c.ip, IP.For(c.base).Symbol())
		assert.Equal(t, c.si, SI.For(c.base).Symbol())
		assert.InEpsilon(t, 1, Convert(c.perIP, c.base, IP.For(c.base)), 1e-6, c.ip)
		for _, u := range []Unit{c.base, IP.For(c.base), SI.For(c.base)} {
			assert.Equal(t, c.base, u.Base(), u.Symbol())
			assert.Equal(t, SI.For(c.base), SI.For(u), u.Symbol())
			text, err := json.Marshal(u)
			require.NoError(t, err)
			var back Unit
			require.NoError(t, json.Unmarshal(text, &back))
			if u == SquareMetre { // no reader is shown a leak in m2: results mean a floor
				u = SquareMetreOfFloor
			}
			assert.Equal(t, u, back)
		}
	}
}

// A flow for each hour is no flow: the quantity does not print as one.
func TestDividedUnitIsAnotherQuantity(t *testing.T) {
	assert.True(t, math.IsNaN(Flow(1).In(CFM.Per("h"))))
	assert.Equal(t, CFM, CFM.Per("h").Per(""))
	assert.Equal(t, "m³/h/Pa^n", CubicMetrePerHour.Per("Pa^n").Pretty())
}

// A number that is in the unit wanted keeps its last bit.
func TestConvertLeavesWhatIsThere(t *testing.T) {
	for _, v := range []float64{0.1, 1.0 / 3, 2279.6012345678} {
		assert.Equal(t, v, Convert(v, CFM, CFM))
	}
}
