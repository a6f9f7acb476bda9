package zonal

import (
	"math"

	"holdbook/units"
)

// level is a height in a house: storeys of the height of the house, and metres.
type level struct{ house, metres float64 }

func (l level) in(height float64) float64 { return l.house*height + l.metres }

// StoreyHeight is what a storey is taken for whose height is not known, m. Judgement.
const StoreyHeight units.Length = 2.6

// Where things stand whose place is not known, m. Judgement, not published.
const (
	doorCrossing   = 1.0  // of a hose through a door or a window
	zoneHeightSD   = 0.6  // of a leak between a zone and outdoors, or between zones
	insideHeightSD = 0.35 // of a leak between the house and a zone
	leastHouseSD   = 0.5  // of the leaks of the house to outdoors, with
	houseSDShare   = 0.12 // of its height
)

// Stand puts every space and leak where spaces of their kinds usually lie in a house of
// a height: where hoses cross, how warm the air is, and how high leaks lie. What is known
// better is set afterwards. Judgement, not published; tried on simulated houses whose
// leaks lie elsewhere.
func (m *Model) Stand(height units.Length) {
	h := float64(height)
	for i := range m.Spaces {
		row := m.Spaces[i].Kind.row()
		m.Spaces[i].Crossing, m.Spaces[i].Warmth = row.crossing.in(h), row.warmth
	}
	for i := range m.Paths {
		p := &m.Paths[i]
		p.Height, p.HeightSD = m.placed(p.A, p.B, h)
	}
}

// placed is the height of a leak between two spaces, with its standard deviation.
func (m *Model) placed(a, b SpaceID, height float64) (at, sd float64) {
	a, b = outwards(a, b)
	from, to := m.Spaces[a].Kind.row(), m.Spaces[b].Kind.row()
	switch {
	case a == House && b == Outside:
		return height / 2, math.Hypot(leastHouseSD, houseSDShare*height)
	case a == House:
		return to.toHouse.in(height), insideHeightSD
	case b == Outside:
		return from.toOutside.in(height), zoneHeightSD
	}
	return math.Min(height, math.Max(m.Spaces[a].Crossing, m.Spaces[b].Crossing)), zoneHeightSD
}

// What is taken of the stack where temperatures were not read, and how far those read
// in one place stand for a house. Judgement, not published.
const (
	stackShareSD   = 0.05 // of the stack, both temperatures known
	unknownStackSD = 0.60 // Pa/m, neither: 15 K either way
	gaugeZeroSD    = 0.2  // Pa
)

// StackOf is the stack of a house between two densities of air, good to 5 %.
func StackOf(indoor, outdoor units.Density) Normal {
	tau := float64(outdoor-indoor) * units.Gravity
	return Normal{tau, stackShareSD * math.Abs(tau)}
}

// UnknownStack is what is taken of it where no temperature was read.
func UnknownStack() Normal { return Normal{0, unknownStackSD} }

// UsualZero is the standard deviation of the zero of a gauge.
func UsualZero() units.Pressure { return gaugeZeroSD }
