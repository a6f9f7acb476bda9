package survey

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbook/internal/sheet"
	"holdbook/zonal"
)

// caseOf is the case of a sheet that is written out.
func caseOf(t *testing.T, text string) (*Case, *Log) {
	t.Helper()
	s, err := sheet.Parse([]byte("sheet = 1\n"+text), "house.toml")
	require.NoError(t, err)
	log := NewLog(false)
	c, err := NewCase(s, Options{}, log)
	require.NoError(t, err)
	return c, log
}

const twoStates = `
[[hold]]
name = "as found"
baseline = %s
house = "-51.2 Pa"
fan = "2000 cfm"
to_house = { attic = "43 Pa" }
[[hold]]
name = "hatch"
%s
house = "-50.9 Pa"
fan = "2300 cfm"
opened = [{ between = ["house", "attic"], name = "hatch" }]
to_house = { attic = "20 Pa" }
`

// Readings stand in the estimate as the gauge showed them, and baselines in a hold at rest:
// one for each state of the house, each figure once.
func TestBaselinesAreHoldsAtRest(t *testing.T) {
	for name, c := range map[string]struct {
		first, second string
		rests         int
		reads         []int
	}{
		"one":                    {`"-1.2 Pa"`, ``, 1, []int{1}},
		"carried over in words":  {`"-1.2 Pa"`, `baseline = "-1.2 Pa"`, 1, []int{1}},
		"another, hatch open":    {`"-1.2 Pa"`, `baseline = "-1.6 Pa"`, 2, []int{1, 1}},
		"with the attic's":       {`{ house = "-1.2 Pa", attic = "0.9 Pa" }`, ``, 1, []int{2}},
		"the attic's alone":      {`{ attic = "0.9 Pa" }`, ``, 1, []int{1}},
		"afterwards, hatch open": {`"-1.2 Pa"`, `baseline_after = "-1.0 Pa"`, 2, []int{1, 1}},
	} {
		k, _ := caseOf(t, fmt.Sprintf(twoStates, c.first, c.second))
		require.NoError(t, k.Estimated.Check(), name)
		assert.InDelta(t, -51.2, float64(k.Estimated.Holds[0].House), 1e-9, name)
		assert.InDelta(t, 43, float64(k.Estimated.Holds[0].Read[0].Pressure), 1e-9, name)
		require.Len(t, k.Estimated.Holds, 2+c.rests, name)
		require.Len(t, k.Rests, c.rests, name)
		for i, n := range c.reads {
			assert.True(t, k.Estimated.Holds[2+i].Rest)
			assert.Len(t, k.Estimated.Holds[2+i].Read, n, name)
		}
		if c.rests > 1 {
			assert.Equal(t, []int{0}, k.Estimated.Holds[3].Opened, name)
			assert.Equal(t, "baseline, hatch", k.Estimated.Holds[3].Name)
		}
		assert.InDelta(t, 0.2, float64(k.Estimated.Holds[2].Read[0].SD), 1e-9, "half of the wobble")
	}
	k, _ := caseOf(t, fmt.Sprintf(twoStates, `"-1.2 Pa"`, ``))
	_, name := k.HoldPlace(2)
	assert.Equal(t, "baseline", name)
	assert.Equal(t, 5, k.BaselineAt(2, zonal.House, zonal.Outside).Line)
}

// The hand methods take the baseline of a zone off that was read in the table of baselines,
// to the house and to outside.
func TestZoneBaselinesAreTakenOff(t *testing.T) {
	k, _ := caseOf(t, `
[[hold]]
baseline = { house = "-1.2 Pa", attic = "0.9 Pa" }
house = "-51.2 Pa"
to_house = { attic = "43 Pa" }
to_outside = { attic = "-8 Pa" }
`)
	for i, want := range []float64{43 - 0.9, -8 - (0.9 - 1.2)} {
		assert.InDelta(t, want, float64(k.Model.Holds[0].Read[i].Pressure), 1e-9)
	}
	assert.InDelta(t, -50, float64(k.Model.Holds[0].House), 1e-9)
}

