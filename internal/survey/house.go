package survey

import (
	"fmt"
	"math"
	"strings"

	"holdbook/internal/sheet"
	"holdbook/pressure"
	"holdbook/units"
	"holdbook/zonal"
)

var (
	at4Pa  = pressure.At4Pa
	at10Pa = pressure.At10Pa
)

// noFanFlow is said of a house without a fan flow.
const noFanFlow = "no fan flow was read: sizes are only bounded by what houses usually are; read the fan once"

// house reports the whole envelope: the joint value, and beside it the standard
// regression where the holds make a multi-point test.
func (r *run) house() {
	if r.fans() == 0 {
		// the readings say nothing of the house as a whole
		if len(r.names) > 2 || r.f.Ducts == nil && len(r.sheet.Registers) == 0 { // else there is no size to speak of
			r.notice(Note, "house", noFanFlow)
		}
		return
	}
	e, h := r.estimate, &r.f.House
	h.Exponent = r.ratio(e.Exponent)
	h.Flow50 = r.flow(e.Flow50)
	h.LeakArea4, h.LeakArea10 = r.area(e.Area4, at4Pa), r.area(e.Area10, at10Pa)
	if v := r.sheet.House.Volume; v.Given && v.Value > 0 {
		if c, err := pressure.AirChanges(e.Flow50.Value, v.Value); err == nil {
			r.worked("house", c.Worked(r.system))
		}
		h.AirChanges50 = r.rate(scale[units.Rate](e.Flow50, 1/float64(v.Value)))
		if h.AirChanges50 != nil {
			r.problem("house", pressure.QueryAirChanges(units.Rate(float64(e.Flow50.Value)/float64(v.Value))))
		}
	}
	if a := r.sheet.House.FloorArea; a.Given && a.Value > 0 {
		if c, err := pressure.FlowPerArea(e.Flow50.Value, a.Value); err == nil {
			r.worked("house", c.Worked(r.system))
		}
		h.FlowPerArea = quantity(scale[units.SpecificFlow](e.Flow50, 1/float64(a.Value)), units.CubicMetrePerSecondSquareMetre)
	}
	r.stack()
	r.standardAir()
	r.onePoint()
	r.multiPoint()
}

// stack warns of a warm, tall house, in which the pressure differs from floor to
// ceiling.
func (r *run) stack() {
	if h := r.sheet.House.Height; h.Given && r.outdoor.known {
		dt := r.outdoor.houseAir.Temperature - r.outdoor.outdoorAir.Temperature
		r.problem("house", pressure.StackWarning(units.TemperatureDifference(dt), h.Value))
	}
}

// scale is an estimate times an exact factor, as another quantity.
func scale[B, A ~float64](e units.Estimate[A], k float64) units.Estimate[B] {
	return units.Estimate[B]{Value: B(k * float64(e.Value)), Low: B(k * float64(e.Low)), High: B(k * float64(e.High))}
}

func (r *run) fans() int {
	n := 0
	for i := range r.model.Holds {
		if r.model.Holds[i].Fan != nil {
			n++
		}
	}
	return n
}

// standardAir is the flow at 50 Pa corrected to standard air.
func (r *run) standardAir() {
	if !r.outdoor.known {
		return
	}
	e := r.estimate
	air := r.outdoor.outdoorAir
	if r.model.Holds[r.order[0]].House > 0 {
		air = r.outdoor.houseAir
	}
	leak, err := pressure.NewLeak(e.Flow50.Value, zonal.Reference, e.Exponent.Value)
	if err != nil {
		return
	}
	ref, err := pressure.ToReference(leak, air, pressure.DensityAndViscosity)
	if err != nil {
		return
	}
	k := float64(ref.Leak.Flow(zonal.Reference)) / float64(leak.Flow(zonal.Reference))
	r.worked("house", ref.Factor.Worked(r.system))
	r.f.House.StandardAir, r.f.House.StandardBy = r.flow(scale[units.Flow](e.Flow50, k)), ref.By.String()
}

