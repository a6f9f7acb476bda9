package survey

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbook/internal/sheet"
	"holdbook/units"
	"holdbook/zonal"
)

// What happens just below, at and just above each threshold, and interval ends from
// closed forms. Thresholds are judgement unless a source is named.

// Flow through duct leaks goes with pressure to the power 0.60 (ASTM E1554). A limit
// stated at 50 Pa judges a test read at 50 Pa by what was read; one at 25 Pa is
// 2^0.6 less.
func TestDuctLimitAtAnotherPressure(t *testing.T) {
	limit := func(pressure float64) LimitCheck {
		f := surveyed(t, fmt.Sprintf("[house]\nfloor_area = \"1500 ft2\"\n[[duct_test]]\nmethod = \"total\"\npressure = \"%g Pa\"\nflow = \"100 cfm\"\n"+
			"[[limit]]\nname = \"california-design-finished\"\n", pressure))
		require.Len(t, f.Limits, 1)
		return f.Limits[0]
	}
	at50, at25 := limit(50), limit(25)
	assert.InEpsilon(t, 100.0/1500, at50.Result.Value, 1e-6, "as read")
	assert.InEpsilon(t, 100.0/1500*math.Pow(2, 0.6), at25.Result.Value, 1e-6)
	assert.Equal(t, "too close to call", at50.Verdict, "100 cfm of 105, the fan good to 5 %")
	assert.Equal(t, "fails", at25.Verdict)
}

// The errors of one fan do not cancel: the ends of the whole are the sums of the
// ends of the two sides, tested apart.
func TestSidesTestedApart(t *testing.T) {
	for _, method := range []string{"total", "outside"} {
		d := ducted(t, fmt.Sprintf("[[duct_test]]\nmethod = %q\nside = \"supply\"\npressure = \"25 Pa\"\nflow = \"60 cfm\"\n"+
			"[[duct_test]]\nmethod = %q\nside = \"return\"\npressure = \"20 Pa\"\nflow = \"40 cfm\"\n", method, method))
		var low, high, value float64
		for _, x := range d.Tests {
			if strings.Contains(x.Name, "supply") || strings.Contains(x.Name, "return") {
				low, value, high = low+x.Result.Low, value+x.Result.Value, high+x.Result.High
				assert.Less(t, x.Result.Low, x.Result.Value)
			}
		}
		whole := d.LeakageTotal25
		if method == "outside" {
			whole = d.LeakageOutside25
		}
		require.NotNil(t, whole)
		assert.InEpsilon(t, 60+40*math.Pow(25.0/20, 0.6), whole.Value, 1e-6, method)
		assert.InEpsilon(t, value, whole.Value, 1e-9, method)
		assert.InEpsilon(t, low, whole.Low, 1e-9, method)
		assert.InEpsilon(t, high, whole.High, 1e-9, method)
	}
}

// A prior that the readings have left as it was is no result: its width within 3 %,
// its middle within 3 % of its sd.
func TestUntouchedPriors(t *testing.T) {
	prior := zonal.LogNormal{Median: 2, SDLn: 0.8}
	estimate := func(width, shift float64) units.Estimate[units.Flow] {
		mid := math.Log(2) + shift*0.8
		reach := width * 1.644854 * 0.8
		return units.Estimate[units.Flow]{Value: units.Flow(math.Exp(mid)), Low: units.Flow(math.Exp(mid - reach)), High: units.Flow(math.Exp(mid + reach))}
	}
	for _, c := range []struct {
		width, shift float64
		want         bool
	}{{1, 0, true}, {0.975, 0.025, true}, {0.975, -0.025, true}, {0.965, 0, false}, {0.92, 0, false}, {1, 0.035, false}, {1, -0.035, false}, {1.2, 0.09, false}, {1.2, 0, true}} {
		assert.Equal(t, c.want, Untouched(prior, estimate(c.width, c.shift)), "%+v", c)
	}
	assert.False(t, Untouched(zonal.LogNormal{Median: 2}, estimate(1, 0)), "a size that is known")
}

