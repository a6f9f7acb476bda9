package advise

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbook/internal/sheet"
	"holdbook/internal/survey"
	"holdbook/internal/testkit"
	"holdbook/units"
	"holdbook/zonal"
)

// opening is the sheet of a house with one zone of a kind, which opens by something.
func opening(kind, opens string) string {
	said := ""
	if opens != "" {
		said = "opens = \"" + opens + "\"\n"
	}
	return "[[zone]]\nname = \"space\"\nkind = \"" + kind + "\"\n" + said +
		"[[hold]]\nhouse = \"-50 Pa\"\nfan = \"2200 cfm\"\nto_house = { space = \"40 Pa\" }\n"
}

// Only what is there is opened: by kind, or as the sheet says; a hole goes where a panel
// can be fitted, else a hatch or door stands ajar.
func TestNextOpensWhatIsThere(t *testing.T) {
	const house, ajar, hole, outside = "open the space to the house", "and the house by", "add a hole", "open the space to outside"
	for _, c := range []struct {
		kind, opens string
		want        []string
	}{
		{"attic", "", []string{house, ajar}}, {"attic", "none", nil}, {"attic", "panel", []string{house, hole}}, {"attic", "door", []string{house, ajar}},
		{"neighbour", "", nil}, {"neighbour", "door", []string{house, ajar}}, {"other", "", nil}, {"other", "hatch", []string{house, ajar}},
		{"garage", "", []string{house, ajar, outside}}, {"garage", "none", nil}, {"garage", "panel", []string{house, hole, outside}},
		{"kneewall", "", []string{house, ajar}}, {"basement", "", []string{house, ajar, outside}},
	} {
		all := next(t, opening(c.kind, c.opens), NextOptions{}).whats()
		for _, what := range []string{house, ajar, hole, outside} {
			assert.Equal(t, contains(c.want, what), strings.Contains(all, what), "%s that opens by %q: %q in %s", c.kind, c.opens, what, all)
		}
	}
}

func contains(list []string, s string) bool {
	for _, x := range list {
		if x == s {
			return true
		}
	}
	return false
}

// What stands ajar is in the hold with its gap and leaf, the leaf as an earlier hold had it,
// and weighed with the area that they leave open, good to 10 %.
func TestNextAjar(t *testing.T) {
	find := func(text string) NextAction {
		p, err := Next(testkit.Sheet(t, text), NextOptions{})
		require.NoError(t, err)
		for _, a := range p.Actions {
			if len(a.Hold.Opened) == 1 && a.Hold.Opened[0].Ajar.Given {
				return a
			}
		}
		require.Fail(t, "nothing ajar in "+p.whats())
		return NextAction{}
	}
	o := find(opening("attic", "")).Hold.Opened[0]
	assert.False(t, o.Area.Given)
	assert.Equal(t, "24 in x 30 in", o.Leaf.Text)
	assert.Contains(t, find("[job]\nunits = \"si\"\n" + opening("attic", "")).Hold.Opened[0].Leaf.Text, "60 cm x 75 cm")
	assert.Equal(t, "80 in x 32 in", find(opening("garage", "")).Hold.Opened[0].Leaf.Text)
	c, err := survey.NewCase(testkit.Sheet(t, opening("attic", "")), survey.Options{}, survey.NewLog(false))
	require.NoError(t, err)
	leaf, ok := leafOf(c, 2, "hatch")
	assert.True(t, ok)
	c.Sheet.Holds[0].Opened = []sheet.Opening{{Between: sheet.Between("space", "house"), Leaf: sheet.Leaf{HingeSide: 1, Width: 2, Text: "mine", Given: true}}}
	leaf, _ = leafOf(c, 2, "hatch")
	assert.Equal(t, "mine", leaf.Text)
	_, ok = leafOf(c, 2, "panel")
	assert.True(t, ok, "its leaf was measured")
}

