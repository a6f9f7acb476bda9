package ductleak

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbook/units"
)

// What is refused or doubted, just within and just beyond each guard. All judgement.

// A cover reading below zero, or above what could drive it, by more than three
// standard deviations is no reading.
func TestCoverGuards(t *testing.T) {
	for cover, ok := range map[float64]bool{-0.59: true, -0.61: false, 50.89: true, 50.91: false} {
		_, err := RankCovers([]CoverReading{{Name: "a", Cover: pa(cover, 0.2), House: pa(50, 0.1)}})
		assert.Equal(t, ok, err == nil, "%g Pa", cover)
	}
}

// The same of the subtraction: covered ducts above the hold, open ones below zero.
func TestSubtractionGuards(t *testing.T) {
	at := func(covered, open float64) error {
		s := subtraction(2500, 2300, 42, 0)
		s.Covered.House, s.Covered.Ducts, s.Open.Ducts = pa(50, 0.1), pa(covered, 0.2), pa(open, 0.2)
		_, err := s.Evaluate()
		return err
	}
	for covered, ok := range map[float64]bool{9.99: false, 10.01: true, 50.89: true, 50.91: false} {
		assert.Equal(t, ok, at(covered, 0) == nil, "%g Pa covered", covered)
	}
	assert.ErrorContains(t, at(42, -0.61), "below zero")
	if err := at(42, -0.59); err != nil {
		assert.NotContains(t, err.Error(), "give the magnitude")
	}
}

// A room behind its door stands within 60 Pa.
func TestRoomGuard(t *testing.T) {
	for p, ok := range map[float64]bool{60: true, -60: true, 60.1: false, -60.1: false} {
		_, err := RoomReading{Name: "a", Pressure: pa(p, 0.3), Limit: 3}.Evaluate(1.2)
		assert.Equal(t, ok, err == nil, "%g Pa", p)
	}
}

// An air handler runs no longer than a leap year has seconds.
func TestLongestRunTime(t *testing.T) {
	r, err := DistributionEfficiency(lossCase(150, 90, 0))
	require.NoError(t, err)
	for seconds, ok := range map[float64]bool{366 * 86400: true, 366*86400 + 1: false} {
		_, err := r.Year(YearInput{RunTime: Exactly(units.Time(seconds)), Output: Exactly(units.Power(1)), Efficiency: Exactly(units.Ratio(0.8)), Price: 1})
		assert.Equal(t, ok, err == nil, "%g s", seconds)
	}
}

// Return leaks from a space warmer than the house bring more than the furnace gave:
// effectiveness with regain is held at 100 %, and it is said.
func TestCorrectedIsHeldFromAbove(t *testing.T) {
	for ambient, limited := range map[units.Temperature]bool{293: false, 320: true} {
		d := Delivery{Flow: 1, Output: 20000, Indoor: 294, Air: 1.2}
		d.Supply = DeliverySide{Resistance: units.ThermalResistance(math.Inf(1)), Ambient: 294}
		d.Return = DeliverySide{Leakage: 0.2, Resistance: units.ThermalResistance(math.Inf(1)), Ambient: ambient}
		o := lossPoint{delivery: d, equipment: 1}.evaluate()
		assert.Equal(t, limited, o.limited, "%g K", float64(ambient))
		assert.LessOrEqual(t, o.corrected, 1.0)
		assert.Equal(t, limited, o.corrected == 1, "%g K", float64(ambient))
	}
}

// Inputs and results outside what is commonly met are doubted: leaks above 35 % of
// the air handler's flow, an effectiveness outside 45 to 97 %, a temperature rise
// outside 25 to 80 °F.
func TestDoubtsOfLosses(t *testing.T) {
	usual := func() LossResult {
		r := LossResult{SupplyFraction: Exactly(units.Ratio(0.1)), ReturnFraction: Exactly(units.Ratio(0.1)), Effectiveness: Exactly(units.Ratio(0.8))}
		r.Point.Rise = 30
		return r
	}
	in := LossInput{Output: Exactly(units.Power(1))}
	assert.Empty(t, in.doubts(usual()))
	const degree = 5.0 / 9
	for _, c := range []struct {
		part           string
		set            func(*LossResult, float64)
		within, beyond []float64
	}{
		{"supply leakage", func(r *LossResult, v float64) { r.SupplyFraction.Value = units.Ratio(v) }, []float64{0, 0.35}, []float64{0.351}},
		{"return leakage", func(r *LossResult, v float64) { r.ReturnFraction.Value = units.Ratio(v) }, []float64{0, 0.35}, []float64{0.351}},
		{"delivery effectiveness", func(r *LossResult, v float64) { r.Effectiveness.Value = units.Ratio(v) }, []float64{0.45, 0.97}, []float64{0.449, 0.971}},
		{"temperature rise", func(r *LossResult, v float64) { r.Point.Rise = units.TemperatureDifference(v) }, []float64{25.01 * degree, 79.99 * degree}, []float64{24.9 * degree, 80.1 * degree}},
	} {
		for _, v := range c.within {
			r := usual()
			c.set(&r, v)
			assert.Empty(t, in.doubts(r), "%s %g", c.part, v)
		}
		for _, v := range c.beyond {
			r := usual()
			c.set(&r, v)
			assert.Contains(t, strings.Join(in.doubts(r), ";"), c.part, v)
		}
	}
	limited := usual()
	limited.Limited = true
	assert.Len(t, in.doubts(limited), 1)
}