// A zone within 2 Pa of either end, house at the reference pressure, is near that end.
func TestNearThresholds(t *testing.T) {
	for p, want := range map[units.Pressure]string{1.99: "house", 2: "", 2.01: "", 47.99: "", 48: "", 48.01: "outside"} {
		assert.Equal(t, want, nearEndOf(p), "%v", p)
	}
}

// A garage 1.8 Pa from outdoors with the house at 25 Pa is 3.6 Pa from it at 50 Pa.
func TestNearIsOfTheReferenceHold(t *testing.T) {
	near := func(house, garage string) string {
		f := found(t, "[[zone]]\nname = \"garage\"\n[[hold]]\nbaseline = \"0 Pa\"\nhouse = \"-"+house+" Pa\"\nto_house = { garage = \""+garage+" Pa\" }\n", Options{CurvatureOnly: true})
		require.Len(t, f.Zones, 1)
		return f.Zones[0].Near
	}
	assert.Empty(t, near("25", "23.2"))
	assert.Equal(t, "outside", near("25", "24.6"))
	assert.Equal(t, "outside", near("50", "49.2"))
}

// A size is bounded on the side that the readings have moved from the end of its prior,
// by more than half of the prior's sd.
func TestBoundOf(t *testing.T) {
	prior := zonal.LogNormal{Median: 2, SDLn: 1}
	for _, c := range []struct {
		low, high float64
		want      Bound
	}{{-1.64, 1.64, ""}, {-1.1, 1.64, AtLeast}, {-1.16, 1.64, ""}, {-1.64, 1.1, AtMost}, {-1.64, 1.16, ""}, {-1, 1, ""}} {
		e := units.Estimate[units.Flow]{Value: 2, Low: units.Flow(2 * math.Exp(c.low)), High: units.Flow(2 * math.Exp(c.high))}
		assert.Equal(t, c.want, boundOf(prior, e), "%+v", c)
	}
	assert.Empty(t, boundOf(zonal.LogNormal{Median: 2}, units.Estimate[units.Flow]{Value: 2, Low: 1, High: 3}), "a size that is known")
}

// A size that the sheet states is a size, though the readings add little to it; a guess
// within a factor of ten is none.
func TestStatedSizeIsResolved(t *testing.T) {
	for spread, want := range map[string]bool{"1.5": true, "10": false} {
		f := found(t, "[[zone]]\nname = \"attic\"\n[[path]]\nbetween = [\"house\", \"attic\"]\nflow_50 = \"300 cfm\"\nspread = "+spread+
			"\n[[hold]]\nbaseline = \"0 Pa\"\nhouse = \"-50 Pa\"\nfan = \"2000 cfm\"\nto_house = { attic = \"44 Pa\" }\n", Options{CurvatureOnly: true})
		for _, p := range f.Paths {
			if p.Between == [2]string{"house", "attic"} {
				assert.True(t, p.Stated)
				assert.Equal(t, want, p.Resolved, "spread %s", spread)
			}
		}
	}
}

// A target is judged by the same interval as its chance: at its upper end 95 % lie below.
func TestTargetOfTheSheet(t *testing.T) {
	target := func(stated string) *Target {
		return found(t, "[job]\ntarget = \""+stated+"\"\n[house]\nvolume = \"300 m3\"\n[[zone]]\nname = \"attic\"\n[[hold]]\nbaseline = \"0 Pa\"\nhouse = \"-50 Pa\"\nfan = \"2000 m3/h\"\nto_house = { attic = \"44 Pa\" }\n",
			Options{CurvatureOnly: true}).Target
	}
	low, even, high := target("1000 m3/h"), target("2000 m3/h"), target("3000 m3/h")
	assert.Equal(t, "fails", low.Verdict)
	assert.Less(t, low.Chance, 0.05)
	assert.Equal(t, "too close to call", even.Verdict)
	assert.InDelta(t, 0.5, even.Chance, 0.1)
	assert.Equal(t, "meets", high.Verdict)
	assert.Greater(t, high.Chance, 0.95)
	assert.Nil(t, low.AirChanges50)
	changes := target("10 /h")
	assert.Equal(t, "meets", changes.Verdict)
	assert.InDelta(t, 10, changes.AirChanges50.Value, 1e-9)
	assert.InDelta(t, 3000/1.699010796, changes.Flow50.Value, 1e-3, "1 cfm is 1.69901 m³/h")
}

