package survey

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"holdbook/units"
)

// Each fan of a hold is brought back from the pressure that its own gauge scaled
// to, with exponent 0.65: what one gauge shows scaled says nothing of the other.
func TestEachFanIsScaledByItsOwnGauge(t *testing.T) {
	back := func(to float64) float64 { return math.Pow(30/to, 0.65) }
	for _, c := range []struct {
		door, further         string
		wantDoor, wantFurther float64
	}{
		{"", "", 1000, 400},
		{"fan_scaled_to = \"50 Pa\"\n", "", 1000 * back(50), 400},
		{"", ", scaled_to = \"50 Pa\"", 1000, 400 * back(50)},
		{"fan_scaled_to = \"50 Pa\"\n", ", scaled_to = \"75 Pa\"", 1000 * back(50), 400 * back(75)},
	} {
		built := modelled(t, fmt.Sprintf(`
[[hold]]
baseline = "0 Pa"
house = "-30 Pa"
fan = "1000 cfm"
%sfans = [ { name = "second", from = "garage", to = "outside", flow = "400 cfm"%s } ]
to_house = { garage = "1 Pa" }
`, c.door, c.further))
		h := built.Model.Holds[0]
		require.Len(t, h.Fans, 1)
		within(t, c.wantDoor, units.CFM.FromSI(float64(h.Fan.Flow)), 1e-12, "door fan"+c.door+c.further)
		within(t, c.wantFurther, units.CFM.FromSI(float64(h.Fans[0].Flow)), 1e-12, "further fan"+c.door+c.further)
	}
}
