package survey

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A pressure limit in the sheet's own words is held against the worst of what it
// speaks of, in whatever order it was read: the room furthest from the house, of
// either sign, and the garage nearest to the house.
func TestOwnPressureLimitsTakeTheWorst(t *testing.T) {
	held := func(limit, what string, want float64, verdict, text string) {
		f := surveyed(t, exactGauge+text+fmt.Sprintf("[[limit]]\nquantity = %q\n%s\n", what, limit))
		require.Len(t, f.Limits, 1, noticeText(f))
		assert.InDelta(t, want, f.Limits[0].Result.Value, 0.02, text)
		assert.Equal(t, "Pa", f.Limits[0].Result.Unit.Symbol())
		assert.Equal(t, verdict, f.Limits[0].Verdict, "%s\n%s", limit, text)
	}
	for _, p := range [][2]float64{{3, -8}, {-8, 3}, {8, 3}, {-3, 8}} {
		rooms := fmt.Sprintf("[[room]]\nname = \"a\"\npressure = \"%g Pa\"\n[[room]]\nname = \"b\"\npressure = \"%g Pa\"\n", p[0], p[1])
		held(`at_most = "7.9 Pa"`, "room_pressure", 8, "fails", rooms)
		held(`at_most = "8.1 Pa"`, "room_pressure", 8, "meets", rooms)
	}
	for _, p := range [][2]float64{{40, 48}, {48, 40}} {
		garages := fmt.Sprintf("[[zone]]\nname = \"north\"\nkind = \"garage\"\n[[zone]]\nname = \"south\"\nkind = \"garage\"\n"+
			"[[hold]]\nbaseline = \"0 Pa\"\nhouse = \"-50 Pa\"\nto_house = { north = \"%g Pa\", south = \"%g Pa\" }\n", p[0], p[1])
		held(`at_least = "40.2 Pa"`, "house_to_garage_pressure", 40, "fails", garages)
		held(`at_least = "39.8 Pa"`, "house_to_garage_pressure", 40, "meets", garages)
	}
}
