package zonal

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// sealedHouse simulates a house before and after its first zone's house side was
// sealed for the most part, with the same fan.
func sealedHouse(r *rand.Rand) (before, after *Model, fall float64) {
	build := func() *Model {
		m := families[2].build()
		for i, name := range []string{"house", "outside", "attic"} {
			m.Spaces[i].Name = name
		}
		return m
	}
	before, p, x := family{build: build, narrow: 0.4}.house(r)
	y := append([]float64(nil), x...)
	y[p.size[1]] -= 2 // of the logarithm: to an eighth
	was, is := newProbe(p), newProbe(p)
	was.at(x)
	is.at(y)
	fall = foundFlow(0).value(was, x) - foundFlow(0).value(is, y)
	after = build()
	q, err := compile(after)
	if err != nil {
		panic(err)
	}
	q.simulate(r, y)
	return before, after, fall
}

// The fall of the house is held by its interval nine times in ten, and is known
// better than the difference of two answers that share nothing.
func TestCompare(t *testing.T) {
	n := houses(25)
	r := rand.New(rand.NewPCG(61, 1))
	held, sealed, narrower := 0, 0, 0
	for range n {
		before, after, fall := sealedHouse(r)
		c, err := Compare(before, after, Options{})
		require.NoError(t, err)
		require.Len(t, c.Paths, 3)
		if float64(c.House.Fall.Low) <= fall && fall <= float64(c.House.Fall.High) {
			held++
		}
		if c.Paths[1].Real && c.Paths[1].Fall.Value > 0 {
			sealed++
		}
		alone := (c.House.Before.High - c.House.Before.Low) + (c.House.After.High - c.House.After.Low)
		if c.House.Fall.High-c.House.Fall.Low < alone {
			narrower++
		}
	}
	t.Logf("fall held %d, sealing seen %d, narrower %d of %d", held, sealed, narrower, n)
	assert.GreaterOrEqual(t, float64(held)/float64(n), 0.75)
	assert.GreaterOrEqual(t, sealed, n/3, "a tight leak sealed can be lost in the noise, most are not")
	assert.GreaterOrEqual(t, narrower, n*9/10)
}

func TestCompareRefuses(t *testing.T) {
	r := rand.New(rand.NewPCG(62, 1))
	before, after, _ := sealedHouse(r)
	after.Holds = nil
	_, err := Compare(before, after, Options{})
	assert.Error(t, err)
}