// stations are the holds that differ only in house pressure and have a fan
// reading: the largest such group, as found if there is a choice.
func (r *run) stations() []pressure.Station {
	groups := map[string][]pressure.Station{}
	best := ""
	for _, k := range r.order {
		h := &r.model.Holds[k]
		if h.Fan == nil || len(h.Fans) > 0 {
			continue
		}
		key := fmt.Sprint(h.Opened, h.Sealed, math.Signbit(float64(h.House)))
		groups[key] = append(groups[key], r.station(k))
		if best == "" || len(groups[key]) > len(groups[best]) {
			best = key
		}
	}
	return groups[best]
}

// multiPoint is the standard regression over the stations: its limits are 95 %
// and show the scatter of the fit alone.
func (r *run) multiPoint() {
	stations := r.stations()
	if len(stations) == 2 {
		r.twoPoint(stations)
	}
	if len(stations) < 3 {
		return
	}
	m, err := pressure.FitStandard(stations)
	if err != nil {
		r.notice(Note, "multi-point test", "%s", err)
	}
	if m.Stations == 0 {
		return
	}
	if n, err := m.Exponent(); err == nil && !tellsExponent(n) {
		r.notice(Note, "multi-point test", "the holds lie too near each other in pressure, or scatter too much, to give an exponent; hold the house at pressures further apart")
		return
	}
	for _, w := range m.Warnings {
		r.problem("multi-point test", w)
	}
	if n, err := m.ExponentShown(); err == nil {
		r.worked("multi-point test", n.Worked(r.system))
	}
	if q, err := m.FlowShown(zonal.Reference); err == nil {
		r.worked("multi-point test", q.Worked(r.system))
	}
	r.problem("multi-point test", r.lowest(stations))
	out := &MultiPoint{R2: m.R2, Refused: err != nil}
	for _, s := range stations {
		out.Points = append(out.Points, Point{Hold: s.Name, Pressure: math.Abs(float64(s.Pressure)), Flow: float64(s.Flow), Unit: units.CubicMetrePerSecond})
	}
	if !r.fillMulti(out, m) {
		return
	}
	r.weighted(out, stations)
	r.f.House.MultiPoint = out
}

// tellsExponent is false for an exponent that is no leak's within its limits, or
// whose limits hold any leak: a coefficient and areas that follow from it would
// span hundreds of powers of ten.
func tellsExponent(n units.Estimate[units.Ratio]) bool {
	const widest = 3
	return n.High-n.Low <= widest && n.High > -widest && n.Low < widest
}

// lowest warns of a lowest station that wind and baseline rule.
func (r *run) lowest(stations []pressure.Station) *pressure.Fault {
	low, baseline := units.Pressure(math.Inf(1)), units.Pressure(0)
	for _, s := range stations {
		low = min(low, abs(s.Pressure))
	}
	for _, s := range r.held {
		baseline = max(baseline, abs(s.baseline.Mean))
	}
	return pressure.LowPressureWarning(low, baseline)
}

// fillMulti takes the numbers of a fit; false when one of them has no interval.
func (r *run) fillMulti(out *MultiPoint, m pressure.MultiPoint) bool {
	level := float64(m.Level) * 100
	mark := func(q *Q) *Q {
		if q != nil {
			q.Level = level
		}
		return q
	}
	n, errN := m.Exponent()
	q50, errQ := m.FlowAt(zonal.Reference)
	c, errC := m.Coefficient()
	if errN != nil || errQ != nil || errC != nil {
		return false
	}
	exponent, flow := mark(r.ratio(n)), mark(r.flow(q50))
	coefficient := mark(quantity(c, units.CubicMetrePerSecond.Per("Pa^n")))
	if exponent == nil || flow == nil || coefficient == nil {
		return false
	}
	out.Exponent, out.Flow50, out.Coefficient = *exponent, *flow, *coefficient
	if a, err := pressure.AreaOf(m, at4Pa, r.model.Air); err == nil {
		out.LeakArea4 = mark(r.area(a, at4Pa))
	}
	if a, err := pressure.AreaOf(m, at10Pa, r.model.Air); err == nil {
		out.LeakArea10 = mark(r.area(a, at10Pa))
	}
	for _, p := range bandPressures(out.Points) {
		if e, err := m.FlowAt(units.Pressure(p)); err == nil {
			if q := mark(r.flow(e)); q != nil {
				out.Band = append(out.Band, Band{Pressure: p, Flow: *q})
			}
		}
	}
	return true
}

