package survey

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// flats is a dwelling between two neighbours: 300 cfm at 50 Pa to outdoors, 500 and 200 to
// the neighbours, whose doors stood open in the first hold.
const flats = `
[[zone]]
name = "east"
kind = "neighbour"
[[zone]]
name = "west"
kind = "neighbour"
[[hold]]
name = "alone"
baseline = "0 Pa"
house = "-50 Pa"
fan = "1000 cfm"
opened = [ { between = ["east", "outside"], name = "door east" }, { between = ["west", "outside"], name = "door west" } ]
to_house = { east = "49.9 Pa", west = "49.9 Pa" }
[[hold]]
name = "guarded"
house = "-50 Pa"
fan = "%s cfm"
%s
`

// Guards whose fans were not read, level or a little off, give what the dwelling leaks to
// outdoors alone. Worked guard example: exact 300; both guards 0.5 Pa off read 265 or 335.
func TestGuardsWithoutFlow(t *testing.T) {
	level := "guards = [\"east\", \"west\"]\nto_house = { east = \"%g Pa\", west = \"%g Pa\" }\n"
	off := 700 * math.Pow(0.5/50, 0.65)
	for read, text := range map[string]string{"300": fmt.Sprintf(level, 0.0, 0.0), fmt.Sprint(300 + off): fmt.Sprintf(level, 0.5, 0.5)} {
		f := found(t, exact+fmt.Sprintf(flats, read, text), Options{})
		require.NotNil(t, f.House.ExteriorOnly, read)
		within(t, 300, f.House.ExteriorOnly.Value, 0.02, "to outdoors alone")
		within(t, 700, f.House.InteriorOnly.Value, 0.02, "to the neighbours")
		for _, h := range f.Hand {
			if h.Method == GuardedTest && strings.Contains(h.Quantity, "exterior") {
				require.NotNil(t, h.Result)
				within(t, 300, h.Result.Value, 0.02, "by hand")
			}
		}
		for _, r := range f.Readings {
			assert.NotEqual(t, "further fan", r.Of, "nobody read it")
		}
		for _, s := range f.SealFirst {
			assert.NotContains(t, s.Between, "east", "a party wall saves no energy")
		}
		assert.Empty(t, saidWith(f, "counts as level"))
	}
	f := found(t, exact+fmt.Sprintf(flats, "300", "guards = [\"east\", \"west\"]\n"), Options{})
	assert.Len(t, saidWith(f, "counts as level"), 2)
	require.NotNil(t, f.House.ExteriorOnly)
	assert.Less(t, f.House.ExteriorOnly.Low, 290.0, "half a pascal of doubt")
	assert.Nil(t, found(t, exact+"[[hold]]\nhouse = \"-50 Pa\"\nfan = \"1000 cfm\"\n", Options{}).House.ExteriorOnly)
}

// A second fan that was read stands among the readings, though its flow is the one that is
// taken of a fan nobody read: without temperatures it is not corrected to another.
func TestReadFanOfTheFlowOfAGuard(t *testing.T) {
	f := found(t, "[[zone]]\nname = \"garage\"\n[[hold]]\nhouse = \"-50 Pa\"\nfan = \"2100 cfm\"\n"+
		"fans = [ { from = \"garage\", to = \"outside\", flow = \"500 cfm\" } ]\nto_house = { garage = \"1 Pa\" }\n", Options{})
	assert.True(t, slices.ContainsFunc(f.Readings, func(r Reading) bool { return r.Of == "further fan" }))
}

// A zone with vents of known area is sized by one pressure reading: 480 in² pass 3586 cfm at 50
// Pa by the sharp-edged hole of coefficient 0.60 and 1.2041 kg/m³, and an attic that reads
// 46.47 Pa to the house has a ceiling of 1000 cfm (two leaks in series).
func TestVentsSizeAZone(t *testing.T) {
	attic := "[[zone]]\nname = \"attic\"\n%s\n[[hold]]\nbaseline = \"0 Pa\"\nhouse = \"-50 Pa\"\nto_house = { attic = \"46.47 Pa\" }\n"
	size := func(vents string) *Path {
		f := found(t, "[house]\nindoor = \"20 C\"\noutdoor = \"20 C\"\n"+fmt.Sprintf(attic, vents), Options{})
		for i, p := range f.Paths {
			if p.Between == [2]string{"house", "attic"} {
				return &f.Paths[i]
			}
		}
		return nil
	}
	known, unknown := size("vents = \"480 in2\""), size("")
	require.NotNil(t, known)
	assert.True(t, known.Resolved)
	assert.Less(t, known.Flow50.Low, 1000.0)
	assert.Greater(t, known.Flow50.High, 1000.0)
	assert.Less(t, known.Flow50.High/known.Flow50.Low, 3.5)
	assert.Greater(t, unknown.Flow50.High/unknown.Flow50.Low, 6.0, "one pressure tells no size")
}
