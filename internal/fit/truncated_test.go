package fit

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/diff/fd"
)

var inf = math.Inf(1)

var truncations = []struct{ mean, sd, low, high float64 }{
	{0.65, 0.06, 0.5, 1}, {0.60, 0.06, 0.5, 1}, {0.52, 0.06, 0.5, 1}, {0, 1, 3, 8}, {0, 1, -9, -4},
	{0, 1, -inf, 1}, {2, 3, -1, inf}, {0, 1, 9, 12}, {5, 2, -inf, inf}, {0, 10, 0, 1},
}

func TestTruncatedNormalDerivatives(t *testing.T) {
	for _, c := range truncations {
		d, err := NewTruncatedNormal(c.mean, c.sd, c.low, c.high)
		require.NoError(t, err)
		for _, u := range []float64{-5, -2, -0.3, 0, 0.7, 2, 5} {
			_, slope, logSlope := d.At(u)
			o := &fd.Settings{Formula: fd.Central, Step: 1e-4}
			num := fd.Derivative(func(u float64) float64 { v, _, _ := d.At(u); return v }, u, o)
			require.InEpsilon(t, slope+1e-9, num+1e-9, 1e-4, "%v at %v", c, u)
			num = fd.Derivative(func(u float64) float64 { _, s, _ := d.At(u); return math.Log(s) }, u, o)
			require.InDelta(t, logSlope, num, 1e-6*(1+math.Abs(num)), "%v at %v", c, u)
		}
	}
}

// The share of probability below the value must be that below u, counted from both ends.
func TestTruncatedNormalProbability(t *testing.T) {
	for _, c := range truncations {
		d, err := NewTruncatedNormal(c.mean, c.sd, c.low, c.high)
		require.NoError(t, err)
		for _, u := range []float64{-6, -3, -1, 0, 1, 3, 6} {
			v, _, _ := d.At(u)
			require.True(t, v >= c.low && v <= c.high)
			z := (v - c.mean) / c.sd
			low, high := (c.low-c.mean)/c.sd, (c.high-c.mean)/c.sd
			below := normalBetween(low, z) / normalBetween(low, high)
			above := normalBetween(z, high) / normalBetween(low, high)
			// Each is good to the digits that the float v has left near its end.
			slack := 4e-16 * (math.Abs(v) + math.Abs(c.mean) + c.sd) / c.sd * (1 + math.Abs(z)) * 20
			require.InDelta(t, normalBelow(u), below, 1e-9*normalBelow(u)+slack, "%v at %v", c, u)
			require.InDelta(t, normalBelow(-u), above, 1e-9*normalBelow(-u)+slack, "%v at %v", c, u)
			require.InDelta(t, u, d.Coordinate(v), 1e-6+slack/math.Exp(-u*u/2), "%v at %v", c, u)
		}
	}
}

// normalBetween is the normal probability from a to b, by Simpson's rule on the density, shifted
// against underflow; ends beyond ten units of the nearer one add nothing.
func normalBetween(a, b float64) float64 {
	a, b = max(a, -12), min(b, 14)
	const n = 4000
	h := (b - a) / n
	sum := 0.0
	for i := 0; i <= n; i++ {
		w := 2.0
		if i%2 == 1 {
			w = 4
		}
		if i == 0 || i == n {
			w = 1
		}
		x := a + float64(i)*h
		sum += w * math.Exp(-x*x/2)
	}
	return sum * h / 3
}

func TestTruncatedNormalExtremes(t *testing.T) {
	for _, c := range truncations {
		d, err := NewTruncatedNormal(c.mean, c.sd, c.low, c.high)
		require.NoError(t, err)
		last := math.Inf(-1)
		for _, u := range []float64{-1e300, -40, -37, -20, 0, 20, 37, 40, 1e300} {
			v, s, l := d.At(u)
			require.True(t, finite(v) && finite(s) && finite(l), "%v at %v: %v %v %v", c, u, v, s, l)
			require.GreaterOrEqual(t, v, last)
			last = v
		}
		require.True(t, finite(d.Coordinate(c.low)) && finite(d.Coordinate(c.high)))
	}
}

func TestTruncatedNormalRefuses(t *testing.T) {
	for _, c := range [][4]float64{{0, 0, 0, 1}, {0, 1, 1, 1}, {0, 1, 2, 1}, {0, 1, 60, 70}, {math.NaN(), 1, 0, 1}, {0, 1, 0, 1e-12}, {0, 1, math.NaN(), 1}} {
		_, err := NewTruncatedNormal(c[0], c[1], c[2], c[3])
		require.Error(t, err, "%v", c)
	}
}

func BenchmarkTruncatedNormal(b *testing.B) {
	d, _ := NewTruncatedNormal(0.65, 0.06, 0.5, 1)
	sum, u := 0.0, -3.0
	for b.Loop() {
		v, s, l := d.At(u)
		sum += v + s + l
		if u += 0.01; u > 3 {
			u = -3
		}
	}
}
