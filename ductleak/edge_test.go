package ductleak

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbook/internal/fit"
	"holdbook/pressure"
	"holdbook/units"
)

// Interval ends in closed form, and what happens just below, at and just above each
// threshold. Where nothing is named a threshold is judgement or common practice, no
// source.

// Half of the leakage lies inside, within a factor of five nine times in ten, where
// no total test was made: with all else exact the ends of what a residual pressure
// adds are a fifth of its value and five times that.
func TestInsideLeakageUnknown(t *testing.T) {
	test := OnePressureTest{Flow: flow(100, 0), Pressure: pa(25, 0), Residual: pa(0.2, 0), Scaling: exponent(0.6)}
	r, err := test.Evaluate()
	require.NoError(t, err)
	assert.True(t, r.InsideAssumed)
	near(t, "residual", inCFM(r.Residual.Value), 100*math.Pow(0.2/25, 0.6), 1e-9)
	near(t, "ln of the high end", math.Log(float64(r.Residual.High/r.Residual.Value)), math.Log(5), 0.15)
	near(t, "ln of the low end", math.Log(float64(r.Residual.Value/r.Residual.Low)), math.Log(5), 0.15)
}

// Above 0.2 Pa the fan wants trimming; above a fifth of the drive it is no test; and
// the drive must be 5 Pa.
func TestOnePressureThresholds(t *testing.T) {
	at := func(pressure, residual float64) (OnePressureResult, error) {
		return OnePressureTest{Flow: flow(100, 3), Pressure: pa(pressure, 0.1), Residual: pa(residual, 0.05), Scaling: exponent(0.6)}.Evaluate()
	}
	for residual, trim := range map[float64]bool{0.2: false, -0.2: false, 0.201: true, -0.201: true} {
		r, err := at(25, residual)
		require.NoError(t, err)
		assert.Equal(t, trim, r.Trim, residual)
	}
	_, err := at(25, 5)
	assert.NoError(t, err)
	_, err = at(25, 5.01)
	refused(t, err, "residual pressure")
	_, err = at(5, 0)
	assert.NoError(t, err)
	_, err = at(4.99, 0)
	refused(t, err, "leakage to outside")
}

// Half of the plenum pressure is good to 30 % of itself, and to half of what the
// plenum reading is good to.
func TestHalfPlenumSpread(t *testing.T) {
	for _, c := range []struct{ plenum, sd, want float64 }{{60, 0, 9}, {60, 2, math.Hypot(9, 1)}, {10, 20, math.Hypot(1.5, 10)}} {
		p := HalfPlenum(pa(c.plenum, c.sd))
		near(t, "half", p.Value, units.Pressure(c.plenum/2), 1e-12)
		near(t, "sd", p.SD, units.Pressure(c.want), 1e-12)
	}
}

// A draw leaves a duct system that can be: leaks within nothing and 0.95 of the
// air handler's flow, regain within nothing and all, no surface below none.
func TestPlausibleDraws(t *testing.T) {
	for _, c := range []struct{ leak, want units.Flow }{{-0.1, 0}, {0, 0}, {0.5, 0.5}, {0.94, 0.94}, {0.95, 0.95}, {0.96, 0.95}, {3, 0.95}} {
		p := lossPoint{delivery: Delivery{Flow: 1}, natural: -1}
		p.delivery.Supply = DeliverySide{Leakage: c.leak, Regain: 1.2, Surface: -1}
		p.delivery.Return = DeliverySide{Leakage: c.leak, Regain: -0.2, Surface: 2}
		p = p.plausible()
		near(t, "supply", p.delivery.Supply.Leakage, c.want, 1e-12)
		near(t, "return", p.delivery.Return.Leakage, c.want, 1e-12)
		assert.Equal(t, [4]float64{1, 0, 0, 2}, [4]float64{float64(p.delivery.Supply.Regain), float64(p.delivery.Return.Regain),
			float64(p.delivery.Supply.Surface), float64(p.delivery.Return.Surface)})
		assert.Zero(t, p.natural)
	}
}

