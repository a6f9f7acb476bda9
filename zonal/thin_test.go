package zonal

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A heavy row comes once, with the weight of all the steps that fall on it, or as often as
// they do where rows of equal weight are wanted.
func TestThin(t *testing.T) {
	rows, weights := [][]float64{{0}, {1}, {2}, {3}, {4}}, []float64{0.1, 0.1, 0.55, 0.15, 0.1}
	few, share := thin(rows, weights, 4)
	require.Len(t, few, 3)
	assert.Equal(t, [][]float64{{1}, {2}, {3}}, few)
	assert.Equal(t, []float64{0.25, 0.5, 0.25}, share)
	assert.Equal(t, [][]float64{{1}, {2}, {2}, {3}}, evenly(rows, weights, 4))

	few, share = thin(rows, weights, 5)
	assert.Equal(t, rows, few, "as many as are wanted: all, as they are")
	assert.Equal(t, weights, share)
	assert.Equal(t, rows, evenly(rows, weights, 5))
}
