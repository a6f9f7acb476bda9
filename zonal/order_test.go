package zonal

import (
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbook/units"
)

// What a last bit of a reading changes is not the seed; what a gauge could show is.
func TestSeedDoesNotHangOnTheLastBit(t *testing.T) {
	seed := func(change func(h *Hold)) uint64 {
		m := testModel(rand.New(rand.NewPCG(4, 4)), 2, 3)
		m.Holds[1].House = -49.7
		change(&m.Holds[1])
		o := orderOf(m)
		return o.seed()
	}
	unchanged := seed(func(*Hold) {})
	assert.Equal(t, unchanged, seed(func(h *Hold) { h.House = units.Pressure(math.Nextafter(float64(h.House), 0)) }))
	assert.Equal(t, unchanged, seed(func(h *Hold) { h.Name = "by another name" }))
	assert.NotEqual(t, unchanged, seed(func(h *Hold) { h.House += 1e-5 }))
	assert.NotEqual(t, unchanged, seed(func(h *Hold) { h.HouseSD *= 1.001 }))
	assert.NotEqual(t, unchanged, seed(func(h *Hold) { h.Opened = append(h.Opened, 0) }))
}

// Holds as found come first, of those the one nearest to 50 Pa, on either side.
func TestHoldOrder(t *testing.T) {
	m := testModel(rand.New(rand.NewPCG(4, 4)), 1, 2)
	m.Holds = make([]Hold, 5)
	for i, h := range []struct {
		house  units.Pressure
		opened []int
	}{{-25, nil}, {-50, []int{0}}, {-38, nil}, {61, nil}, {-50, []int{0, 0}}} {
		m.Holds[i] = Hold{House: h.house, HouseSD: 0.5, Opened: h.opened}
	}
	m.Openings = []Opening{{A: House, B: Outside, Flow50: LogNormal{0.1, 1}}}
	assert.Equal(t, []int{3, 2, 0, 1, 4}, m.HoldOrder())
}

// The same model in another order has the same unknowns in the same places.
func TestUnknownsKeepTheirPlaces(t *testing.T) {
	m := testModel(rand.New(rand.NewPCG(14, 4)), 2, 4)
	for i := range m.Spaces {
		m.Spaces[i].Name = strings.Repeat("x", i)
	}
	p, err := compile(m)
	require.NoError(t, err)
	other := *m
	other.Holds = slices.Clone(m.Holds)
	slices.Reverse(other.Holds)
	q, err := compile(&other)
	require.NoError(t, err)
	require.Len(t, q.unknowns, len(p.unknowns))
	for i, u := range p.unknowns {
		assert.Equal(t, u.mean, q.unknowns[i].mean, i)
	}
	for i := range p.terms {
		assert.Equal(t, p.terms[i].read, q.terms[i].read, i)
	}
	for k, i := range p.readings { // readings in the order of the model: hold by hold
		assert.Equal(t, p.terms[i].hold, p.terms[p.readings[max(k-1, 0)]].hold+boolToInt(k > 0 && p.terms[i].kind == houseTerm))
	}
}

func boolToInt(b bool) int {
	if b {
		return 1
	}
	return 0
}