// Effectiveness with regain is held between 25 and 100 %, and it is said.
func TestCorrectedIsHeld(t *testing.T) {
	for _, c := range []struct{ leak, want float64 }{{0.5, 0.5}, {0.74, 0.26}, {0.76, 0.25}} {
		// no conduction, all at the indoor temperature: what arrives is what is not lost
		d := Delivery{Flow: 1, Output: 20000, Indoor: 294, Air: 1.2}
		d.Supply = DeliverySide{Leakage: units.Flow(c.leak), Resistance: units.ThermalResistance(math.Inf(1)), Ambient: 294}
		d.Return = DeliverySide{Resistance: units.ThermalResistance(math.Inf(1)), Ambient: 294}
		o := lossPoint{delivery: d, equipment: 1}.evaluate()
		near(t, "corrected", o.corrected, c.want, 1e-9)
		assert.Equal(t, c.leak > 0.75, o.limited, c.leak)
	}
}

// The whole leakage passes through the open register while the duct stands within
// 1 Pa of its room; beyond that the flow is a lower bound.
func TestOpenRegisterNearTheRoom(t *testing.T) {
	for ducts, bound := range map[float64]bool{0: false, 0.99: false, 1: false, 1.01: true, 2.9: true} {
		r, err := OpenRegister{Flow: flow(45, 1), House: pa(25, 0.3), Ducts: pa(ducts, 0.1), Scaling: exponent(0.6)}.Evaluate()
		require.NoError(t, err)
		assert.Equal(t, bound, r.LowerBound, "%g Pa", ducts)
	}
}

// A shift of the house counts from 0.5 Pa, and from two of its standard deviations;
// above 10 Pa it is no imbalance of ducts.
func TestShiftThresholds(t *testing.T) {
	for _, c := range []struct {
		shift, sd float64
		resolved  bool
	}{{0.499, 0.1, false}, {0.501, 0.1, true}, {-0.501, 0.1, true}, {1.99, 1 / math.Sqrt2, false}, {2.01, 1 / math.Sqrt2, true}, {-1.99, 1 / math.Sqrt2, false}, {-2.01, 1 / math.Sqrt2, true}} {
		r, err := HouseShift{On: pa(-1+c.shift, c.sd), Off: pa(-1, c.sd), Flow50: Exactly(units.Flow(1)), Exponent: exponent(0.65)}.Evaluate()
		require.NoError(t, err)
		assert.Equal(t, c.resolved, r.Resolved, "%+v", c)
		assert.Equal(t, c.resolved, r.Dominant != Balanced, "%+v", c)
		reach := fit.Z90 * math.Sqrt2 * c.sd // of a difference of two readings
		near(t, "low end", float64(r.Shift.Low), c.shift-reach, 1e-9)
		near(t, "high end", float64(r.Shift.High), c.shift+reach, 1e-9)
	}
	for shift, ok := range map[float64]bool{10: true, -10: true, 10.01: false, -10.01: false} {
		_, err := HouseShift{On: pa(shift, 0), Off: pa(0, 0), Flow50: Exactly(units.Flow(1)), Exponent: exponent(0.65)}.Evaluate()
		assert.Equal(t, ok, err == nil, "%g Pa", shift)
	}
}

// What the air handler moves and the registers do not pass is a leak from two
// standard deviations on, and a contradiction below minus two.
func TestRunningThresholds(t *testing.T) {
	for _, c := range []struct {
		handler                   float64
		resolved, contradicted    bool
		low, high                 float64
		handlerSD, common, placed float64
	}{
		{1199, false, false, 199 - 164.4854, 199 + 164.4854, 100, 0, 0},
		{1201, true, false, 201 - 164.4854, 201 + 164.4854, 100, 0, 0},
		{801, false, false, 0, 0, 100, 0, 0},
		{799, false, true, 0, 0, 100, 0, 0},
		{1100, false, false, 0, 100 + 164.4854, 0, 0.1, 0}, // one error of all readings: a tenth of their sum
		{1199, true, false, 199 - 116.3087, 199 + 116.3087, 0, 0, 0.1},
	} {
		test := RunningTest{AirHandler: flow(c.handler, c.handlerSD), Hood: HoodError{Common: c.common, Each: c.placed}}
		for range 2 {
			test.Registers = append(test.Registers, RunningRegister{Name: "r", Flow: units.Flow(500 * cfm)})
		}
		r, err := test.Evaluate()
		require.NoError(t, err)
		assert.Equal(t, c.resolved, r.Resolved, "%+v", c)
		assert.Equal(t, c.contradicted, r.Contradiction, "%+v", c)
		near(t, "low end", inCFM(r.Leakage.Low), c.low, 1e-3)
		near(t, "high end", inCFM(r.Leakage.High), c.high, 1e-3)
	}
}

