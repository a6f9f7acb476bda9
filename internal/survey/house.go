package survey

import (
	"math"
	"slices"
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

// flowAtPower is the unit of the coefficient of a power law.
var flowAtPower = units.CubicMetrePerSecond.Per("Pa^n")

// NoFanFlow is said of a house without a fan flow.
const NoFanFlow = "no fan flow was read: sizes are only bounded by what houses usually are; read the fan once"

// apart is the ratio of two house pressures from which on a fan read at both tells the
// exponent. Judgement.
const apart = 1.2

// heldAtOnePressure tells whether the fan was read at one pressure only.
func heldAtOnePressure(c *Case) bool {
	low, high := math.Inf(1), 0.0
	for _, h := range c.Model.Holds {
		if h.Fan != nil {
			p := math.Abs(float64(h.House))
			low, high = min(low, p), max(high, p)
		}
	}
	return high < apart*low
}

// houseFindings reports the whole envelope: the joint value, and beside it the standard
// regression where the holds make a multi-point te.
func houseFindings(c *Case, e *zonal.Estimate, log *Log) (h House, hand []HandAnswer) {
	if !c.FanRead() {
		// the readings say nothing of the house as a whole
		if len(c.Names) > 2 || len(c.Sheet.Registers) == 0 { // else there is no size to speak of
			log.Notice(Note, "house", NoFanFlow)
		}
		return h, nil
	}
	h.Exponent, h.Coefficient = Ratio(e.Exponent), toQ(e.Coefficient, flowAtPower)
	h.ExponentAssumed = heldAtOnePressure(c)
	h.Flow50 = Flow(e.Flow50)
	if len(c.Names) > 2 {
		h.DirectShare = percentOf(e.Direct)
	}
	h.LeakArea4, h.LeakArea10 = leakArea(e.Area4, at4Pa), leakArea(e.Area10, at10Pa)
	if v := c.Sheet.House.Volume; v.Given && v.Value > 0 {
		if got, err := pressure.AirChanges(e.Flow50.Value, v.Value); err == nil {
			log.worked("house", got.Worked(c.System))
		}
		h.AirChanges50 = Rate(Scale[units.Rate](e.Flow50, 1/float64(v.Value)))
		if h.AirChanges50 != nil {
			log.problem("house", pressure.QueryAirChanges(units.Rate(float64(e.Flow50.Value)/float64(v.Value))))
		}
	}
	h.FlowPerArea = perArea(c, log, e, c.Sheet.House.FloorArea)
	h.FlowPerShell = perArea(c, log, e, c.Sheet.House.EnvelopeArea)
	warnOfStack(c, log)
	h.StandardAir, h.StandardBy = inStandardAir(c, e, log)
	hand = onePoint(c, log)
	both := seriesOf(c)
	first, second := both.longer(c), Pressurised
	if first == Pressurised {
		second = Depressurised
	}
	stations := both.of(first)
	if len(stations) == 2 {
		hand = append(hand, twoPoint(c, log, stations)...)
	}
	h.MultiPoint = multiPoint(c, log, stations, first)
	h.Opposite = multiPoint(c, log, both.of(second), second)
	h.Directions = directionFindings(c, both)
	return h, hand
}

// perArea is the flow at 50 Pa for each area of floor or envelope, where that is given.
func perArea(c *Case, log *Log, e *zonal.Estimate, a sheet.Area) *Q {
	if !a.Given || a.Value <= 0 {
		return nil
	}
	if got, err := pressure.FlowPerArea(e.Flow50.Value, a.Value); err == nil {
		log.worked("house", got.Worked(c.System))
	}
	return toQ(Scale[units.SpecificFlow](e.Flow50, 1/float64(a.Value)), units.CubicMetrePerSecondSquareMetre)
}

// warnOfStack warns of a warm, tall house, in which the pressure differs from floor to
// ceiling.
func warnOfStack(c *Case, log *Log) {
	if h := c.Sheet.House.Height; h.Given && c.Outdoor.Known {
		dt := c.Outdoor.house.Temperature - c.Outdoor.outdoor.Temperature
		log.problem("house", pressure.StackWarning(units.TemperatureDifference(dt), h.Value))
	}
}

// FanRead says whether the door fan was read in some hold.
func (c *Case) FanRead() bool {
	return slices.ContainsFunc(c.Model.Holds, func(h zonal.Hold) bool { return h.Fan != nil })
}

// inStandardAir is the flow at 50 Pa corrected to standard air.
func inStandardAir(c *Case, e *zonal.Estimate, log *Log) (_ *Q, by string) {
	if !c.Outdoor.Known {
		return nil, ""
	}
	leak, err := pressure.NewLeak(e.Flow50.Value, zonal.Reference, e.Exponent.Value)
	if err != nil {
		return nil, ""
	}
	ref, err := pressure.ToReference(leak, c.Outdoor.leaking(c.Model.Holds[c.Order[0]].House < 0).Air, pressure.DensityAndViscosity)
	if err != nil {
		return nil, ""
	}
	k := float64(ref.Leak.Flow(zonal.Reference)) / float64(leak.Flow(zonal.Reference))
	log.worked("house", ref.Factor.Worked(c.System))
	return Flow(Scale[units.Flow](e.Flow50, k)), ref.By.String()
}

// multiPoint is the standard regression over the stations: its limits are 95 %
// and show the scatter of the fit alone.
func multiPoint(c *Case, log *Log, stations []pressure.Station, direction string) *MultiPoint {
	if len(stations) < 3 {
		return nil
	}
	about := "multi-point test, " + direction
	m, err := pressure.FitStandard(stations)
	if err != nil {
		log.Background(about, "%s", err)
	}
	if m.Stations == 0 {
		return nil
	}
	if n, err := m.Exponent(); err == nil && !tellsExponent(n) {
		log.Notice(Note, about, "the holds lie too near each other in pressure, or scatter too much, to give an exponent; hold the house at pressures further apart")
		return nil
	}
	log.problem(about, m.Warnings...)
	if n, err := m.ExponentShown(); err == nil {
		log.worked(about, n.Worked(c.System))
	}
	if q, err := m.FlowShown(zonal.Reference); err == nil {
		log.worked(about, q.Worked(c.System))
	}
	log.problem(about, warnOfLowest(c, stations))
	out := &MultiPoint{Direction: direction, R2: m.R2, Refused: err != nil}
	for _, s := range stations {
		out.Points = append(out.Points, Point{Hold: s.Name, Pressure: math.Abs(float64(s.Pressure)), Flow: float64(s.Flow), Unit: units.CubicMetrePerSecond})
	}
	if !fillMulti(c, out, m) {
		return nil
	}
	addWeighted(c, out, stations)
	return out
}

// tellsExponent is false for an exponent that is no leak's within its limits, or
// whose limits hold any leak: a coefficient and areas that follow from it would
// span hundreds of powers of ten.
func tellsExponent(n units.Estimate[units.Ratio]) bool {
	const widest = 3
	return n.High-n.Low <= widest && n.High > -widest && n.Low < widest
}

// warnOfLowest warns of a lowest station that wind and baseline rule.
func warnOfLowest(c *Case, stations []pressure.Station) *pressure.Fault {
	low, baseline := units.Pressure(math.Inf(1)), units.Pressure(0)
	for _, s := range stations {
		low = min(low, units.Abs(s.Pressure))
	}
	for _, s := range c.Held {
		baseline = max(baseline, units.Abs(s.Baseline.Mean))
	}
	return pressure.LowPressureWarning(low, baseline)
}

// fillMulti takes the numbers of a fit; false when one of them has no interval.
func fillMulti(c *Case, out *MultiPoint, m pressure.MultiPoint) bool {
	n, errN := m.Exponent()
	q50, errQ := m.FlowAt(zonal.Reference)
	coeff, errC := m.Coefficient()
	if errN != nil || errQ != nil || errC != nil {
		return false
	}
	exponent, flow := levelled(Ratio(n), m), levelled(Flow(q50), m)
	coefficient := levelled(toQ(coeff, flowAtPower), m)
	if exponent == nil || flow == nil || coefficient == nil {
		return false
	}
	out.Exponent, out.Flow50, out.Coefficient = *exponent, *flow, *coefficient
	if a, err := pressure.AreaOf(m, at4Pa, c.Model.Air); err == nil {
		out.LeakArea4 = levelled(leakArea(a, at4Pa), m)
	}
	if a, err := pressure.AreaOf(m, at10Pa, c.Model.Air); err == nil {
		out.LeakArea10 = levelled(leakArea(a, at10Pa), m)
	}
	for _, p := range bandPressures(out.Points) {
		if e, err := m.FlowAt(units.Pressure(p)); err == nil {
			if q := levelled(Flow(e), m); q != nil {
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

// addWeighted adds the fit that weighs both errors, with 90 % limits.
func addWeighted(c *Case, out *MultiPoint, stations []pressure.Station) {
	m, err := pressure.FitWeighted(stations, c.Gauge.FanCalibration())
	if err != nil && m.Stations == 0 {
		return
	}
	if n, err := m.Exponent(); err == nil {
		out.WeightedExponent = Ratio(n)
	}
	if q, err := m.FlowAt(zonal.Reference); err == nil {
		out.WeightedFlow50 = Flow(q)
	}
}

// onePoint carries the hold as found nearest to 50 Pa to that pressure with an
// exponent that is assumed.
func onePoint(c *Case, log *Log) []HandAnswer {
	var stations []pressure.Station
	for _, k := range c.Order {
		if c.Model.Holds[k].Fan != nil && c.Held[k].Hold.AsFound() {
			stations = append(stations, stationOf(c, k))
		}
	}
	point, ok := nearest50(c, stations)
	if !ok {
		return nil
	}
	t, err := point.At(zonal.Reference)
	if err != nil {
		log.Notice(Warning, "one-point test", "%s", err)
		return nil
	}
	log.worked("one-point test", t.Shown.Worked(c.System))
	log.worked("one-point test", t.Spread.Worked(c.System))
	log.problem("one-point test", t.Warnings...)
	note := ""
	if !t.Reached {
		note = "50 Pa was not reached: it leans on an exponent of 0.65"
	}
	return []HandAnswer{{Method: "one-point test", About: sheet.HouseName, Quantity: "flow at 50 Pa", Result: Flow(t.Flow), Resolved: true, Note: note}}
}

// stationOf is a hold as a test of the whole house.
func stationOf(c *Case, k int) pressure.Station {
	h := &c.Model.Holds[k]
	return pressure.Station{Name: strings.TrimPrefix(h.Name, "hold "), Pressure: h.House, PressureSD: h.HouseSD,
		Flow: h.Fan.Flow, Repeat: units.Ratio(h.Fan.SDLn), Range: c.Held[k].Hold.Range.Value}
}

// twoPoint reports two stations, as a hand answer.
func twoPoint(c *Case, log *Log, stations []pressure.Station) []HandAnswer {
	const method = "two-point test"
	t, err := pressure.FitTwo(stations[0], stations[1], c.Gauge.FanCalibration())
	if err != nil {
		log.Background(method, "%s", err)
		return nil
	}
	log.worked(method, t.Shown.Worked(c.System))
	log.worked(method, t.Spread.Worked(c.System))
	log.problem(method, t.Warnings...)
	list := []HandAnswer{{Method: method, About: sheet.HouseName, Quantity: "flow exponent", Result: Ratio(t.Exponent), Resolved: true}}
	if q, err := t.FlowAt(zonal.Reference); err == nil {
		list = append(list, HandAnswer{Method: method, About: sheet.HouseName, Quantity: "flow at 50 Pa", Result: Flow(q), Resolved: true})
	}
	return list
}
