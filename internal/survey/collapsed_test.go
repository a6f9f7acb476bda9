package survey

import (
	"os"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbook/internal/sheet"
)

// Where the weights of the draws lie on one of them, as with readings that no house can
// give and few draws of them, the answer says that its draws are too few, and is not printed as though that one
// draw were all there could be.
func TestTooFewEffectiveDraws(t *testing.T) {
	const file = "../batch/testdata/hard/scattered_flows.toml"
	text, err := os.ReadFile(file)
	require.NoError(t, err)
	s, err := sheet.Parse(text, file)
	require.NoError(t, err)
	f, err := Run(s, Options{MostDraws: 6})
	require.NoError(t, err)
	assert.Equal(t, "sampled", f.Method.Intervals)
	assert.Equal(t, "too few effective draws", f.Method.Status)
	assert.Less(t, f.Method.Effective, 5.0)
	assert.Contains(t, f.Notices, Notice{Level: Warning, Text: "the intervals may be unreliable: too few effective draws"})
	assert.Greater(t, f.House.Flow50.High, 1.02*f.House.Flow50.Low, "an interval out of one draw")
}
