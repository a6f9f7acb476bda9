package zonal

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbook/units"
)

// leaky is a house alone, held at several pressures with a power law whose fan flows are
// off by so many standard deviations, now up, now down.
func leaky(t *testing.T, off float64) *Model {
	t.Helper()
	m := NewModel()
	_, err := m.Join(House, Outside)
	require.NoError(t, err)
	for i, p := range []units.Pressure{20, 25, 30, 35, 40, 45, 50, 55, 60} {
		q := 0.5 * math.Pow(float64(p)/50, 0.65) * math.Exp(0.01*off*math.Cos(math.Pi*float64(i)))
		m.Holds = append(m.Holds, Hold{House: -p, HouseSD: 0.1, Fan: &FlowReading{Flow: units.Flow(q), SDLn: 0.01}})
	}
	return m
}

// lnWidth is the width of the interval of the flow at 50 Pa, and the factor that widened it.
func lnWidth(t *testing.T, m *Model) (width, factor float64) {
	t.Helper()
	post, err := Infer(m, Options{CurvatureOnly: true})
	require.NoError(t, err)
	post, err = post.Reconciled(Options{CurvatureOnly: true})
	require.NoError(t, err)
	e, err := post.Estimate()
	require.NoError(t, err)
	return math.Log(float64(e.Flow50.High / e.Flow50.Low)), post.Widened()
}

// Readings that contradict each other, none of them alone, make every interval wider by as
// much as they do; readings within their errors leave it as it is.
func TestContradictionsWiden(t *testing.T) {
	plain, factor := lnWidth(t, leaky(t, 1))
	assert.Equal(t, 1.0, factor)
	for _, off := range []float64{4, 8} {
		wide, factor := lnWidth(t, leaky(t, off))
		assert.InEpsilon(t, off, factor, 0.25, "nine flows off by %g of their errors", off)
		assert.InEpsilon(t, factor, wide/plain, 0.1)
	}
	m := leaky(t, 1)
	m.Holds[3].Fan.Flow *= 1.3
	_, factor = lnWidth(t, m)
	assert.Equal(t, 1.0, factor, "one reading is to blame, and is left out")
}

// The judgement of a widened posterior is that of the errors as stated.
func TestWidenedKeepsItsJudgement(t *testing.T) {
	post, err := Infer(leaky(t, 6), Options{CurvatureOnly: true})
	require.NoError(t, err)
	s, err := post.Suspect(Options{CurvatureOnly: true})
	require.NoError(t, err)
	wide, err := post.Reconciled(Options{CurvatureOnly: true})
	require.NoError(t, err)
	again, err := wide.Suspect(Options{})
	require.NoError(t, err)
	assert.Equal(t, s.Misfit, again.Misfit)
	assert.True(t, again.Suspect)
}

// separate is a house with a garage and an attic that the model keeps apart, held as found
// and with the one or the other opened; between is the true flow (cfm at 50 Pa) of a leak
// between the two.
func separate(t *testing.T, between float64) (m *Model, garage, attic SpaceID) {
	t.Helper()
	m = NewModel()
	join := func(a, b SpaceID) int {
		k, err := m.Join(a, b)
		require.NoError(t, err)
		return k
	}
	zone := func(k Kind) SpaceID {
		z, err := m.AddZone(k, string(k))
		require.NoError(t, err)
		join(House, z)
		join(z, Outside)
		return z
	}
	join(House, Outside)
	garage, attic = zone(Garage), zone(Attic)
	last := join(garage, attic)
	toAttic, err := m.AddOpening("hatch", House, attic)
	require.NoError(t, err)
	out, err := m.AddOpening("garage door ajar", garage, Outside)
	require.NoError(t, err)
	for _, opened := range [][]int{nil, {toAttic}, {out}, {toAttic, out}} {
		h := Hold{House: -50, HouseSD: 0.2, Fan: &FlowReading{Flow: 1, SDLn: 0.01}, Opened: opened}
		for _, z := range []SpaceID{garage, attic} {
			for _, to := range []SpaceID{House, Outside} {
				h.Read = append(h.Read, PressureReading{Of: z, To: to, SD: 0.2})
			}
		}
		m.Holds = append(m.Holds, h)
	}
	p, err := compile(m)
	require.NoError(t, err)
	x := p.truth(rand.New(rand.NewPCG(1, 1)), 0)
	x[p.size[last]] = math.Log(units.CFM.ToSI(between))
	p.simulate(rand.New(rand.NewPCG(1, 2)), x)
	m.Paths = m.Paths[:last]
	return m, garage, attic
}

// Where readings do not fit, a boundary that the model lacks is tried, and named if it
// explains them; the answer with it stands beside.
func TestMissingBoundary(t *testing.T) {
	m, garage, attic := separate(t, 600)
	post, err := Infer(m, Options{CurvatureOnly: true})
	require.NoError(t, err)
	s, err := post.Suspect(Options{CurvatureOnly: true})
	require.NoError(t, err)
	require.True(t, s.Suspect)
	require.NotNil(t, s.Missing)
	assert.Equal(t, [2]SpaceID{garage, attic}, [2]SpaceID{s.Missing.A, s.Missing.B})
	assert.Equal(t, []int{-1, -1}, []int{s.Reading, s.Hold}, "no reading is to blame")
	assert.Less(t, s.Missing.Misfit, s.Misfit-boundaryFall)
	size := s.Missing.With.Paths[len(m.Paths)].Flow50
	assert.Less(t, float64(size.Low), units.CFM.ToSI(600))
	assert.Greater(t, float64(size.High), units.CFM.ToSI(600))
	assert.Negative(t, m.PathBetween(garage, attic), "the model is as it was")

	m, _, _ = separate(t, 0.1)
	post, err = Infer(m, Options{CurvatureOnly: true})
	require.NoError(t, err)
	s, err = post.Suspect(Options{CurvatureOnly: true})
	require.NoError(t, err)
	assert.False(t, s.Suspect)
	assert.Nil(t, s.Missing)
}