// bandPressures are pressures from 4 Pa to a little above the highest station.
func bandPressures(points []Point) []float64 {
	top := 50.0
	for _, p := range points {
		top = math.Max(top, p.Pressure)
	}
	const steps = 12
	var list []float64
	for k := range steps + 1 {
		list = append(list, 4*math.Pow(1.1*top/4, float64(k)/steps))
	}
	return list
}

// weighted adds the fit that weighs both errors, with 90 % limits.
func (r *run) weighted(out *MultiPoint, stations []pressure.Station) {
	m, err := pressure.FitWeighted(stations, r.gauge.FanCalibration())
	if err != nil && m.Stations == 0 {
		return
	}
	if n, err := m.Exponent(); err == nil {
		out.WeightedExponent = r.ratio(n)
	}
	if q, err := m.FlowAt(zonal.Reference); err == nil {
		out.WeightedFlow50 = r.flow(q)
	}
}

// onePoint carries the hold as found nearest to 50 Pa to that pressure with an
// exponent that is assumed.
func (r *run) onePoint() {
	best := -1
	for _, k := range r.order {
		h := &r.model.Holds[k]
		if h.Fan == nil || !r.held[k].hold.AsFound() {
			continue
		}
		if best < 0 || math.Abs(float64(abs(h.House)-zonal.Reference)) < math.Abs(float64(abs(r.model.Holds[best].House)-zonal.Reference)) {
			best = k
		}
	}
	if best < 0 {
		return
	}
	t, err := pressure.OnePoint{Station: r.station(best), Calibration: r.gauge.FanCalibration(),
		Exponent: pressure.DefaultExponent, ExponentSD: pressure.DefaultExponentSD}.At(zonal.Reference)
	if err != nil {
		r.notice(Warning, "one-point test", "%s", err)
		return
	}
	r.worked("one-point test", t.Shown.Worked(r.system))
	r.worked("one-point test", t.Spread.Worked(r.system))
	for _, w := range t.Warnings {
		r.problem("one-point test", w)
	}
	note := ""
	if !t.Reached {
		note = "50 Pa was not reached: it leans on an exponent of 0.65"
	}
	r.f.Hand = append(r.f.Hand, HandAnswer{Method: "one-point test", About: sheet.HouseName, Quantity: "flow at 50 Pa", Result: r.flow(t.Flow), Resolved: true, Note: note})
}

// station is a hold as a test of the whole house.
func (r *run) station(k int) pressure.Station {
	h := &r.model.Holds[k]
	return pressure.Station{Name: strings.TrimPrefix(h.Name, "hold "), Pressure: h.House, PressureSD: h.HouseSD,
		Flow: h.Fan.Flow, Repeat: units.Ratio(h.Fan.SDLn), Range: r.held[k].hold.Range.Value}
}

// twoPoint reports two stations, as a hand answer.
func (r *run) twoPoint(stations []pressure.Station) {
	const method = "two-point test"
	t, err := pressure.FitTwo(stations[0], stations[1], r.gauge.FanCalibration())
	if err != nil {
		r.notice(Note, method, "%s", err)
		return
	}
	r.worked(method, t.Shown.Worked(r.system))
	r.worked(method, t.Spread.Worked(r.system))
	for _, w := range t.Warnings {
		r.problem(method, w)
	}
	r.f.Hand = append(r.f.Hand, HandAnswer{Method: method, About: sheet.HouseName, Quantity: "flow exponent", Result: r.ratio(t.Exponent), Resolved: true})
	if q, err := t.FlowAt(zonal.Reference); err == nil {
		r.f.Hand = append(r.f.Hand, HandAnswer{Method: method, About: sheet.HouseName, Quantity: "flow at 50 Pa", Result: r.flow(q), Resolved: true})
	}
}