// A gauge that takes the baseline off by itself gives the same answer as one that does not,
// but for what its own zero is.
func TestLessBaseline(t *testing.T) {
	const hold = `
[house]
indoor = "20 C"
outdoor = "2 C"
[job]
wind = "calm"
[[hold]]
%s
house = "%.1f Pa"
fan = "2000 cfm"
to_house = { attic = "%.1f Pa" }
`
	raw, _ := caseOf(t, fmt.Sprintf(hold, `baseline = { house = "-1.2 Pa", attic = "0.9 Pa" }`, -51.2, 43.9))
	less, _ := caseOf(t, fmt.Sprintf(hold, `less_baseline = ["house", "attic"]`, -50.0, 43.0))
	taken, _ := caseOf(t, fmt.Sprintf(hold, ``, -50.0, 43.0))
	for _, c := range []*Case{less, raw} {
		assert.InDelta(t, -50, float64(c.Model.Holds[0].House), 1e-9)
		assert.InDelta(t, 43, float64(c.Model.Holds[0].Read[0].Pressure), 1e-9)
	}
	h := less.Estimated.Holds
	require.Len(t, h, 2)
	assert.True(t, h[0].LessRest && h[0].Read[0].LessRest && h[1].Rest)
	assert.Empty(t, h[1].Read)
	house, _ := caseOf(t, fmt.Sprintf(hold, `less_baseline = ["house"]`, -50.0, 43.0))
	assert.True(t, house.Estimated.Holds[0].LessRest)
	assert.False(t, house.Estimated.Holds[0].Read[0].LessRest, "of the house alone")
	fraction := func(c *Case) float64 {
		e, err := Solve(c, Options{CurvatureOnly: true})
		require.NoError(t, err)
		return float64(e.Zones[0].Fraction.Value)
	}
	want := fraction(raw)
	assert.InDelta(t, want, fraction(less), 0.005)
	assert.Greater(t, abs(fraction(taken)-want), 0.01, "differences taken for what the gauge showed")
}

func abs(v float64) float64 { return max(v, -v) }

// What the sheet says of weather, and what is taken where it says nothing.
func TestWeatherOfASheet(t *testing.T) {
	const hold = "[[hold]]\nhouse = \"-50 Pa\"\nto_house = { attic = \"43 Pa\" }\n"
	for name, c := range map[string]struct {
		text                  string
		stack, sd, wind, note float64
	}{
		"nothing":        {"", 0, 0.60, 2.4082, 0},
		"both":           {"[house]\nindoor = \"20 C\"\noutdoor = \"0 C\"\n", 0.8646, 0.0432, 2.4082, 0},
		"outdoor alone":  {"[house]\noutdoor = \"0 C\"\n", 0.8646, 0.0911, 2.4082, 0},
		"equal":          {"[house]\nindoor = \"20 C\"\noutdoor = \"20 C\"\n", 0, 0, 2.4082, 0},
		"calm":           {"[job]\nwind = \"Calm, from the west\"\n", 0, 0.60, 0.60205, 0},
		"light":          {"[job]\nwind = \"light\"\n", 0, 0.60, 2.4082, 0},
		"breezy":         {"[job]\nwind = \"breezy; gusts\"\n", 0, 0.60, 9.6328, 0},
		"in other words": {"[job]\nwind = \"some\"\n", 0, 0.60, 2.4082, 1},
	} {
		k, log := caseOf(t, c.text+hold)
		w := k.Estimated.Weather
		assert.InDelta(t, c.stack, w.Stack.Mean, 2e-3, name)
		assert.InDelta(t, c.sd, w.Stack.SD, 2e-3, name)
		assert.InDelta(t, c.wind, float64(w.Wind), 2e-3, name)
		notes := 0.0
		for _, n := range log.Notices {
			if n.About == "wind" {
				notes++
			}
		}
		assert.Equal(t, c.note, notes, name)
	}
	k, _ := caseOf(t, hold+"indoor = \"20 C\"\noutdoor = \"0 C\"\n")
	assert.InDelta(t, 0.8646, k.Estimated.Weather.Stack.Mean, 2e-3, "the temperatures of a hold are those of the visit where [house] has none")
}

// Where the sheet says where a zone's hose crosses, its leaks lie, or how warm it is, that
// stands; else what its kind has.
func TestZonesStandWhereTheSheetSays(t *testing.T) {
	const hold = "[[hold]]\nhouse = \"-50 Pa\"\nto_house = { attic = \"43 Pa\" }\n"
	k, _ := caseOf(t, "[house]\nheight = \"5 m\"\n"+hold)
	attic := k.Spaces["attic"]
	assert.InDelta(t, 5, k.Estimated.Spaces[attic].Crossing, 1e-9)
	assert.InDelta(t, 5.8, k.Estimated.Paths[k.Model.PathBetween(attic, zonal.Outside)].Height, 1e-9)
	assert.Nil(t, k.Estimated.Spaces[attic].Stack)
	k, _ = caseOf(t, "[house]\nstoreys = 2\n"+hold)
	assert.InDelta(t, 5.2, k.Estimated.Spaces[attic].Crossing, 1e-9)
	k, _ = caseOf(t, "[house]\noutdoor = \"0 C\"\n[[zone]]\nname = \"attic\"\ncrossing = \"2.4 m\"\nheight = \"4 m\"\ntemperature = \"5 C\"\n"+hold)
	assert.InDelta(t, 2.4, k.Estimated.Spaces[attic].Crossing, 1e-9)
	assert.InDelta(t, 4, k.Estimated.Paths[k.Model.PathBetween(attic, zonal.Outside)].Height, 1e-9)
	require.NotNil(t, k.Estimated.Spaces[attic].Stack)
	assert.InDelta(t, 0.2278, *k.Estimated.Spaces[attic].Stack, 1e-3)
	assert.Equal(t, zonal.Space{Name: "attic", Kind: zonal.Attic, Vented: true}, k.Model.Spaces[attic], "the hand methods know no weather")
}

