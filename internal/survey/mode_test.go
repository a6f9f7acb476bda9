package survey

import (
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbook/internal/sheet"
)

// Readings of the wrong signs lead the first search to zones at millions of pascals,
// 1e25 in squared standard deviations, where a search from the prior medians ends
// at a house: it is sought again. Below a thousand a term it is believed.
func TestModeIsSoughtAgain(t *testing.T) {
	s, err := sheet.Read(filepath.Join("..", "batch", "testdata", "hard", "wrong_signs.toml"))
	require.NoError(t, err)
	r, err := prepare(s, Options{CurvatureOnly: true})
	require.NoError(t, err)
	require.NoError(t, r.solve())
	mode := r.estimate.Posterior.Mode
	assert.Less(t, mode.SumSquares, 10000.0, "as from the prior medians")
	for _, x := range r.estimate.Readings {
		assert.Less(t, float64(x.Predicted.Value), 1000.0)
	}
}
