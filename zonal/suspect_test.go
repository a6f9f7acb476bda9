package zonal

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbook/units"
)

// bothWays is a house whose zones are read to the house and to outside in every
// hold, so that each reading can be checked.
func bothWays() *Model {
	m := houseModel(2)
	m.attic(zone1)
	m.garage(zone2)
	hatch := m.opening(House, zone1)
	m.hold(-50, true)
	m.hold(-50, true, hatch)
	m.hold(-30, true)
	for h := range m.Holds {
		for _, z := range []SpaceID{zone1, zone2} {
			m.Holds[h].Read = append(m.Holds[h].Read, PressureReading{Of: z, To: Outside, Pressure: 1, SD: 0.45})
		}
	}
	return m
}

// Good sheets are seldom suspected: the misfit has a 1 % point, and each of some
// twenty readings a 0.1 % one.
func TestGoodSheetsAreNotSuspected(t *testing.T) {
	long(t)
	n := houses(60)
	r := rand.New(rand.NewPCG(31, 1))
	wrong := 0
	for range n {
		m, _, _ := family{build: bothWays, narrow: 0.5}.house(r)
		post, err := Infer(m, Options{})
		require.NoError(t, err)
		s, err := post.Suspect(Options{})
		require.NoError(t, err)
		if s.Suspect {
			wrong++
		}
	}
	t.Logf("%d of %d good sheets suspected", wrong, n)
	assert.LessOrEqual(t, float64(wrong), 1+0.08*float64(n))
}

// A sheet far beyond any good one is judged by few simulated sheets: their limit
// is near that of many, and the sheet as far beyond it.
func TestFewSheetsJudgeAGrossSlip(t *testing.T) {
	long(t)
	r := rand.New(rand.NewPCG(33, 1))
	for range 4 {
		m, _, _ := family{build: bothWays, narrow: 0.3}.house(r)
		m.Holds[0].Read[0].Pressure *= 10
		post, err := Infer(m, Options{CurvatureOnly: true})
		require.NoError(t, err)
		few := (&judge{post, post.problem}).misfitLimit()
		require.Greater(t, post.scores.SumSquares, farAbove*few)
		patient := *post
		patient.scores.SumSquares = few // not far enough above for few sheets
		many := (&judge{&patient, patient.problem}).simulateMisfit(0)
		assert.NotEqual(t, many, few)
		assert.InEpsilon(t, many, few, 0.35)
	}
}

// A slip planted in one reading is found, named and explained.
func TestSlipsAreNamed(t *testing.T) {
	long(t)
	slips := map[string]struct {
		want  Slip
		plant func(m *Model)
		term  int
	}{
		// terms of hold 0: house, fan, attic and garage to the house, both to outside
		"sign":        {SignSlip, func(m *Model) { m.Holds[0].Read[1].Pressure *= -1 }, 3},
		"ten times":   {TenTimes, func(m *Model) { m.Holds[0].Read[0].Pressure *= 10 }, 2},
		"litres":      {LitresSlip, func(m *Model) { m.Holds[1].Fan.Flow *= units.Flow(litresPerFeet) }, -1},
		"wrong tap":   {TapSlip, func(m *Model) { m.Holds[0].Read[0].Pressure += m.Holds[0].House }, 2},
		"other space": {NoSlip, func(m *Model) { m.Holds[2].Read[0].Pressure -= 9 }, -1},
	}
	for name, c := range slips {
		t.Run(name, func(t *testing.T) {
			r := rand.New(rand.NewPCG(32, 2))
			named, right := 0, 0
			const tries = 6
			for range tries {
				m, _, _ := family{build: bothWays, narrow: 0.3}.house(r)
				c.plant(m)
				post, err := Infer(m, Options{})
				require.NoError(t, err)
				s, err := post.Suspect(Options{})
				require.NoError(t, err)
				if s.Reading >= 0 && (c.term < 0 || s.Reading == c.term) {
					named++
					require.NotNil(t, s.Without)
					if s.Slip == c.want {
						right++
					}
				}
			}
			t.Logf("named %d, slip right %d of %d", named, right, tries)
			assert.GreaterOrEqual(t, named, tries*2/3)
			assert.GreaterOrEqual(t, right, tries/2)
		})
	}
}

// A single reading of a zone has nothing to check it by.
func TestLoneReadingCannotBeChecked(t *testing.T) {
	m := houseModel(1)
	m.attic(zone1)
	m.hold(-50, false)
	m.Holds[0].Read[0].Pressure = units.Pressure(44)
	post, err := Infer(m, Options{})
	require.NoError(t, err)
	s, err := post.Suspect(Options{})
	require.NoError(t, err)
	assert.False(t, s.Suspect)
	for _, c := range s.Checks {
		assert.False(t, c.Checkable)
	}
}