// Garage and attic leak to each other a little where nobody says what they touch.
func TestPresumedBoundaries(t *testing.T) {
	const hold = "[[hold]]\nhouse = \"-50 Pa\"\nto_house = { attic = \"43 Pa\", garage = \"47 Pa\" }\n"
	k, _ := caseOf(t, hold)
	i := k.Model.PathBetween(k.Spaces["attic"], k.Spaces["garage"])
	require.GreaterOrEqual(t, i, 0)
	assert.Equal(t, zonal.PresumedSize(), k.Model.Paths[i].Flow50)
	k, _ = caseOf(t, "[[zone]]\nname = \"garage\"\ntouches = [\"house\", \"outside\"]\n"+hold)
	assert.Negative(t, k.Model.PathBetween(k.Spaces["attic"], k.Spaces["garage"]), "a sheet is taken at its word")
	k, _ = caseOf(t, "[[zone]]\nname = \"garage\"\ntouches = [\"house\", \"outside\", \"attic\"]\n"+hold)
	i = k.Model.PathBetween(k.Spaces["attic"], k.Spaces["garage"])
	assert.Equal(t, zonal.SizePrior(zonal.Garage, zonal.Attic), k.Model.Paths[i].Flow50)
}

// A fan that ran while the baseline was read is one of the hold at rest: 100 cfm through a
// house of 800 cfm at 50 Pa draw it down by 50 Pa·(100/800)^(1/0.65) = 2.04 Pa, and 700 cfm
// are left to the door fan. Without a word of it that baseline is no weather of a calm day.
func TestFanAtTheBaseline(t *testing.T) {
	const house = "[job]\nwind = \"calm\"\n[house]\nindoor = \"68 F\"\noutdoor = \"68 F\"\n[[hold]]\nname = \"as found\"\nbaseline = \"-2.04 Pa\"\nhouse = \"-50 Pa\"\nfan = \"700 cfm\"\n" +
		"fans = [ { from = \"house\", to = \"outside\", flow = \"%s cfm\", at_baseline = %t } ]\n"
	f := found(t, fmt.Sprintf(house, "100", true), Options{})
	within(t, 800, f.House.Flow50.Value, 0.01, "leakage")
	assert.Empty(t, f.House.Doubt)
	fans := 0
	for _, r := range f.Readings {
		if r.Of == "further fan" {
			fans++
			assert.Equal(t, "as found", r.Hold)
		}
	}
	assert.Equal(t, 1, fans, "it was read once")
	assert.NotEmpty(t, found(t, fmt.Sprintf(house, "100", false), Options{}).House.Doubt)
	c, _ := caseOf(t, fmt.Sprintf(house, "500", true)) // as much as a fan that nobody read is taken to move
	require.Len(t, c.Rests, 1)
	require.Len(t, c.Estimated.Holds[1].Fans, 1)
	assert.Equal(t, "baseline, as found", c.Estimated.Holds[1].Name)
	assert.NotPanics(t, func() { found(t, fmt.Sprintf(house, "500", true), Options{}) })

	states, _ := caseOf(t, fmt.Sprintf(house, "100", true)+"[[hold]]\nname = \"off again\"\nbaseline = \"-0.1 Pa\"\nhouse = \"-50 Pa\"\nfan = \"800 cfm\"\n")
	require.Len(t, states.Rests, 2, "with the fan and without are two states")
	assert.Len(t, append(states.Estimated.Holds[2].Fans, states.Estimated.Holds[3].Fans...), 1)
	unsaid, _ := caseOf(t, strings.Replace(fmt.Sprintf(house, "100", true), ", at_baseline = true", "", 1))
	assert.Empty(t, unsaid.Estimated.Holds[1].Fans, "a second fan comes with the door fan")
	less, _ := caseOf(t, strings.Replace(fmt.Sprintf(house, "100", true), "baseline = \"-2.04 Pa\"", "less_baseline = [\"house\"]", 1))
	require.Len(t, less.Rests, 1)
	assert.Len(t, less.Estimated.Holds[1].Fans, 1)
}
