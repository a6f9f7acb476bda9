package survey

import (
	"fmt"
	"math"
	"slices"

	"holdbook/internal/fit"
	"holdbook/pressure"
	"holdbook/units"
	"holdbook/zonal"
	"holdbook/zonal/byhand"
)

// nearEnd is how near to either end of the hold a zone pressure only bounds the
// ratio of its leaks.
const nearEnd = units.Pressure(2)

// sharpHole is what is taken of a hole of stated area, and of an opening whose size is
// stated as an area.
var sharpHole = pressure.SharpHole(0)

// openingCd is the discharge coefficient that the area of an opening is stated for.
var openingCd = float64(sharpHole.Cd)

// pathFindings reports every leak.
func pathFindings(c *Case, e *zonal.Estimate) (list []Path) {
	for i, path := range e.Paths {
		p := c.Model.Paths[i]
		out := Path{Between: c.Pair(p.A, p.B), Resolved: path.Resolved, MostlyPrior: path.MostlyPrior}
		if !Untouched(p.Flow50, path.Flow50) {
			out.Flow50, out.Area4, out.Exponent = Flow(path.Flow50), leakArea(path.Area4, at4Pa), Ratio(path.Exponent)
			if path.Now50 != nil {
				out.Now50 = Flow(*path.Now50)
			}
		}
		if _, ok := c.registersOf(p.A, p.B); ok {
			out.Note = "registers, open"
			if p.Covered {
				out.Note = "registers, covered"
			}
		}
		list = append(list, out)
	}
	return list
}

// Untouched tells whether the readings have left a prior as it was: such a
// number would be a guess.
func Untouched(prior zonal.LogNormal, e units.Estimate[units.Flow]) bool {
	if prior.SDLn == 0 {
		return false
	}
	width := math.Log(float64(e.High/e.Low)) / (2 * fit.Z90 * prior.SDLn)
	shift := math.Abs(math.Log(float64(e.Value/prior.Median))) / prior.SDLn
	return width > 0.97 && shift < 0.03
}

// bearsOn tells whether any reading bears on a zone: its own, or a fan flow
// with something changed about it.
func bearsOn(c *Case, z zonal.SpaceID) bool {
	for k := range c.Model.Holds {
		h := &c.Model.Holds[k]
		read := slices.ContainsFunc(h.Read, func(x zonal.PressureReading) bool { return x.Of == z || x.To == z })
		flow := slices.ContainsFunc(h.Flows, func(x zonal.PathFlow) bool { return x.Of == z || x.To == z })
		if read || flow || h.Fan != nil && c.Changed(k, z) {
			return true
		}
	}
	return false
}

// widestLeakRatio is the end over end of an interval from which a ratio of leaks
// tells no more than two leaks of any house: exp(2·1.645·√2·1.5), by the priors.
const widestLeakRatio = 1000

// carriesRatio tells whether the readings carry the ratio of a zone's two leaks:
// near either end of the hold they only bound it.
func carriesRatio(e zonal.ZoneEstimate) bool {
	return e.Ratio != nil && e.Ratio.High < widestLeakRatio*e.Ratio.Low &&
		e.ToHouse.Value >= nearEnd && e.ToHouse.Value <= zonal.Reference-nearEnd
}

// zoneFindings reports every side space.
func zoneFindings(c *Case, e *zonal.Estimate) (list []Zone) {
	for _, zone := range e.Zones {
		name := c.Names[zone.Space]
		z, _ := c.Sheet.Zone(name)
		out := Zone{Name: units.Sanitize(name), Kind: string(z.Kind), Meant: "outside", Resolved: zone.Resolved, Near: nearEndOf(c, zone.Space)}
		if z.MeantInside() {
			out.Meant = "inside"
		}
		touched := bearsOn(c, zone.Space)
		if touched {
			out.ToHouse, out.ConnectionFraction, out.ThroughFlow50 = pascals(zone.ToHouse), Ratio(zone.Fraction), Flow(zone.Through)
		}
		if touched && out.Near == "" && carriesRatio(zone) {
			out.LeakRatio = Ratio(*zone.Ratio)
		}
		list = append(list, out)
	}
	return list
}

// nearEndOf says to which end of the as-found hold a zone was read within 2 Pa.
func nearEndOf(c *Case, z zonal.SpaceID) string {
	for _, k := range c.Order {
		h := &c.Model.Holds[k]
		if !c.Held[k].Hold.AsFound() {
			continue
		}
		for _, x := range h.Read {
			if x.Of != z && x.To != z {
				continue
			}
			other := x.To
			if x.To == z {
				other = x.Of
			}
			if other > zonal.Outside {
				continue
			}
			near, far := other, zonal.House+zonal.Outside-other
			switch {
			case units.Abs(x.Pressure) < nearEnd:
				return c.Names[near]
			case units.Abs(x.Pressure) > units.Abs(h.House)-nearEnd:
				return c.Names[far]
			}
		}
	}
	return ""
}

// openingFindings reports what was opened, hold by hold.
func openingFindings(c *Case, e *zonal.Estimate) (list []Opening) {
	for k := range c.Model.Holds {
		for _, i := range c.Model.Holds[k].Opened {
			o, opened := c.Model.Openings[i], e.Openings[i]
			out := Opening{Hold: c.Model.Holds[k].Name, Name: units.Sanitize(o.Name), Between: c.Pair(o.A, o.B),
				Known: opened.Known, Resolved: opened.Resolved}
			if opened.Known || !Untouched(o.Flow50, opened.Flow50) {
				out.Flow50, out.Area = Flow(opened.Flow50), toQ(opened.Area, units.SquareMetre)
			}
			if out.Area != nil {
				out.Area.Coefficient, out.Area.Pressure = openingCd, zonal.Reference
				if o.Cd > 0 {
					out.Area.Coefficient = o.Cd
				}
			}
			list = append(list, out)
		}
	}
	return list
}