// A fan that was at full speed is asked for no more: holds are lowered until it can, and
// what it cannot hold at all is left out.
func TestNextKeepsToTheFan(t *testing.T) {
	const hatch = "open the space to the house"
	at := func(text, what string) (units.Pressure, *NextPlan) {
		p, err := Next(testkit.Sheet(t, text), NextOptions{})
		require.NoError(t, err)
		for _, a := range p.Actions {
			if strings.Contains(a.What, what) {
				return a.Hold.House.Value, p
			}
		}
		return 0, p
	}
	full := strings.Replace(opening("attic", ""), "fan =", "full = true\nfan =", 1)
	free, _ := at(opening("attic", ""), hatch)
	assert.InDelta(t, -50, float64(free), 1e-9)
	lower, p := at(full, hatch)
	assert.Less(t, units.Abs(lower), units.Pressure(50))
	assert.Greater(t, units.Abs(lower), units.Pressure(10))
	assert.Contains(t, p.whats(), "repeat the hold as found")
	c, err := survey.NewCase(testkit.Sheet(t, full), survey.Options{}, survey.NewLog(false))
	require.NoError(t, err)
	post, err := survey.Infer(c, survey.Options{})
	require.NoError(t, err)
	h := zonal.Hold{House: -50, HouseSD: 0.5, Fan: c.Model.Holds[0].Fan}
	x := proposal{candidate: zonal.Candidate{Holds: []zonal.Hold{h}}}
	for share, want := range map[units.Flow]bool{1.05: true, 0.5: true, 0.02: false} {
		p, ok, err := x.reachable(post, share*c.Model.Holds[0].Fan.Flow)
		require.NoError(t, err)
		assert.Equal(t, want, ok, share)
		assert.True(t, !want || p < 0 && (p == -50) == (share > 1), "%g: %g Pa", share, float64(p))
	}
}

// Where covered and open were read in different ranges, the fan is read once more as found
// in the range used open.
func TestNextReadsTheSameRange(t *testing.T) {
	const again = "read the fan as found once more in the range used open (large)"
	hatch := "[[hold]]\nhouse = \"-50 Pa\"\nfan = \"2900 cfm\"\nrange = \"large\"\nopened = [ { between = [\"house\", \"space\"] } ]\nto_house = { space = \"12 Pa\" }\n"
	found := strings.Replace(opening("attic", ""), "fan =", "range = \"small\"\nfan =", 1)
	p, err := Next(testkit.Sheet(t, found+hatch), NextOptions{})
	require.NoError(t, err)
	assert.Contains(t, p.whats(), again)
	for _, a := range p.Actions {
		if a.What == again {
			assert.Equal(t, "large", a.Hold.Range.Value)
			assert.Positive(t, a.Gain)
		}
	}
	same := strings.Replace(found, "small", "large", 1)
	assert.NotContains(t, next(t, same+hatch, NextOptions{}).whats(), "once more in the range")
}

// What brings most for each minute comes first; what brings next to nothing comes last.
func TestNextCountsMinutes(t *testing.T) {
	assert.Greater(t, perMinute(0.10, 4), perMinute(0.30, 20))
	assert.Greater(t, perMinute(0.02, 20), perMinute(0.0199, 1))
	assert.InDelta(t, perMinute(0.2, 0), perMinute(0.2, leastMinutes), 1e-12)
}

// From 99 % on the order counts as settled, where there is one and nothing was asked about.
func TestNextSettled(t *testing.T) {
	const hatch = "[[hold]]\nhouse = \"-50 Pa\"\nfan = \"2900 cfm\"\nopened = [ { between = [\"house\", \"attic\"] } ]\nto_house = { attic = \"12 Pa\" }\n" +
		"[[hold]]\nhouse = \"-50 Pa\"\nfan = \"2400 cfm\"\nopened = [ { between = [\"house\", \"garage\"] } ]\nto_house = { garage = \"12 Pa\" }\n"
	text := oneHold + strings.Replace(asFoundHold, "range = \"large\"\n", "", 1) + hatch
	p := next(t, text, NextOptions{})
	assert.GreaterOrEqual(t, p.FirstNow, 0.99)
	assert.True(t, p.Settled && p.Enough)
	assert.Contains(t, p.Text, "enough is known: the order is settled (")
	about := next(t, text, NextOptions{About: "garage"})
	assert.False(t, about.Settled)
	assert.NotEmpty(t, about.Actions)
	one := next(t, opening("attic", ""), NextOptions{})
	assert.False(t, one.Settled, "one leak has no order")
	assert.Equal(t, "99", surely(0.99))
	assert.Equal(t, ">99", surely(0.995))
}
