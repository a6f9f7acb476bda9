package pressure

import (
	"cmp"
	"math"

	"holdbook/units"
)

// leastSpan is the ratio of the highest to the lowest pressure below which a
// fit says nothing of the exponent (judgement).
const leastSpan = 1.8

// TwoPoint is a power law through two stations. FlowAt gives 90 % intervals.
type TwoPoint struct {
	Leak       Leak
	Exponent   units.Estimate[units.Ratio] // 90 %
	Shown      Computed[units.Ratio]       // the formula of the exponent
	Spread     Computed[units.Ratio]       // the formula of its standard deviation
	Warnings   []*Fault
	high, low  Station
	cal        Calibration
	sameRanges bool
}

// FitTwo puts a power law through two stations, in either order. An error that
// the two flows share (of the fan, and of the flow range when both used one)
// cancels out of the exponent. Sources: Roulet 2008 eq 4.6; first-order
// propagation.
//
// Errors: stations that carry nothing, pressures that differ by less than a
// factor of 1.8; and, with the refused fit beside the error for showing only, an
// exponent whose 90 % interval misses 0.5 to 1.
func FitTwo(a, b Station, cal Calibration) (TwoPoint, error) {
	if err := cmp.Or(a.check(), b.check(), cal.check(), checkSpan(a, b)); err != nil {
		return TwoPoint{}, err
	}
	t := TwoPoint{high: a, low: b, cal: cal, sameRanges: a.Range == b.Range}
	if a.dp() < b.dp() {
		t.high, t.low = b, a
	}
	if err := t.solve(); err != nil {
		return TwoPoint{}, err
	}
	return t, t.judge()
}

// checkSpan refuses stations that lie too close together.
func checkSpan(stations ...Station) error {
	low, high := span(stations)
	if high >= leastSpan*low {
		return nil
	}
	return &Fault{
		What: "the holds lie between " + plain(low) + " and " + plain(high) + " Pa",
		Why:  "the highest pressure must be at least 1.8 times the lowest to say anything of the exponent",
		Do:   "add a hold at a pressure further away, or use one point with an assumed exponent",
	}
}

// span is the lowest and the highest pressure of some stations, by magnitude.
func span(stations []Station) (low, high float64) {
	low = math.Inf(1)
	for _, s := range stations {
		low, high = math.Min(low, s.dp()), math.Max(high, s.dp())
	}
	return low, high
}

// solve fills in exponent, coefficient and spread.
func (t *TwoPoint) solve() error {
	var err error
	if t.Shown, err = t.slope(); err != nil {
		return err
	}
	n := float64(t.Shown.Value)
	if t.Spread, err = t.slopeSD(n); err != nil {
		return err
	}
	t.Leak = Leak{C: float64(t.high.Flow) / math.Pow(t.high.dp(), n), N: n}
	t.Exponent, err = NormalEstimate(t.Shown.Value, t.Spread.Value)
	return cmp.Or(err, needPositive("the leakage coefficient C", t.Leak.C))
}

// slope is the exponent through two points.
func (t *TwoPoint) slope() (Computed[units.Ratio], error) {
	n := math.Log(float64(t.high.Flow)/float64(t.low.Flow)) / math.Log(t.high.dp()/t.low.dp())
	return compute[units.Ratio](n,
		formula("n = ln({Q1}/{Q2})/ln({p1}/{p2})", "Roulet 2008 eq 4.6", noUnit, noUnit),
		term{"Q1", float64(t.high.Flow), asFlow}, term{"Q2", float64(t.low.Flow), asFlow},
		term{"p1", t.high.dp(), asPressure}, term{"p2", t.low.dp(), asPressure})
}

// variance is a station's variance of ln Q as far as it is not shared with
// the other station.
func (t *TwoPoint) variance(s Station, n float64) float64 {
	if t.sameRanges {
		return s.ownVariance(n)
	}
	return s.ownVariance(n) + math.Pow(float64(t.cal.PerRange), 2)
}

// shared is the variance of ln Q that both stations have in common.
func (t *TwoPoint) shared() float64 {
	if t.sameRanges {
		return math.Pow(t.cal.SD(), 2)
	}
	return math.Pow(float64(t.cal.Common), 2)
}

// slopeSD is the standard deviation of the exponent.
func (t *TwoPoint) slopeSD(n float64) (Computed[units.Ratio], error) {
	s1, s2 := math.Sqrt(t.variance(t.high, n)), math.Sqrt(t.variance(t.low, n))
	return compute[units.Ratio](math.Hypot(s1, s2)/math.Log(t.high.dp()/t.low.dp()),
		formula("sn = √({s1}² + {s2}²)/ln({p1}/{p2})", "first-order propagation", noUnit, noUnit),
		term{"s1", s1, noUnit}, term{"s2", s2, noUnit},
		term{"p1", t.high.dp(), asPressure}, term{"p2", t.low.dp(), asPressure})
}

// judge refuses an exponent that no leak has, and warns of a doubtful one.
func (t *TwoPoint) judge() error {
	if t.Exponent.High < 0.5 || t.Exponent.Low > 1 {
		return badExponent(t.Leak.N)
	}
	t.Warnings = exponentWarnings(t.Leak.N)
	return nil
}

// FlowAt is the flow at a pressure with its 90 % interval: the two stations
// weigh in by where the pressure lies between or beyond them.
func (t TwoPoint) FlowAt(p units.Pressure) (units.Estimate[units.Flow], error) {
	if err := needWithin("the reference pressure", float64(p), 0.1, 1000, "Pa"); err != nil {
		return units.Estimate[units.Flow]{}, err
	}
	if t.Leak.C == 0 {
		return units.Estimate[units.Flow]{}, noFit()
	}
	w := math.Log(float64(p)/t.low.dp()) / math.Log(t.high.dp()/t.low.dp())
	n := t.Leak.N
	variance := w*w*t.variance(t.high, n) + (1-w)*(1-w)*t.variance(t.low, n) + t.shared()
	return LogEstimate(t.Leak.Flow(p), math.Sqrt(variance))
}