// The ways into the house take all of its leakage between them.
func TestSharesMakeAWhole(t *testing.T) {
	f := found(t, "[[zone]]\nname = \"attic\"\n[[zone]]\nname = \"garage\"\n[[hold]]\nbaseline = \"0 Pa\"\nhouse = \"-50 Pa\"\nfan = \"2000 cfm\"\nto_house = { attic = \"44 Pa\", garage = \"46 Pa\" }\n"+
		"[[hold]]\nhouse = \"-50 Pa\"\nfan = \"2900 cfm\"\nopened = [ { between = [\"house\", \"attic\"] } ]\nto_house = { attic = \"20 Pa\" }\n"+
		"[[hold]]\nhouse = \"-50 Pa\"\nfan = \"2500 cfm\"\nopened = [ { between = [\"house\", \"garage\"] } ]\nto_house = { garage = \"20 Pa\" }\n", Options{})
	sum := f.House.DirectShare.Value
	for _, z := range f.Zones {
		sum += z.Share.Value
		assert.InDelta(t, z.ThroughFlow50.Value/f.House.Flow50.Value, z.Share.Value/100, 0.01, z.Name)
		assert.Equal(t, units.Percent, z.Share.Unit)
	}
	assert.InDelta(t, 100, sum, 2)
}

// The rise of the fan flow with the garage's door open: the calibration cancels, the
// repeatability of both readings and the errors of both pressures, at exponent 0.65,
// do not.
func TestGarageDoorRise(t *testing.T) {
	text := "[[zone]]\nname = \"garage\"\nkind = \"garage\"\n[[hold]]\nbaseline = \"0 Pa\"\nhouse = \"-50 Pa\"\nfan = \"1000 cfm\"\nto_house = { garage = \"46 Pa\" }\n" +
		"[[hold]]\nbaseline = \"0 Pa\"\nhouse = \"-40 Pa\"\nfan = \"1000 cfm\"\nopened = [ { between = [\"garage\", \"outside\"] } ]\nto_house = { garage = \"39 Pa\" }\n"
	c := modelled(t, text)
	c.Model.Holds[0].Fan.SDLn, c.Model.Holds[1].Fan.SDLn = 0.01, 0.02
	c.Model.Holds[0].HouseSD, c.Model.Holds[1].HouseSD = 0.5, 0.8
	e := garageRise(c, 0, 1)
	ratio := math.Pow(50.0/40, 0.65)
	reach := 1.644854 * ratio * math.Sqrt(0.01*0.01+0.02*0.02+math.Pow(0.65*0.5/50, 2)+math.Pow(0.65*0.8/40, 2))
	assert.InDelta(t, ratio-1, e.Value, 1e-3) // the flows as corrected to the air in the leaks
	assert.InDelta(t, reach, e.High-e.Value, 1e-4)
	assert.InDelta(t, reach, e.Value-e.Low, 1e-4)
}

// The mean of five samples reaches 2.132 of its standard deviations either way
// (tables of Student's t, 4 degrees of freedom, 90 %), that of many 1.645.
func TestEndsOfAMeanOfSamples(t *testing.T) {
	few, many := interval90(true, 5, 10, 0.5, units.Pascal), interval90(false, 500, 10, 0.5, units.Pascal)
	assert.InDelta(t, 10-0.5*2.1318, few.Low, 1e-4)
	assert.InDelta(t, 10+0.5*2.1318, few.High, 1e-4)
	assert.InDelta(t, 10-0.5*1.6449, many.Low, 1e-4)
	assert.InDelta(t, 10+0.5*1.6449, many.High, 1e-4)
}

