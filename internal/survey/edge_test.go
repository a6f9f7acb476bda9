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

// The step that gets there is the first with an even chance, and the words go by
// the chances: above 95 % as found the house is there, under 5 % after all nothing
// offered gets it there.
func TestStepsToAnEvenChance(t *testing.T) {
	text := airy + "[[zone]]\nname = \"garage\"\n[[hold]]\nhouse = \"-50 Pa\"\nto_house = { garage = \"30 Pa\" }\n"
	seen := map[string]int{}
	for _, target := range []float64{700, 900, 1100, 1200, 1300, 1400, 1500, 1600, 1700, 1800, 1900, 2000, 2050, 2100, 2150, 2200, 2300, 3000, 5000} {
		f, err := Seal(parsed(t, text), SealOptions{Options: Options{CurvatureOnly: true}, Flow: cfm(target)})
		require.NoError(t, err)
		require.NotNil(t, f.Target)
		first, last := 0, 0.0
		for k, s := range f.Steps {
			require.NotNil(t, s.Chance)
			if *s.Chance >= 0.5 && first == 0 {
				first = k + 1
			}
			if *s.Chance > 0.05 && *s.Chance < 0.5 {
				seen["less than even"]++
			}
			last = *s.Chance
		}
		assert.Equal(t, first, f.Target.Steps, "%g cfm", target)
		assert.InDelta(t, last, f.Target.Chance, 0)
		if f.Target.Now > 0.5 && f.Target.Now < 0.95 {
			seen["likely there"]++
		}
		word := "may not get there"
		switch {
		case f.Target.Now > 0.95:
			word = "there already"
		case first > 0:
			word = "even chance or better"
		case last < 0.05:
			word = "does not get there"
		}
		assert.Contains(t, f.Target.Text, word, "%g cfm", target)
		seen[word]++
	}
	for _, word := range []string{"less than even", "likely there", "may not get there", "there already", "even chance or better", "does not get there"} {
		assert.Positive(t, seen[word], word)
	}
}

// Less is less: a state is not less than itself.
func TestLessOpened(t *testing.T) {
	for _, c := range []struct {
		a, b []int
		want bool
	}{{nil, nil, false}, {nil, []int{1}, true}, {[]int{1}, []int{1}, false}, {[]int{1}, []int{1, 2}, true}, {[]int{3}, []int{1, 2}, false}, {[]int{1, 2}, []int{1}, false}} {
		assert.Equal(t, c.want, less(c.a, c.b), "%v %v", c.a, c.b)
	}
}

// warnings are those of a check whose text has a part in it.
func warnings(t *testing.T, text, part string) (n int) {
	t.Helper()
	for _, i := range checked(t, "sheet = 1\n"+text).Items {
		if i.Level == Warns && strings.Contains(i.Text, part) {
			n++
		}
	}
	return n
}

// With a perfect gauge 4 % between two fan flows is spoken of (in the logarithm),
// less is not; holds in one state may differ by a tenth.
func TestFlowsThatMoved(t *testing.T) {
	hold := func(flow float64, more string) string {
		return fmt.Sprintf("[[hold]]\nbaseline = \"0 Pa\"\nhouse = \"-50 Pa\"\nfan = \"%.3f cfm\"\n%s", flow, more)
	}
	const opened, sealed = "opened = [ { between = [\"house\", \"outside\"] } ]\n", "sealed = [ { between = [\"attic\", \"outside\"] } ]\n"
	const attic = exactGauge + "[[zone]]\nname = \"attic\"\n"
	for _, c := range []struct {
		change float64
		state  string
		part   string
		want   int
	}{
		{-0.039, opened, "although more was open", 0}, {-0.041, opened, "although more was open", 1},
		{0.039, sealed, "although more was sealed", 0}, {0.041, sealed, "although more was sealed", 1},
		{0.5, opened, "although", 0}, {-0.5, sealed, "although", 0},
		{0.099, "", "with nothing changed", 0}, {0.101, "", "with nothing changed", 1},
		{-0.06, "", "although", 0}, {0.06, "", "although", 0},
	} {
		assert.Equal(t, c.want, warnings(t, attic+hold(2000, "")+hold(2000*math.Exp(c.change), c.state), c.part), "%+v", c)
	}
}

// A zone that moves away from what it was opened to is spoken of from 1 Pa on, with
// a perfect gauge.
func TestZoneMovedTheOtherWay(t *testing.T) {
	for after, want := range map[float64]int{30: 0, 30.9: 0, 31.1: 1} {
		text := exactGauge + "[[zone]]\nname = \"attic\"\n[[hold]]\nbaseline = \"0 Pa\"\nhouse = \"-50 Pa\"\nto_house = { attic = \"30 Pa\" }\n" +
			fmt.Sprintf("[[hold]]\nbaseline = \"0 Pa\"\nhouse = \"-50 Pa\"\nopened = [ { between = [\"house\", \"attic\"] } ]\nto_house = { attic = \"%g Pa\" }\n", after)
		assert.Equal(t, want, warnings(t, text, "the other way"), "%g Pa", after)
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
		assert.Equal(t, c.want, untouched(prior, estimate(c.width, c.shift)), "%+v", c)
	}
	assert.False(t, untouched(zonal.LogNormal{Median: 2}, estimate(1, 0)), "a size that is known")
}

