package survey

import (
	"encoding/json"
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// oneZone is an attic read once against the house, in a hold of 50 Pa in which
// something may stand open.
func oneZone(read, opened string) string {
	return fmt.Sprintf(`
[[zone]]
name = "attic"
[[hold]]
house = "-50 Pa"
baseline = "0 Pa"
%s
to_house = { attic = "%s" }
`, opened, read)
}

// A ratio of two leaks is left out where the readings only bound it: within 2 Pa
// of either end of the hold, whatever hold the zone was read in.
func TestLeakRatioOnlyWhereCarried(t *testing.T) {
	const window = `opened = [ { between = ["house", "outside"] } ]`
	for _, c := range []struct {
		read, opened string
		carried      bool
	}{
		{"0.001 Pa", "", false}, {"1.9 Pa", "", false}, {"2.1 Pa", "", true}, {"47.9 Pa", "", true}, {"48.1 Pa", "", false},
		{"0.001 Pa", window, false}, {"1.9 Pa", window, false}, {"2.1 Pa", window, true}, {"48.1 Pa", window, false},
	} {
		z := surveyed(t, exactGauge+oneZone(c.read, c.opened)).Zones[0]
		written, err := json.Marshal(z)
		require.NoError(t, err)
		if !c.carried {
			assert.NotContains(t, string(written), "leak_ratio", "%s %s", c.read, c.opened)
			continue
		}
		require.NotNil(t, z.LeakRatio, "%s %s", c.read, c.opened)
		assert.Less(t, z.LeakRatio.Low, z.LeakRatio.Value)
		assert.Less(t, z.LeakRatio.High, 30*z.LeakRatio.Low)
	}
}
