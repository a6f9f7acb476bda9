package survey

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbook/internal/testkit"
	"holdbook/zonal"
)

// Exponents by what a path joins: vents and duct leaks 0.60, registers and the
// air handler 0.5 known, cracks 0.65.
func TestExponentPriors(t *testing.T) {
	c := modelled(t, `
[[zone]]
name = "attic"
touches = ["house", "outside", "kneewall"]
[[zone]]
name = "kneewall"
[[zone]]
name = "north attic"
kind = "attic"
vented = false
[[zone]]
name = "supply ducts"
kind = "ducts"
touches = ["house", "attic", "return ducts"]
[[zone]]
name = "return ducts"
kind = "ducts"
[[hold]]
house = "-50 Pa"
to_house = { attic = "44 Pa", kneewall = "30 Pa", "north attic" = "40 Pa", "supply ducts" = "1 Pa", "return ducts" = "1 Pa" }
`)
	crack, vent := zonal.Normal{Mean: 0.65, SD: 0.09}, zonal.Normal{Mean: 0.60, SD: 0.09}
	open := zonal.Normal{Mean: 0.53, SD: 0.03}
	for pair, want := range map[[2]string]zonal.Normal{
		{"house", "outside"}:             crack,
		{"house", "attic"}:               crack,
		{"attic", "outside"}:             vent,
		{"attic", "kneewall"}:            crack,
		{"north attic", "outside"}:       crack,
		{"house", "supply ducts"}:        open,
		{"attic", "supply ducts"}:        vent,
		{"return ducts", "outside"}:      vent,
		{"return ducts", "supply ducts"}: {Mean: 0.5},
	} {
		assert.Equal(t, want, pathOf(t, c, pair[0], pair[1], false).Exponent, "%v", pair)
	}
}

// What the sheet says of a path stands before the table, part by part.
func TestPathOverrides(t *testing.T) {
	c := modelled(t, `
[[path]]
between = ["attic", "house"]
exponent = 0.7
flow_50 = "400 cfm"
spread = 3.0
[[path]]
between = ["attic", "outside"]
exponent = 0.55
exponent_sd = 0.03
[[path]]
between = ["house", "garage"]
flow_50 = "90 cfm"
[[hold]]
house = "-50 Pa"
to_house = { attic = "44 Pa", garage = "47 Pa" }
`)
	ceiling := pathOf(t, c, "house", "attic", false)
	assert.Equal(t, zonal.Normal{Mean: 0.7}, ceiling.Exponent, "known")
	assert.InDelta(t, float64(cfm(400)), float64(ceiling.Flow50.Median), 1e-12)
	assert.InDelta(t, math.Log(3)/1.6448536269514722, ceiling.Flow50.SDLn, 1e-9)

	vents := pathOf(t, c, "attic", "outside", false)
	assert.Equal(t, zonal.Normal{Mean: 0.55, SD: 0.03}, vents.Exponent)
	assert.InDelta(t, float64(cfm(2000)), float64(vents.Flow50.Median), 1e-12)

	door := pathOf(t, c, "house", "garage", false)
	assert.InDelta(t, 1.5, door.Flow50.SDLn, 0, "a size without a spread is as good as the table's")

	from := map[string]string{}
	for _, p := range testkit.Shown(t, c.Priors, c.Job.Units) {
		from[p.Of] = p.From
	}
	assert.Equal(t, "the sheet", from["house–attic, flow at 50 Pa"])
	assert.Equal(t, "the sheet", from["attic–outside, exponent"])
	assert.Equal(t, judgement, from["attic–outside, flow at 50 Pa"])
	assert.Equal(t, judgement, from["house–garage, exponent"])
}