// Another reading is worth the while where it takes 10 % of the intervals' width or
// adds 2 % to the chance of sealing the right thing first; else enough is known, or
// nothing left helps.
func TestEnoughIsKnown(t *testing.T) {
	for _, c := range []struct {
		gain, chance, wide float64
		enough             bool
		text               string
	}{
		{0.099, 0.519, 5, true, "enough is known"}, {0.10, 0.519, 5, false, "read next"}, {0.101, 0.5, 5, false, "read next"},
		{0, 0.5199, 6, true, "enough is known"}, {0, 0.5201, 5, false, "read next"},
		{0.099, 0.5, 6.01, true, "not resolved: the attic"}, {0.099, 0.5, 6, true, "enough is known"},
	} {
		n := &nextRun{run: modelled(t, oneHold+asFoundHold), plan: &NextPlan{FirstNow: 0.5}}
		n.plan.Actions = []NextAction{{What: "this", Gain: c.gain, FirstThen: c.chance, Narrows: []NextNarrow{{Of: "the attic", Now: c.wide}}}}
		n.conclude()
		assert.Equal(t, c.enough, n.plan.Enough, "%+v", c)
		assert.Contains(t, n.plan.Text, c.text, "%+v", c)
	}
}

// What takes longer than there is is left out, what takes as long is not.
func TestActionsWithinTheMinutes(t *testing.T) {
	n := &nextRun{run: modelled(t, oneHold+asFoundHold), plan: &NextPlan{}, o: NextOptions{Minutes: 10}}
	n.plan.Actions = []NextAction{{What: "short", Minutes: 9.9}, {What: "just", Minutes: 10}, {What: "long", Minutes: 10.1}}
	n.fitMinutes()
	assert.Equal(t, "short; just", n.plan.whats())
}

// A zone within 2 Pa of either end of the hold as found is near that end.
func TestNearThresholds(t *testing.T) {
	for p, want := range map[string]string{"1.99": "house", "2.01": "", "47.99": "", "48.01": "outside"} {
		f := found(t, "[[zone]]\nname = \"attic\"\n[[hold]]\nbaseline = \"0 Pa\"\nhouse = \"-50 Pa\"\nto_house = { attic = \""+p+" Pa\" }\n", Options{CurvatureOnly: true})
		require.Len(t, f.Zones, 1)
		assert.Equal(t, want, f.Zones[0].Near, p)
	}
}

// The rise of the fan flow with the garage's door open: the calibration cancels, the
// repeatability of both readings and the errors of both pressures, at exponent 0.65,
// do not.
func TestGarageDoorRise(t *testing.T) {
	text := "[[zone]]\nname = \"garage\"\nkind = \"garage\"\n[[hold]]\nbaseline = \"0 Pa\"\nhouse = \"-50 Pa\"\nfan = \"1000 cfm\"\nto_house = { garage = \"46 Pa\" }\n" +
		"[[hold]]\nbaseline = \"0 Pa\"\nhouse = \"-40 Pa\"\nfan = \"1000 cfm\"\nopened = [ { between = [\"garage\", \"outside\"] } ]\nto_house = { garage = \"39 Pa\" }\n"
	r := modelled(t, text)
	r.model.Holds[0].Fan.SDLn, r.model.Holds[1].Fan.SDLn = 0.01, 0.02
	r.model.Holds[0].HouseSD, r.model.Holds[1].HouseSD = 0.5, 0.8
	e := r.rise(0, 1)
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
	for cover, want := range map[string]string{"0.1": "nothing", "3": "", "5.1": "a leak to outdoors", "44.9": "a leak to outdoors", "45.1": "a run that has come off"} {
		d := ducted(t, "[[hold]]\nbaseline = \"0 Pa\"\nhouse = \"-50 Pa\"\n[[register]]\nname = \"a\"\ncover = \""+cover+" Pa\"\n")
		require.Len(t, d.Registers, 1)
		assert.Equal(t, want, d.Registers[0].Verdict, cover)
	}
}

// A house is held at 6 Pa at least: below it wind rules.
func TestLowHold(t *testing.T) {
	for p, want := range map[string]int{"-5.9": 1, "-6": 0, "-6.1": 0} {
		assert.Equal(t, want, warnings(t, "[[hold]]\nhouse = \""+p+" Pa\"\nfan = \"500 cfm\"\n", "was held at"), p)
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
	r := modelled(t, "")
	for _, c := range []struct {
		low, high, there float64
		want             string
	}{
		{0, 0, 0, "No fan is needed"}, {-1, 0, 3, "No fan is needed"}, {0, 1, 0, "too close to call"}, {0.1, 1, 0, "one is asked for"},
		{1, 3, 3, "is enough"}, {1, 3.01, 3, "too close to call"}, {3, 5, 3, "too close to call"}, {3.01, 5, 3, "is not enough"},
	} {
		text := r.fanText(units.Estimate[units.Flow]{Low: units.Flow(c.low), Value: units.Flow(c.low), High: units.Flow(c.high)}, units.Flow(c.there), "as the house stands")
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
