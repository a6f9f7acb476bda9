package survey

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The infiltration that ASHRAE 62.2 counts goes by the leak area in standard air,
// 20 °C at sea level, as ASTM E779 gives it: an area found in the cold is too
// large by (μ/μ0)^(1−2n)·(ρ/ρ0)^(n−1/2), Roulet 2008 eq 4.15. In a house
// held above outdoors the leaks pass house air. Densities are those of
// dry air; viscosities by Sutherland, as in the U.S. Standard Atmosphere 1976.
func TestCreditIsOfStandardAir(t *testing.T) {
	const n = 0.65
	viscosity := func(k float64) float64 { return 1.458e-6 * math.Sqrt(k) / (1 + 110.4/k) }
	assert.InDelta(t, 18.134e-6, viscosity(293.15), 1e-9)
	for _, c := range []struct {
		house            string // and the temperatures
		kelvin, thinning float64
		less             float64 // than of the area as found
	}{
		{"-50 Pa\"\nindoor = \"68 F\"\noutdoor = \"32 F", 273.15, 1, 0.028},
		{"-50 Pa\"\nindoor = \"68 F\"\noutdoor = \"-4 F", 253.15, 1, 0.059},
		{"+50 Pa\"\nindoor = \"68 F\"\noutdoor = \"-4 F", 293.15, 1, 0},
		{"50 Pa\"\naltitude = \"2000 m", 293.15, 0.7950 / 1.01325, -0.0357}, // U.S. Standard Atmosphere 1976
	} {
		house, rest, _ := strings.Cut(c.house, "\"\n")
		text := strings.Replace(ventilated(1333.3, ""), `house = "50 Pa"`, `house = "`+house+`"`, 1)
		if strings.HasPrefix(house, "+") {
			text = "[job]\nhold = \"pressurised\"\n" + text
		}
		f := surveyed(t, strings.Replace(text, "[house]\n", "[house]\n"+rest+"\"\n", 1))
		require.NotNil(t, f.Ventilation.Infiltration)
		density := c.thinning * 293.15 / c.kelvin
		factor := math.Pow(viscosity(c.kelvin)/viscosity(293.15), 2*n-1) * math.Pow(density, 0.5-n)
		assert.InDelta(t, c.less, 1/factor-1, 0.001, c.house)
		area, got := f.House.LeakArea4, f.Ventilation.Infiltration
		credit := func(in2 float64) float64 { // NL·wsf·A/7.3, UMC App. E 605.1.3.2; H_r 8.202 ft
			return 1000 * in2 * factor / 144 / 2000 * math.Pow(16/8.202, 0.4) * 0.60 * 2000 / 7.3
		}
		assert.InEpsilon(t, credit(area.Value), got.Value, 2e-4, c.house)
		assert.InEpsilon(t, credit(area.Low), got.Low, 2e-4, c.house)
		assert.InEpsilon(t, credit(area.High), got.High, 2e-4, c.house)
	}
}
