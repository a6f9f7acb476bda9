package zonal

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbook/units"
)

// A hole is chosen that moves the zone enough to be told and leaves something to
// read on either side: over simulated houses it does so about as often as it
// says, and more often than one size for all.
func TestHoleSize(t *testing.T) {
	n := max(houses(40), 40)
	r := rand.New(rand.NewPCG(54, 1))
	var areas []units.Area
	for _, a := range []float64{10, 20, 40, 60, 100, 150, 250} {
		areas = append(areas, units.Area(a*squareInch))
	}
	chance, good, fixed := 0.0, 0, 0
	for range n {
		m, _, x := families[0].house(r)
		post, err := Infer(m, Options{Draws: 200})
		require.NoError(t, err)
		h, err := post.HoleFor(zone1, House, areas)
		require.NoError(t, err)
		chance += h.Chance
		moves := func(a units.Area) bool {
			row := [][]float64{x}
			was, is := post.zonePressures(zone1, House, 0, row)[0], post.zonePressures(zone1, House, a, row)[0]
			return was-is >= leastMove && is >= leastLeft && Reference-is >= leastLeft
		}
		if moves(h.Area) {
			good++
		}
		if moves(areas[2]) {
			fixed++
		}
	}
	t.Logf("the hole was right in %d of %d houses, said %.1f; 40 in² for all: %d", good, n, chance, fixed)
	assert.InDelta(t, chance/float64(n), float64(good)/float64(n), 0.15)
	assert.Greater(t, good, fixed)
}

// A larger hole takes more of the pressure from a zone; none leaves it as found.
func TestHoleReads(t *testing.T) {
	r := rand.New(rand.NewPCG(55, 1))
	m, _, x := families[0].house(r)
	post, err := Infer(m, Options{Draws: 200})
	require.NoError(t, err)
	row := [][]float64{x}
	last := post.values([]quantity{toHouse(zone1)}, row)[0][0]
	assert.InDelta(t, last, post.zonePressures(zone1, House, 0, row)[0], 1e-5)
	for _, a := range []float64{10, 40, 150, 600} {
		is := post.zonePressures(zone1, House, units.Area(a*squareInch), row)[0]
		assert.Less(t, is, last)
		last = is
	}
}
