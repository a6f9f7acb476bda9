package survey

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func cazOfSheet(t *testing.T, text string) (*Findings, CAZ) {
	t.Helper()
	f := found(t, "[[caz]]\nname = \"boiler room\"\n"+text, Options{})
	require.Len(t, f.CAZ, 1, text)
	return f, f.CAZ[0]
}

// The net change is the lowest reading less the first, and its verdict that of the older limits
// with a source, in a word that passes nothing: 2 Pa for a water heater by itself, 15 for a
// power-vented one (a contractor's restatement).
func TestWorstCase(t *testing.T) {
	const exact = "[gauge]\npressure = \"0.01 Pa\"\nwobble = \"0 Pa\"\n"
	_, z := cazOfSheet(t, "baseline = \"-0.6 Pa\"\nexhaust = \"-2.4 Pa\"\ndoors = \"-3.1 Pa\"\nhandler_on = \"-2.8 Pa\"\nappliance = \"water heater\"\n"+exact)
	assert.InDelta(t, -0.6, z.Baseline, 1e-9)
	assert.InDelta(t, -3.1, z.Worst, 1e-9)
	assert.Equal(t, "doors as they make it worst", z.When)
	assert.InDelta(t, -2.5, z.NetChange.Value, 1e-9)
	assert.InDelta(t, 0.3, z.Handler.Value, 1e-9, "the air handler brings it up again")
	assert.Equal(t, "beyond", z.Verdict)
	assert.Contains(t, z.Limit, "no longer passes or fails")
	for text, want := range map[string]string{
		"exhaust = \"-2.5 Pa\"\nappliance = \"water heater\"\n":                                     "within",
		"exhaust = \"-2.7 Pa\"\nappliance = \"water heater\"\n":                                     "beyond",
		"exhaust = \"-2.6 Pa\"\nappliance = \"water heater\"\n":                                     "too close to call",
		"exhaust = \"-15.5 Pa\"\nappliance = \"power vented\"\n":                                    "within",
		"exhaust = \"-5.5 Pa\"\nappliance = \"boiler or furnace\"\n":                                "", // that figure is from memory, and judges nothing
		"exhaust = \"-5.5 Pa\"\n":                                                                   "",
		"exhaust = \"-5.5 Pa\"\nlimit = \"-3 Pa\"\ndocument = \"the local code\"\n":                 "beyond",
		"exhaust = \"-3.4 Pa\"\nlimit = \"3 Pa\"\ndocument = \"the local code\"\n":                  "within",
		"exhaust = \"-4 Pa\"\nlimit = \"-3 Pa\"\ndocument = \"x\"\nappliance = \"induced draft\"\n": "beyond",
	} {
		_, z := cazOfSheet(t, "baseline = \"-0.6 Pa\"\n"+text+exact)
		assert.Equal(t, want, z.Verdict, text)
	}
	_, noisy := cazOfSheet(t, "baseline = \"-0.6 Pa\"\nexhaust = \"-2.9 Pa\"\nappliance = \"water heater\"\n")
	assert.Equal(t, "too close to call", noisy.Verdict, "2.3 Pa by an ordinary gauge")
}

// Cautions come with every such test; above 35 ppm (BPI Building Analyst 2005) there is one more.
func TestCautionsOfTheWorstCase(t *testing.T) {
	dangers := func(co string) (list []string) {
		f, _ := cazOfSheet(t, "baseline = \"-0.6 Pa\"\nexhaust = \"-2 Pa\"\n"+co)
		for _, n := range f.Notices {
			if n.Level == Danger {
				list = append(list, n.Text)
			}
		}
		return list
	}
	assert.Equal(t, []string{cazCaution}, dangers("co = \"35 ppm\"\n"))
	assert.Equal(t, []string{cazCaution, coCaution}, dangers("co = \"35.1 ppm\"\n"))
	f := found(t, "[[caz]]\nname = \"x\"\nbaseline = \"-1 Pa\"\n", Options{})
	assert.Empty(t, f.CAZ)
	assert.Len(t, saidWith(f, "a baseline alone"), 1)
}

// The older limits can be named like any other.
func TestLimitOnTheWorstCase(t *testing.T) {
	f, _ := cazOfSheet(t, "baseline = \"-0.6 Pa\"\nexhaust = \"-9 Pa\"\nappliance = \"water heater\"\n[[limit]]\nname = \"caz-water-heater\"\n[[limit]]\nname = \"caz-sealed\"\n")
	require.Len(t, f.Limits, 1)
	assert.Equal(t, "fails", f.Limits[0].Verdict)
	assert.InDelta(t, 8.4, f.Limits[0].Result.Value, 1e-9)
	assert.Len(t, saidWith(f, "no [[caz]] of that appliance"), 1)
}

// The fan of a nulling test shows the net imbalance, and leakage stands as a share of the air
// handler's flow too.
func TestNullingOfASheet(t *testing.T) {
	const hold = "[[hold]]\nbaseline = \"0 Pa\"\nhouse = \"-50 Pa\"\nfan = \"2000 cfm\"\n"
	net := func(text string) *Q {
		f := found(t, text, Options{})
		require.NotNil(t, f.Ducts)
		return f.Ducts.NetImbalance
	}
	within(t, 85, net("[[nulling]]\nflow = \"85 cfm\"\ndirection = \"in\"\n").Value, 1e-6, "in")
	within(t, -85, net("[[nulling]]\nflow = \"85 cfm\"\ndirection = \"out\"\n").Value, 1e-6, "out")
	assert.InDelta(t, 85-0.2*62.9, net(hold+"[[nulling]]\nflow = \"85 cfm\"\ndirection = \"in\"\nresidual = \"0.2 Pa\"\n").Value, 1.5)
	f := found(t, "[[nulling]]\nflow = \"85 cfm\"\ndirection = \"in\"\nresidual = \"1.1 Pa\"\n", Options{})
	assert.Nil(t, f.Ducts.NetImbalance)
	assert.True(t, strings.Contains(f.Ducts.Tests[0].Note, "trim the fan"), f.Ducts.Tests[0].Note)
	d := found(t, "[air_handler]\nflow = \"1000 cfm\"\nsupply_pressure = \"50 Pa\"\n[[duct_test]]\nmethod = \"outside\"\nside = \"supply\"\npressure = \"25 Pa\"\nflow = \"50 cfm\"\n", Options{}).Ducts
	require.NotNil(t, d.SupplyShare)
	within(t, d.SupplyLeakage.Value/10, d.SupplyShare.Value, 0.02, "of 1000 cfm, in percent")
	assert.Nil(t, d.ReturnShare)
}
