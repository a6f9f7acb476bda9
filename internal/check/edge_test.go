package check

import (
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"

	"holdbook/internal/survey"
	"holdbook/internal/testkit"
)

// The limits of plain sense of a check, all judgement: each is silent just within and
// speaks just beyond.
func TestLimitsOfPlainSense(t *testing.T) {
	const hold = "[[hold]]\nbaseline = \"0 Pa\"\nhouse = \"-50 Pa\"\n"
	const withFan = hold + "fan = \"2000 cfm\"\n"
	const attic = "[[zone]]\nname = \"attic\"\n"
	const handler = "[air_handler]\nflow = \"1200 cfm\"\n"
	register := "[[register]]\nname = \"a\"\nside = \"supply\"\n"
	for _, c := range []struct {
		text, part     string
		within, beyond []any
	}{
		{text: "[[hold]]\nbaseline = \"0 Pa\"\nhouse = \"%g Pa\"\n", part: "held at", within: []any{-6.0, -75.0}, beyond: []any{-5.9, -75.1}},
		{text: "[[hold]]\nname = \"as found, 50 Pa\"\nbaseline = \"0 Pa\"\nhouse = \"%g Pa\"\n", part: "its name says", within: []any{-40.0, -60.0}, beyond: []any{-39.9, -60.1}},
		{text: "[[hold]]\nname = \"20 Pa\"\nbaseline = \"0 Pa\"\nhouse = \"%g Pa\"\n", part: "its name says", within: []any{-15.0, -25.0}, beyond: []any{-14.9, -25.1}},
		{text: hold + "fan = \"%g cfm\"\n", part: "is hardly one of a house", within: []any{25.1, 19999.0}, beyond: []any{24.9, 20001.0}},
		{text: "[[hold]]\nhouse = \"-30 Pa\"\nbaseline = \"%g Pa\"\n", part: "more than a third", within: []any{-9.9}, beyond: []any{-10.1}},
		{text: attic + hold + "readings = [ { of = \"attic\", to = \"house\", pressure = \"%g Pa\" } ]\n", part: "more than the house pressure", within: []any{53.0}, beyond: []any{53.1}},
		{text: attic + hold + "readings = [ { of = \"attic\", to = \"house\", pressure = \"%+g Pa\" } ]\n", part: "that of the opposite hold", within: []any{-1.9, 30.0}, beyond: []any{-2.1}},
		{text: attic + hold + "readings = [ { of = \"attic\", to = \"house\", pressure = \"30 Pa\", sd = \"%g Pa\" } ]\n", part: "tells next to nothing", within: []any{5.0}, beyond: []any{5.1}},
		{text: attic + hold + "opened = [ { between = [\"house\", \"attic\"], area = \"%g cm2\" } ]\n", part: "is hardly one", within: []any{3.1, 29999.0}, beyond: []any{2.9, 30001.0}},
		{text: "[[duct_test]]\nmethod = \"total\"\nflow = \"100 cfm\"\npressure = \"%g Pa\"\n", part: "is hardly one", within: []any{5.0, 100.0}, beyond: []any{4.9, 100.1}},
		{text: "[[duct_test]]\nmethod = \"outside\"\nflow = \"100 cfm\"\npressure = \"25 Pa\"\nresidual = \"%g Pa\"\n", part: "not at one pressure", within: []any{1.0, -1.0}, beyond: []any{1.1, -1.1}},
		{text: "[[duct_test]]\nmethod = \"total\"\nflow = \"100 cfm\"\npressure = \"25 Pa\"\n[[duct_test]]\nmethod = \"outside\"\nflow = \"%g cfm\"\npressure = \"25 Pa\"\n",
			part: "above total leakage", within: []any{107.9}, beyond: []any{108.1}},
		{text: withFan + "[[duct_test]]\nmethod = \"total\"\nflow = \"%g cfm\"\npressure = \"25 Pa\"\n", part: "more than the whole house", within: []any{1999.0}, beyond: []any{2001.0}},
		{text: handler + "[[duct_test]]\nmethod = \"total\"\nflow = \"%g cfm\"\npressure = \"25 Pa\"\n", part: "more than the air handler moves", within: []any{1199.0}, beyond: []any{1201.0}},
		{text: hold + register + "cover = \"%g Pa\"\n", part: "above the house pressure", within: []any{52.0}, beyond: []any{52.1}},
		{text: register + "flow = \"%g cfm\"\ndesign = \"100 cfm\"\n", part: "times its design flow", within: []any{15.1, 249.0}, beyond: []any{14.9, 251.0}},
		{text: handler + register + "flow = \"%g cfm\"\n", part: "times what the air handler moves", within: []any{1679.0}, beyond: []any{1681.0}},
		{text: handler + "supply_pressure = \"%g Pa\"\n", part: "is hardly one", within: []any{2.0, 400.0}, beyond: []any{1.9, 400.1}},
		{text: handler + "house_pressure = \"%g Pa\"\n", part: "which is hardly so", within: []any{15.0, -15.0}, beyond: []any{15.1, -15.1}},
		{text: "[air_handler]\nflow = \"%g cfm\"\n", part: "is hardly one of a house", within: []any{100.1, 5999.0}, beyond: []any{99.9, 6001.0}},
		{text: "[[duct]]\nside = \"supply\"\nlength = \"10 m\"\ndiameter = \"%g m\"\n", part: "is hardly one", within: []any{0.05, 1.2}, beyond: []any{0.049, 1.21}},
		{text: "[[room]]\nname = \"bedroom\"\npressure = \"%g Pa\"\n", part: "across a room door", within: []any{40.0, -40.0}, beyond: []any{40.1, -40.1}},
		{text: hold + "[[room]]\nname = \"bedroom\"\nheld = \"%g Pa\"\n", part: "further from the house", within: []any{52.0}, beyond: []any{52.1}},
		{text: "[house]\nvolume = \"%g m3\"\n", part: "is hardly that of a house", within: []any{30.0, 8000.0}, beyond: []any{29.9, 8000.1}},
		{text: "[house]\nfloor_area = \"%g m2\"\n", part: "is hardly that of a house", within: []any{12.0, 2000.0}, beyond: []any{11.9, 2000.1}},
		{text: "[house]\nfloor_area = \"100 m2\"\nenvelope_area = \"%g m2\"\n", part: "times the floor area", within: []any{80.0, 900.0}, beyond: []any{79.9, 900.1}},
		{text: "[house]\nfloor_area = \"100 m2\"\nvolume = \"%g m3\"\n", part: "makes a ceiling of", within: []any{190.1, 549.9}, beyond: []any{189.9, 550.1}},
		{text: "[house]\nstoreys = 2\nheight = \"%g m\"\n", part: "makes storeys of", within: []any{3.8, 14.0}, beyond: []any{3.79, 14.1}},
		{text: "[house]\nindoor = \"%g C\"\n", part: "is hardly so", within: []any{4.9, 39.8}, beyond: []any{4.8, 39.9}},
		{text: "[house]\noutdoor = \"%g C\"\n", part: "is hardly so", within: []any{-45.1, 51.8}, beyond: []any{-45.2, 51.9}},
		{text: hold + "indoor = \"%g C\"\n", part: "is hardly so", within: []any{4.9, 39.8}, beyond: []any{4.8, 39.9}},
		{text: hold + "outdoor = \"%g C\"\n", part: "is hardly so", within: []any{-45.1, 51.8}, beyond: []any{-45.2, 51.9}},
		{text: "[[zone]]\nname = \"attic\"\ntemperature = \"%g C\"\n", part: "is hardly so", within: []any{-45.1, 71.8}, beyond: []any{-45.2, 71.9}},
		{text: "[[on_off]]\nhouse = \"-25 Pa\"\noff = \"1000 cfm\"\non = \"%g cfm\"\n", part: "times as large", within: []any{501.0, 1999.0}, beyond: []any{499.0, 2001.0}},
	} {
		for _, v := range c.within {
			assert.Zero(t, warnings(t, fmt.Sprintf(c.text, v), c.part), "%s: %v", c.part, v)
		}
		for _, v := range c.beyond {
			assert.Equal(t, 1, warnings(t, fmt.Sprintf(c.text, v), c.part), "%s: %v", c.part, v)
		}
	}
}

