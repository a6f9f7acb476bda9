package zonal

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbook/units"
)

// A hole from a zone to outdoors is right where it leaves 3 Pa between the two. In a
// house known exactly the hole that brings the zone to p passes what flows in from the
// house less what the zone's own outer leaks pass, 600·(p/50)^0.65 and
// 600·((50−p)/50)^0.65 in cfm with the house at 50 Pa (continuity); its area follows
// from Q = Cd·A·√(2Δp/ρ), Cd 0.60 of a sharp edge.
func TestHoleToOutsideLeavesEnough(t *testing.T) {
	m := &Model{Spaces: make([]Space, 3), Air: 1.204, Holds: []Hold{{House: -50, HouseSD: 1e-4}}}
	for _, l := range []leak{{House, zone1, 600, 0.65}, {zone1, Outside, 600, 0.65}, {House, Outside, 1350, 0.65}} {
		m.Paths = append(m.Paths, Path{A: l.a, B: l.b, Flow50: LogNormal{units.Flow(l.size * cfm), 0}, Exponent: Normal{l.n, 0}})
	}
	post := solved(t, m).Posterior
	area := func(p float64) units.Area {
		hole := 600*math.Pow(p/50, 0.65) - 600*math.Pow((50-p)/50, 0.65)
		return units.Area(hole * cfm / (0.60 * math.Sqrt(2*(50-p)/1.204)))
	}
	// equal leaks on either side leave the zone at 25 Pa as found
	for p, right := range map[float64]float64{32.9: 0, 33.1: 1, 46.9: 1, 47.1: 0} {
		h, err := post.HoleFor(zone1, Outside, []units.Area{area(p)})
		require.NoError(t, err)
		assert.InDelta(t, right, h.Chance, 1e-9, "%g Pa", p)
		assert.InDelta(t, p, float64(h.ToHouse.Value), 0.01)
	}
}
