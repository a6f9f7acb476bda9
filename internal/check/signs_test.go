package check

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// A sheet that closes as it is written is taken as it is written, here as in the report: with
// a baseline of 4 Pa the zone stood above outdoors though the house was held below.
func TestReadingsThatCloseAreNotRefused(t *testing.T) {
	c := checked(t, `sheet = 1
[[hold]]
baseline = "4.0 Pa"
house    = "-46.0 Pa"
to_house   = { attic = "48.9 Pa" }
to_outside = { attic = "2.9 Pa" }
`)
	assert.Zero(t, c.Count(Blocks))
}