// Operating pressures are looked for from 5 Pa up to 1000 Pa at most.
func TestScanGuards(t *testing.T) {
	for _, c := range []struct {
		supply, back units.Pressure
		ok           bool
	}{{5, 60, true}, {4.9, 60, false}, {60, 5, true}, {60, 4.9, false}, {1000, 5, true}, {1001, 5, false}, {5, 1000, true}, {5, 1001, false}} {
		_, err := ScanPressures(tenPoints(true), c.supply, c.back, 0.6)
		assert.Equal(t, c.ok, err == nil, "%+v", c)
	}
}

// Stations of the on/off test lie within 100 Pa, one at least 2 Pa from zero, and the
// air handler changes no flow by more than its own.
func TestOnOffGuards(t *testing.T) {
	for _, c := range []struct {
		near, far, change units.Pressure
		ok                bool
	}{{-5, 100, 1, true}, {-5, 100.1, 1, false}, {-1, 2, 1, true}, {-1, 1.99, 1, false}, {-5, 5, 999, true}, {-5, 5, 1001, false}} {
		test := OnOffTest{AirHandler: flow(1000, 0), Differences: []Difference{
			{House: c.near, Envelope: -1, Flow: units.Flow(float64(c.change) * cfm)}, {House: c.far, Envelope: 1}}}.withDefaults()
		assert.Equal(t, c.ok, test.check() == nil, "%+v", c)
	}
}

// What is known of ducts before the test: leaks under 40 Pa on the supply side and
// 60 Pa on the return side, exponents of 0.60 ± 0.05, and none beyond 0.4 to 0.8.
func TestPriorsOfDuctPressures(t *testing.T) {
	m := OnOffTest{AirHandler: flow(1000, 0), Differences: []Difference{{House: -5, Envelope: -1}, {House: 5, Envelope: 1}}}.withDefaults().model()
	near(t, "supply", math.Exp(m.mean[iSupplyPressure]), 40, 1e-9)
	near(t, "return", math.Exp(m.mean[iReturnPressure]), 60, 1e-9)
	for _, i := range []int{iSupplyExponent, iReturnExponent} {
		near(t, "exponent", m.mean[i], 0.60, 1e-12)
		near(t, "its sd", m.spread[i], 0.05, 1e-12)
		near(t, "least", m.mean[i]-mostBend*m.spread[i], 0.4, 1e-9)
		near(t, "most", m.mean[i]+mostBend*m.spread[i], 0.8, 1e-9)
	}
}

// What no leak or flow can be is refused, not answered with no number.
func TestNoNumberIsRefused(t *testing.T) {
	for _, n := range []units.Ratio{units.Ratio(math.NaN()), 0, -1, 0.49, 1.01} {
		_, err := DuctPressureCorrection(50, 1, 45, n)
		assert.ErrorContains(t, err, "exponent", "n = %v", n)
		_, err = FitKnownPressures([]Difference{{House: -25, Flow: 1}, {House: 25, Flow: 1}}, 30, 30, n)
		assert.ErrorContains(t, err, "exponent", "n = %v", n)
	}
	for _, n := range []units.Ratio{0.5, 1} {
		_, err := DuctPressureCorrection(50, 1, 45, n)
		assert.NoError(t, err)
	}
	_, err := DuctPressureCorrection(units.Pressure(math.Inf(1)), 1, 45, 0.6)
	assert.Error(t, err)
	_, err = PerArea(units.Estimate[units.Flow]{Value: units.Flow(math.NaN()), Low: 1, High: 2}, 100)
	assert.Error(t, err)
}
