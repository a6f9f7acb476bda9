package survey

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbook/units"
)

// stationsOf writes holds that differ only in house pressure, on a curve of
// 2000 cfm at 50 Pa and exponent 0.62.
func stationsOf(pressures ...float64) string {
	var b strings.Builder
	for _, p := range pressures {
		fmt.Fprintf(&b, "[[hold]]\nbaseline = \"0 Pa\"\nhouse = \"-%g Pa\"\nfan = \"%.6f cfm\"\n", p, 2000*math.Pow(p/50, 0.62))
	}
	return b.String()
}

// Holds that differ only in house pressure form one multi-point test: the
// standard regression with 95 % limits, the weighted fit with 90 %.
func TestMultiPoint(t *testing.T) {
	opened := "[[hold]]\nhouse = \"-50 Pa\"\nfan = \"2600 cfm\"\nopened = [ { between = [\"house\", \"attic\"] } ]\nto_house = { attic = \"3 Pa\" }\n"
	f := found(t, stationsOf(60, 50, 40, 30, 20)+opened, Options{CurvatureOnly: true})
	m := f.House.MultiPoint
	require.NotNil(t, m)
	require.Len(t, m.Points, 5, "not the hold with the hatch open")
	assert.False(t, m.Refused)
	within(t, 2000, m.Flow50.Value, 1e-6, "flow at 50 Pa")
	within(t, 0.62, m.Exponent.Value, 1e-6, "exponent")
	within(t, 2000/math.Pow(50, 0.62), m.Coefficient.Value, 1e-6, "coefficient")
	assert.Equal(t, "cfm/Pa^n", m.Coefficient.Unit.Symbol())
	assert.InDelta(t, 1, m.R2, 1e-9)
	for _, q := range []*Q{&m.Flow50, &m.Exponent, &m.Coefficient, m.LeakArea4, m.LeakArea10} {
		require.NotNil(t, q)
		assert.InDelta(t, 95, q.Level, 0)
	}
	require.NotNil(t, m.WeightedFlow50)
	assert.Zero(t, m.WeightedFlow50.Level, "90 %, as everywhere else")
	within(t, 2000, m.WeightedFlow50.Value, 1e-6, "weighted")
	assert.Less(t, m.WeightedFlow50.Low, m.Flow50.Low, "the calibration that all points share is in it")
	assert.InDelta(t, 1, m.LeakArea4.Coefficient, 0)
	assert.InDelta(t, 4, m.LeakArea4.Pressure, 0)
	assert.InDelta(t, 0.611, m.LeakArea10.Coefficient, 0)
	require.NotEmpty(t, m.Band)
	assert.InDelta(t, 4, m.Band[0].Pressure, 1e-9)
	assert.Greater(t, m.Band[len(m.Band)-1].Pressure, 60.0)
	assert.Nil(t, answersBy(f, "two-point")["flow exponent"].Result)
}

// Too few points give a fit that is shown as refused.
func TestMultiPointRefused(t *testing.T) {
	f := found(t, stationsOf(60, 40, 20), Options{CurvatureOnly: true})
	require.NotNil(t, f.House.MultiPoint)
	assert.True(t, f.House.MultiPoint.Refused)
	assert.Equal(t, 1, noticesWith(f.Notices, "a multi-point test needs five"))
}

// Two holds give an exponent, one does not.
func TestTwoPointsAndOne(t *testing.T) {
	f := found(t, stationsOf(50, 20), Options{CurvatureOnly: true, Working: true})
	two := answersBy(f, "two-point test")
	within(t, 0.62, two["flow exponent"].Result.Value, 1e-6, "exponent")
	within(t, 2000, two["flow at 50 Pa"].Result.Value, 1e-6, "flow at 50 Pa")
	assert.Nil(t, f.House.MultiPoint)

	f = found(t, stationsOf(50, 40), Options{CurvatureOnly: true})
	assert.Empty(t, answersBy(f, "two-point test"))
	assert.Equal(t, 1, noticesWith(f.Notices, "1.8 times the lowest"))

	f = found(t, stationsOf(25), Options{CurvatureOnly: true})
	assert.Empty(t, answersBy(f, "two-point test"))
	one := answersBy(f, "one-point test")["flow at 50 Pa"]
	within(t, 2000*math.Pow(0.5, 0.62)*math.Pow(2, 0.65), one.Result.Value, 1e-6, "carried to 50 Pa")
	assert.Contains(t, one.Note, "50 Pa was not reached")
	f = found(t, stationsOf(25, 49), Options{CurvatureOnly: true})
	assert.Empty(t, answersBy(f, "one-point test")["flow at 50 Pa"].Note, "the hold nearest to 50 Pa is taken")
}

