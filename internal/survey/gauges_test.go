package survey

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbook/ductleak"
	"holdbook/units"
)

// said is what the notices of a sheet say with some words in it.
func saidWith(f *Findings, words string) (list []Notice) {
	for _, n := range f.Notices {
		if strings.Contains(n.Text, words) {
			list = append(list, n)
		}
	}
	return list
}

// Under 47 Pa the report says what the other meaning of a fan flow would be, unless a word or
// another pressure tells.
func TestFanMayBeScaled(t *testing.T) {
	hold := func(p, fan string) string { return "[[hold]]\nhouse = \"" + p + "\"\nfan = \"" + fan + "\"\n" }
	about := func(text string) []Notice {
		return saidWith(found(t, text, Options{CurvatureOnly: true}), "carried to 50 Pa makes")
	}
	n := about(hold("-32 Pa", "1500 cfm"))
	require.Len(t, n, 1)
	assert.Contains(t, n[0].Text, "34 % too large", "(50/32)^0.65")
	assert.Equal(t, Warning, n[0].Level)
	assert.Empty(t, about(hold("-47 Pa", "1500 cfm")))
	assert.Len(t, about(hold("-46.9 Pa", "1500 cfm")), 1)
	assert.Empty(t, about(hold("-32 Pa", "1500 cfm50")))
	assert.Empty(t, about(hold("-32 Pa", "1500 cfm")+"fan_scaled_to = \"50 Pa\"\n"))
	assert.Empty(t, about("[door_fan]\nshows = \"flow\"\n"+hold("-32 Pa", "1500 cfm")))
	assert.Empty(t, about("[door_fan]\nshows = \"at 50 Pa\"\n"+hold("-32 Pa", "1500 cfm")))
	assert.Empty(t, about(hold("-32 Pa", "1500 cfm")+hold("-38.4 Pa", "1690 cfm")), "another pressure tells")
	assert.Len(t, about(hold("-32 Pa", "1500 cfm")+hold("-38.3 Pa", "1690 cfm")), 2)
}

// The unit, the key of the hold and the word of the door fan mean the same.
func TestScaledInThreeWays(t *testing.T) {
	flow := func(text string) float64 {
		f := found(t, text, Options{CurvatureOnly: true})
		require.NotNil(t, f.House.Flow50)
		return f.House.Flow50.Value
	}
	hold := "[[hold]]\nhouse = \"-32 Pa\"\nfan = \"1500 cfm"
	want := flow(hold + "\"\nfan_scaled_to = \"50 Pa\"\n")
	within(t, want, flow(hold+"50\"\n"), 1e-9, "cfm50")
	within(t, want, flow(hold+"@50\"\n"), 1e-9, "cfm@50")
	within(t, want, flow("[door_fan]\nshows = \"at 50 Pa\"\n"+hold+"\"\n"), 1e-9, "the door fan")
	within(t, 1500, want, 0.01, "near what the gauge showed")
	assert.Greater(t, flow(hold+"\"\n"), 1.3*want)
}

// A slip of the sign of a house is told first, and beside the others.
func TestHouseSignIsToldFirst(t *testing.T) {
	f := found(t, "[[hold]]\nhouse = \"-50 Pa\"\nfan = \"2000 cfm\"\nto_house = { attic = \"40 Pa\" }\n[[hold]]\nhouse = \"+50 Pa\"\nfan = \"2000 cfm\"\nto_outside = { attic = \"-11 Pa\" }\n", Options{CurvatureOnly: true})
	require.NotEmpty(t, f.Suspects)
	assert.Equal(t, "sign", f.Suspects[0].Slip)
	assert.Equal(t, "hold 2", f.Suspects[0].Hold)
	assert.Equal(t, HouseSignText, f.Suspects[0].Text)
}

// Flows of an on/off test that the gauge carried to 50 Pa are brought back to what passed at
// each station: (50/25)^0.65 is 1.569, (50/10)^0.65 is 2.847.
func TestOnOffFlowsCarriedToFifty(t *testing.T) {
	test := func(shows string, stations ...string) *Findings {
		text := "[door_fan]\nshows = \"" + shows + "\"\n[air_handler]\nflow = \"1180 cfm\"\n"
		for _, x := range stations {
			f := strings.Fields(x)
			text += "[[on_off]]\nhouse = \"" + f[0] + " Pa\"\noff = \"" + f[1] + " cfm\"\non = \"" + f[2] + " cfm\"\n"
		}
		return found(t, text, Options{})
	}
	plain := test("flow", "-25 1274 1182", "-10 703 621", "10 703 699", "25 1274 1254")
	carried := test("at 50 Pa", "-25 1999.10 1854.74", "-10 2001.24 1767.81", "10 2001.24 1989.85", "25 1999.10 1967.72")
	require.NotNil(t, plain.Ducts.SupplyLeakage)
	require.NotNil(t, carried.Ducts.SupplyLeakage)
	for i, p := range plain.Ducts.OnOff.Points {
		assert.InEpsilon(t, p.Difference, carried.Ducts.OnOff.Points[i].Difference, 2e-3)
	}
	assert.InEpsilon(t, plain.Ducts.SupplyLeakage.Value, carried.Ducts.SupplyLeakage.Value, 2e-3)
}

// The intervals of an on/off test hold what it errs by besides the scatter of its stations.
func TestOnOffCarriesWhatItErrsBy(t *testing.T) {
	text := "[air_handler]\nflow = \"1180 cfm\"\n"
	with := ductleak.OnOffTest{Seed: 1, Systematic: ductleak.OnOffSystematic}
	for _, x := range [][3]float64{{-25, 1274, 1182}, {-10, 703, 621}, {10, 703, 699}, {25, 1274, 1254}} {
		text += fmt.Sprintf("[[on_off]]\nhouse = \"%g Pa\"\noff = \"%g cfm\"\non = \"%g cfm\"\n", x[0], x[1], x[2])
		sign := math.Copysign(1, x[0])
		with.Differences = append(with.Differences, ductleak.Difference{House: units.Pressure(x[0]),
			Flow: units.Flow(units.CFM.ToSI(sign * (x[2] - x[1]))), Envelope: units.Flow(units.CFM.ToSI(sign * x[1]))})
	}
	f := found(t, text, Options{})
	with.AirHandler = units.Within(units.Flow(units.CFM.ToSI(1180)), 0.05)
	r, err := with.Evaluate()
	require.NoError(t, err)
	with.Systematic = 0
	plain, err := with.Evaluate()
	require.NoError(t, err)
	var net *DuctTest
	for i := range f.Ducts.Tests {
		if x := &f.Ducts.Tests[i]; x.Quantity == "net_imbalance" && x.Method == onOffTest {
			net = x
		}
	}
	require.NotNil(t, net)
	width := units.CFM.ToSI(net.Result.High - net.Result.Low)
	assert.InEpsilon(t, float64(r.Net.High-r.Net.Low), width, 0.02)
	assert.Greater(t, width, 1.1*float64(plain.Net.High-plain.Net.Low))
}
