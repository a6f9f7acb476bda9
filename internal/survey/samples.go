package survey

import (
	"math"

	"holdbook/internal/fit"
	"holdbook/internal/sheet"
	"holdbook/pressure"
	"holdbook/units"
)

// SummaryOf is what the samples of a reading say; ok is false for a reading that
// stands as one value.
func SummaryOf[T ~float64](q sheet.Quantity[T]) (s pressure.SampleSummary[T], ok bool) {
	if len(q.Samples) < 2 {
		return s, false
	}
	s, err := pressure.SummariseSamples(q.Samples)
	return s, err == nil
}

// windIn is the gauge with the wind that is left in one reading: what its samples
// show, in place of what is promised. Where they are too few or too short to show
// it, the promise stays a lower bound.
func windIn(g pressure.Gauge, q sheet.Pressure) pressure.Gauge {
	s, ok := SummaryOf(q)
	switch {
	case !ok:
	case s.Telling():
		g.Wobble = s.SD
	case s.Few():
		g.Wobble = max(g.Wobble/units.Pressure(math.Sqrt(float64(s.N))), s.SD)
	default:
		g.Wobble = max(g.Wobble, s.SD)
	}
	return g
}

// GaugeIn is a sheet's gauge in its hold i: where the sheet states no wobble and the
// baseline in force was sampled, the wobble is the baseline's own.
func GaugeIn(s *sheet.Sheet, g pressure.Gauge, i int) pressure.Gauge {
	k, ok := s.BaselineHold(i)
	if !ok || s.Gauge.Wobble.Given {
		return g
	}
	for _, b := range []sheet.Pressure{s.Holds[k].BaselineAfter, s.Holds[k].Baseline} {
		if w, err := pressure.WobbleFromBaseline(b.Samples); err == nil {
			g.Wobble = w
		}
	}
	return g
}

// BaselineFrom makes a baseline of what was read before and after, with the noise
// of each: of its samples, or half of the wobble, since a baseline is averaged
// for longer than a reading in a hold and with the fan covered. Judgement, no
// source. Neither need be given.
func BaselineFrom(before, after sheet.Pressure, wobble units.Pressure) (pressure.Baseline, error) {
	if !before.Given {
		before, after = after, sheet.Pressure{}
	}
	if !after.Given {
		b, err := pressure.OneBaseline(before.Value)
		b.Drift = wobble / 2
		if s, sampled := SummaryOf(before); sampled {
			b.Drift = s.SD
		}
		return b, err
	}
	b, err := pressure.TwoBaselines(before.Value, after.Value)
	noise := math.Hypot(baselineNoise(before, wobble), baselineNoise(after, wobble)) / 2
	b.Drift = units.Pressure(math.Hypot(float64(b.Drift), noise))
	return b, err
}

// baselineNoise is the noise of one of two readings of a baseline; what it drifted
// shows in their difference.
func baselineNoise(q sheet.Pressure, wobble units.Pressure) float64 {
	if s, sampled := SummaryOf(q); sampled {
		return float64(s.Noise)
	}
	return float64(wobble / 2)
}

// repeatOf is the repeat error of a flow: as promised, or what its samples
// scatter where that is more. Less they cannot show, since placing the
// instrument is part of it.
func repeatOf(promised units.Ratio, q sheet.Flow) float64 {
	if s, ok := SummaryOf(q); ok && s.Mean != 0 {
		return math.Max(float64(promised), math.Abs(float64(s.SD/s.Mean)))
	}
	return float64(promised)
}

// layAllSamples records what the samples of a hold's readings say.
func layAllSamples(c *Case, name string, h *sheet.Hold) {
	laySamples(c, name, "baseline", h.Baseline, units.Pascal)
	laySamples(c, name, "baseline after", h.BaselineAfter, units.Pascal)
	laySamples(c, name, "house", h.House, units.Pascal)
	laySamples(c, name, "fan", h.Fan, units.CubicMetrePerSecond)
	for _, x := range h.Readings {
		of := units.Sanitize(x.Of.Name) + " to " + units.Sanitize(x.To.Name)
		laySamples(c, name, of, x.Pressure, units.Pascal)
		laySamples(c, name, of+", baseline", x.Baseline, units.Pascal)
		laySamples(c, name, of+", flow", x.Flow, units.CubicMetrePerSecond)
	}
}

// interval90 is the central 90 % interval of a mean of samples: by Student's t
// for a few, whose spread is itself little known.
func interval90(few bool, n int, mean, sd float64, u units.Unit) Q {
	reach := fit.Z90 * sd
	if few {
		reach = fit.StudentT(0.90, float64(n-1)) * sd
	}
	return Q{Value: mean, Low: mean - reach, High: mean + reach, Unit: u}
}

func laySamples[T ~float64](c *Case, hold, reading string, q sheet.Quantity[T], u units.Unit) {
	s, ok := SummaryOf(q)
	if !ok {
		return
	}
	c.Samples = append(c.Samples, Samples{Hold: hold, Reading: reading, Count: s.N, Mean: interval90(s.Few(), s.N, float64(s.Mean), float64(s.SD), u), Spread: float64(s.Spread),
		Drift: float64(s.Drift), Effective: s.Effective, SD: float64(s.SD), Unit: u, Short: !s.Few() && !s.Telling()})
}
