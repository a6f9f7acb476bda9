package survey

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbook/units"
	"holdbook/zonal"
)

const (
	aloneFound = "[[zone]]\nname = \"attic\"\n[[hold]]\nname = \"first\"\nbaseline = \"0 Pa\"\nhouse = \"-50 Pa\"\nfan = \"2000 cfm\"\nto_house = { attic = \"44 Pa\" }\n"
)

// The others check a fan flow when 15 % is more than twice the reach of their 90 % interval,
// which is √1.15 = 1.0724; a flow that they contradict is not called unchecked.
func TestLoneFanAtItsThreshold(t *testing.T) {
	c := modelled(t, aloneFound)
	e, err := Solve(c, Options{})
	require.NoError(t, err)
	at := -1
	for i, x := range e.Readings {
		if x.Kind == zonal.FanReading {
			at = i
		}
	}
	require.GreaterOrEqual(t, at, 0)
	judged := func(value, high float64) *zonal.Suspicion {
		s := &zonal.Suspicion{Reading: -1, Hold: -1, Checks: make([]zonal.Check, len(e.Readings))}
		s.Checks[at].Expected = zonal.Amount{Flow: true, Estimate: units.Estimate[float64]{Value: value, High: high}}
		return s
	}
	assert.Equal(t, 0, LoneFan(c, e, judged(1, 1.0726)))
	assert.Equal(t, -1, LoneFan(c, e, judged(1, 1.0722)))
	assert.Equal(t, 0, LoneFan(c, e, judged(0, 0)), "the others say nothing of it")
	for _, blame := range []func(*zonal.Suspicion){func(s *zonal.Suspicion) { s.Reading = at }, func(s *zonal.Suspicion) { s.Hold = 0 }} {
		s := judged(1, 2)
		blame(s)
		assert.Equal(t, -1, LoneFan(c, e, s))
	}
}
