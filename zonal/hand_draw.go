package zonal

import (
	"math"
	"math/rand/v2"
	"slices"

	"holdbook/internal/fit"
	"holdbook/units"
)

// handDraws repeats put the ends of a 90 % interval within about 3 % of its
// half-width within a millisecond or two.
const handDraws = 2000

// draw is one repeat of the error model. The zero draw has no errors: a method
// is written once, for a draw, and its central answer is the zero draw.
type draw struct {
	rng        *rand.Rand
	nH, nO, nD float64 // exponents: house–zone, zone–outside, direct
	fan        float64 // ln calibration of the fan that holds the house
	second     float64 // and of a second fan
	cd         float64
}

func (d *draw) normal() float64 {
	if d.rng == nil {
		return 0
	}
	return d.rng.NormFloat64()
}

func (d *draw) pressure(r HandPressure) float64 {
	return float64(r.Value) + float64(r.SD)*d.normal()
}

func (d *draw) flow(r HandFlow) float64 {
	return float64(r.Value) * math.Exp(r.SDLn*d.normal()+d.fan)
}

func (d *draw) secondFlow(r HandFlow) float64 {
	return float64(r.Value) * math.Exp(r.SDLn*d.normal()+d.second)
}

// exponent draws a normal exponent within 0.5 to 1, by rejection.
func (d *draw) exponent(n Normal) float64 {
	for range 100 {
		if x := n.Mean + n.SD*d.normal(); x >= 0.5 && x <= 1 {
			return x
		}
	}
	return n.Mean
}

// fill draws the errors that all readings of a test have in common.
func (d *draw) fill(e HandErrors) {
	d.nH, d.nO, d.nD = d.exponent(e.HouseZone), d.exponent(e.ZoneOutside), d.exponent(e.Direct)
	d.fan, d.second = e.FanSDLn*d.normal(), e.FanSDLn*d.normal()
	d.cd = math.Max(0.01, e.Cd.Mean+e.Cd.SD*d.normal())
}

// nominal is the draw without errors.
func (e HandErrors) nominal() *draw {
	d := &draw{}
	d.fill(e)
	return d
}

// spread is the central value of one quantity and its 90 % interval over the
// draws; infinite or non-positive ends mean an open interval.
type spread struct{ value, low, high float64 }

// propagate runs the closed form solve over the error model, seeded the same
// every time so that the same readings give the same answer. solve returns its
// quantities: +Inf for one that lies beyond infinity (a denominator that has
// passed zero), and a non-positive number for one that lies below zero.
// Simulation and not second-order propagation, because ratios of small
// differences are far from normal.
func (e HandErrors) propagate(solve func(*draw) []float64) []spread {
	draws := e.Draws
	if draws == 0 {
		draws = handDraws
	}
	central := solve(e.nominal())
	values := make([][]float64, len(central))
	d := &draw{rng: fit.Random(50, 65)}
	for range draws {
		d.fill(e)
		for i, v := range solve(d) {
			if !math.IsNaN(v) {
				values[i] = append(values[i], v)
			}
		}
	}
	out := make([]spread, len(central))
	for i, v := range values {
		out[i] = summarise(central[i], v)
	}
	return out
}

func summarise(central float64, v []float64) spread {
	if len(v) == 0 {
		return spread{math.NaN(), math.Inf(-1), math.Inf(1)}
	}
	slices.Sort(v)
	at := func(p float64) float64 { return v[int(math.Round(p*float64(len(v)-1)))] }
	// The central value is not the median; where it falls outside (a skewed
	// answer near its limits) the interval is widened to hold it.
	return spread{central, math.Min(at(0.05), central), math.Max(at(0.95), central)}
}

// answer turns a spread of a positive quantity into what is said of it.
func answer[Q ~float64](s spread) HandAnswer[Q] {
	low, high := s.low > 0, !math.IsInf(s.high, 0) && !math.IsNaN(s.high)
	a := HandAnswer[Q]{Estimate: units.Estimate[Q]{Value: Q(s.value), Low: Q(s.low), High: Q(s.high)}}
	switch {
	case low && high && s.value > 0:
		a.Resolved = s.high <= 6*s.low
	case low && finite(s.low):
		a.Bound, a.Value, a.High = AtLeast, a.Low, a.Low
	case high && s.high > 0:
		a.Bound, a.Value, a.Low = AtMost, a.High, 0
	default:
		a.Bound, a.Estimate = Open, units.Estimate[Q]{}
	}
	return a
}

// over divides, taking a denominator that has reached zero as an answer beyond
// infinity.
func over(num, den float64) float64 {
	if den <= 0 {
		return math.Inf(1)
	}
	return num / den
}