// The joint estimate and a one-point test say the same of a house with nothing
// but one fan reading.
func TestHouseOfOneReading(t *testing.T) {
	f := found(t, "[house]\nvolume = \"14400 ft3\"\nfloor_area = \"1800 ft2\"\nindoor = \"20 C\"\noutdoor = \"20 C\"\n"+stationsOf(50), Options{})
	h := f.House
	one := answersBy(f, "one-point test")["flow at 50 Pa"].Result
	for _, q := range []*Q{h.Flow50, one} {
		within(t, 2000, q.Value, 0.003, "flow at 50 Pa")
		within(t, 2000*math.Exp(-1.645*0.0275), q.Low, 0.005, "its lower end")
	}
	within(t, 2000.0*60/14400, h.AirChanges50.Value, 0.003, "air changes")
	assert.Equal(t, "1/h", h.AirChanges50.Unit.Symbol())
	within(t, 2000.0/1800, h.FlowPerArea.Value, 0.003, "flow per floor area")
	within(t, 0.65, h.Exponent.Value, 0.02, "exponent")
	within(t, 2000*math.Pow(50, -h.Exponent.Value), h.Coefficient.Value, 0.003, "flow at 1 Pa by the exponent")
	assert.Equal(t, "cfm/Pa^n", h.Coefficient.Unit.Symbol())
	assert.Less(t, h.Coefficient.Low, h.Coefficient.Value)
	within(t, 2000, h.StandardAir.Value, 0.004, "air of 20 °C is standard air")
	assert.Contains(t, h.StandardBy, "ASTM E779")
	assert.InDelta(t, 4, h.LeakArea4.Pressure, 0)
	assert.InDelta(t, 0.611, h.LeakArea10.Coefficient, 0)
	q4 := 2000 * math.Pow(4.0/50, 0.65) * units.CFM.ToSI(1)
	within(t, q4*math.Sqrt(1.2041/8)/units.SquareInch.ToSI(1), h.LeakArea4.Value, 0.02, "leak area at 4 Pa")
}

// What has no volume has no air changes.
func TestNothingIsGuessed(t *testing.T) {
	f := found(t, stationsOf(50), Options{CurvatureOnly: true})
	assert.Nil(t, f.House.AirChanges50)
	assert.Nil(t, f.House.FlowPerArea)
	assert.Nil(t, f.House.StandardAir, "the temperatures are not known")
	assert.Empty(t, f.Zones)
	assert.Empty(t, f.SealFirst, "direct leaks alone are no choice")
}

// One pressure alone gives a connection fraction and a ratio, and flows that are
// only bounded.
func TestOnePressureAlone(t *testing.T) {
	f := found(t, "[job]\nwind = \"calm\"\n[house]\nindoor = \"20 C\"\noutdoor = \"20 C\"\n[[hold]]\nhouse = \"50 Pa\"\nto_house = { attic = \"44 Pa\" }\n", Options{})
	assert.Nil(t, f.House.Flow50)
	assert.Equal(t, 1, noticesWith(f.Notices, "no fan flow was read"))
	require.Len(t, f.Zones, 1)
	z := f.Zones[0]
	within(t, 0.12, z.ConnectionFraction.Value, 0.05, "connection fraction")
	assert.Less(t, z.ConnectionFraction.High, 0.15)
	require.NotNil(t, z.LeakRatio)
	within(t, math.Pow(6.0/44, 0.62), z.LeakRatio.Value, 0.1, "ratio")
	assert.False(t, z.Resolved)
	for _, p := range f.Paths {
		assert.False(t, p.Resolved, "%v", p.Between)
		if p.Between == [2]string{"house", "outside"} {
			assert.Nil(t, p.Flow50, "nothing read bears on it")
			continue
		}
		require.NotNil(t, p.Flow50, "%v", p.Between)
		assert.Greater(t, p.Flow50.High, 6*p.Flow50.Low)
	}
	assert.True(t, answersBy(f, "two leaks in series")["leak ratio"].Resolved)
	finite(t, f)
}

// The same sheet prints in either system, and gives the same house.
// A house pressure that is hardly one of a test is warned of in every report, and
// a smaller one no more mildly.
func TestHouseHardlyHeld(t *testing.T) {
	warned := func(house, fan string) bool {
		f := found(t, "[[hold]]\nhouse = \""+house+"\""+fan+"\nto_house = { attic = \"0.05 Pa\" }\n", Options{CurvatureOnly: true})
		return slices.ContainsFunc(f.Notices, func(n Notice) bool {
			return n.Level == Warning && strings.Contains(n.Text, "the house was held at "+house)
		})
	}
	for house, want := range map[string]bool{"0.1 Pa": true, "1.9 Pa": true, "5.9 Pa": true, "6.0 Pa": false, "50.0 Pa": false, "75.0 Pa": false, "75.1 Pa": true, "500.0 Pa": true} {
		assert.Equal(t, want, warned(house, ""), house)
		assert.Equal(t, want, warned(house, "\nfan = \"2000 cfm\""), "%s, fan read", house)
	}
	f := found(t, "[[hold]]\nhouse = \"0.1 Pa\"\nfan = \"2000 cfm\"\n", Options{CurvatureOnly: true})
	for _, n := range f.Notices {
		if n.About == "one-point test" {
			assert.Equal(t, Warning, n.Level, n.Text)
		}
	}
}

