package survey

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"holdbook/internal/sheet"
	"holdbook/pressure"
	"holdbook/units"
	"holdbook/zonal"
)

// What is taken of the weather where the sheet does not say. Judgement, not published.
const (
	usualIndoor   = units.Temperature(293.15) // 20 °C
	usualIndoorSD = units.Temperature(2)      // K
	noWordWind    = 2.0                       // m/s
)

// windWords are the first words of job.wind that count, with the speed (m/s) each stands for.
var windWords = map[string]float64{"calm": 1, "light": 2, "breezy": 4}

// Rest is a state without the door fan, as a baseline was read in it.
type Rest struct {
	From *sheet.Hold // the first hold that a baseline of it was read for
	Read []restReading
}

// restReading is one baseline.
type restReading struct {
	of, to zonal.SpaceID
	value  units.Pressure
	sd     units.Pressure
	pos    sheet.Pos
}

// layWeather makes the model of the joint estimate: that of the hand methods with readings
// as the gauge showed them, baselines as holds at rest, and the weather of the visit.
func layWeather(c *Case, log *Log) {
	m := *c.Model
	m.Spaces, m.Paths = slices.Clone(m.Spaces), slices.Clone(m.Paths)
	m.Stand(houseHeight(c))
	for z := range c.Zones() {
		standZone(c, &m, z)
	}
	m.Weather = &zonal.Weather{Stack: stackOf(c), Wind: windOf(c, log), Zero: zonal.UsualZero()}
	listWeather(c, m.Weather)
	layOneWay(c, &m)
	m.Holds = nil
	l := restLayer{c: c}
	for k := range c.Model.Holds {
		m.Holds = append(m.Holds, asShown(c, k))
	}
	for _, k := range c.Order { // as found first: a figure written in several holds is of the first
		l.add(k)
	}
	l.addUnread(m.Holds)
	m.Holds = append(m.Holds, l.holds...)
	c.Estimated, c.Rests = &m, l.rests
}

// listWeather notes what was assumed of the weather and of the zero of the gauge.
func listWeather(c *Case, w *zonal.Weather) {
	list := func(of string, mean, sd float64, stated bool) {
		from := judgement
		if stated {
			from = "the sheet; its error judgement, not published"
		}
		c.Priors = append(c.Priors, Prior{Of: of, Median: *pascals(pressure.Interval90(units.Measured[units.Pressure]{Value: units.Pressure(mean), SD: units.Pressure(sd)})), From: from})
	}
	list("stack, for each metre of height", w.Stack.Mean, w.Stack.SD, c.outdoorAir().Given)
	list("pressure of the wind", float64(w.Wind), 0, false)
	list("zero of the gauge", 0, float64(w.Zero), false)
}

// HoldPlace is where a hold of the estimate stands in the sheet, and its name.
func (c *Case) HoldPlace(k int) (*sheet.Hold, string) {
	if k < len(c.Held) {
		return c.Held[k].Hold, c.Model.Holds[k].Name
	}
	return c.Rests[k-len(c.Held)].From, c.Estimated.Holds[k].Name
}

// BaselineAt is where the baseline stands that was read between two spaces in a hold of the
// estimate at rest.
func (c *Case) BaselineAt(k int, of, to zonal.SpaceID) sheet.Pos {
	rest := c.Rests[k-len(c.Held)]
	for _, r := range rest.Read {
		if r.of == of && r.to == to {
			return r.pos
		}
	}
	return rest.From.Pos
}

// houseHeight is the height of the house, by its storeys where it is not given.
func houseHeight(c *Case) units.Length {
	if h := c.Sheet.House.Height; h.Given {
		return h.Value
	}
	return units.Length(float64(c.Sheet.House.Storeys.Or(1))) * zonal.StoreyHeight
}

