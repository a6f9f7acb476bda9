package zonal

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbook/units"
)

// sealing is a house before and after its first zone's house side was worked on,
// with the same fan; the true falls, of the fan and of each path, and what closing
// that path for good would bring.
type sealing struct {
	before, after *Model
	fall, drop    float64
	paths         []float64
}

// sealedHouse simulates a house whose house side shrinks by a factor (in the
// logarithm); everything else stays as it was.
func sealedHouse(r *rand.Rand, shrinks float64) sealing {
	build := func() *Model {
		m := families[2].build()
		for i, name := range []string{"house", "outside", "attic"} {
			m.Spaces[i].Name = name
		}
		return m
	}
	before, p, x := family{build: build, narrow: 0.4}.house(r)
	y := append([]float64(nil), x...)
	y[p.size[1]] -= shrinks
	was, is := newProbe(p), newProbe(p)
	was.at(x)
	is.at(y)
	s := sealing{before: before, after: build(), fall: foundFlow(0).value(was, x) - foundFlow(0).value(is, y)}
	s.drop = (&SealPlan{}).drop(nil, []int{1}).value(was, x)
	for i := range before.Paths {
		s.paths = append(s.paths, p.pathFlow(i, Reference).value(was, x)-p.pathFlow(i, Reference).value(is, y))
	}
	q, err := compile(s.after)
	if err != nil {
		panic(err)
	}
	q.simulate(r, y)
	return s
}

func holds(e units.Estimate[units.Flow], v float64) bool {
	return float64(e.Low) <= v && v <= float64(e.High)
}

// Falls are held by their intervals nine times in ten, the house's and each
// leak's, and are known better than from two answers that share nothing: better
// for one calibration, better again for the exponents of what was not sealed.
//
// Measured with HOLDBOOK_HOUSES=200: the house's fall is held in 182, what came less
// what was promised in 186, the fall of a leak in 541 of 600; with one fan the
// interval of the fall is 112 cfm wide where two separate answers give 261.
func TestCompare(t *testing.T) {
	long(t)
	n := houses(25)
	r := rand.New(rand.NewPCG(61, 1))
	var held, over, sealed, paths, all int
	var alone, apart, free, named float64
	for range n {
		s := sealedHouse(r, 2)
		c := s.compare(t, CompareOptions{Sealed: []int{1}})
		if holds(c.House.Fall, s.fall) {
			held++
		}
		if holds(c.Promise.Over, s.fall-s.drop) {
			over++
		}
		for i, p := range c.Paths {
			all++
			if holds(p.Fall, s.paths[i]) {
				paths++
			}
		}
		if c.Paths[1].Real && c.Paths[1].Fall.Value > 0 {
			sealed++
		}
		width := func(c *Comparison) float64 { return float64(c.House.Fall.High-c.House.Fall.Low) / float64(n) / cfm }
		named += width(c)
		free += width(s.compare(t, CompareOptions{}))
		apart += width(s.compare(t, CompareOptions{Apart: true}))
		alone += math.Hypot(float64(c.House.Before.High-c.House.Before.Low), float64(c.House.After.High-c.House.After.Low)) / float64(n) / cfm
	}
	t.Logf("of %d houses: fall held %d, what came less the promise %d, sealing seen %d; of %d leaks %d held", n, held, over, sealed, all, paths)
	t.Logf("width of the fall: two answers %.0f cfm, two fans %.0f, one fan %.0f, exponents shared %.0f", alone, apart, free, named)
	slack := 1.2 / math.Sqrt(float64(n))
	assert.InDelta(t, 0.90, float64(held)/float64(n), slack)
	assert.InDelta(t, 0.90, float64(over)/float64(n), slack)
	assert.InDelta(t, 0.90, float64(paths)/float64(all), slack)
	assert.GreaterOrEqual(t, sealed, n/3, "a tight leak sealed can be lost in the noise, most are not")
	assert.Less(t, free, 0.9*apart)
	assert.Less(t, named, 1.02*free)
}

func (s sealing) compare(t *testing.T, o CompareOptions) *Comparison {
	t.Helper()
	c, err := Compare(s.before, s.after, o)
	require.NoError(t, err)
	require.Len(t, c.Paths, 3)
	require.Equal(t, len(o.Sealed) > 0, c.Promise != nil)
	return c
}

// Where nothing was done, a change is seen one time in ten at most, and what was
// promised is missed. Measured with HOLDBOOK_HOUSES=200: seen in 19, missed in 171.
func TestCompareOfLittleDone(t *testing.T) {
	long(t)
	n := houses(20)
	r := rand.New(rand.NewPCG(63, 1))
	seen, short := 0, 0
	for range n {
		if s := sealedHouse(r, 0); s.compare(t, CompareOptions{}).House.Real {
			seen++
		}
		s := sealedHouse(r, 0)
		c := s.compare(t, CompareOptions{Sealed: []int{1}})
		if c.Promise.Over.High < 0 {
			short++
		}
	}
	t.Logf("of %d houses with nothing done: change seen in %d, less than promised in %d", n, seen, short)
	assert.LessOrEqual(t, float64(seen)/float64(n), 0.10+1.2/math.Sqrt(float64(n)))
	assert.GreaterOrEqual(t, short, n/3)
}

// Names match whatever their case and blanks; a hole of known area is taken in
// the air of its own test.
func TestCompareMatches(t *testing.T) {
	r := rand.New(rand.NewPCG(64, 1))
	s := sealedHouse(r, 1)
	s.after.Spaces[2].Name = " ATTIC"
	s.after.Calibrations[0].Name = "Fan"
	s.after.hole(House, zone1, 0.03)
	s.after.Air = 1.3
	m := merge(s.before, s.after, false)
	assert.Len(t, m.model.Spaces, 3)
	assert.Len(t, m.model.Calibrations, 3)
	assert.Equal(t, [][2]int{{0, 3}, {1, 4}, {2, 5}}, m.pairs)
	last := m.model.Openings[len(m.model.Openings)-1]
	assert.InEpsilon(t, sharpFlow(0.03, commonCd, 1.3), sharpFlow(last.Area, commonCd, m.model.Air), 1e-9)
	m = merge(s.before, s.after, true)
	assert.Len(t, m.model.Calibrations, 6)
}

// Two leaks alike are one unknown less; a pair the wrong way round is refused.
func TestAlike(t *testing.T) {
	m := families[4].build()
	p, err := compile(m)
	require.NoError(t, err)
	m.Alike = []Alike{{First: 1, Second: 3}}
	q, err := compile(m)
	require.NoError(t, err)
	assert.Len(t, q.unknowns, len(p.unknowns)-1)
	assert.Equal(t, q.exponent[1], q.exponent[3])
	for _, bad := range [][2]int{{3, 1}, {1, 1}, {-1, 2}, {0, 99}} {
		m.Alike = []Alike{{First: bad[0], Second: bad[1]}}
		_, err := compile(m)
		assert.Error(t, err, bad)
	}
}

func TestCompareRefuses(t *testing.T) {
	r := rand.New(rand.NewPCG(62, 1))
	s := sealedHouse(r, 2)
	for _, sealed := range []int{-1, 3} {
		_, err := Compare(s.before, s.after, CompareOptions{Sealed: []int{sealed}})
		assert.Error(t, err)
	}
	s.after.Holds = nil
	_, err := Compare(s.before, s.after, CompareOptions{})
	assert.Error(t, err)
}
