package advise

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbook/internal/testkit"
)

// contradictory are three holds that go together; attic is what was read in the first.
func contradictory(attic string) string {
	return `
[job]
wind = "light"
[house]
indoor = "70 F"
outdoor = "35 F"
[[zone]]
name = "attic"
[[zone]]
name = "garage"
[[hold]]
baseline = "-1.2 Pa"
house = "-50.3 Pa"
fan = "2280 cfm"
to_house = { attic = "` + attic + `", garage = "47.2 Pa" }
[[hold]]
house = "-50.1 Pa"
fan = "2560 cfm"
opened = [ { between = ["house", "attic"] } ]
to_house = { attic = "9.8 Pa", garage = "47.0 Pa" }
[[hold]]
house = "-49.9 Pa"
fan = "2420 cfm"
opened = [ { between = ["house", "garage"] } ]
to_house = { attic = "44.4 Pa", garage = "8.1 Pa" }
`
}

// Where readings do not fit each other no order is settled and none is given to a crew
// without a word, whatever the estimate holds likely.
func TestNothingIsSettledByReadingsThatDoNotFit(t *testing.T) {
	for attic, fits := range map[string]bool{"44.1 Pa": true, "14.1 Pa": false} {
		s := testkit.Sheet(t, contradictory(attic))
		p, err := Next(s, NextOptions{})
		require.NoError(t, err)
		f, err := Seal(s, SealOptions{})
		require.NoError(t, err)
		require.NotNil(t, f.Order)
		assert.Equal(t, fits, p.Doubt == "")
		assert.Equal(t, p.Doubt, f.Order.Doubt)
		if fits {
			continue
		}
		assert.False(t, p.Enough || p.Settled)
		assert.True(t, strings.HasPrefix(p.Text, "read again first: hold 1, attic to house"), p.Text)
		assert.NotEmpty(t, p.Actions, "what else there is to read stays below")
	}
}
