package pressure

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"

	"holdbook/units"
)

// The area of a leaf ajar is that of the slot in front and of the triangles at both ends,
// here from the angle it is opened by, and at most that of the leaf.
func TestAjarArea(t *testing.T) {
	for _, leaf := range []Leaf{{0.76, 0.61}, {2.03, 0.81}, {0.56, 0.56}} {
		l, w := float64(leaf.HingeSide), float64(leaf.Width)
		for degrees := 1.0; degrees <= 180; degrees++ {
			angle := degrees * math.Pi / 180
			gap := 2 * w * math.Sin(angle/2)
			triangle := w * w * math.Sin(angle) / 2
			want := math.Min(gap*l+2*triangle, l*w)
			assert.InEpsilon(t, want, float64(good(AjarArea(leaf, units.Length(gap*(1-1e-12))))(t).Value), 1e-6, "%v at %g degrees", leaf, degrees)
		}
	}
	// 4 in at a hatch of 24 by 30 in: 4 × (24 + 30 × √(1 − 1/225)) = 215.7 in²
	inch := units.Length(units.Inch.ToSI(1))
	a := good(AjarArea(Leaf{24 * inch, 30 * inch}, 4*inch))(t)
	assert.InDelta(t, 215.7, a.Value.In(units.SquareInch), 0.05)
}

func TestAjarAreaRefuses(t *testing.T) {
	for _, c := range []struct {
		leaf Leaf
		gap  units.Length
	}{{Leaf{0, 1}, 0.1}, {Leaf{1, -1}, 0.1}, {Leaf{1, 1}, 0}, {Leaf{1, 1}, 2.001}, {Leaf{1, 1}, units.Length(math.NaN())}, {Leaf{units.Length(math.Inf(1)), 1}, 0.1}} {
		_, err := AjarArea(c.leaf, c.gap)
		assert.Error(t, err, c)
	}
	assert.Equal(t, units.Ratio(0.10), AjarHole(0.01).AreaSD)
}