// The remarks likewise: no hold near 50 Pa, and a space that reads as the house does.
func TestRemarksOfPlainSense(t *testing.T) {
	remarks := func(text, part string) (n int) {
		for _, i := range checked(t, "sheet = 1\n"+text).Items {
			if i.Level == Remarks && strings.HasPrefix(i.Text, part) {
				n++
			}
		}
		return n
	}
	for p, want := range map[float64]int{-39.9: 1, -40: 0, -6: 1, -5.9: 0} {
		assert.Equal(t, want, remarks(fmt.Sprintf("[[hold]]\nhouse = \"%g Pa\"\n", p), "no hold comes near 50 Pa"), "%g Pa", p)
	}
	for p, want := range map[float64]int{6.2: 1, 6.3: 0} { // an eighth of 50 Pa
		text := fmt.Sprintf("[[zone]]\nname = \"attic\"\n[[hold]]\nhouse = \"-50 Pa\"\nto_house = { attic = \"%g Pa\" }\n", p)
		assert.Equal(t, want, remarks(text, "it reads almost as the house does"), "%g Pa", p)
	}
}

// Names that speak of a pressure: one of 5 Pa or more, and not two.
func TestPressuresInNames(t *testing.T) {
	for name, want := range map[string]float64{"as found, 25 Pa": 25, "50pa": 50, "at -50 Pa": 50, "5 Pa": 5, "4.9 Pa": 0, "25 Pa and 50 Pa": 0, "50 Pa, again 50 Pa": 50, "no pressure": 0, "Pa": 0} {
		p, ok := pascalsIn(name)
		assert.Equal(t, want > 0, ok, name)
		if want > 0 {
			assert.InDelta(t, want, float64(p), 1e-9, name)
		}
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

// A house is held at 6 Pa at least: below it wind rules.
func TestLowHold(t *testing.T) {
	for p, want := range map[string]int{"-5.9": 1, "-6": 0, "-6.1": 0} {
		assert.Equal(t, want, warnings(t, "[[hold]]\nhouse = \""+p+" Pa\"\nfan = \"500 cfm\"\n", "was held at"), p)
	}
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

// The samples of a baseline are gone through for each hold, not for each zone that does
// not close in it: eight zones that close in none of eight holds would go through
// them more than four hundred times.
func TestSamplesAreGoneThroughByHold(t *testing.T) {
	text := func(baseline string) string {
		var b strings.Builder
		for z := range 8 {
			fmt.Fprintf(&b, "[[zone]]\nname = \"z%d\"\nkind = \"attic\"\n", z)
		}
		for h := range 8 {
			fmt.Fprintf(&b, "[[hold]]\nhouse = \"-50 Pa\"\n%s\n", baseline)
			baseline = "" // later holds take it over
			for z := range 8 {
				fmt.Fprintf(&b, "to_house.z%d = \"%g Pa\"\nto_outside.z%d = \"-2 Pa\"\n", z, 20.25+7*float64(z%3)+float64(h)/8, z)
			}
		}
		return b.String()
	}
	allocations := func(baseline string) float64 {
		s := testkit.Sheet(t, text("baseline = "+baseline))
		return testing.AllocsPerRun(1, func() { Sheet(s, survey.Options{Workers: 1}, time.Time{}) })
	}
	sampled := "[" + strings.Repeat(`"0.9 Pa", "1.3 Pa", "0.7 Pa", `, 20) + `"1.1 Pa"]`
	assert.Less(t, allocations(sampled)-allocations(`"1 Pa"`), 8*8.0, "a few for each hold")
}
