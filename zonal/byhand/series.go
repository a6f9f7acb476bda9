package byhand

import (
	"fmt"
	"math"

	"holdbook/internal/fit"
	"holdbook/pressure"
	"holdbook/units"
)

// SeriesAnswer is what one reading of a zone says: where the zone lies between
// outdoors (0) and the house (1), and the ratio of its two leaks. It never says
// a flow.
type SeriesAnswer struct {
	Fraction Answer[units.Ratio]
	// Ratio is the house–zone leak over the zone–outside leak, each as its flow
	// at 50 Pa. Near an end it is only bounded.
	Ratio   Answer[units.Ratio]
	Near    Side // the side whose pressure the zone has within 2 Pa
	Notes   []string
	Working []pressure.Worked
}

// LeakRatio is the ratio of the house–zone leak to the zone–outside leak, both
// with exponent n, from the house–zone pressure p and the zone–outside pressure
// z (positive magnitudes): r = (z/p)^n. It is +Inf for p = 0.
//
// Source: two power-law leaks in series, Blasnik and Fitzgerald 1992.
func LeakRatio(p, z units.Pressure, n units.Ratio) units.Ratio {
	return units.Ratio(moment{p: float64(p), z: float64(z)}.ratio(&draw{nH: float64(n), nO: float64(n)}))
}

// SeriesPressure is the inverse of LeakRatio: the house–zone pressure at a hold
// P (magnitudes) of a zone whose leaks stand in the ratio r,
// p = P/(1 + r^(1/n)).
func SeriesPressure(hold units.Pressure, r, n units.Ratio) units.Pressure {
	return hold / units.Pressure(1+math.Pow(float64(r), 1/float64(n)))
}

// SeriesFlow is what two leaks in series pass with 50 Pa across both together,
// L_S = (L_HZ^(-1/n) + L_ZO^(-1/n))^(-n): what sealing either side completely
// could save at most.
func SeriesFlow(houseZone, zoneOutside units.Flow, n units.Ratio) units.Flow {
	k := -1 / float64(n)
	return units.Flow(math.Pow(math.Pow(float64(houseZone), k)+math.Pow(float64(zoneOutside), k), -float64(n)))
}

// ratio is r from a state as found, with an exponent for each side.
func (m moment) ratio(d *draw) float64 {
	switch {
	case m.p <= 0:
		return math.Inf(1)
	case m.z <= 0:
		return 0
	}
	return share(m.z, d.nO) / share(m.p, d.nH)
}

// Series answers from one reading of a zone as found. Within 2 Pa of either end
// of the hold the ratio is only bounded (judgement, computed). The error is a
// *pressure.Fault.
func Series(s State, e Errors) (SeriesAnswer, error) {
	const method = "two leaks in series"
	if err := e.check(method); err != nil {
		return SeriesAnswer{}, err
	}
	if s.FullyOpen != NoSide {
		return SeriesAnswer{}, fault(ErrReading, method, s.Name,
			"the zone stands open in this state",
			"use a hold with the zone as found")
	}
	notes, err := s.check(method, false)
	if err != nil {
		return SeriesAnswer{}, err
	}
	out := e.propagate(func(d *draw) []float64 {
		m := s.moment(d)
		return []float64{math.Min(1, math.Max(0, m.z/m.P)), m.ratio(d)}
	})
	a := SeriesAnswer{Ratio: answer[units.Ratio](out[1]), Notes: notes}
	a.Fraction = fraction(out[0])
	m := s.moment(e.nominal())
	a.bound(m, out[1])
	a.Working = []pressure.Worked{a.worked(m, e)}
	return a, nil
}

// fraction is always resolved: it is bounded by 0 and 1 of itself.
func fraction(s fit.Interval) Answer[units.Ratio] {
	return Answer[units.Ratio]{Resolved: true, Estimate: units.Estimate[units.Ratio]{
		Value: units.Ratio(s.Median), Low: units.Ratio(s.Low), High: units.Ratio(s.High)}}
}

// bound turns the ratio of a zone near one end into the bound it is.
func (a *SeriesAnswer) bound(m moment, r fit.Interval) {
	switch {
	case m.p < nearEnd && !units.Finite(r.Low):
		a.Near, a.Ratio = HouseSide, Answer[units.Ratio]{Bound: Open}
	case m.p < nearEnd:
		a.Near = HouseSide
		low := units.Ratio(r.Low)
		a.Ratio = Answer[units.Ratio]{Bound: AtLeast, Estimate: units.Estimate[units.Ratio]{Value: low, Low: low, High: low}}
	case m.z < nearEnd && !units.Finite(r.High):
		a.Near, a.Ratio = OutsideSide, Answer[units.Ratio]{Bound: Open}
	case m.z < nearEnd:
		a.Near = OutsideSide
		high := units.Ratio(r.High)
		a.Ratio = Answer[units.Ratio]{Bound: AtMost, Estimate: units.Estimate[units.Ratio]{Value: high, High: high}}
	default:
		return
	}
	a.Notes = append(a.Notes, fmt.Sprintf("the zone is within 2 Pa of the %s: the ratio of its leaks is only bounded, "+
		"and neither leak need be small", a.Near))
}

func (a *SeriesAnswer) worked(m moment, e Errors) pressure.Worked {
	d := e.nominal()
	text := fmt.Sprintf("%s / %s = %s", units.Fixed(m.z, 1), units.Fixed(m.P, 1), units.Fixed(float64(a.Fraction.Value), 2))
	switch {
	case a.Ratio.Bound == Open:
		text += "; the ratio of the two leaks is not resolved"
	case a.Ratio.Bound == AtLeast:
		text += "; house–zone leak at least " + units.Fixed(float64(a.Ratio.Low), 1) + " times the zone–outside leak"
	case a.Ratio.Bound == AtMost:
		text += "; house–zone leak at most " + units.Fixed(float64(a.Ratio.High), 2) + " times the zone–outside leak"
	default:
		r := a.Ratio
		text += fmt.Sprintf("; %s = %s", ratioText(m, d), carried(r, units.One))
	}
	formula := "k = z / P; r = (z / p)^n"
	if d.nH != d.nO {
		formula = "k = z / P; r = f(z) / f(p), f(x) = (x / 50)^n with each side's own n"
	}
	return pressure.Worked{Formula: formula, Numbers: text, Source: seriesSource}
}