// Covering the registers closes the large path and leaves a small one.
func TestRegistersCovered(t *testing.T) {
	c := modelled(t, `
[[zone]]
name = "ducts"
touches = ["house", "attic"]
[[hold]]
house = "-50 Pa"
fan = "2000 cfm"
[[hold]]
house = "-50 Pa"
fan = "1900 cfm"
sealed = [ { between = ["ducts", "house"] } ]
to_house = { ducts = "40 Pa" }
[[hold]]
house = "-50 Pa"
sealed = [ { between = ["house", "ducts"] } ]
`)
	open := pathOf(t, c, "house", "ducts", false)
	assert.Equal(t, zonal.LogNormal{Median: cfm(3000), SDLn: 1.5}, open.Flow50)
	assert.Equal(t, zonal.Normal{Mean: 0.53, SD: 0.03}, open.Exponent)
	covered := pathOf(t, c, "house", "ducts", true)
	assert.Equal(t, zonal.LogNormal{Median: cfm(50), SDLn: 1.5}, covered.Flow50)
	assert.Equal(t, zonal.Normal{Mean: 0.65, SD: 0.06}, covered.Exponent)

	h := c.Model.Holds
	assert.Empty(t, h[0].Sealed)
	assert.Empty(t, h[0].Covered)
	for _, k := range []int{1, 2} {
		assert.Equal(t, []int{c.Model.PathBetween(zonal.House, c.Spaces["ducts"])}, h[k].Sealed)
		assert.Equal(t, []int{c.CoveredPath(c.Spaces["ducts"])}, h[k].Covered, "one and the same in both holds")
	}
}

// Sealing anything else leaves nothing behind.
func TestSealedPath(t *testing.T) {
	c := modelled(t, `
[[hold]]
house = "-50 Pa"
sealed = [ { between = ["attic", "house"] } ]
`)
	assert.Len(t, c.Model.Holds[0].Sealed, 1)
	assert.Empty(t, c.Model.Holds[0].Covered)
}

// A zone that no finished hold speaks of is left out, with a note.
func TestSilentZones(t *testing.T) {
	c, log := laid(t, `
[[zone]]
name = "attic"
touches = ["house", "outside", "garage"]
[[zone]]
name = "garage"
[[zone]]
name = "crawlspace"
[[path]]
between = ["house", "crawlspace"]
exponent = 0.6
[[hold]]
house = "-50 Pa"
to_house = { attic = "44 Pa" }
[[hold]]
name = "later"
to_house = { garage = "47 Pa" }
`)
	assert.Equal(t, []string{"house", "outside", "attic"}, c.Names)
	assert.Len(t, c.Model.Paths, 3, "no path leads to a zone left out")
	assert.Equal(t, 2, noticesWith(log.Notices, "it is left out"))
	require.Len(t, c.Model.Holds, 1)
	assert.Equal(t, 1, noticesWith(log.Notices, "the hold is not used"))
	require.Len(t, c.Holds, 2)
	assert.True(t, c.Holds[0].Used)
	assert.False(t, c.Holds[1].Used)
}

// A zone is spoken of by a reading, an opening, a seal or a fan.
func TestWhatSpeaksOfAZone(t *testing.T) {
	for _, line := range []string{
		`to_outside = { attic = "-6 Pa" }`,
		`opened = [ { between = ["attic", "outside"] } ]`,
		`sealed = [ { between = ["attic", "outside"] } ]`,
		`fans = [ { from = "attic", to = "outside", flow = "300 cfm" } ]`,
		`readings = [ { of = "attic", to = "house", flow = "30 cfm" } ]`,
	} {
		c := modelled(t, "[[hold]]\nhouse = \"-50 Pa\"\n"+line+"\n")
		assert.Contains(t, c.Names, "attic", line)
	}
}

// weatherPriors are the stack, the wind and the zero of the gauge.
const weatherPriors = 3

