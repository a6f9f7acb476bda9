package survey

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// standardOf is one quantity of a standard, of one direction.
func standardOf(t *testing.T, f *Findings, standard, direction, quantity string) *Q {
	t.Helper()
	for _, s := range f.Standards {
		if s.Standard == standard && s.Direction == direction && s.Quantity == quantity {
			return s.Result
		}
	}
	require.Fail(t, "no such quantity", "%s %s %s in %+v", standard, direction, quantity, f.Standards)
	return nil
}

// setA is a depressurised test at 98000 Pa (280.1 m by the U.S. Standard Atmosphere 1976),
// whose quantities were worked out apart from this program, by Roulet 2008 eqs 4.15 and 7.13 to
// 7.21.
func setA() string {
	var b strings.Builder
	b.WriteString("[job]\nunits = \"si\"\n[house]\nvolume = \"350 m3\"\nenvelope_area = \"400 m2\"\nfloor_area = \"140 m2\"\naltitude = \"280.1 m\"\nindoor = \"21 C\"\noutdoor = \"2 C\"\n")
	flows := []float64{1512, 1404, 1306, 1190, 1085, 947, 822, 668}
	for i, p := range []float64{-61.8, -55.4, -49.9, -43.7, -38.2, -31.6, -25.9, -19.4} {
		fmt.Fprintf(&b, "[[hold]]\nbaseline = \"-2.1 Pa\"\nbaseline_after = \"-1.5 Pa\"\nhouse = \"%g Pa\"\nfan = \"%g m3/h\"\n", p, flows[i])
	}
	return b.String()
}

func TestStandardsOfADepressurisedTest(t *testing.T) {
	f := found(t, setA(), Options{CurvatureOnly: true})
	for _, w := range []struct {
		standard, quantity string
		value              float64
	}{
		{e779, "C", 91.4359}, {e779, "n", 0.667446}, {e779, "ELA, 4 Pa", 248.57},
		{iso9972, "q50", 1265.54}, {iso9972, "n50", 3.6158}, {iso9972, "n", 0.667446},
		{iso9972, "qE50", 1265.54 / 400}, {iso9972, "qF50", 1265.54 / 140},
	} {
		q := standardOf(t, f, w.standard, Depressurised, w.quantity)
		assert.InEpsilon(t, w.value, q.Value, 1e-4, "%s %s", w.standard, w.quantity)
		assert.InDelta(t, 95, q.Level, 0, "%s %s", w.standard, w.quantity)
	}
	// the 95 % limits of the same set
	q := standardOf(t, f, iso9972, Depressurised, "q50")
	assert.InDelta(t, 0.00121, q.High/q.Value-1, 1e-5)
	n := standardOf(t, f, e779, Depressurised, "n")
	assert.InDelta(t, 0.002379, n.High-n.Value, 1e-6)
	ela := standardOf(t, f, e779, Depressurised, "ELA, 4 Pa")
	assert.InDelta(t, 0.00534, ela.High/ela.Value-1, 2e-5)
	require.NotNil(t, f.House.FlowPerShell)
	assert.InEpsilon(t, f.House.Flow50.Value/400, f.House.FlowPerShell.Value, 1e-9)
	assert.Nil(t, f.House.Directions, "one direction")
	assert.Equal(t, Depressurised, f.House.MultiPoint.Direction)
}

// Without temperatures nothing is corrected, and each quantity says so.
func TestStandardsWithoutTemperatures(t *testing.T) {
	f := found(t, stationsOf(60, 50, 40, 30, 20), Options{CurvatureOnly: true})
	q := standardOf(t, f, iso9972, Depressurised, "q50")
	within(t, 2000, q.Value, 1e-6, "as tested")
	for _, s := range f.Standards {
		if s.Standard != resnet {
			assert.Equal(t, noCorrection, s.Note)
		}
		assert.NotContains(t, []string{"n50", "qE50", "qF50"}, s.Quantity, "nothing was given to divide by")
	}
}

// A house held both ways has a regression for each direction, the mean of both, and their
// difference with its usual reasons.
func TestBothDirections(t *testing.T) {
	var b strings.Builder
	for _, p := range []float64{60, 50, 40, 30, 20} {
		fmt.Fprintf(&b, "[[hold]]\nhouse = \"-%g Pa\"\nfan = \"%.4f cfm\"\n[[hold]]\nhouse = \"+%g Pa\"\nfan = \"%.4f cfm\"\n",
			p, 2000*math.Pow(p/50, 0.62), p, 2300*math.Pow(p/50, 0.66))
	}
	f := found(t, b.String(), Options{CurvatureOnly: true})
	require.NotNil(t, f.House.Directions)
	d := f.House.Directions
	within(t, 2000, d.Depressurised.Value, 1e-4, "below")
	within(t, 2300, d.Pressurised.Value, 1e-4, "above")
	within(t, 2150, d.Mean.Value, 1e-4, "mean")
	assert.InDelta(t, 15, d.Difference, 1e-3)
	assert.Contains(t, d.Reasons, "common practice, no source")
	require.NotNil(t, f.House.Opposite)
	assert.Equal(t, []string{Depressurised, Pressurised}, []string{f.House.MultiPoint.Direction, f.House.Opposite.Direction})
	within(t, 0.66, f.House.Opposite.Exponent.Value, 1e-4, "each its own exponent")
	within(t, 0.64, standardOf(t, f, e779, MeanOfBoth, "n").Value, 1e-4, "mean of the exponents")
	within(t, 2150, standardOf(t, f, iso9972, MeanOfBoth, "q50").Value, 1e-4, "mean")
	within(t, 2150, standardOf(t, f, resnet, MeanOfBoth, "flow at 50 Pa, one point").Value, 1e-4, "mean")
}

// The scatter of two regressions is independent, a calibration is not.
func TestMeanOfDirections(t *testing.T) {
	a, b := Q{Value: 10, Low: 8, High: 13}, Q{Value: 20, Low: 16, High: 24}
	assert.Equal(t, Q{Value: 15, Low: 12, High: 18.5}, meanOf(a, b))
	a.Level, b.Level = 95, 95
	m := meanOf(a, b)
	assert.InDelta(t, 15-math.Sqrt(20)/2, m.Low, 1e-12)
	assert.InDelta(t, 15+2.5, m.High, 1e-12)
	assert.InDelta(t, 95, m.Level, 0)
	b.Level = 0
	assert.Zero(t, meanOf(a, b).Level)
}
