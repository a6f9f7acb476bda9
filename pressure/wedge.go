package pressure

import (
	"cmp"
	"math"

	"holdbook/units"
)

// wedgeSD is the relative standard deviation of the area of a leaf ajar: its gap is read
// with a tape, and air turns a corner at the hinge. Judgement, not published.
const wedgeSD = 0.10

// Leaf is a hatch or a door: the length of its hinge side, and its width from the hinge to
// the free edge.
type Leaf struct{ HingeSide, Width units.Length }

// AjarArea is the area that a leaf leaves open where it stands ajar by a gap, measured
// straight from the free edge to where it shuts: the slot in front, gap by hinge side, and
// the two triangles at its ends; at most the leaf itself. Source: plane geometry.
func AjarArea(leaf Leaf, gap units.Length) (Computed[units.Area], error) {
	l, w, g := float64(leaf.HingeSide), float64(leaf.Width), float64(gap)
	err := cmp.Or(needPositive("the hinge side of the leaf", l), needPositive("the width of the leaf", w), needPositive("the gap", g))
	if err == nil && g > 2*w {
		err = &Fault{What: "the gap is more than twice the width of the leaf", Why: "no leaf opens so far", Do: "measure both again"}
	}
	if err != nil {
		return Computed[units.Area]{}, err
	}
	return compute[units.Area](math.Min(g*(l+w*math.Sqrt(1-g*g/(4*w*w))), l*w),
		formula("A = {g}·({L} + {W}·√(1 - ({g}/(2·{W}))²)), at most {L}·{W}", "plane geometry", asSquare, asArea),
		term{"g", g, asMetre}, term{"L", l, asMetre}, term{"W", w, asMetre})
}

// AjarHole is a leaf ajar as a hole: its area within 10 % (one standard deviation,
// judgement), with SharpCd.
func AjarHole(a units.Area) Hole {
	return Hole{Area: a, AreaSD: wedgeSD, Cd: SharpCd, CdSD: SharpCdSD}
}