// Every unknown of the estimate is listed, with where its prior comes from.
func TestPriorsAreListed(t *testing.T) {
	c := modelled(t, `
[gauge]
flow = "4 %"
[[zone]]
name = "ducts"
touches = ["house", "attic"]
[[hold]]
house = "-50 Pa"
fan = "2000 cfm"
range = "open"
[[hold]]
house = "-50 Pa"
opened = [ { between = ["house", "attic"], name = "hatch" }, { between = ["house", "attic"], area = "40 in2" } ]
sealed = [ { between = ["house", "ducts"] } ]
`)
	var names []string
	for _, p := range testkit.Shown(t, c.Priors, c.Job.Units) {
		names = append(names, p.Of)
		assert.NotEmpty(t, p.From, p.Of)
		assert.LessOrEqual(t, p.Median.Low, p.Median.Value, p.Of)
		assert.LessOrEqual(t, p.Median.Value, p.Median.High, p.Of)
	}
	assert.Subset(t, names, []string{
		"house–outside, flow at 50 Pa", "house–outside, exponent", "house–ducts, registers covered, flow at 50 Pa", "house–ducts, registers covered, exponent",
		"hatch, flow at 50 Pa", "opening 2 of hold 2, area", "discharge coefficient of known holes, common to all",
		"calibration of the fan", "calibration of the fan, range open",
	})
	assert.Len(t, names, 2*len(c.Model.Paths)+2+1+1+len(c.Model.Calibrations)+weatherPriors)
}

// A silent zone stays where it alone joins a zone that was read; a zone that
// touches nothing is refused.
func TestZonesThatJoin(t *testing.T) {
	zones := func(garage string) string {
		return "[[zone]]\nname = \"attic\"\ntouches = [\"garage\"]\n[[zone]]\nname = \"garage\"\ntouches = [" + garage + "]\n" +
			"[[hold]]\nhouse = \"-50 Pa\"\nto_house = { attic = \"44 Pa\" }\n"
	}
	c := modelled(t, zones(`"house", "outside"`))
	assert.Equal(t, []string{"house", "outside", "attic", "garage"}, c.Names)
	p := refused(t, zones(`"attic"`))
	assert.Equal(t, 2, p.Pos.Line)
	assert.Contains(t, p.Text, "touches neither the house nor outside")
}

// A register opened after the others were covered has a prior of its own: from
// the smallest register to a grille of the return, two thirds of it free, by
// 7.475 cfm at 50 Pa a square inch (orifice equation, Cd 0.60). Anything else
// that is opened has the prior of a hatch.
func TestRegisterOpenedHasItsPrior(t *testing.T) {
	c := modelled(t, `
[[zone]]
name = "attic"
[[zone]]
name = "ducts"
touches = ["house", "attic"]
[[hold]]
house = "-50 Pa"
opened = [ { between = ["ducts", "house"], name = "register" }, { between = ["house", "attic"], name = "hatch" }, { between = ["ducts", "attic"], name = "loose run" } ]
sealed = [ { between = ["house", "ducts"] } ]
`)
	listed := map[string]Prior{}
	for _, p := range testkit.Shown(t, c.Priors, c.Job.Units) {
		listed[p.Of] = p
	}
	register, hatch := listed["register, flow at 50 Pa"], listed["hatch, flow at 50 Pa"]
	assert.InDelta(t, 250, register.Median.Value, 1e-9)
	assert.InDelta(t, 250*math.Exp(-1.2*1.644854), register.Median.Low, 0.01)
	assert.InDelta(t, 250*math.Exp(1.2*1.644854), register.Median.High, 0.1)
	assert.Equal(t, judgement, register.From)
	for _, in2 := range []float64{2.25 * 10, 6 * 10, 14 * 20} {
		flow := in2 * 2 / 3 * 7.475
		assert.Less(t, register.Median.Low, flow, "%g in2", in2)
		assert.Greater(t, register.Median.High, flow, "%g in2", in2)
	}
	assert.InDelta(t, 3000, hatch.Median.Value, 1e-9)
	assert.Equal(t, hatch.Median, listed["loose run, flow at 50 Pa"].Median)
	assert.InDelta(t, 1.2, c.Model.Openings[0].Flow50.SDLn, 1e-12)
	assert.InDelta(t, 2.0, c.Model.Openings[1].Flow50.SDLn, 1e-12)
}