// A register whose cover shows more than nine tenths of what could drive it is a
// run that has come off.
func TestCoverVerdicts(t *testing.T) {
	for cover, want := range map[string]string{"0.1": "nothing", "3": "leaks, after the big ones", "5.1": "a leak to outdoors", "44.9": "a leak to outdoors", "45.1": "a run that has come off"} {
		d := ducted(t, "[[hold]]\nbaseline = \"0 Pa\"\nhouse = \"-50 Pa\"\n[[register]]\nname = \"a\"\ncover = \""+cover+" Pa\"\n")
		require.Len(t, d.Registers, 1)
		assert.Equal(t, want, d.Registers[0].Verdict, cover)
	}
}

// The size of a signed quantity reaches from nothing where its interval holds zero.
func TestSizeOfASignedPressure(t *testing.T) {
	for _, c := range []struct{ low, value, high, wantLow, wantHigh float64 }{
		{1, 2, 3, 1, 3}, {-3, -2, -1, 1, 3}, {-1, 1, 3, 0, 3}, {-3, -1, 1, 0, 3}, {0, 1, 2, 0, 2}, {-2, -1, 0, 0, 2},
	} {
		e := absEstimate(units.Estimate[units.Pressure]{Low: units.Pressure(c.low), Value: units.Pressure(c.value), High: units.Pressure(c.high)})
		assert.Equal(t, [3]float64{c.wantLow, math.Abs(c.value), c.wantHigh}, [3]float64{float64(e.Low), float64(e.Value), float64(e.High)}, "%+v", c)
	}
}

// A fan is enough where the whole interval of what is asked for lies within it, not
// enough where the whole lies beyond, and else too close to call.
func TestWordsForAFan(t *testing.T) {
	house := modelled(t, "")
	for _, c := range []struct {
		low, high, there float64
		want             string
	}{
		{0, 0, 0, "No fan is needed"}, {-1, 0, 3, "No fan is needed"}, {0, 1, 0, "too close to call"}, {0.1, 1, 0, "one is asked for"},
		{1, 3, 3, "is enough"}, {1, 3.01, 3, "too close to call"}, {3, 5, 3, "too close to call"}, {3.01, 5, 3, "is not enough"},
	} {
		text := fanText(house, units.Estimate[units.Flow]{Low: units.Flow(c.low), Value: units.Flow(c.low), High: units.Flow(c.high)}, units.Flow(c.there), "as the house stands")
		assert.Contains(t, text, c.want, "%+v", c)
	}
}

// A room of 150 cfm and more, and one with a door to outdoors, has 5 Pa, others 3 Pa
// (ENERGY STAR homes, PNNL transfer-grille guide).
func TestLimitOfARoom(t *testing.T) {
	for _, c := range []struct {
		flow     float64
		exterior bool
		want     float64
	}{{149.9, false, 3}, {150.1, false, 5}, {0, false, 3}, {10, true, 5}} {
		x := sheet.Room{Flow: sheet.Value(cfm(c.flow))}
		x.Exterior.Value = c.exterior
		l, err := roomLimit(x)
		require.NoError(t, err)
		assert.InDelta(t, c.want, l.Value, 0, "%+v", c)
	}
}

// Below 6 Pa wind rules a hold, above 75 Pa the house is over-driven.
func TestPressureOfAHold(t *testing.T) {
	for p, want := range map[string]int{"-5.9": 1, "-6": 0, "-6.1": 0, "-74.9": 0, "-75.1": 1, "-130": 1} {
		_, log := laid(t, "[[hold]]\nhouse = \""+p+" Pa\"\n")
		assert.Equal(t, want, noticesWith(log.Notices, "the house was held at"), p)
	}
}
