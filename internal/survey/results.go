package survey

import (
	"fmt"
	"math"
	"slices"

	"holdbook/internal/fit"
	"holdbook/internal/sheet"
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
		if s, ok := c.sheetPath(p); ok && s.Flow50.Given && !p.Covered {
			out.Stated, out.Resolved = true, !factorsApart(path.Flow50)
		}
		if !Untouched(p.Flow50, path.Flow50) {
			out.Flow50, out.Area4, out.Exponent = Flow(path.Flow50), leakArea(path.Area4, at4Pa), Ratio(path.Exponent)
			if path.Now50 != nil {
				out.Now50, out.NowResolved = Flow(*path.Now50), !factorsApart(*path.Now50)
			}
			if !out.Resolved && !path.MostlyPrior {
				out.Bound = boundOf(p.Flow50, path.Flow50)
			}
		}
		if c.Registers(p.A, p.B) {
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

// factorsApart tells whether an interval is too wide for its middle to be a size.
func factorsApart(e units.Estimate[units.Flow]) bool {
	return units.FactorsApart(float64(e.Low), float64(e.High))
}

// boundOf says which end of an interval the readings have made, where that is one of the
// two: the other end then lies near that of the prior.
func boundOf(prior zonal.LogNormal, e units.Estimate[units.Flow]) Bound {
	if prior.SDLn == 0 {
		return ""
	}
	const near = 0.5 // of the prior's sd
	score := func(v units.Flow) float64 { return math.Log(float64(v/prior.Median)) / prior.SDLn }
	low, high := score(e.Low) > near-fit.Z90, score(e.High) < fit.Z90-near
	switch {
	case low && !high:
		return AtLeast
	case high && !low:
		return AtMost
	}
	return ""
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
	return e.Ratio != nil && e.Ratio.High < widestLeakRatio*e.Ratio.Low && nearEndOf(e.ToHouse.Value) == ""
}

// zoneFindings reports every side space.
func zoneFindings(c *Case, e *zonal.Estimate) (list []Zone) {
	for _, zone := range e.Zones {
		name := c.Names[zone.Space]
		z, _ := c.Sheet.Zone(name)
		out := Zone{Name: units.Sanitize(name), Kind: string(z.Kind), Meant: "outside", Resolved: zone.Resolved}
		if z.MeantInside() {
			out.Meant = "inside"
		}
		out.Vented, out.FloorArea = flagOf(z.Vented), stated(z.FloorArea, units.SquareMetreOfFloor)
		touched := bearsOn(c, zone.Space)
		if touched {
			out.ToHouse, out.ConnectionFraction, out.ThroughFlow50 = pascals(zone.ToHouse), Ratio(zone.Fraction), Flow(zone.Through)
			out.Verdict = verdictOf(z.Kind, out.ConnectionFraction)
			out.Near = nearEndOf(zone.ToHouse.Value)
			if c.FanRead() {
				out.Share = percentOf(zone.Share)
			}
		}
		if touched && carriesRatio(zone) {
			out.LeakRatio = Ratio(*zone.Ratio)
		}
		list = append(list, out)
	}
	return list
}

// nearEndOf says of a zone's pressure to the house, held at the reference pressure as
// found, whether it is within 2 Pa of either end.
func nearEndOf(toHouse units.Pressure) string {
	switch {
	case toHouse < nearEnd:
		return sheet.HouseName
	case toHouse > zonal.Reference-nearEnd:
		return sheet.OutsideName
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
			if !opened.Resolved && !opened.MostlyPrior {
				out.Bound = boundOf(o.Flow50, opened.Flow50)
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
		if unreadFan(c, reading) {
			continue
		}
		unit := units.Pascal
		if reading.Predicted.Flow {
			unit = units.CubicMetrePerSecond
		}
		q := toQ(reading.Predicted.Estimate, unit)
		if q == nil || !units.Finite(reading.OffBySD) {
			continue
		}
		of, to := readingOf(c, reading)
		out := Reading{Of: of, To: to, Hold: c.Estimated.Holds[reading.Hold].Name, Read: reading.Read, Predicted: *q, OffBySD: reading.OffBySD, Unit: unit,
			Checkable: s == nil || i >= len(s.Checks) || s.Checks[i].Checkable, Carries: carriedBy(c, e, s, i)}
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
	if w := p.Widened(); w > 1 {
		m.Widened = w
		log.Notice(Warning, "", "the readings contradict each other, %s times as much as their errors allow, and none of them can be named: every interval is made wider by as much", units.Fixed(w, 1))
	}
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
	return append(append(list, threeTests(c, log)...), guardedFindings(c, log)...)
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
		log.Background(about, "%s", n)
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
	if b == byhand.AtLeast {
		return "at least " + units.Put(units.Significant(u.FromSI(q.Low), 2), u)
	}
	return "at most " + units.Put(units.Significant(u.FromSI(q.High), 2), u)
}
