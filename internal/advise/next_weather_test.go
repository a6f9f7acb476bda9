package advise

import (
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbook/internal/sheet"
	"holdbook/internal/testkit"
)

// tall is a heated house of two storeys whose temperatures nobody wrote down, in calm air.
const tall = "[job]\nwind = \"calm\"\n[house]\nstoreys = 2\n" + oneHold + `
[[hold]]
name = "as found"
baseline = "-3 Pa"
house = "-53 Pa"
fan = "2400 cfm"
to_house = { attic = "42 Pa", garage = "45 Pa" }
[[hold]]
house = "-53 Pa"
fan = "3100 cfm"
opened = [ { between = ["house", "attic"], name = "hatch" } ]
to_house = { attic = "14 Pa" }
`

func action(p *NextPlan, what string) *NextAction {
	for i := range p.Actions {
		if strings.Contains(p.Actions[i].What, what) {
			return &p.Actions[i]
		}
	}
	return nil
}

// Temperatures that were not typed are asked for, since that costs nothing, and baselines
// that were not read, at a minute each; both are weighed as what they tell.
func TestNextAsksForTheWeather(t *testing.T) {
	p, err := Next(testkit.Sheet(t, tall), NextOptions{})
	require.NoError(t, err)
	outdoor, attic := action(p, "outdoor temperature"), action(p, "baseline of the attic")
	require.NotNil(t, outdoor)
	require.NotNil(t, attic)
	assert.Equal(t, "type the outdoor temperature: it costs nothing", p.Text)
	assert.True(t, outdoor.Outdoor && p.Actions[0].Outdoor)
	assert.Zero(t, outdoor.Minutes)
	assert.Greater(t, outdoor.Gain, 0.03)
	assert.True(t, attic.Rest)
	assert.InDelta(t, restMinutes, attic.Minutes, 1e-9)
	assert.Greater(t, attic.Gain, 0.03)
	assert.NotNil(t, action(p, "baseline of the garage"))
	assert.Nil(t, action(p, "baseline of the house"), "it was read")
	assert.Equal(t, "as found", attic.Hold.Name.Value)
	assert.Equal(t, "-3 Pa", attic.Hold.Baseline.Text)
	require.Len(t, attic.Hold.ZoneBaselines, 1)
	assert.Equal(t, "… Pa", attic.Hold.ZoneBaselines[0].Pressure.Text)
	known := strings.NewReplacer("storeys = 2", "storeys = 2\nindoor = \"68 F\"\noutdoor = \"20 F\"", `"-3 Pa"`, `{ house = "-3 Pa", attic = "-1.5 Pa" }`).Replace(tall)
	p, err = Next(testkit.Sheet(t, known), NextOptions{})
	require.NoError(t, err)
	assert.Nil(t, action(p, "outdoor temperature"))
	assert.Nil(t, action(p, "baseline of the attic"))
	garage := action(p, "baseline of the garage")
	require.NotNil(t, garage)
	assert.Equal(t, []string{"attic", "garage"}, []string{garage.Hold.ZoneBaselines[0].Of.Text, garage.Hold.ZoneBaselines[1].Of.Text})
	assert.True(t, slices.IsSortedFunc(p.Actions, func(a, b NextAction) int { return int(b.worth*1e9) - int(a.worth*1e9) }))
}

// What the gauge took off is no baseline to read, and one that was read with something open
// does not stand for the house as found.
func TestNextKnowsWhichBaselinesWereRead(t *testing.T) {
	less := strings.Replace(tall, "baseline = \"-3 Pa\"", "baseline = \"-3 Pa\"\nless_baseline = [\"attic\"]", 1)
	p, err := Next(testkit.Sheet(t, less), NextOptions{})
	require.NoError(t, err)
	assert.Nil(t, action(p, "baseline of the attic"))
	assert.Nil(t, action(p, "baseline of the house"))
	assert.NotNil(t, action(p, "baseline of the garage"))
	open := strings.Replace(strings.Replace(tall, "baseline = \"-3 Pa\"\n", "", 1), "opened =", "baseline = \"-2.5 Pa\"\nopened =", 1)
	p, err = Next(testkit.Sheet(t, open), NextOptions{})
	require.NoError(t, err)
	house := action(p, "baseline of the house")
	require.NotNil(t, house)
	assert.Equal(t, sheet.Pressure{Text: "… Pa", Given: true}, house.Hold.Baseline)
}
