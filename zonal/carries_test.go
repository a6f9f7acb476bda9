package zonal

import (
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbook/units"
)

// A size rests on a reading where it would be known half as well without it: the same
// model estimated again without the reading says so too.
func TestSizesRestOnUncheckedReadings(t *testing.T) {
	sdOf := func(post *Posterior, path int) float64 {
		at := int(post.problem.size[path])
		return math.Sqrt(post.scores.Covariance.At(at, at))
	}
	some, none := 0, 0
	for _, between := range []float64{0.1, 100} {
		m, _, _ := separate(t, between)
		for h := range m.Holds { // to outside too they would all be checked
			m.Holds[h].Read = slices.DeleteFunc(m.Holds[h].Read, func(r PressureReading) bool { return r.To == Outside })
		}
		m.Holds = m.Holds[:3]
		post, err := Infer(m, Options{CurvatureOnly: true})
		require.NoError(t, err)
		s, err := post.Suspect(Options{CurvatureOnly: true})
		require.NoError(t, err)
		for k, c := range s.Checks {
			left := post.problem.leaveOut(post.scores.X, []int{post.problem.readings[k]})
			require.True(t, left.ok)
			again := &Posterior{problem: left.problem}
			require.NoError(t, again.infer(Options{CurvatureOnly: true}))
			for path := range m.Paths {
				grows := sdOf(again, path) / sdOf(post, path)
				switch {
				case c.Checkable:
					assert.Empty(t, c.Carries)
				case grows > 1.3*carried:
					some++
					assert.Contains(t, c.Carries, path, "reading %d: %g", k, grows)
				case grows < carried/1.3:
					none++
					assert.NotContains(t, c.Carries, path, "reading %d: %g", k, grows)
				}
			}
		}
	}
	assert.NotZero(t, some)
	assert.NotZero(t, none)
}

// A fan flow read once carries the size of the house; read twice it does not.
func TestLoneFlowCarriesTheHouse(t *testing.T) {
	for holds, want := range map[int][]int{1: {0}, 2: nil} {
		m := NewModel()
		_, err := m.Join(House, Outside)
		require.NoError(t, err)
		for range holds {
			m.Holds = append(m.Holds, Hold{House: -50, HouseSD: 0.2, Fan: &FlowReading{Flow: units.Flow(0.5), SDLn: 0.01}})
		}
		post, err := Infer(m, Options{CurvatureOnly: true})
		require.NoError(t, err)
		s, err := post.Suspect(Options{CurvatureOnly: true})
		require.NoError(t, err)
		e, err := post.Estimate()
		require.NoError(t, err)
		for i, r := range e.Readings {
			if r.Kind == FanReading {
				assert.Equal(t, want, s.Checks[i].Carries, "%d holds", holds)
			}
		}
	}
}
