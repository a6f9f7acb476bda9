package survey

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// cold makes it −4 °F outdoors, with the ducts in 35 °F as before.
func cold(text string) string {
	return strings.NewReplacer(`outdoor = "35 F"`, `outdoor = "-4 F"`, `kind = "attic"`, "kind = \"attic\"\ntemperature = \"35 F\"").Replace(text)
}

// The air in the air handler is that of the house, whatever the temperature
// outdoors: 60,000 Btu/h by 55 °F at 1.08 Btu/(h·cfm·°F) are 1010 cfm (common
// practice). With the outdoor air of the leaks it would be 870.
func TestFlowFromRiseIsOfHouseAir(t *testing.T) {
	// 1.08 rounds 60·0.075·0.24; the house air is dry, at 70 °F and sea level
	density := 101325 / (287.055 * (70 + 459.67) * 5 / 9)
	exact := 60000 / (60 * 0.24 * 55 * density * 0.3048 * 0.3048 * 0.3048 / 0.45359237)
	assert.InDelta(t, 1010, exact, 3)
	const rise = "supply_temperature = \"125 F\"\nreturn_temperature = \"70 F\""
	for _, text := range []string{lossSheet, cold(lossSheet)} {
		c := modelled(t, strings.Replace(text, `flow = "1000 cfm"`, rise, 1))
		q, ok := lossFlow(c, NewLog(false), &ductWork{d: &Ducts{}})
		require.True(t, ok)
		const cfm = 0.3048 * 0.3048 * 0.3048 / 60
		assert.InDelta(t, exact, float64(q.Value)/cfm, 0.01)
		assert.InDelta(t, exact*(1-1.6448536*0.10), float64(q.Low)/cfm, 0.01)
		assert.InDelta(t, exact*(1+1.6448536*0.10), float64(q.High)/cfm, 0.01)
	}
}

// Delivery effectiveness with the ducts in 35 °F does not depend on the
// temperature outdoors, which reaches it by no other way.
func TestLossesAreOfHouseAir(t *testing.T) {
	mild, frost := ducted(t, lossSheet), ducted(t, cold(lossSheet))
	assert.InDelta(t, effectiveness(1000, 100, 80), frost.DeliveryEffectiveness.Value, 1e-6)
	assert.InDelta(t, mild.DeliveryEffectiveness.Value, frost.DeliveryEffectiveness.Value, 1e-9)
	assert.InDelta(t, mild.DeliveryEffectiveness.Low, frost.DeliveryEffectiveness.Low, 1e-9)
	assert.InDelta(t, mild.DeliveryEffectiveness.High, frost.DeliveryEffectiveness.High, 1e-9)
	assert.InDelta(t, mild.DistributionEfficiency.Value, frost.DistributionEfficiency.Value, 1e-9)
}

// effectiveness is that of lossSheet in percent, in Btu, h, ft and °F: ASHRAE 152
// eq 6-23, at the density of house air of 70 °F.
func effectiveness(flow, supply, back float64) float64 {
	density := 101325 / (287.055 * (70 + 459.67) * 5 / 9) * 0.3048 * 0.3048 * 0.3048 / 0.45359237
	stream := 60 * density * 0.24 * flow
	as, ar := 1-supply/flow, 1-back/flow
	bs, br := math.Exp(-300/(stream*4.2)), math.Exp(-100/(stream*4.2))
	rise := 60000 / stream
	return 100 * (as*bs - as*bs*(1-ar*br)*35/rise - as*(1-bs)*35/rise)
}

// The gap of a door passes house air (15 in2 at 5 Pa in a
// hold of 50 are 38.0 cfm at 50 Pa, computed here), and so does a transfer opening (54.6 in2 for
// 100 cfm at 3 Pa, PNNL transfer-grille guide).
func TestRoomsAreInHouseAir(t *testing.T) {
	const frost = "[house]\nindoor = \"70 F\"\noutdoor = \"-4 F\"\n[gauge]\npressure = \"1 % or 0.1 Pa\"\nwobble = \"0.05 Pa\"\n"
	d := ducted(t, frost+`
[[hold]]
house = "50 Pa"
[[room]]
name = "loft"
held = "5 Pa"
gap = "15 in2"
[[room]]
name = "small"
pressure = "4 Pa"
flow = "100 cfm"
`)
	require.NotNil(t, d.Rooms[0].Flow50)
	density := 101325 / (287.055 * (70 + 459.67) * 5 / 9)
	gap := 15 * 0.0254 * 0.0254 // m²
	through := 0.60 * gap * math.Sqrt(2*5/density) / (0.3048 * 0.3048 * 0.3048 / 60)
	flow := through * math.Pow(50.0/45, 0.65) // the room's leaks see 45 of the 50 Pa
	assert.InDelta(t, 38.0, flow, 0.1)
	assert.InDelta(t, flow, d.Rooms[0].Flow50.Value, 0.01)
	require.NotNil(t, d.Rooms[1].Transfer)
	assert.InDelta(t, 54.6*(1-math.Sqrt(3.0/4)), d.Rooms[1].Transfer.Value, 0.05)
}

// Where no temperature is given, air counts as standard air at the altitude.
func TestHouseAirWithoutTemperatures(t *testing.T) {
	assert.InDelta(t, 1.2041, float64(modelled(t, "[[hold]]\nhouse = \"50 Pa\"\n").houseAir()), 1e-9)
	// U.S. Standard Atmosphere 1976: 0.7950 bar at 2000 m
	high := modelled(t, "[house]\naltitude = \"2000 m\"\n[[hold]]\nhouse = \"50 Pa\"\n").houseAir()
	assert.InDelta(t, 1.2041*0.7950/1.01325, float64(high), 3e-4)
	warm := modelled(t, "[house]\naltitude = \"2000 m\"\nindoor = \"30 C\"\n[[hold]]\nhouse = \"50 Pa\"\n").houseAir()
	assert.InDelta(t, 0.7950e5/(287.055*303.15), float64(warm), 3e-4)
}

// A cooling output whose sensible share is not given counts as all sensible, and
// the report says so; heating has no such share.
func TestSensibleShareIsSaid(t *testing.T) {
	const said = "all of the output counts as sensible"
	cooling := strings.Replace(lossSheet, `output = "60000 Btu/h"`, `output = "-36000 Btu/h"`, 1)
	silent := ducted(t, cooling)
	assert.Contains(t, strings.Join(silent.Basis, "\n"), said)
	all := ducted(t, strings.Replace(cooling, "[air_handler]\n", "[air_handler]\nsensible = 1\n", 1))
	assert.NotContains(t, strings.Join(all.Basis, "\n"), said)
	assert.Equal(t, all.DeliveryEffectiveness, silent.DeliveryEffectiveness)
	less := ducted(t, strings.Replace(cooling, "[air_handler]\n", "[air_handler]\nsensible = 0.75\n", 1))
	assert.NotEqual(t, all.DeliveryEffectiveness.Value, less.DeliveryEffectiveness.Value)
	assert.NotContains(t, strings.Join(ducted(t, lossSheet).Notes, "\n"), said)
}