// Two answers disagree where the chance of their misfit is under 5 %: 1.96 of the
// standard deviation of their difference (tables of the normal distribution).
func TestDisagreementThreshold(t *testing.T) {
	for apart, agree := range map[float64]bool{1.95: true, 1.97: false} {
		second := 100 * math.Exp(apart*0.1*math.Sqrt2)
		c, err := Combine([]Answer{{Name: "a", Result: logNormal(100, 0.1), Resolved: true}, {Name: "b", Result: logNormal(second, 0.1), Resolved: true}})
		require.NoError(t, err)
		assert.Equal(t, agree, c.Agree, apart)
		assert.Equal(t, []bool{agree, agree}, c.Agrees, apart)
		assert.Equal(t, agree, c.Widened == 1, apart)
	}
}

// Resolved is a factor of six between the ends, the low one above nothing.
func TestResolvedThreshold(t *testing.T) {
	for _, c := range []struct {
		low, high units.Flow
		want      bool
	}{{1, 5.99, true}, {1, 6, true}, {1, 6.01, false}, {0, 1, false}, {-1, 1, false}} {
		assert.Equal(t, c.want, Resolved(units.Estimate[units.Flow]{Value: 1, Low: c.low, High: c.high}), "%+v", c)
	}
}

// The prior's 90 % interval of supply less return, in medians of one side: the
// difference of two log-normal numbers of ln sd 1, integrated here. Each side is
// around 5 % of the air handler's flow, within a factor of five (exp 1.645), and in
// doubt by a further 35 % where that flow is not known.
func TestPriorsOfTheOnOffTest(t *testing.T) {
	above := func(q float64) float64 { // P(e^a − e^b > q), a and b standard normal
		const step = 1e-3
		sum := 0.0
		for b := -8.0; b < 8; b += step {
			sum += step * math.Exp(-b*b/2) / math.Sqrt(2*math.Pi) * 0.5 * math.Erfc(math.Log(q+math.Exp(b))/math.Sqrt2)
		}
		return sum
	}
	near(t, "tail beyond half of the width", above(priorNetWidth/2), 0.05, 3e-4)
	median, sd := OnOffTest{AirHandler: flow(1200, 0)}.priorFlow()
	near(t, "median", median/cfm, 60, 1e-9)
	near(t, "factor of five", math.Exp(fit.Z90*sd), 5, 0.2)
	median, sd = OnOffTest{}.priorFlow()
	near(t, "median, flow not known", median/cfm, 50, 1e-9)
	near(t, "sd, flow not known", sd, math.Hypot(1, 0.35), 1e-3)
	for _, c := range []struct {
		read units.Measured[units.Pressure]
		want float64
	}{{pa(0, 0), 0.5}, {pa(50, 0), 0.1}, {pa(50, 4.9), 0.1}, {pa(50, 10), 0.2}} {
		_, sd := priorPressure(c.read, 40)
		near(t, "operating pressure", sd, c.want, 1e-12)
	}
}

// A side is resolved where its interval is half as wide as its prior's in the
// logarithm, the net where it is half as wide as the prior's.
func TestOnOffJudge(t *testing.T) {
	side := func(ratio float64) units.Estimate[units.Flow] {
		return units.Estimate[units.Flow]{Value: 1, Low: 1, High: units.Flow(ratio)}
	}
	half := math.Exp(fit.Z90)
	width := priorNetWidth / 2 * 50 * cfm
	for _, c := range []struct {
		ratio, net float64
		one        bool
		want       [3]bool
	}{
		{half * 0.999, width * 0.999, false, [3]bool{true, true, true}},
		{half * 1.001, width * 1.001, false, [3]bool{false, false, false}},
		{half * 0.999, width * 0.999, true, [3]bool{false, false, true}},
	} {
		r := OnOffResult{Test: OnOffTest{AirHandler: flow(1000, 0)}, Supply: side(c.ratio), Return: side(c.ratio), OneSided: c.one,
			Net: units.Estimate[units.Flow]{Low: units.Flow(-c.net / 2), High: units.Flow(c.net / 2)}}
		r.judge()
		assert.Equal(t, c.want, [3]bool{r.SupplyResolved, r.ReturnResolved, r.NetResolved}, "%+v", c)
	}
}

