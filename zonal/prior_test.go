package zonal

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbook/units"
)

// The table of priors, written out a second time as the method states it.
func TestSizePriors(t *testing.T) {
	const stated = `house–outside 1500; house–attic 300; attic–outside 2000; house–garage 150; garage–outside 1000; garage–attic 100;
house–crawlspace 250; crawlspace–outside 1500; house–basement 1000; basement–outside 300; house–kneewall 200; kneewall–outside 300;
kneewall–attic 300; house–neighbour 200; neighbour–outside 800; house–room 300; room–outside 100; house–ducts 3000;
ducts–outside 100; ducts–attic 100; ducts–crawlspace 100; ducts–ducts 1500; porch–outside 150; house–other 150; basement–crawlspace 150`
	for _, line := range strings.Split(stated, ";") {
		ends, size, _ := strings.Cut(strings.TrimSpace(line), " ")
		a, b, _ := strings.Cut(ends, "–")
		for _, p := range []LogNormal{SizePrior(Kind(a), Kind(b)), SizePrior(Kind(b), Kind(a))} {
			want, err := units.ParseFlow(size + " cfm")
			require.NoError(t, err)
			assert.InDelta(t, float64(want), float64(p.Median), 1e-12, ends)
			assert.InDelta(t, 1.5, p.SDLn, 0, ends)
		}
	}
}

// A kind that the table does not have is taken as any other; a new one is one row.
func TestKindsAreRows(t *testing.T) {
	const sunroom Kind = "sunroom"
	assert.False(t, sunroom.IsZone())
	assert.Equal(t, SizePrior(HouseKind, Other), SizePrior(HouseKind, sunroom))

	before := kinds
	t.Cleanup(func() { kinds = before })
	kinds = append(kinds[:len(kinds):len(kinds)], kindRow{kind: sunroom, house: 400, zones: map[Kind]float64{Attic: 60}, vented: true, inside: true})
	assert.Contains(t, Kinds(), sunroom)
	assert.True(t, sunroom.IsZone() && sunroom.Vented() && sunroom.MeantInside())
	assert.InDelta(t, 400, float64(SizePrior(sunroom, HouseKind).Median)/cfm, 1e-9)
	assert.InDelta(t, 60, float64(SizePrior(Attic, sunroom).Median)/cfm, 1e-9)
	assert.Equal(t, Normal{ventMean, exponentSD}, ExponentPrior(sunroom, OutsideKind, true))
	m := NewModel()
	z, err := m.AddZone(sunroom, "south room")
	require.NoError(t, err)
	assert.Equal(t, Space{Name: "south room", Kind: sunroom, Vented: true}, m.Spaces[z])
	assert.Len(t, m.Paths, 3)
}

// What cannot be added is refused by name, and leaves nothing behind.
func TestBuildRefuses(t *testing.T) {
	m := NewModel()
	attic, err := m.AddZone(Attic, "North  attic")
	require.NoError(t, err)
	before := *m
	for want, call := range map[string]func() error{
		`zone "n": no zone can be of the kind "house"`: func() error { _, err := m.AddZone(HouseKind, "n"); return err },
		`zone "n": no zone can be of the kind "loft"`:  func() error { _, err := m.AddZone("loft", "n"); return err },
		"has no name": func() error { _, err := m.AddZone(Garage, " "); return err },
		`zone "north attic": a space of that name exists`:   func() error { _, err := m.AddZone(Attic, "north attic"); return err },
		`zone "House": a space of that name exists`:         func() error { _, err := m.AddZone(Attic, "House"); return err },
		"a leak: space 9 does not exist; there are 3":       func() error { _, err := m.Join(attic, 9); return err },
		"a leak: space -1 does not exist; there are 3":      func() error { _, err := m.Join(-1, attic); return err },
		"a leak: it joins North  attic to itself":           func() error { _, err := m.Join(attic, attic); return err },
		`opening "hatch": space 4 does not exist`:           func() error { _, err := m.AddOpening("hatch", 4, House); return err },
		`hole "slot": it joins house to itself`:             func() error { _, err := m.AddHole("slot", House, House, 1); return err },
		`hole "slot": its area must be positive and finite`: func() error { _, err := m.AddHole("slot", House, attic, -1); return err },
		`start from NewModel`:                               func() error { _, err := new(Model).AddZone(Attic, "attic"); return err },
	} {
		require.ErrorContains(t, call(), want)
	}
	assert.Equal(t, before, *m, "what was refused left nothing behind")
	i, err := m.Join(Outside, attic)
	require.NoError(t, err)
	assert.Equal(t, 2, i, "joined already")
	assert.Equal(t, Path{A: attic, B: Outside, Flow50: SizePrior(Attic, OutsideKind), Exponent: Normal{ventMean, exponentSD}}, m.Paths[2])
}