// readingFindings sets every reading that has a prediction beside it; s, where the readings could
// be judged, says which of them the others check.
func readingFindings(c *Case, e *zonal.Estimate, s *zonal.Suspicion) (list []Reading) {
	for i, reading := range e.Readings {
		unit := units.Pascal
		if reading.Predicted.Flow {
			unit = units.CubicMetrePerSecond
		}
		q := toQ(reading.Predicted.Estimate, unit)
		if q == nil || !units.Finite(reading.OffBySD) {
			continue
		}
		of, to := readingOf(c, reading)
		out := Reading{Of: of, To: to, Hold: c.Model.Holds[reading.Hold].Name, Read: reading.Read, Predicted: *q, OffBySD: reading.OffBySD, Unit: unit,
			Checkable: s == nil || i >= len(s.Checks) || s.Checks[i].Checkable}
		list = append(list, out)
	}
	return list
}

// readingOf names what was read.
func readingOf(c *Case, e zonal.ReadingEstimate) (of, to string) {
	switch e.Kind {
	case zonal.FanReading:
		return "door fan", ""
	case zonal.SourceReading:
		return "further fan", ""
	}
	return c.Names[e.Of], c.Names[e.To]
}

// methodFindings says how the intervals came about.
func methodFindings(e *zonal.Estimate, log *Log) Method {
	p := e.Posterior
	m := Method{Intervals: e.Intervals, Status: p.Status(), Effective: p.EffectiveSampleSize(), Seed: fmt.Sprintf("%016x", p.Seed())}
	if m.Status != zonal.Converged {
		log.Notice(Warning, "", "the intervals may be unreliable: %s", m.Status)
	}
	return m
}

// orZero is a number, or 0 in place of what is none.
func orZero(v float64) float64 {
	if units.Finite(v) {
		return v
	}
	return 0
}

// handAnswers reports what the hand methods say, beside the joint estimate.
func handAnswers(c *Case, log *Log) (list []HandAnswer) {
	for _, h := range byhand.Apply(c.Model, c.System) {
		about := c.Names[h.Zone]
		if h.Series != nil {
			list = append(list, handSeries(c, log, about, h))
		}
		if h.Result != nil {
			list = append(list, handResult(c, log, about, h.Result)...)
		}
		if h.Err != nil {
			list = append(list, HandAnswer{Method: handMethod(h), About: about, Quantity: "leakage", Note: h.Err.Error()})
		}
	}
	return append(list, threeTests(c, log)...)
}

func handMethod(h byhand.Finding) string {
	if h.Result != nil {
		return h.Result.Method
	}
	return "two leaks in series"
}

func handSeries(c *Case, log *Log, about string, h byhand.Finding) HandAnswer {
	s := h.Series
	handNotes(log, about, s.Notes)
	log.worked(about, s.Working...)
	return handOne(c, "two leaks in series", about, "leak ratio", toQ(s.Ratio.Estimate, units.One), s.Ratio.Bound, s.Ratio.Resolved)
}

func handResult(c *Case, log *Log, about string, h *byhand.Result) []HandAnswer {
	log.worked(about, h.Working...)
	list := []HandAnswer{
		handOne(c, h.Method, about, "house–"+about+", flow at 50 Pa", Flow(h.HouseZone.Estimate), h.HouseZone.Bound, h.HouseZone.Resolved),
		handOne(c, h.Method, about, about+"–outside, flow at 50 Pa", Flow(h.ZoneOutside.Estimate), h.ZoneOutside.Bound, h.ZoneOutside.Resolved),
	}
	if h.Direct != nil {
		list = append(list, handOne(c, h.Method, about, "all but the "+about+", flow at 50 Pa", Flow(h.Direct.Estimate), h.Direct.Bound, h.Direct.Resolved))
	}
	handNotes(log, about, h.Notes)
	return list
}

// handNotes hands on what the hand methods remark; what two of them say alike
// is said once.
func handNotes(log *Log, about string, notes []string) {
	for _, n := range notes {
		log.Notice(Note, about, "%s", n)
	}
}

// handOne adds one answer; an end that is only a bound is said in words.
func handOne(c *Case, method, about, what string, q *Q, b byhand.Bound, resolved bool) HandAnswer {
	a := HandAnswer{Method: method, About: about, Quantity: what, Resolved: resolved}
	switch {
	case q == nil || b == byhand.Open:
		a.Note = "the readings do not bound it"
	case b == byhand.Between:
		a.Result = q
	default:
		a.Result, a.Note = nil, boundText(*q, b, c.System.For(q.Unit))
	}
	return a
}

func boundText(q Q, b byhand.Bound, u units.Unit) string {
	_, low, high := units.Estimate[float64]{Value: q.Value, Low: q.Low, High: q.High}.Format(u)
	if b == byhand.AtLeast {
		return fmt.Sprintf("at least %s %s", low, u.Symbol())
	}
	return fmt.Sprintf("at most %s %s", high, u.Symbol())
}
