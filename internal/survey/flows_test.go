package survey

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbook/internal/testkit"
	"holdbook/pressure"
	"holdbook/units"
	"holdbook/zonal"
)

// air is the density of dry air at sea level.
func air(t *testing.T, celsius float64) float64 {
	t.Helper()
	c, err := pressure.Air{Temperature: units.Temperature(celsius + 273.15), Barometer: 101325}.Density()
	require.NoError(t, err)
	return float64(c.Value)
}

// A fan flow becomes the flow of the air in the leaks, by direction.
func TestFanFlowToEnvelope(t *testing.T) {
	in, out := air(t, 20), air(t, 0)
	for name, c := range map[string]struct {
		gauge, house string
		want         float64
	}{
		"true, depressurised":      {`fan_air = "true"`, "-50", 2000 * in / out},
		"true, pressurised":        {`fan_air = "true"`, "+50", 2000 * out / in},
		"indicated, depressurised": {`fan_air = "indicated"`, "-50", 2000 * math.Sqrt(1.2041/in) * in / out},
		"indicated, pressurised":   {`fan_air = "indicated"`, "+50", 2000 * math.Sqrt(1.2041/out) * out / in},
	} {
		t.Run(name, func(t *testing.T) {
			built, log := laid(t, "[gauge]\n"+c.gauge+"\n[house]\nindoor = \"20 C\"\noutdoor = \"0 C\"\n"+
				"[[hold]]\nbaseline = \"0 Pa\"\nhouse = \""+c.house+" Pa\"\nfan = \"2000 cfm\"\n")
			within(t, c.want, units.CFM.FromSI(float64(built.Model.Holds[0].Fan.Flow)), 1e-12, "flow")
			assert.Zero(t, noticesWith(log.Notices, "density correction"))
			leak := out
			if c.house == "+50" {
				leak = in
			}
			within(t, leak, float64(built.Model.Air), 1e-12, "density of the air in the leaks")
		})
	}
}

// A hold's own temperatures stand before the house's.
func TestTemperaturesOfAHold(t *testing.T) {
	c := modelled(t, `
[house]
indoor = "20 C"
outdoor = "0 C"
[[hold]]
house = "-50 Pa"
fan = "2000 cfm"
outdoor = "-10 C"
`)
	within(t, 2000*air(t, 20)/air(t, -10), units.CFM.FromSI(float64(c.Model.Holds[0].Fan.Flow)), 1e-12, "flow")
}

// Without both temperatures no correction is made, with a note.
func TestTemperaturesMissing(t *testing.T) {
	for _, house := range []string{"", "[house]\nindoor = \"20 C\"\n"} {
		c, log := laid(t, house+"[gauge]\nfan_air = \"indicated\"\n[[hold]]\nhouse = \"-50 Pa\"\nfan = \"2000 cfm\"\n[[hold]]\nhouse = \"-30 Pa\"\nfan = \"1500 cfm\"\n")
		assert.InDelta(t, float64(cfm(2000)), float64(c.Model.Holds[0].Fan.Flow), 1e-12)
		assert.Equal(t, 1, noticesWith(log.Notices, "taken without a density correction"), "said once")
		assert.Equal(t, 1, noticesWith(log.Notices, "flow of standard air"))
	}
	_, log := laid(t, "[[hold]]\nhouse = \"-50 Pa\"\nto_house = { attic = \"44 Pa\" }\n")
	assert.Zero(t, noticesWith(log.Notices, "density"), "no fan, nothing to correct")
}

// A flow that the gauge scaled to a pressure is brought back with exponent 0.65.
func TestScaledFlow(t *testing.T) {
	c := modelled(t, `
[[hold]]
baseline = "-1 Pa"
house = "-31 Pa"
fan = "2280 cfm"
fan_scaled_to = "50 Pa"
`)
	within(t, 2280*math.Pow(30.0/50, 0.65), units.CFM.FromSI(float64(c.Model.Holds[0].Fan.Flow)), 1e-12, "flow")
	assert.InDelta(t, 0.01, c.Model.Holds[0].Fan.SDLn, 1e-12)
}

