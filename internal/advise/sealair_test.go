package advise

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbook/internal/survey"
	"holdbook/internal/testkit"
	"holdbook/units"
)

// A house that keeps air enough as found, and would not once its attic is sealed.
const airy = `
[house]
volume = "12000 ft3"
floor_area = "1500 ft2"
bedrooms = 3
height = "8 ft"
[climate]
weather_factor = 0.60
[ventilation]
flow = "3 cfm"
[[zone]]
name = "attic"
[[hold]]
house = "-50 Pa"
baseline = "0 Pa"
fan = "1750 cfm"
to_house = { attic = "46 Pa" }
[[hold]]
house = "-50 Pa"
fan = "2250 cfm"
opened = [ { between = ["house", "attic"], name = "hatch" } ]
to_house = { attic = "15 Pa" }
`

func TestVentilationAfterSealing(t *testing.T) {
	f, err := Seal(testkit.Sheet(t, airy), SealOptions{Options: survey.Options{CurvatureOnly: true}})
	require.NoError(t, err)
	require.NotNil(t, f.Air)
	found, after := f.Air.Found, f.Air.After
	assert.Equal(t, found.Required, after.Required)
	assert.Less(t, after.Infiltration.Value, found.Infiltration.Value)
	assert.Greater(t, after.Fan.Value, found.Fan.Value)
	last := f.Steps[len(f.Steps)-1]
	assert.InEpsilon(t, last.FanAfter.Value/f.FanNow.Value, after.Infiltration.Value/found.Infiltration.Value, 0.25,
		"infiltration falls about as the flow at 50 Pa does")
	// Without bedrooms nothing is said of it but what is missing.
	bare := "[[zone]]\nname = \"attic\"\n[[hold]]\nhouse = \"-50 Pa\"\nfan = \"2000 cfm\"\nto_house = { attic = \"40 Pa\" }\n"
	g, err := Seal(testkit.Sheet(t, bare), SealOptions{Options: survey.Options{CurvatureOnly: true}})
	require.NoError(t, err)
	assert.Nil(t, g.Air)
	said := ""
	for _, n := range g.Notices {
		said += n.Text + "\n"
	}
	assert.Contains(t, said, "house.bedrooms")
}

func TestSealingPastTheVentilation(t *testing.T) {
	f, err := Seal(testkit.Sheet(t, airy), SealOptions{Options: survey.Options{CurvatureOnly: true}})
	require.NoError(t, err)
	said := ""
	for _, n := range f.Notices {
		said += n.Text + "\n"
	}
	assert.Contains(t, said, "after all of the sealing the house would be tighter than its ventilation")
	assert.NotContains(t, said, "already now")
}

// Leaks from the garage come first; of the others the step that comes first is the one
// that the table shows to save most, and the forecast and the report tell one order.
func TestFirstStepSavesMost(t *testing.T) {
	text := oneHold + asFoundHold + "[[hold]]\nhouse = \"-50 Pa\"\nfan = \"2600 cfm\"\nopened = [ { between = [\"house\", \"attic\"] } ]\nto_house = { attic = \"20 Pa\" }\n"
	plan, err := Seal(testkit.Sheet(t, text), SealOptions{})
	require.NoError(t, err)
	var first, second, most survey.SealChoice
	for _, c := range plan.Choices {
		switch {
		case c.Direct:
			continue
		case c.Step == 1:
			first = c
			continue
		case c.Step == 2:
			second = c
		}
		if most.Drop50 == nil || c.Drop50.Value > most.Drop50.Value {
			most = c
		}
	}
	assert.True(t, first.Health)
	assert.Equal(t, [2]string{"house", "garage"}, first.Between)
	assert.Less(t, first.Drop50.Value, most.Drop50.Value, "though it is the smaller")
	assert.Equal(t, most.Between, second.Between)
	assert.Equal(t, plan.Steps[0].Between, first.Between)
	assert.Equal(t, plan.Steps[1].Between, second.Between)
	report, err := survey.Run(testkit.Sheet(t, text), survey.Options{})
	require.NoError(t, err)
	for i, c := range report.SealFirst {
		assert.Equal(t, plan.Choices[i].Between, c.Between)
		assert.Equal(t, plan.Choices[i].Step, c.Step)
	}
}

// Of a house whose fan was not read nothing is said of a target.
func TestNoTargetWithoutAFan(t *testing.T) {
	const pressureOnly = "[[zone]]\nname = \"attic\"\n[[hold]]\nhouse = \"-50 Pa\"\nto_house = { attic = \"44 Pa\" }\n"
	o := SealOptions{Flow: units.Flow(units.CFM.ToSI(1500))}
	plan, err := Seal(testkit.Sheet(t, pressureOnly), o)
	require.NoError(t, err)
	assert.Nil(t, plan.Target)
	assert.Contains(t, fmt.Sprint(plan.Notices), "nothing can be said of a target")
	plan, err = Seal(testkit.Sheet(t, strings.Replace(pressureOnly, "to_house", "fan = \"2280 cfm\"\nto_house", 1)), o)
	require.NoError(t, err)
	require.NotNil(t, plan.Target)
	plan = testkit.Shown(t, plan, plan.Job.Units)
	assert.InDelta(t, 1500, plan.Target.FanReads.Value, 1e-9, "no temperatures: the gauge shows the flow")
	assert.NotContains(t, fmt.Sprint(plan.Notices), "nothing can be said")
}
