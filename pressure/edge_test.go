package pressure

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbook/units"
)

// Interval ends in closed form, and both sides of each threshold. Where nothing is
// named a threshold is judgement or common practice, no source.

// A baseline above 5 Pa, or one that moved by more than 2 Pa, is spoken of.
func TestBaselineThresholds(t *testing.T) {
	for _, c := range []struct {
		before, after units.Pressure
		warnings      int
	}{{5, 5, 0}, {-5, -5, 0}, {5.01, 5.01, 1}, {-5.01, -5.01, 1}, {1, 3, 0}, {1, 3.01, 1}, {3.01, 1, 1}, {5, 8, 2}} {
		b, err := TwoBaselines(c.before, c.after)
		require.NoError(t, err)
		assert.Len(t, b.Warnings(), c.warnings, "%+v", c)
	}
}

// A baseline anywhere between two readings with equal chance has the standard
// deviation of a uniform distribution, their distance over √12; a zone whose own
// was not read lies anywhere between none and the house's.
func TestBaselineSpreads(t *testing.T) {
	b, err := TwoBaselines(-1, 3)
	require.NoError(t, err)
	near(t, "mean", float64(b.Mean), 1, 1e-12)
	near(t, "drift", float64(b.Drift), 4/math.Sqrt(12), 1e-12)
	for toHouse, mean := range map[bool]float64{false: 1.5, true: -1.5} {
		z := UnreadZoneBaseline(Baseline{Mean: 3, Drift: 0.8}, toHouse)
		near(t, "zone, mean", float64(z.Mean), mean, 1e-12)
		near(t, "zone, drift", float64(z.Drift), math.Hypot(3/math.Sqrt(12), 0.4), 1e-12)
	}
}

// One point: the ends are those of a log-normal flow whose errors add as squares.
// It has reached its pressure from 95 % of it on, and below 15 Pa it is spoken of.
func TestOnePointEndsAndThresholds(t *testing.T) {
	at := func(p float64) OnePoint {
		return OnePoint{Station: Station{Pressure: units.Pressure(-p), PressureSD: 0.5, Flow: 1, Repeat: 0.01},
			Calibration: Calibration{Common: 0.02, PerRange: 0.015}, Exponent: 0.65, ExponentSD: 0.06}
	}
	r, err := at(40).At(50)
	require.NoError(t, err)
	sd := math.Sqrt(0.01*0.01 + 0.02*0.02 + 0.015*0.015 + math.Pow(0.65*0.5/40, 2) + math.Pow(0.06*math.Log(50.0/40), 2))
	value := math.Pow(50.0/40, 0.65)
	near(t, "value", float64(r.Flow.Value), value, 1e-9)
	near(t, "low", float64(r.Flow.Low), value*math.Exp(-1.644854*sd), 1e-6)
	near(t, "high", float64(r.Flow.High), value*math.Exp(1.644854*sd), 1e-6)
	for p, reached := range map[float64]bool{47.4: false, 47.5: true, 47.6: true, 60: true} {
		r, err := at(p).At(50)
		require.NoError(t, err)
		assert.Equal(t, reached, r.Reached, "%g Pa", p)
	}
	for p, warned := range map[float64]bool{14.99: true, 15: false, 15.01: false} {
		r, err := at(p).At(50)
		require.NoError(t, err)
		assert.Equal(t, warned, len(r.Warnings) > 0, "%g Pa", p)
	}
}

// A house pressure of less than three of its standard deviations is none.
func TestPressureOutOfTheNoise(t *testing.T) {
	for sd, ok := range map[units.Pressure]bool{1.66: true, 1.67: false} {
		err := Station{Pressure: 5, PressureSD: sd, Flow: 1, Repeat: 0.01}.check()
		assert.Equal(t, ok, err == nil, "%g Pa", sd)
	}
}

// Two holds tell an exponent from a factor of 1.8 between their pressures, with the
// standard deviation of first-order propagation.
func TestTwoPointEndsAndThresholds(t *testing.T) {
	at := func(p float64) Station {
		return Station{Pressure: units.Pressure(p), PressureSD: 0.4, Flow: units.Flow(math.Pow(p/50, 0.65)), Repeat: 0.01, Range: "A"}
	}
	for high, ok := range map[float64]bool{35.9: false, 36.1: true} {
		_, err := FitTwo(at(20), at(high), Calibration{})
		assert.Equal(t, ok, err == nil, "%g Pa", high)
	}
	two, err := FitTwo(at(20), at(50), Calibration{Common: 0.02})
	require.NoError(t, err)
	s := func(p float64) float64 { return 0.01*0.01 + math.Pow(0.65*0.4/p, 2) }
	sd := math.Sqrt(s(20)+s(50)) / math.Log(2.5)
	near(t, "low", float64(two.Exponent.Low), 0.65-1.644854*sd, 1e-6)
	near(t, "high", float64(two.Exponent.High), 0.65+1.644854*sd, 1e-6)
}

// Holds that scatter: r² below 0.98 is spoken of. The factor by which one hold of
// six lies off is set so that r², from the textbook formula, lies either side.
func TestScatterThreshold(t *testing.T) {
	stations := func(off float64) (list []Station, r2 float64) {
		var x, y []float64
		for i, p := range []float64{10, 20, 30, 40, 50, 60} {
			q := math.Pow(p/50, 0.65)
			if i == 2 {
				q *= off
			}
			list = append(list, Station{Pressure: units.Pressure(p), PressureSD: 0.2, Flow: units.Flow(q), Repeat: 0.01})
			x, y = append(x, math.Log(p)), append(y, math.Log(q))
		}
		var sx, sy, sxx, syy, sxy, n float64 = 0, 0, 0, 0, 0, 6
		for i := range x {
			sx, sy, sxx, syy, sxy = sx+x[i], sy+y[i], sxx+x[i]*x[i], syy+y[i]*y[i], sxy+x[i]*y[i]
		}
		return list, math.Pow(n*sxy-sx*sy, 2) / ((n*sxx - sx*sx) * (n*syy - sy*sy))
	}
	spoken := func(off float64) (bool, float64) {
		list, r2 := stations(off)
		m, err := FitStandard(list)
		require.NoError(t, err)
		near(t, "r²", m.R2, r2, 1e-9)
		for _, w := range m.Warnings {
			if w.What == "r² of the fit is "+plain(m.R2) {
				return true, r2
			}
		}
		return false, r2
	}
	low, high := false, false
	for off := 1.0; off < 1.4; off += 0.01 {
		said, r2 := spoken(off)
		assert.Equal(t, r2 < 0.98, said, "r² %g", r2)
		low, high = low || r2 < 0.98 && r2 > 0.97, high || r2 >= 0.98 && r2 < 0.985
	}
	assert.True(t, low && high, "both sides of the threshold were tried")
}

// Ten samples are enough to see how they hang together, nine are not; thirty may
// tell their own noise.
func TestFewSamples(t *testing.T) {
	assert.True(t, SampleSummary[units.Pressure]{N: 9}.Few())
	assert.False(t, SampleSummary[units.Pressure]{N: 10}.Few())
	for _, c := range []struct {
		n         int
		effective float64
		short     bool
		want      bool
	}{{30, 10, false, true}, {29, 10, false, false}, {30, 9.9, false, false}, {300, 100, true, false}} {
		s := SampleSummary[units.Pressure]{N: c.n, Effective: c.effective, lagWorth: 20, Short: c.short}
		assert.Equal(t, c.want, s.Telling(), "%+v", c)
	}
}
