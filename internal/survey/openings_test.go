package survey

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbook/units"
	"holdbook/zonal"
)

// One name between two spaces is one size; openings without a name are each
// their own. A stated area is known to 3 %, a sharp edge to 0.60 ± 0.03.
func TestOpenings(t *testing.T) {
	c := modelled(t, `
[[hold]]
house = "-50 Pa"
opened = [ { between = ["house", "attic"], name = "hatch" } ]
[[hold]]
house = "-40 Pa"
opened = [ { between = ["attic", "house"], name = "Hatch" }, { between = ["house", "attic"] } ]
[[hold]]
house = "-40 Pa"
opened = [ { between = ["house", "attic"] } ]
[[hold]]
house = "-50 Pa"
opened = [ { between = ["house", "attic"], area = "40 in2" }, { between = ["attic", "outside"], area = "1 ft2", cd = 0.65, name = "vent" } ]
[[hold]]
house = "-30 Pa"
opened = [ { between = ["attic", "outside"], name = "vent" } ]
`)
	h := c.Model.Holds
	require.Len(t, h, 5)
	assert.Equal(t, h[0].Opened[0], h[1].Opened[0], "one hatch")
	assert.NotEqual(t, h[1].Opened[1], h[2].Opened[0], "two openings without a name")
	assert.Equal(t, h[3].Opened[1], h[4].Opened[0], "one vent, its area stated once")
	require.Len(t, c.Model.Openings, 5)

	hatch := c.Model.Openings[h[0].Opened[0]]
	assert.Equal(t, zonal.LogNormal{Median: cfm(3000), SDLn: 2}, hatch.Flow50)
	assert.Zero(t, hatch.Area)

	hole := c.Model.Openings[h[3].Opened[0]]
	assert.InDelta(t, units.SquareInch.ToSI(40), float64(hole.Area), 1e-12)
	assert.InDelta(t, 0.03, hole.AreaSDLn, 0)
	assert.Zero(t, hole.Cd, "the common one")
	assert.InDelta(t, 0.05, c.Model.CdSDLn, 1e-12)

	vent := c.Model.Openings[h[3].Opened[1]]
	assert.InDelta(t, 0.65, vent.Cd, 0, "given, so known")
}

// An outer door needs a word of warning, an inner one does not; the others go
// with the spaces that are there. Nothing is said twice.
func TestCautions(t *testing.T) {
	text := func(between, zone string) string {
		return "[[hold]]\nhouse = \"-50 Pa\"\nto_house = { " + zone + " = \"44 Pa\" }\n" +
			"[[hold]]\nhouse = \"-50 Pa\"\nopened = [ { between = " + between + " } ]\n" +
			"[[hold]]\nhouse = \"-45 Pa\"\nopened = [ { between = " + between + " } ]\n"
	}
	for _, c := range []struct {
		between, zone              string
		door, fumes, asbestos, job int
	}{
		{`["house", "attic"]`, "attic", 0, 0, 1, 1},
		{`["garage", "outside"]`, "garage", 1, 1, 0, 1},
		{`["house", "basement"]`, "basement", 0, 0, 0, 1},
	} {
		f := found(t, text(c.between, c.zone), Options{CurvatureOnly: true})
		assert.Equal(t, c.door, noticesWith(f.Notices, "automatic pressure hold"), c.between)
		assert.Equal(t, c.fumes, noticesWith(f.Notices, "engine"), c.between)
		assert.Equal(t, c.asbestos, noticesWith(f.Notices, "asbestos"), c.between)
		assert.Equal(t, c.job, noticesWith(f.Notices, "35 ppm"), c.between)
		seen := map[Notice]bool{}
		for _, n := range f.Notices {
			assert.False(t, seen[n], n.Text)
			seen[n] = true
		}
	}
	f := found(t, "[[hold]]\nhouse = \"+50 Pa\"\nto_house = { garage = \"-44 Pa\", attic = \"-44 Pa\" }\n", Options{CurvatureOnly: true})
	assert.Zero(t, noticesWith(f.Notices, "engine")+noticesWith(f.Notices, "asbestos"), "a house held above its zones blows outwards")
	f = found(t, "[[duct_test]]\nmethod = \"total\"\npressure = \"25 Pa\"\nflow = \"96 cfm\"\n", Options{})
	assert.Zero(t, noticesWith(f.Notices, "35 ppm"), "no hold, no fan in the door")
}