// A station counts for its side from 2 Pa on.
func TestStationsOfASide(t *testing.T) {
	for _, c := range []struct {
		low, high units.Pressure
		one       bool
	}{{-2, 2, false}, {-1.99, 2, true}, {-2, 1.99, true}, {5, 10, true}} {
		assert.Equal(t, c.one, OnOffTest{Differences: []Difference{{House: c.low}, {House: c.high}}}.oneSided(), "%+v", c)
	}
}

// The noise of a difference of two fan readings, each good to its repeatability and
// to what wind leaves in the pressure, n·Q/P of it.
func TestNoiseOfADifference(t *testing.T) {
	test := OnOffTest{Differences: []Difference{{House: -20, Envelope: -0.8}, {House: 5, Envelope: 0.3}, {House: 0, Envelope: 0}}}.withDefaults()
	sd := test.noise()
	near(t, "at −20 Pa", sd[0], math.Sqrt(2*(0.008*0.008+math.Pow(0.65*0.8/20*0.4, 2))), 1e-12)
	near(t, "at 5 Pa", sd[1], math.Sqrt(2*(0.003*0.003+math.Pow(0.65*0.3/5*0.4, 2))), 1e-12)
	one := math.Max(0.8/math.Pow(20, 0.65), 0.3/math.Pow(5, 0.65)) // the flow at 1 Pa
	near(t, "at zero", sd[2], math.Sqrt(2)*one*math.Hypot(0.01, 0.65*0.4), 1e-12)
}

// Cover readings: no answer from a zone under 10 Pa from the house, a weak one
// under 15 Pa, clear within two standard deviations of nothing.
func TestCoverThresholds(t *testing.T) {
	at := func(cover, zone float64) (Cover, error) {
		c, err := RankCovers([]CoverReading{{Name: "a", Cover: pa(cover, 0.2), House: pa(50, 0.1), Zone: pa(zone, 0.1)}})
		if err != nil {
			return Cover{}, err
		}
		return c.Each[0], nil
	}
	_, err := at(1, 9.99)
	refused(t, err, "register a")
	for zone, weak := range map[float64]bool{10: true, 14.99: true, 15: false} {
		c, err := at(1, zone)
		require.NoError(t, err)
		assert.Equal(t, weak, c.WeakZone, zone)
	}
	for cover, clear := range map[float64]bool{0.39: true, 0.4: true, 0.41: false} {
		c, err := at(cover, 50)
		require.NoError(t, err)
		assert.Equal(t, clear, c.Clear, cover)
	}
}

// Covering the registers must bring the ducts 5 Pa nearer to outdoors, at 50 Pa.
func TestSubtractionDuctChange(t *testing.T) {
	for open, ok := range map[float64]bool{36.99: true, 37.01: false} {
		s := subtraction(2500, 2300, 42, 0)
		s.Open.Ducts = pa(open, 0.1)
		_, err := s.Evaluate()
		assert.Equal(t, ok, err == nil, open)
	}
}

// A normal error reaches 1.645 of its standard deviations either way.
func TestNormalEnds(t *testing.T) {
	e := pressure.Interval90(units.Measured[units.Flow]{Value: 2, SD: 0.5})
	near(t, "low", e.Low, 2-0.5*1.644854, 1e-6)
	near(t, "high", e.High, 2+0.5*1.644854, 1e-6)
	near(t, "at its high end", at(e, 1.644854), e.High, 1e-6)
	near(t, "at its low end", at(e, -1.644854), e.Low, 1e-6)
}
