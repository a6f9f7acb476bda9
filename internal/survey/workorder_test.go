package survey

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbook/zonal"
)

const orderSheet = `
[job]
target = "1500 cfm"
[house]
floor_area = "1800 ft2"
bedrooms = 5
indoor = "68 F"
outdoor = "20 F"
[climate]
weather_factor = 0.85
[ventilation]
flow = "FAN"
[[zone]]
name = "attic"
note = "vermiculite, masks on"
[[zone]]
name = "garage"
[[path]]
between = ["house", "attic"]
note = "hatch in the closet"
[[hold]]
baseline = "0 Pa"
house = "-50 Pa"
fan = "2000 cfm"
range = "large"
to_house = { attic = "44 Pa", garage = "47 Pa" }
[[hold]]
house = "-50 Pa"
fan = "2700 cfm"
range = "large"
opened = [ { between = ["house", "attic"] } ]
to_house = { attic = "20 Pa" }
[[hold]]
house = "-50 Pa"
fan = "2500 cfm"
range = "large"
opened = [ { between = ["house", "garage"] } ]
to_house = { garage = "20 Pa" }
`

// The order of the work is that of the seal-first table, with what the gauge shows before
// and after each step, the sheet's notes and the places to look at.
func TestWorkOrderOfASheet(t *testing.T) {
	f := found(t, strings.ReplaceAll(orderSheet, "FAN", "5 cfm"), Options{WorkOrder: true})
	w := f.WorkOrder
	require.NotNil(t, w)
	require.Len(t, w.Steps, 2)
	assert.Equal(t, "large", w.FlowRange)
	garage, attic := w.Steps[0], w.Steps[1]
	assert.Equal(t, [2]string{"house", "garage"}, garage.Between)
	assert.True(t, garage.Health)
	assert.False(t, attic.Health)
	assert.Equal(t, []string{"vermiculite, masks on", "hatch in the closet"}, attic.Notes)
	assert.Contains(t, strings.Join(attic.Look, "; "), "top plates")
	assert.Equal(t, w.FanNow, garage.FanBefore)
	assert.Equal(t, garage.FanAfter, attic.FanBefore)

	// 68 °F indoors over 20 °F outdoors: the gauge of a fan in warm air shows more than
	// what passes the envelope, by the ratio that the flow at 50 Pa has.
	ratio := w.FanNow.Value / f.House.Flow50.Value
	assert.Greater(t, ratio, 1.05)
	assert.InEpsilon(t, w.Target.Value*ratio, w.StopAt.Value, 0.01)
	assert.InEpsilon(t, 1500, w.Target.Value, 1e-6)
	assert.InEpsilon(t, f.SealFirst[0].Drop50.Value*ratio, garage.FanFalls.Value, 0.01)
	assert.Less(t, *garage.TargetMet, *attic.TargetMet)
	assert.Equal(t, 2, w.AirShortAfter, "the garage alone leaves air enough, nearly")
	assert.InEpsilon(t, 5, w.FanThere.Value, 1e-6)

	assert.Zero(t, found(t, strings.ReplaceAll(orderSheet, "FAN", "200 cfm"), Options{WorkOrder: true}).WorkOrder.AirShortAfter, "a fan that is enough")
	assert.Nil(t, found(t, strings.ReplaceAll(orderSheet, "FAN", "5 cfm"), Options{}).WorkOrder, "only when asked for")
}

// Every kind of zone has places to look at.
func TestEveryKindHasPlaces(t *testing.T) {
	for _, k := range zonal.Kinds() {
		assert.NotEmpty(t, places[k], k)
	}
}
