package survey

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Readings that contradict each other widen what is said, and the report says by how much.
func TestContradictionsAreTold(t *testing.T) {
	sheetOf := func(off float64) string {
		var b strings.Builder
		for i, q := range []float64{1000, 1156, 1301, 1438, 1569, 1694, 1814} { // n = 0.65
			if i%2 == 1 {
				q *= 1 + off
			}
			fmt.Fprintf(&b, "[[hold]]\nbaseline = \"0 Pa\"\nhouse = \"-%d Pa\"\nfan = \"%.0f cfm\"\n", 20+5*i, q)
		}
		return b.String()
	}
	f := found(t, sheetOf(0), Options{CurvatureOnly: true})
	assert.Zero(t, f.Method.Widened)
	narrow := f.House.Flow50.High / f.House.Flow50.Low
	f = found(t, sheetOf(0.15), Options{CurvatureOnly: true})
	assert.Greater(t, f.Method.Widened, 2.0)
	assert.Greater(t, f.House.Flow50.High/f.House.Flow50.Low, narrow)
	assert.Contains(t, fmt.Sprint(f.Notices), "every interval is made wider by as much")
}

// A boundary that the sheet denies and its readings need is named.
func TestMissingBoundaryIsNamed(t *testing.T) {
	text := `
[job]
wind = "calm"
[house]
indoor = "20 C"
outdoor = "20 C"
[[zone]]
name = "garage"
touches = ["house", "outside"]
[[zone]]
name = "attic"
touches = ["house", "outside"]
`
	const hatch, door = `{ between = ["house", "attic"], name = "hatch" }`, `{ between = ["garage", "outside"], name = "door" }`
	for _, h := range []struct {
		house, fan, toHouse, toOutside, opened string
	}{ // a house of the priors' medians with 600 cfm at 50 Pa between the two
		{"-49.9", "1939", `attic = "47.9 Pa", garage = "47.7 Pa"`, `attic = "-2.4 Pa", garage = "-2.9 Pa"`, ""},
		{"-49.6", "3546", `attic = "17.4 Pa", garage = "36.0 Pa"`, `attic = "-32.8 Pa", garage = "-14.0 Pa"`, hatch},
		{"-50.4", "1958", `attic = "48.7 Pa", garage = "49.9 Pa"`, `attic = "-1.8 Pa", garage = "0.1 Pa"`, door},
		{"-50.1", "3575", `attic = "18.9 Pa", garage = "48.6 Pa"`, `attic = "-31.5 Pa", garage = "-1.3 Pa"`, hatch + ", " + door},
	} {
		text += fmt.Sprintf("[[hold]]\nbaseline = \"0 Pa\"\nhouse = \"%s Pa\"\nfan = \"%s cfm\"\nto_house = { %s }\nto_outside = { %s }\nopened = [ %s ]\n", h.house, h.fan, h.toHouse, h.toOutside, h.opened)
	}
	f := found(t, text, Options{CurvatureOnly: true})
	require.Len(t, f.Suspects, 1)
	assert.Equal(t, []string{"garage", "attic"}, f.Suspects[0].Boundary)
	assert.Contains(t, f.Suspects[0].Text, "they fit if the garage also leaks to the attic")
	assert.Len(t, f.Suspects[0].With, 6)
}
