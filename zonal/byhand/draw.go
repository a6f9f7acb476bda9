package byhand

import (
	"math"
	"slices"

	"holdbook/internal/fit"
	"holdbook/pressure"
	"holdbook/units"
)

// repeats repeats put the ends of a 90 % interval within about 3 % of its
// half-width within a millisecond or two.
const repeats = 2000

// draw is one repeat of the error model. The zero draw has no errors: a method
// is written once, for a draw, and its central answer is the zero draw.
type draw struct {
	fit.Noise
	nH, nO, nD float64 // exponents: house–zone, zone–outside, direct
	fan        float64 // ln calibration of the fan that holds the house
	second     float64 // and of a second fan
	cd         float64
}

func (d *draw) pressure(r units.Measured[units.Pressure]) float64 {
	return d.Around(float64(r.Value), float64(r.SD))
}

func (d *draw) flow(r units.Measured[units.Flow]) float64 {
	return float64(r.Value) * math.Exp(r.Relative()*d.Normal()+d.fan)
}

func (d *draw) secondFlow(r units.Measured[units.Flow]) float64 {
	return float64(r.Value) * math.Exp(r.Relative()*d.Normal()+d.second)
}

// exponent draws a normal exponent within 0.5 to 1, by rejection.
func (d *draw) exponent(n units.Measured[units.Ratio]) float64 {
	for range 100 {
		if x := d.Around(float64(n.Value), float64(n.SD)); x >= pressure.MinExponent && x <= pressure.MaxExponent {
			return x
		}
	}
	return float64(n.Value)
}

// fill draws the errors that all readings of a test have in common.
func (d *draw) fill(e Errors) {
	d.nH, d.nO, d.nD = d.exponent(e.HouseZone), d.exponent(e.ZoneOutside), d.exponent(e.Direct)
	d.fan, d.second = e.FanSDLn*d.Normal(), e.FanSDLn*d.Normal()
	d.cd = math.Max(0.01, d.Around(float64(e.Cd.Value), float64(e.Cd.SD)))
}

// nominal is the draw without errors.
func (e Errors) nominal() *draw {
	d := &draw{}
	d.fill(e)
	return d
}

// propagate runs the closed form solve over the error model, seeded the same
// every time so that the same readings give the same answer. solve returns its
// quantities: +Inf for one that lies beyond infinity (a denominator that has
// passed zero), a non-positive number for one that lies below zero, and NaN for one
// that this draw says nothing of. The interval of each holds its central value; an
// infinite or non-positive end means that it is open there.
// Simulation and not second-order propagation, because ratios of small
// differences are far from normal.
func (e Errors) propagate(solve func(*draw) []float64) []fit.Interval {
	draws := e.Draws
	if draws == 0 {
		draws = repeats
	}
	simulated := fit.Simulate(fit.Random(50, 65), draws, func(n fit.Noise) []float64 {
		d := &draw{Noise: n}
		d.fill(e)
		return solve(d)
	})
	out := make([]fit.Interval, len(simulated))
	for i, s := range simulated {
		out[i] = said(s)
	}
	return out
}

// said is the interval of those repeats that say something.
func said(s fit.Simulated) fit.Interval {
	s.Values = slices.DeleteFunc(s.Values, math.IsNaN)
	if len(s.Values) == 0 {
		return fit.Interval{Low: math.Inf(-1), Median: math.NaN(), High: math.Inf(1)}
	}
	return s.Interval()
}

// answer turns the interval of a positive quantity into what is said of it.
func answer[Q ~float64](i fit.Interval) Answer[Q] {
	low, high := i.Low > 0, !math.IsInf(i.High, 0) && !math.IsNaN(i.High)
	a := Answer[Q]{Estimate: units.Estimate[Q]{Value: Q(i.Median), Low: Q(i.Low), High: Q(i.High)}}
	switch {
	case low && high && i.Median > 0:
		a.Resolved = !units.FactorsApart(i.Low, i.High)
	case low && units.Finite(i.Low):
		a.Bound, a.Value, a.High = AtLeast, a.Low, a.Low
	case high && i.High > 0:
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
