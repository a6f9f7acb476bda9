package zonal

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbook/units"
)

// manyHolds is a house alone, held n times about 50 Pa, its fan read with an error.
func manyHolds(n int, slip int) *Model {
	m := &Model{Spaces: make([]Space, 2), Air: 1.2041, Calibrations: []Calibration{{"fan", 0.02}}}
	m.Paths = []Path{{A: House, B: Outside, Flow50: LogNormal{1500 * cfm, 1.5}, Exponent: Normal{0.65, 0.06}}}
	r := rand.New(rand.NewPCG(11, 12))
	for k := range n {
		p := 25 + 30*float64(k)/float64(n)
		q := 1800 * cfm * math.Pow(p/50, 0.62) * math.Exp(0.01*r.NormFloat64())
		if k == slip {
			q *= 3
		}
		m.Holds = append(m.Holds, Hold{House: units.Pressure(-p + 0.3*r.NormFloat64()), HouseSD: 0.3,
			Fan: &FlowReading{Flow: units.Flow(q), SDLn: 0.01, Cal: []int{0}}})
	}
	return m
}

func curved(t *testing.T, m *Model) *Posterior {
	t.Helper()
	post, err := Infer(m, Options{CurvatureOnly: true})
	require.NoError(t, err)
	return post
}

// A step from the mode with all readings puts the mode without one where seeking it anew
// does, in a house that is nearly linear: the residuals, what is expected, and what is left.
func TestLeaveOutByAStepAgreesWithSeekingAnew(t *testing.T) {
	post := curved(t, manyHolds(8, -1))
	p := post.problem
	require.False(t, p.heavy())
	anew, step := (&judge{post, post.problem}).leaveOut(p.eachTerm()), (&judge{post, post.problem}).leaveOutByAStep(p.eachTerm())
	for i := range anew {
		require.True(t, anew[i].ok && step[i].ok)
		assert.InDelta(t, anew[i].residual, step[i].residual, 0.02*(1+math.Abs(anew[i].residual)), i)
		assert.InEpsilon(t, 1+anew[i].variance, 1+step[i].variance, 0.08, i)
		assert.InDelta(t, anew[i].sumSquares, step[i].sumSquares, 0.05, i)
	}
	sets := [][]int{p.holds[0].terms, p.holds[5].terms}
	anew, step = (&judge{post, post.problem}).leaveOut(sets), (&judge{post, post.problem}).leaveOutByAStep(sets)
	for k := range sets {
		assert.InDelta(t, anew[k].sumSquares, step[k].sumSquares, 0.05, k)
	}
}

// The work is bounded: from some size on a step stands for the search, and a slip in one
// of many readings is found all the same.
func TestHeavySheetsAreJudgedByAStep(t *testing.T) {
	light, heavy := 0, 0
	for n := 10; heavy == 0; n++ { // 2n readings, n + 3 unknowns
		p, err := compile(manyHolds(n, -1))
		require.NoError(t, err)
		require.Equal(t, n+3, len(p.unknowns))
		if work := 2 * n * (n + 3) * (n + 3); p.heavy() {
			heavy = n
			assert.Greater(t, work, 200000)
		} else {
			light = n
			assert.LessOrEqual(t, work, 200000)
		}
	}
	assert.Equal(t, heavy-1, light)
	for _, n := range []int{light, heavy, 120} {
		s, err := curved(t, manyHolds(n, 7)).Suspect(Options{CurvatureOnly: true})
		require.NoError(t, err)
		require.True(t, s.Suspect)
		assert.Equal(t, 7, s.Hold, "a house pressure five times as large explains the flow of the eighth hold as well")
		good, err := curved(t, manyHolds(n, -1)).Suspect(Options{CurvatureOnly: true})
		require.NoError(t, err)
		assert.False(t, good.Suspect)
	}
}

// Sampling ends after as many draws as it may make, and says when they are too few.
func TestMostDraws(t *testing.T) {
	m := testModel(rand.New(rand.NewPCG(3, 4)), 2, 3)
	post, err := Infer(m, Options{MostDraws: 90})
	require.NoError(t, err)
	assert.LessOrEqual(t, len(post.draws), 90)
	assert.True(t, post.sampler.Early(), post.sampler)
	post, err = Infer(m, Options{})
	require.NoError(t, err)
	assert.Greater(t, len(post.draws), 90)
	assert.False(t, post.sampler.Early(), post.sampler)
}
