package pressure_test

import (
	"encoding/csv"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbook/pressure"
	"holdbook/units"
)

// enclosure are the 44 steady states of the closed room with one sharp opening: NIST, public
// fire-research data, cold tests of the LLNL enclosure series. Flows are of outdoor air of
// 1.2041 kg/m³.
func enclosure(t *testing.T) (stations []pressure.Station) {
	t.Helper()
	f, err := os.Open(filepath.Join("..", "testdata", "outside", "nist_enclosure.csv"))
	require.NoError(t, err)
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	rows, err := r.ReadAll()
	require.NoError(t, err)
	for _, row := range rows[1:] {
		grams, err1 := strconv.ParseFloat(row[1], 64)
		p, err2 := strconv.ParseFloat(row[2], 64)
		require.NoError(t, err1)
		require.NoError(t, err2)
		stations = append(stations, pressure.Station{Name: row[0], Pressure: units.Pressure(p), Flow: units.Flow(grams / 1000 / 1.2041)})
	}
	require.Len(t, stations, 44)
	return stations
}

// A sharp opening has an exponent of a half, and NIST reads an effective area of 0.018 m² from
// the same data: both lie within the 95 % limits of the regression.
func TestEnclosureOfNIST(t *testing.T) {
	m, err := pressure.FitStandard(enclosure(t))
	require.NoError(t, err)
	n, err := m.Exponent()
	require.NoError(t, err)
	assert.Less(t, float64(n.Low), 0.5)
	assert.Greater(t, float64(n.High), 0.5)
	a, err := pressure.AreaOf(m, pressure.AreaReference{Pressure: 100, Cd: 1}, 1.2041)
	require.NoError(t, err)
	assert.InDelta(t, 0.018, float64(a.Value), 0.0005, "to the last digit that NIST gives")
}

// Tiles of a floor and of a ceiling in series, a data-centre mock-up of the same collection of
// NIST: 3.80 and 12.90 m³/s at 1.74 and 20.9 Pa across the floor, 2.18 and 17.3 Pa across the
// ceiling. Two points give exponents of 0.492 and 0.590, and the ratio of the two that their
// pressures alone tell is that of the power laws within a fifth: seams leak too.
func TestScreensInSeries(t *testing.T) {
	q := [2]float64{3.80, 12.90}
	floor, ceiling := [2]float64{1.74, 20.9}, [2]float64{2.18, 17.3}
	law := func(p [2]float64) (c, n float64) {
		n = math.Log(q[1]/q[0]) / math.Log(p[1]/p[0])
		return q[0] / math.Pow(p[0], n), n
	}
	cf, nf := law(floor)
	cc, nc := law(ceiling)
	assert.InDelta(t, 0.492, nf, 0.0005)
	assert.InDelta(t, 0.590, nc, 0.0005)
	two, err := pressure.FitTwo(pressure.Station{Pressure: units.Pressure(ceiling[0]), Flow: units.Flow(q[0])}, pressure.Station{Pressure: units.Pressure(ceiling[1]), Flow: units.Flow(q[1])}, pressure.Calibration{})
	require.NoError(t, err)
	assert.InDelta(t, 0.590, float64(two.Exponent.Value), 0.0005)
	for i := range q {
		at := math.Sqrt(floor[i] * ceiling[i])
		byLaws := cf * math.Pow(at, nf) / (cc * math.Pow(at, nc))
		byPressures := pressure.FlowRatio(units.Pressure(ceiling[i]), units.Pressure(floor[i]), pressure.DefaultExponent)
		assert.InEpsilon(t, byLaws, byPressures, 0.2)
	}
}

// Ten laboratories tested one house: reproducibility 2.4 % at 50 Pa, one standard deviation
// (Delmotte & Laverge 2011, abstract). A gauge with the usual promises gives 2.5 %.
func TestReproducibilityOfTenLaboratories(t *testing.T) {
	g := pressure.Gauge{Calibration: 0.05}
	assert.InDelta(t, 0.024, g.FanCalibration().SD(), 0.0015)
}
