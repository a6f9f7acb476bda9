package survey

import (
	"fmt"
	"math"
	"slices"

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

// paths reports every leak.
func (r *run) paths() {
	for i, e := range r.estimate.Paths {
		p := r.model.Paths[i]
		out := Path{Between: r.pair(p.A, p.B), Resolved: e.Resolved, MostlyPrior: e.MostlyPrior}
		if !untouched(p.Flow50, e.Flow50) {
			out.Flow50, out.Area4, out.Exponent = r.flow(e.Flow50), r.area(e.Area4, at4Pa), r.ratio(e.Exponent)
			if e.Now50 != nil {
				out.Now50 = r.flow(*e.Now50)
			}
		}
		if d, ok := r.registersOf(p.A, p.B); ok {
			out.Note = "registers, open"
			if p.Covered {
				out.Note = "registers, covered"
			}
			_ = d
		}
		r.f.Paths = append(r.f.Paths, out)
	}
}

// untouched tells whether the readings have left a prior as it was: such a
// number would be a guess.
func untouched(prior zonal.LogNormal, e units.Estimate[units.Flow]) bool {
	if prior.SDLn == 0 {
		return false
	}
	width := math.Log(float64(e.High/e.Low)) / (2 * fit90 * prior.SDLn)
	shift := math.Abs(math.Log(float64(e.Value/prior.Median))) / prior.SDLn
	return width > 0.97 && shift < 0.03
}

// touched tells whether any reading bears on a zone: its own, or a fan flow
// with something changed about it.
func (r *run) touched(z zonal.SpaceID) bool {
	for i := range r.model.Holds {
		h := &r.model.Holds[i]
		read := slices.ContainsFunc(h.Read, func(x zonal.PressureReading) bool { return x.Of == z || x.To == z })
		flow := slices.ContainsFunc(h.Flows, func(x zonal.PathFlow) bool { return x.Of == z || x.To == z })
		changed := slices.ContainsFunc(h.Opened, func(k int) bool { return r.model.Openings[k].A == z || r.model.Openings[k].B == z }) ||
			slices.ContainsFunc(h.Sealed, func(k int) bool { return r.model.Paths[k].A == z || r.model.Paths[k].B == z }) ||
			slices.ContainsFunc(h.Fans, func(f zonal.FanSource) bool { return f.From == z || f.To == z })
		if read || flow || changed && h.Fan != nil {
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

// zones reports every side space.
func (r *run) zones() {
	for _, e := range r.estimate.Zones {
		name := r.names[e.Space]
		z, _ := r.sheet.Zone(name)
		out := Zone{Name: units.Sanitize(name), Kind: string(z.Kind), Meant: "outside", Resolved: e.Resolved, Near: r.near(e.Space)}
		if z.MeantInside() {
			out.Meant = "inside"
		}
		touched := r.touched(e.Space)
		if touched {
			out.ToHouse, out.ConnectionFraction, out.ThroughFlow50 = r.pascals(e.ToHouse), r.ratio(e.Fraction), r.flow(e.Through)
		}
		if touched && out.Near == "" && carriesRatio(e) {
			out.LeakRatio = r.ratio(*e.Ratio)
		}
		r.f.Zones = append(r.f.Zones, out)
	}
}

// near says to which end of the as-found hold a zone was read within 2 Pa.
func (r *run) near(z zonal.SpaceID) string {
	for _, k := range r.order {
		h := &r.model.Holds[k]
		if !r.held[k].hold.AsFound() {
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
			case abs(x.Pressure) < nearEnd:
				return r.names[near]
			case abs(x.Pressure) > abs(h.House)-nearEnd:
				return r.names[far]
			}
		}
	}
	return ""
}

// openings reports what was opened, hold by hold.
func (r *run) openings() {
	for k := range r.model.Holds {
		for _, i := range r.model.Holds[k].Opened {
			o, e := r.model.Openings[i], r.estimate.Openings[i]
			out := Opening{Hold: r.model.Holds[k].Name, Name: units.Sanitize(o.Name), Between: r.pair(o.A, o.B),
				Known: e.Known, Resolved: e.Resolved}
			if e.Known || !untouched(o.Flow50, e.Flow50) {
				out.Flow50, out.Area = r.flow(e.Flow50), quantity(e.Area, units.SquareMetre)
			}
			if out.Area != nil {
				out.Area.Coefficient, out.Area.Pressure = openingCd, zonal.Reference
				if o.Cd > 0 {
					out.Area.Coefficient = o.Cd
				}
			}
			r.f.Openings = append(r.f.Openings, out)
		}
	}
}

// readings sets every reading beside its prediction.
func (r *run) readings() {
	for _, e := range r.estimate.Readings {
		unit := units.Pascal
		if e.Kind != zonal.HouseReading && e.Kind != zonal.ZoneReading {
			unit = units.CubicMetrePerSecond
		}
		q := quantity(e.Predicted, unit)
		if q == nil || math.IsNaN(e.OffBySD) || math.IsInf(e.OffBySD, 0) {
			continue
		}
		out := Reading{Hold: r.model.Holds[e.Hold].Name, Of: r.readingOf(e), Read: e.Read, Predicted: *q, OffBySD: e.OffBySD, Unit: unit, Checkable: true}
		if e.Kind == zonal.HouseReading || e.Kind == zonal.ZoneReading || e.Kind == zonal.PathReading {
			out.To = r.names[e.To]
		}
		r.f.Readings = append(r.f.Readings, out)
	}
}

// readingOf names what was read.
func (r *run) readingOf(e zonal.ReadingEstimate) string {
	switch e.Kind {
	case zonal.FanReading:
		return "door fan"
	case zonal.SourceReading:
		return "further fan"
	}
	return r.names[e.Of]
}

// method says how the intervals came about.
func (r *run) method() {
	p := r.estimate.Posterior
	m := Method{Intervals: r.estimate.Intervals, Status: p.Status(), Effective: p.EffectiveSampleSize(), Seed: fmt.Sprintf("%016x", p.Seed())}
	if m.Status != zonal.Converged {
		r.notice(Warning, "", "the intervals may be unreliable: %s", m.Status)
	}
	r.f.Method = m
}

// orZero is a number, or 0 in place of what is none.
func orZero(v float64) float64 {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return 0
	}
	return v
}

// hand reports what the hand methods say, beside the joint estimate.
func (r *run) hand() {
	for _, h := range byhand.Apply(r.model, r.system) {
		about := r.names[h.Zone]
		if h.Series != nil {
			r.handSeries(about, h)
		}
		if h.Result != nil {
			r.handResult(about, h.Result)
		}
		if h.Err != nil {
			r.f.Hand = append(r.f.Hand, HandAnswer{Method: handMethod(h), About: about, Quantity: "leakage", Note: h.Err.Error()})
		}
	}
	r.threeTests()
}

func handMethod(h byhand.Finding) string {
	if h.Result != nil {
		return h.Result.Method
	}
	return "two leaks in series"
}

func (r *run) handSeries(about string, h byhand.Finding) {
	s := h.Series
	r.handNotes(about, s.Notes)
	r.handWork(about, s.Working)
	r.handOne("two leaks in series", about, "leak ratio", quantity(s.Ratio.Estimate, units.One), s.Ratio.Bound, s.Ratio.Resolved)
}

func (r *run) handResult(about string, h *byhand.Result) {
	r.handWork(about, h.Working)
	r.handOne(h.Method, about, "house–"+about+", flow at 50 Pa", r.flow(h.HouseZone.Estimate), h.HouseZone.Bound, h.HouseZone.Resolved)
	r.handOne(h.Method, about, about+"–outside, flow at 50 Pa", r.flow(h.ZoneOutside.Estimate), h.ZoneOutside.Bound, h.ZoneOutside.Resolved)
	if h.Direct != nil {
		r.handOne(h.Method, about, "all but the "+about+", flow at 50 Pa", r.flow(h.Direct.Estimate), h.Direct.Bound, h.Direct.Resolved)
	}
	r.handNotes(about, h.Notes)
}

// handNotes hands on what the hand methods remark; what two of them say alike
// is said once.
func (r *run) handNotes(about string, notes []string) {
	for _, n := range notes {
		r.notice(Note, about, "%s", n)
	}
}

// handOne adds one answer; an end that is only a bound is said in words.
func (r *run) handOne(method, about, what string, q *Q, b byhand.Bound, resolved bool) {
	a := HandAnswer{Method: method, About: about, Quantity: what, Resolved: resolved}
	switch {
	case q == nil || b == byhand.Open:
		a.Note = "the readings do not bound it"
	case b == byhand.Between:
		a.Result = q
	default:
		a.Result, a.Note = nil, boundText(*q, b, r.system.For(q.Unit))
	}
	r.f.Hand = append(r.f.Hand, a)
}

func boundText(q Q, b byhand.Bound, u units.Unit) string {
	_, low, high := units.Estimate[float64]{Value: q.Value, Low: q.Low, High: q.High}.Format(u)
	if b == byhand.AtLeast {
		return fmt.Sprintf("at least %s %s", low, u.Symbol())
	}
	return fmt.Sprintf("at most %s %s", high, u.Symbol())
}

func (r *run) handWork(about string, steps []pressure.Worked) {
	for _, w := range steps {
		r.work(about, w.Formula, w.Numbers, w.Source)
	}
}