func TestUnitsOverride(t *testing.T) {
	text := "[job]\nunits = \"ip\"\n[house]\nfloor_area = \"1800 ft2\"\n" + stationsOf(50)
	si := units.SI
	ip, other := found(t, text, Options{CurvatureOnly: true}), found(t, text, Options{CurvatureOnly: true, Units: &si})
	assert.Equal(t, "ip", ip.Job.Units)
	assert.Equal(t, "si", other.Job.Units)
	assert.Equal(t, "cfm", ip.House.Flow50.Unit.Symbol())
	assert.Equal(t, "m3/h", other.House.Flow50.Unit.Symbol())
	within(t, ip.House.Flow50.Value*1.69901, other.House.Flow50.Value, 1e-5, "flow")
	assert.Equal(t, "cm2", other.House.LeakArea4.Unit.Symbol())
	within(t, ip.House.FlowPerArea.Value*1.69901/0.09290304, other.House.FlowPerArea.Value, 1e-5, "per floor area")
}

// Weather that spoils low pressures is said.
func TestWeatherWarnings(t *testing.T) {
	f := found(t, "[house]\nheight = \"10 m\"\nindoor = \"20 C\"\noutdoor = \"-5 C\"\n"+stationsOf(60, 50, 40, 20, 8), Options{CurvatureOnly: true})
	assert.Equal(t, 1, noticesWith(f.Notices, "temperature difference times height"))
	assert.Equal(t, 1, noticesWith(f.Notices, "the lowest hold is at 8 Pa"))
	f = found(t, "[house]\nheight = \"5 m\"\nindoor = \"20 C\"\noutdoor = \"5 C\"\n"+stationsOf(60, 50, 40, 20, 12), Options{CurvatureOnly: true})
	assert.Zero(t, noticesWith(f.Notices, "temperature difference times height")+noticesWith(f.Notices, "the lowest hold"))
}

// A dwelling among neighbours: guard fans hold the neighbours at its pressure, so
// that its own fan shows the leaks to outside alone. By itself it shows the
// neighbours' leaks too. Leaks as in the worked guard example: outside 300,
// neighbours 500, corridor 200 cfm at 50 Pa.
func TestGuardedDwelling(t *testing.T) {
	f := found(t, exact+`
[[zone]]
name = "next door"
kind = "neighbour"
[[zone]]
name = "corridor"
kind = "other"
[[hold]]
name = "guarded"
baseline = "0 Pa"
house = "-50 Pa"
fan = "300 cfm"
fans = [ { name = "guard 1", from = "next door", to = "outside", flow = "900 cfm" },
         { name = "guard 2", from = "corridor", to = "outside", flow = "400 cfm" } ]
to_house = { "next door" = "0 Pa", corridor = "0 Pa" }
[[hold]]
name = "neighbours open"
house = "-50 Pa"
fan = "1000 cfm"
opened = [ { between = ["next door", "outside"], name = "their door" }, { between = ["corridor", "outside"], name = "street door" } ]
to_house = { "next door" = "49.9 Pa", corridor = "49.9 Pa" }
`, Options{})
	require.Equal(t, [2]string{"house", "outside"}, f.Paths[0].Between)
	within(t, 300, f.Paths[0].Flow50.Value, 1e-3, "leaks to outside alone")
	assert.True(t, f.Paths[0].Resolved)
	finite(t, f)
}

// The exponent is told from a fifth between the pressures on; below, it is what was assumed.
func TestExponentOfOnePressureIsAssumed(t *testing.T) {
	for second, assumed := range map[string]bool{"-50": true, "-41.8": true, "-41.6": false, "-25": false} {
		f := found(t, "[[hold]]\nhouse = \"-50 Pa\"\nfan = \"2200 cfm\"\n[[hold]]\nhouse = \""+second+" Pa\"\nfan = \"2000 cfm\"\n", Options{})
		assert.Equal(t, assumed, f.House.ExponentAssumed, second)
	}
}

func TestUncheckedText(t *testing.T) {
	assert.Equal(t, "a slip in A would not show, and x rests on it", UncheckedText([]string{"A"}, []string{"x"}))
	assert.Equal(t, "a slip in A or B would not show, and x, y rest on it", UncheckedText([]string{"A", "B"}, []string{"x", "y"}))
	assert.Equal(t, "a slip in A would not show, and 3 sizes rest on it", UncheckedText([]string{"A"}, []string{"x", "y", "z"}))
}