// Calibration: 2.0 % common to a fan and 1.5 % for each of its flow ranges, of a
// stated 5 % at two sd; fans of one name share theirs.
func TestCalibrations(t *testing.T) {
	c := modelled(t, `
[[hold]]
house = "-50 Pa"
fan = "2000 cfm"
range = "open"
[[hold]]
house = "-20 Pa"
fan = "1100 cfm"
range = "small"
[[hold]]
house = "-50 Pa"
fan = "2100 cfm"
range = "open"
fans = [ { name = "second", from = "garage", to = "outside", flow = "400 cfm" } ]
to_house = { garage = "1 Pa" }
[[hold]]
house = "-50 Pa"
fan = "2100 cfm"
range = "open"
fans = [ { name = "Second", from = "garage", to = "outside", flow = "300 cfm" } ]
readings = [ { of = "attic", to = "house", flow = "63 cfm" }, { of = "porch", to = "house", flow = "-40 cfm", sd = "7 %" } ]
`)
	want := []zonal.Calibration{{Name: "fan", SDLn: 0.02}, {Name: "fan, range open", SDLn: 0.015}, {Name: "fan, range small", SDLn: 0.015},
		{Name: "fan second", SDLn: 0.02}, {Name: "fan second, range not stated", SDLn: 0.015}, {Name: "flow hood", SDLn: 0.025}}
	require.Len(t, c.Model.Calibrations, len(want))
	for i, c := range c.Model.Calibrations {
		assert.Equal(t, want[i].Name, c.Name)
		assert.InDelta(t, want[i].SDLn, c.SDLn, 1e-12, c.Name)
	}
	h := c.Model.Holds
	assert.Equal(t, []int{0, 1}, h[0].Fan.Cal)
	assert.Equal(t, []int{0, 2}, h[1].Fan.Cal)
	assert.Equal(t, []int{3, 4}, h[2].Fans[0].Cal)
	assert.Equal(t, []int{3, 4}, h[3].Fans[0].Cal)
	assert.InDelta(t, 0.01, h[2].Fans[0].SDLn, 1e-12)

	flows := h[3].Flows
	require.Len(t, flows, 2)
	assert.Equal(t, []int{5}, flows[0].Cal)
	assert.InDelta(t, 0.01, flows[0].SDLn, 1e-12)
	assert.Empty(t, flows[1].Cal, "a stated error is the whole of it")
	assert.InDelta(t, 0.07, flows[1].SDLn, 1e-12)
	assert.Equal(t, zonal.House, flows[1].Of, "a negative flow runs the other way")
	assert.InDelta(t, float64(cfm(40)), float64(flows[1].Flow), 1e-12)
}

// A further fan moves the air of the space it draws from.
func TestFurtherFanAir(t *testing.T) {
	in, out, mid := air(t, 20), air(t, 0), air(t, 10)
	const gauge, house = "[gauge]\nfan_air = \"indicated\"\n", "[house]\nindoor = \"20 C\"\noutdoor = \"0 C\"\n"
	for _, c := range []struct {
		gauge, from, to string
		want            float64
	}{
		{"", "house", "garage", 400 * in / out},
		{"", "outside", "garage", 400},
		{"", "garage", "outside", 400 * mid / out},
		{gauge, "garage", "outside", 400 * math.Sqrt(1.2041/mid) * mid / out},
	} {
		built := modelled(t, c.gauge+house+"[[zone]]\nname = \"garage\"\ntemperature = \"10 C\"\n"+
			"[[hold]]\nhouse = \"-50 Pa\"\nfans = [ { from = \""+c.from+"\", to = \""+c.to+"\", flow = \"400 cfm\" } ]\n")
		within(t, c.want, units.CFM.FromSI(float64(built.Model.Holds[0].Fans[0].Flow)), 1e-12, c.from+" to "+c.to)
	}
}

// A flow with no way in its hold says nothing of a leak: it is left out, with a notice,
// and what opens a way brings it back.
func TestFlowWhereNothingJoins(t *testing.T) {
	text := func(opened string) string {
		return `
[[zone]]
name = "garage"
kind = "garage"
[[hold]]
house = "-50 Pa"
baseline = "0 Pa"
sealed = [ { between = ["house", "garage"] } ]
` + opened + `
readings = [ { of = "garage", to = "house", flow = "40 cfm" } ]
`
	}
	f, err := Run(testkit.Sheet(t, text("")), Options{})
	require.NoError(t, err)
	assert.Equal(t, 1, noticesWith(f.Notices, "where nothing joins the two in this hold; it is not used"))
	assert.Empty(t, modelled(t, text("")).Model.Holds[0].Flows)

	open := text(`opened = [ { between = ["house", "garage"], name = "flap" } ]`)
	f, err = Run(testkit.Sheet(t, open), Options{})
	require.NoError(t, err)
	assert.Zero(t, noticesWith(f.Notices, "where nothing joins"))
	assert.Len(t, modelled(t, open).Model.Holds[0].Flows, 1)
}
