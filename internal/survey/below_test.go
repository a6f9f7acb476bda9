package survey

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbook/internal/testkit"
	"holdbook/zonal"
)

// The direction of a test is that of most of its holds, whichever was read first; where
// neither has the most it is the job's.
func TestDirectionOfATest(t *testing.T) {
	hold := func(house string) string { return "[[hold]]\nbaseline = \"0 Pa\"\nhouse = \"" + house + " Pa\"\n" }
	for _, c := range []struct {
		text, want string
	}{
		{hold("-50"), "depressurised"}, {hold("+50"), "pressurised"},
		{hold("+50") + hold("-50") + hold("-25"), "depressurised"},
		{hold("-50") + hold("+50") + hold("+25"), "pressurised"},
		{hold("+50") + hold("-50"), "depressurised"}, {hold("-50") + hold("+50"), "depressurised"},
		{hold("+50") + hold("50") + hold("25"), "depressurised"},
		{hold("0") + hold("+50"), "pressurised"},
		{"[job]\nhold = \"pressurised\"\n", "pressurised"},
	} {
		s := testkit.Sheet(t, c.text)
		assert.Equal(t, c.want, jobOf(&Case{Sheet: s}).Hold, c.text)
	}
}

// What the others say of a reading stays with it where one before it has no prediction
// that can be shown, and it is still the one that is named.
func TestReadingWithoutAPrediction(t *testing.T) {
	c := modelled(t, aloneFound)
	e, err := Solve(c, Options{CurvatureOnly: true})
	require.NoError(t, err)
	last := len(e.Readings) - 1 - 1 // behind it stands the baseline
	require.Positive(t, last)
	require.Equal(t, zonal.ZoneReading, e.Readings[last].Kind)
	s := &zonal.Suspicion{Suspect: true, Reading: last, Hold: -1, Checks: make([]zonal.Check, last+2)}
	for i := range s.Checks {
		s.Checks[i] = zonal.Check{Reading: i, Checkable: i != last}
	}
	for _, blank := range []bool{false, true} {
		if blank {
			e.Readings[0].Predicted.High = math.Inf(1)
		}
		list := readingFindings(c, e, s)
		if blank {
			require.Len(t, list, last+1)
		} else {
			require.Len(t, list, last+2)
		}
		for _, x := range list {
			assert.Equal(t, x.Of != "attic", x.Checkable, "%+v", x)
		}
		suspects, _ := suspectFindings(c, e, s, NewLog(false))
		require.Len(t, suspects, 1)
		assert.Equal(t, [3]string{"first", "attic", "house"}, [3]string{suspects[0].Hold, suspects[0].Of, suspects[0].To})
	}
}