// standZone puts what the sheet says of a zone in place of where its kind stands.
func standZone(c *Case, m *zonal.Model, z zonal.SpaceID) {
	zone, ok := c.Sheet.Zone(c.Names[z])
	if !ok {
		return
	}
	if zone.Crossing.Given {
		m.Spaces[z].Crossing = float64(zone.Crossing.Value)
	}
	if i := m.PathBetween(z, zonal.Outside); i >= 0 && zone.Height.Given {
		m.Paths[i].Height = float64(zone.Height.Value)
	}
	in, known := c.densityAt(zone.Temperature)
	out, outdoors := c.densityAt(c.outdoorAir())
	if known && outdoors {
		stack := zonal.StackOf(in, out).Mean
		m.Spaces[z].Stack = &stack
	}
}

// densityAt is the density of air at a temperature, if that is given.
func (c *Case) densityAt(t sheet.Temperature) (units.Density, bool) {
	if !t.Given {
		return 0, false
	}
	a, err := c.airAt(t.Value)
	return a.density, err == nil
}

// outdoorAir and indoorAir are the temperatures of the visit: the house's, else those of
// the first hold that has them, as found before changed.
func (c *Case) outdoorAir() sheet.Temperature {
	return c.airOfVisit(c.Sheet.House.Outdoor, func(h *sheet.Hold) sheet.Temperature { return h.Outdoor })
}

func (c *Case) indoorAir() sheet.Temperature {
	return c.airOfVisit(c.Sheet.House.Indoor, func(h *sheet.Hold) sheet.Temperature { return h.Indoor })
}

func (c *Case) airOfVisit(t sheet.Temperature, of func(*sheet.Hold) sheet.Temperature) sheet.Temperature {
	for _, k := range c.Order {
		if t.Given {
			break
		}
		t = of(c.Held[k].Hold)
	}
	return t
}

// stackOf is what is known of the stack: from both temperatures, from that outdoors alone,
// or nothing.
func stackOf(c *Case) zonal.Normal {
	out, ok := c.densityAt(c.outdoorAir())
	if !ok {
		return zonal.UnknownStack()
	}
	indoor := c.indoorAir()
	if in, ok := c.densityAt(indoor); ok {
		return zonal.StackOf(in, out)
	}
	indoor = sheet.Temperature{Value: usualIndoor, Given: true}
	in, ok := c.densityAt(indoor)
	if !ok {
		return zonal.UnknownStack()
	}
	stack := zonal.StackOf(in, out)
	indoor.Value += usualIndoorSD
	warmer, _ := c.densityAt(indoor)
	stack.SD = math.Hypot(stack.SD, zonal.StackOf(warmer, in).Mean)
	return stack
}

// windOf is ½ρU² of the wind that the sheet speaks of.
func windOf(c *Case, log *Log) units.Pressure {
	u := noWordWind
	if said := c.Sheet.Job.Wind.Value; said != "" {
		first := strings.ToLower(strings.TrimRight(strings.Fields(said)[0], ",.;:"))
		if v, ok := windWords[first]; ok {
			u = v
		} else {
			log.Notice(Note, "wind", "%q does not begin with calm, light or breezy; the wind counts as not stated", units.Sanitize(said))
		}
	}
	return units.Pressure(0.5 * float64(pressure.StandardDensity) * u * u)
}

// asShown is hold k as the gauge showed it.
func asShown(c *Case, k int) zonal.Hold {
	h, s := c.Model.Holds[k], &c.Held[k]
	h.House = notZero(c, s.Raw)
	h.HouseSD = someError(windIn(s.Gauge, s.Hold.House).PressureSD(s.Raw))
	h.Read = slices.Clone(h.Read)
	for i := range h.Read {
		h.Read[i].Pressure, h.Read[i].SD, h.Read[i].LessRest = s.read[i].raw, s.read[i].sd, s.read[i].less
	}
	h.LessRest = s.Hold.LessOf(sheet.HouseName)
	if h.Fan != nil && !s.air.Known {
		f := *h.Fan
		f.PerStack = 1 / float64(pressure.StandardDensity*units.Density(gravity))
		if h.House > 0 {
			f.PerStack = -f.PerStack
		}
		h.Fan = &f
	}
	return h
}

// gravity in m/s².
const gravity = 9.80665

