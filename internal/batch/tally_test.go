package batch

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbook/internal/fit"
	"holdbook/internal/survey"
	"holdbook/units"
)

func around(v float64, unit units.Unit) *survey.Q {
	return &survey.Q{Value: v, Low: v - 1, High: v + 1, Unit: unit}
}

func limit(t *testing.T, text string) Limit {
	t.Helper()
	l, err := ParseLimit(text)
	require.NoError(t, err)
	return l
}

// 101 houses of 0 to 10 air changes: the quantiles and probabilities can be counted out.
func TestStockOfCountableHouses(t *testing.T) {
	tally := NewTally(units.IP, limit(t, "5 /h"), limit(t, "1500 cfm"))
	for i := range 101 {
		tally.Add(Row{Findings: &survey.Findings{House: survey.House{AirChanges50: around(float64(i)/10, units.PerHour)}}})
	}
	tally.Add(Row{Errors: []string{"x"}})
	s := tally.Stock()
	assert.Equal(t, 102, s.Sheets)
	assert.Equal(t, 1, s.Failed)
	require.Len(t, s.Findings, 1)
	f := s.Findings[0]
	assert.Equal(t, "house.air_changes_50", f.Key)
	assert.Equal(t, 101, f.Houses)
	assert.Zero(t, f.Within)
	for i, want := range []float64{0.5, 2.5, 5, 7.5, 9.5} {
		assert.InDelta(t, want, f.Quantiles[i].Value, 1e-9)
	}
	require.Len(t, s.Limits, 2)
	assert.InDelta(t, 50.0/101, s.Limits[0].Over, 1e-12)
	assert.InDelta(t, 40.0/101, s.Limits[0].Surely, 1e-12) // 6.1 to 10.0, and 6.0 has its low end at 5
	assert.InDelta(t, 20.0/101, s.Limits[0].Close, 1e-12)  // 4.1 to 6.0
	assert.Zero(t, s.Limits[1].Houses)
}

// The share of leakage is a ratio of sums, by kind, of resolved houses only.
func TestStockShares(t *testing.T) {
	house := func(flow float64, unit units.Unit, resolved bool, through ...float64) Row {
		f := &survey.Findings{House: survey.House{Flow50: around(flow, unit)}}
		for _, v := range through {
			f.Zones = append(f.Zones, survey.Zone{Kind: "attic", ThroughFlow50: around(v, unit), Resolved: resolved})
		}
		return Row{Findings: f}
	}
	tally := NewTally(units.IP, limit(t, "zones.attic.share_of_flow_50 = 25 %"))
	tally.Add(house(1000, units.CFM, true, 100, 200))
	tally.Add(house(3000, units.CFM, true, 300))
	tally.Add(house(1000, units.CFM, false, 900))
	s := tally.Stock()
	require.Len(t, s.Leakage, 1)
	assert.Equal(t, 2, s.Leakage[0].Houses)
	assert.InDelta(t, 600.0/4000, s.Leakage[0].Share, 1e-12)
	k := slices.IndexFunc(s.Findings, func(f survey.StockFinding) bool { return f.Key == "zones.attic.share_of_flow_50" })
	require.GreaterOrEqual(t, k, 0)
	assert.Equal(t, 2, s.Findings[k].Houses)
	assert.Equal(t, 1, s.Findings[k].NotResolved)
	assert.InDelta(t, 0.5, s.Limits[0].Over, 1e-12)

	// the same houses in m3/h give the same share
	const m3h = 1.69901082
	other := NewTally(units.IP)
	other.Add(house(1000*m3h, units.CubicMetrePerHour, true, 100*m3h, 200*m3h))
	other.Add(house(3000, units.CFM, true, 300))
	assert.InDelta(t, 600.0/4000, other.Stock().Leakage[0].Share, 1e-6)
}

// Rows of earlier runs come in the units of those: a stock takes them together, in its
// own. A cfm is 1.699011 m3/h (NIST SP 811, 2008, B.8).
func TestStockOfRowsInOtherUnits(t *testing.T) {
	tally := NewTally(units.SI, limit(t, "1500 cfm"))
	for _, q := range []*survey.Q{around(1000, units.CFM), around(3000, units.CubicMetrePerHour), {Value: 1, Low: 0.9, High: 1.1, Unit: units.CubicMetrePerSecond}} {
		tally.Add(Row{Findings: &survey.Findings{House: survey.House{Flow50: q}}})
	}
	s := tally.Stock()
	require.Len(t, s.Findings, 1)
	assert.Equal(t, 3, s.Findings[0].Houses)
	assert.Equal(t, units.CubicMetrePerHour, s.Findings[0].Unit)
	assert.InEpsilon(t, 3000, s.Findings[0].Quantiles[2].Value, 1e-12, "half of them leak less")
	assert.InEpsilon(t, 1699.011+0.1*(3000-1699.011), s.Findings[0].Quantiles[0].Value, 1e-6)
	assert.Equal(t, units.CubicMetrePerHour, s.Limits[0].Unit)
	assert.InEpsilon(t, 1500*1.699011, s.Limits[0].Limit, 1e-6)
	assert.InDelta(t, 2.0/3, s.Limits[0].Surely, 1e-12)
}

