package units

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestNumber(t *testing.T) {
	for _, c := range []struct {
		v       float64
		figures int
		want    string
	}{
		{0, 4, "0"}, {math.Copysign(0, -1), 4, "0"}, {1672.2, 4, "1672"}, {123456, 4, "123456"}, {0.5, 4, "0.5"}, {-0.012345, 3, "-0.0123"},
		{1.8134e-5, 4, "1.813e-05"}, {0.00018134, 4, "0.0001813"}, {9.99996, 4, "10"}, {99.96, 3, "100"}, {1e15, 4, "1e+15"},
		{math.NaN(), 4, "?"}, {math.Inf(1), 4, "?"}, {math.Inf(-1), 4, "?"},
	} {
		assert.Equal(t, c.want, Number(c.v, c.figures), "%v, %d", c.v, c.figures)
	}
}

// A difference stands with the decimals it needs, exact numbers with those they have, and
// no number with more than six figures.
func TestCommon(t *testing.T) {
	for _, c := range []struct {
		figures int
		values  []float64
		want    int
	}{
		{3, nil, 0}, {3, []float64{0, math.NaN(), math.Inf(1)}, 0}, {3, []float64{2122.88, 1999.2, 89.17}, 1}, {4, []float64{2122.88, 1999.2, 89.17}, 2},
		{4, []float64{2280, 50}, 0}, {4, []float64{-51.3, -1.2, -50.1}, 1}, {4, []float64{50.1, 1.1, 41.4786}, 2}, {3, []float64{12345}, 0},
		{3, []float64{2122.88, 0.0012345}, 2}, {3, []float64{123456789, 0.5}, 0}, {3, []float64{0.0012345}, 5}, {3, []float64{0.99996}, 2},
	} {
		assert.Equal(t, c.want, Common(c.figures, c.values...), "%d, %v", c.figures, c.values)
	}
}

func TestPut(t *testing.T) {
	assert.Equal(t, "12 in²", Put("12", SquareInch))
	assert.Equal(t, "12 %", Put("12", Percent))
	assert.Equal(t, "12", Put("12", One))
	assert.Equal(t, "12", Put("12", Unit{}))
}

func TestSay(t *testing.T) {
	assert.Equal(t, "the attic is at -0.5 Pa, a share of 0.123, in 2 holds", Say("the %s is at %s, a share of %s, in %d holds", "attic", Pressure(-0.52), Ratio(0.12345), 2))
	assert.Equal(t, "? Pa and ?", Say("%s and %s", Pressure(math.NaN()), Ratio(math.Inf(1))))
}