// restLayer makes holds at rest of the baselines of a sheet, one for each state.
type restLayer struct {
	c     *Case
	holds []zonal.Hold
	rests []Rest
}

// add takes the baselines that were read for hold k.
func (l *restLayer) add(k int) {
	s := &l.c.Held[k]
	for _, b := range []sheet.Pressure{s.Hold.Baseline, s.Hold.BaselineAfter} {
		if !b.Given {
			continue
		}
		if got, err := BaselineFrom(b, sheet.Pressure{}, s.Gauge.Wobble); err == nil {
			l.put(k, restReading{zonal.House, zonal.Outside, got.Mean, got.Drift, b.Pos})
		}
	}
	for _, q := range s.Hold.ZoneBaselines {
		z, ok := l.c.Spaces[q.Of.Name]
		if got, err := BaselineFrom(q.Pressure, sheet.Pressure{}, s.Gauge.Wobble); ok && err == nil {
			l.put(k, restReading{z, zonal.House, got.Mean, got.Drift, q.Pressure.Pos})
		}
	}
	for i, r := range s.read {
		if q := &l.c.Model.Holds[k].Read[i]; r.own != nil {
			l.put(k, restReading{q.Of, q.To, r.own.Mean, r.own.Drift, r.at})
		}
	}
}

// put adds a baseline to the hold at rest of the state of hold k. One that is written again
// with the same figure is the one before, carried over: it is counted once.
func (l *restLayer) put(k int, r restReading) {
	for _, rest := range l.rests {
		for _, q := range rest.Read {
			if q.of == r.of && q.to == r.to && q.value == r.value {
				return
			}
		}
	}
	at := l.at(&l.c.Model.Holds[k], l.c.Held[k].Hold)
	l.holds[at].Read = append(l.holds[at].Read, zonal.PressureReading{Of: r.of, To: r.to, Pressure: r.value, SD: someError(r.sd)})
	l.rests[at].Read = append(l.rests[at].Read, r)
}

// at is the hold at rest of a state, made where there is none; from is the hold of the sheet
// that it was read for.
func (l *restLayer) at(state *zonal.Hold, from *sheet.Hold) int {
	running := atBaseline(state, from)
	at := slices.IndexFunc(l.holds, func(h zonal.Hold) bool {
		return slices.Equal(h.Opened, state.Opened) && slices.Equal(h.Sealed, state.Sealed) && slices.Equal(h.Covered, state.Covered) && slices.EqualFunc(h.Fans, running, sameFan)
	})
	if at >= 0 {
		return at
	}
	name := baselineName
	if state.Opened != nil || state.Sealed != nil || running != nil {
		name = fmt.Sprintf("%s, %s", baselineName, state.Name)
	}
	l.holds = append(l.holds, zonal.Hold{Name: name, Rest: true, Opened: state.Opened, Sealed: state.Sealed, Covered: state.Covered, Fans: running})
	l.rests = append(l.rests, Rest{From: from})
	return len(l.holds) - 1
}

// atBaseline are the further fans of a state that ran while its baseline was read. Those of
// the sheet stand first in the model, in its order.
func atBaseline(state *zonal.Hold, from *sheet.Hold) (list []zonal.FanSource) {
	for i, f := range from.Fans {
		if f.AtBaseline.Or(false) {
			list = append(list, state.Fans[i])
		}
	}
	return list
}

func sameFan(a, b zonal.FanSource) bool {
	return a.From == b.From && a.To == b.To && a.Flow == b.Flow
}

// addUnread makes the house at rest as found where a gauge took off what it showed there:
// it has no reading of its own.
func (l *restLayer) addUnread(holds []zonal.Hold) {
	for k, h := range holds {
		if h.LessRest || slices.ContainsFunc(h.Read, func(r zonal.PressureReading) bool { return r.LessRest }) {
			l.at(&zonal.Hold{Name: h.Name, Fans: l.c.Model.Holds[k].Fans}, l.c.Held[k].Hold)
			return
		}
	}
}

// baselineName is what a hold at rest is called.
const baselineName = "baseline"