// Beyond what is kept exactly, a quantile is within its stated error, memory is
// bounded, and the order of the values makes no difference.
func TestSpreadBeyondExact(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 8))
	values := make([]float64, 60_000)
	for i := range values {
		values[i] = math.Exp(3*r.NormFloat64()) * []float64{1, 1, -1}[r.IntN(3)]
	}
	var s, backwards distribution
	for i := range values {
		s.add(values[i])
		backwards.add(values[len(values)-1-i])
	}
	s.add(math.NaN())
	s.add(math.Inf(1))
	require.Nil(t, s.values)
	assert.Less(t, len(s.classes), 10_000)
	assert.Equal(t, s.quantiles(probabilities), backwards.quantiles(probabilities))
	slices.Sort(values)
	for i, got := range s.quantiles(probabilities) {
		want := fit.Quantile(values, probabilities[i])
		assert.InEpsilonf(t, want, got, 1.001*s.error(), "%g", probabilities[i])
	}
}

// A class's middle is within the stated error of all values in it.
func TestClasses(t *testing.T) {
	for v := 1e-11; v < 1e11; v *= 1.0371 {
		assert.InEpsilon(t, v, middle(class(v)), within*1.001)
		assert.Equal(t, -class(v), class(-v))
	}
	for _, v := range []float64{0, 1e-13, 5e-324, -5e-324} {
		assert.Zero(t, middle(class(v)))
	}
	assert.InEpsilon(t, largest, middle(class(math.MaxFloat64)), 0.01)
	assert.Equal(t, class(largest), class(1e300))
}

func TestParseLimit(t *testing.T) {
	for text, want := range map[string]string{
		"5 /h":                                   "house.air_changes_50",
		"1500 cfm":                               "house.flow_50",
		"2500 m3/h":                              "house.flow_50",
		"100 in2":                                "house.leak_area_4",
		"ducts.leakage_outside_25=94 cfm":        "ducts.leakage_outside_25",
		"zones.garage.connection_fraction = 0.1": "zones.garage.connection_fraction",
	} {
		l, err := ParseLimit(text)
		require.NoError(t, err, text)
		assert.Equal(t, want, l.Key)
	}
	assert.InDelta(t, 1500*1.69901082, limit(t, "1500 cfm").in(units.CubicMetrePerHour), 1e-4)
	for _, text := range []string{"", "5", "/h", "20 %", "5,5 /h", "NaN /h", "house.flow=3 cfm", "zones.KIND.through_flow_50=3 cfm", "a.b.c=1", "=5 /h", "5 parsecs"} {
		_, err := ParseLimit(text)
		assert.Error(t, err, text)
	}
}

func BenchmarkTally(b *testing.B) {
	tally := NewTally(units.IP)
	for i := range b.N {
		tally.Add(Row{Sheet: fmt.Sprint(i), Findings: &survey.Findings{House: survey.House{Flow50: around(float64(i), units.CFM)}}})
	}
}

// A sheet without a reading is counted, and told from one with a duct test alone.
func TestEmptySheetsAreCounted(t *testing.T) {
	tally := NewTally(units.IP)
	tally.Add(Row{Findings: &survey.Findings{}})
	tally.Add(Row{Findings: &survey.Findings{Ducts: &survey.Ducts{}}})
	tally.Add(Row{Findings: &survey.Findings{Ducts: &survey.Ducts{Tests: []survey.DuctTest{{Name: "total"}}}}})
	tally.Add(Row{Findings: &survey.Findings{Method: survey.Method{Intervals: "sampled"}}})
	assert.Equal(t, 2, tally.Stock().Empty)
	assert.Equal(t, 4, tally.Stock().Sheets)
}

// A share has the ends of its flow through the space: 300 ± 1 of 1000 cfm is surely
// above 29.8 %, too close to call at 29.95 and at 30.05 %, and below 30.2 %.
func TestStockSharesCarryTheirInterval(t *testing.T) {
	var limits []Limit
	for _, percent := range []string{"29.8", "29.95", "30.05", "30.2"} {
		limits = append(limits, limit(t, "zones.attic.share_of_flow_50 = "+percent+" %"))
	}
	tally := NewTally(units.IP, limits...)
	tally.Add(Row{Findings: &survey.Findings{House: survey.House{Flow50: around(1000, units.CFM)},
		Zones: []survey.Zone{{Kind: "attic", ThroughFlow50: around(300, units.CFM), Resolved: true}}}})
	for i, want := range [][3]float64{{1, 1, 0}, {1, 0, 1}, {0, 0, 1}, {0, 0, 0}} {
		got := tally.Stock().Limits[i]
		assert.Equal(t, 1, got.Houses)
		assert.Equal(t, want, [3]float64{got.Over, got.Surely, got.Close}, "%g %s", got.Limit, got.Unit.Symbol())
	}
}
