package zonal

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"holdbook/units"
)

// Weather is what drives leaks beside the fan, and what a gauge adds to what it shows.
// The pressures of the network are those that a gauge in the house shows. A leak k from
// space a to b then has the difference π_a − π_b + w_k across it:
//
//	w_k = τ·m_k + s_k·z_k,  m_k = o_a − o_b + (f_a − f_b)·h_k
//
// τ is the Stack of the house, f the Warmth of a space, h_k the Height of the leak, and
// o_s·τ how far the pressure at floor height of a space is above what the gauge shows of
// it, which follows from its Crossing: a hose takes on the temperature of the air around
// it, so that only where it crosses from one air to another counts. z_k is a standard
// normal number of each leak, the same all through the visit, for the height at which it
// really lies and the wind on its facade. Something opened has the w of the leak between
// the same spaces. What is estimated of a house is of the same house without weather.
type Weather struct {
	Stack Normal         // τ = (ρ outdoors − ρ indoors)·g of the visit, Pa/m
	Wind  units.Pressure // ½ρU²
	Zero  units.Pressure // standard deviation of the gauge's zero
}

// facadeSD is the standard deviation of the pressure coefficient of a leak to outdoors
// about that of the hose's open end. Judgement, not published.
const facadeSD = 0.35

// mostWeather is how many standard deviations from its mean the weather may be. Without a
// bound it would explain any contradiction: a leak that nothing drives takes any size.
const mostWeather = 4

// usual is the root mean square of τ.
func (w *Weather) usual() float64 { return math.Hypot(w.Stack.Mean, w.Stack.SD) }

// inStack is a pressure, or a pressure for each metre, as a function of the stack τ of
// the house: fixed + per·τ.
type inStack struct{ fixed, per float64 }

func (s inStack) plus(k float64, o inStack) inStack {
	return inStack{s.fixed + k*o.fixed, s.per + k*o.per}
}

// stackIn is (ρ outdoors − ρ there)·g of the air of a space, Pa/m.
func (m *Model) stackIn(s SpaceID) inStack {
	switch x := &m.Spaces[s]; {
	case s == Outside:
		return inStack{}
	case s == House:
		return inStack{per: 1}
	case x.Stack != nil:
		return inStack{fixed: *x.Stack}
	default:
		return inStack{per: x.Warmth}
	}
}

// aboveShown is how far the pressure of a space at floor height is above what the gauge
// shows of it, Pa.
func (m *Model) aboveShown(s SpaceID) inStack {
	if s == Outside {
		return inStack{}
	}
	house := inStack{}.plus(-m.Spaces[House].Crossing, m.stackIn(House))
	if s == House {
		return house
	}
	h := m.Spaces[s].Crossing
	return house.plus(h, m.stackIn(House)).plus(-h, m.stackIn(s))
}

// drive is what the stack adds to the difference (Pa) from a to b at a height (m).
func (m *Model) drive(a, b SpaceID, height float64) inStack {
	return m.aboveShown(a).plus(-1, m.aboveShown(b)).plus(height, m.stackIn(a)).plus(-height, m.stackIn(b))
}

// driftSD is the standard deviation (Pa) of what in the w of a leak is its own.
func (m *Model) driftSD(p *Path) float64 {
	sd := p.HeightSD * m.Weather.usual()
	if p.A == Outside || p.B == Outside {
		sd = math.Hypot(sd, facadeSD*float64(m.Weather.Wind))
	}
	return sd
}

// shift is where the w of an edge comes from. A nil one is of a house without weather.
type shift struct {
	fixed    float64 // Pa
	stack    slot
	perStack float64 // m
	drift    slot
	perDrift float64 // Pa
}

// Visit is a further visit to the same house, in weather of its own: its stack, the drift
// of each leak and the gauge's zero have nothing to do with those of another.
type Visit struct {
	Weather *Weather
	Spaces  []Space // those of the model, with the air that they had
}

// onVisit is the model as it stood on a visit.
func onVisit(m *Model, visit int) *Model {
	if visit == 0 {
		return m
	}
	later := *m
	later.Weather, later.Spaces = m.Later[visit-1].Weather, m.Later[visit-1].Spaces
	return &later
}

// visitPlan is a visit, compiled.
type visitPlan struct {
	model       *Model // as it stood then
	stack, zero slot   // of the weather and of the gauge
	drift       []slot // of each path
	rest        int    // the hold at rest as found, −1
}

// layWeather gives the stack, the gauge's zero and the drift of each leak their slots,
// visit by visit.
func (l *layout) layWeather() error {
	p := l.problem
	for k := range len(p.model.Later) + 1 {
		v, err := l.layVisit(k)
		if err != nil {
			return err
		}
		p.visits = append(p.visits, v)
	}
	return nil
}

// layVisit does so for one visit. What has no spread is a constant.
func (l *layout) layVisit(k int) (v visitPlan, err error) {
	p, m := l.problem, onVisit(l.problem.model, k)
	v = visitPlan{model: m, stack: none, zero: none, drift: make([]slot, len(m.Paths)), rest: -1}
	for _, h := range p.order.holds {
		if m.Holds[h].Rest && m.Holds[h].Visit == k && v.rest < 0 {
			v.rest = h
		}
	}
	for i := range v.drift {
		v.drift[i] = none
	}
	w := m.Weather
	if w == nil {
		return v, nil
	}
	if v.stack, err = l.addWeather(unknown{kind: houseStack, index: k, mean: w.Stack.Mean, sd: w.Stack.SD}); err != nil {
		return v, err
	}
	v.zero = l.add(unknown{kind: gaugeZero, index: k, sd: float64(w.Zero)}, w.Zero > 0)
	for _, i := range p.order.paths {
		q := &m.Paths[i]
		if wayBetween(m, q.A, q.B) != i || m.driftSD(q) == 0 {
			continue
		}
		if v.drift[i], err = l.addWeather(unknown{kind: pathDrift, index: i, sub: k, sd: 1}); err != nil {
			return v, err
		}
	}
	return v, nil
}

// wayBetween is the leak between two spaces that says where all between them lies: the one
// that stands as found, else any; −1 for none.
func wayBetween(m *Model, a, b SpaceID) int {
	if i := m.PathBetween(a, b); i >= 0 {
		return i
	}
	return slices.IndexFunc(m.Paths, func(p Path) bool { return p.Joins(a, b) })
}

// addWeather gives an unknown of the weather its slot.
func (l *layout) addWeather(u unknown) (slot, error) {
	u.low, u.high = u.mean-mostWeather*u.sd, u.mean+mostWeather*u.sd
	return l.addBounded(u)
}

// node is where a space stands in the network of a hold.
func (plan *holdPlan) node(s SpaceID) SpaceID {
	if plan.rest && s == House {
		return SpaceID(plan.spaces - 1)
	}
	return s
}

// shiftOf is the shift of an edge from a to b.
func (v *visitPlan) shiftOf(a, b SpaceID) *shift {
	m := v.model
	if m.Weather == nil {
		return nil
	}
	s, height := &shift{stack: v.stack, drift: none}, 0.0
	if i := wayBetween(m, a, b); i >= 0 {
		q := &m.Paths[i]
		height, s.drift, s.perDrift = q.Height, v.drift[i], m.driftSD(q)
		if (q.A != a) != (m.spaceText(q.A) > m.spaceText(q.B)) { // whichever way the path was written down
			s.perDrift = -s.perDrift
		}
	}
	d := m.drive(a, b, height)
	s.fixed, s.perStack = d.fixed, d.per
	if v.stack == none {
		s.fixed += d.per * m.Weather.Stack.Mean
	}
	return s
}

// value is w at the parameters x, Pa.
func (s *shift) value(x []float64) float64 {
	if s == nil {
		return 0
	}
	w := s.fixed
	if s.stack != none {
		w += s.perStack * x[s.stack]
	}
	if s.drift != none {
		w += s.perDrift * x[s.drift]
	}
	return w
}

// adjoint adds to grad the gradient of a function of the parameters whose derivative with
// respect to w is by.
func (s *shift) adjoint(by float64, grad []float64) {
	if s == nil {
		return
	}
	if s.stack != none {
		grad[s.stack] += by * s.perStack
	}
	if s.drift != none {
		grad[s.drift] += by * s.perDrift
	}
}

// checkWeather refuses weather that is none, of any visit.
func (m *Model) checkWeather() error {
	for k := range m.Later {
		if len(m.Later[k].Spaces) != len(m.Spaces) {
			return fmt.Errorf("visit %d has %d spaces, the model %d; give those of the model, with the air they had", k+1, len(m.Later[k].Spaces), len(m.Spaces))
		}
	}
	for k := range len(m.Later) + 1 {
		if err := onVisit(m, k).checkVisit(); err != nil {
			return err
		}
	}
	return nil
}

func (m *Model) checkVisit() error {
	w := m.Weather
	if w == nil {
		return m.checkStand()
	}
	for _, v := range []float64{w.Stack.SD, float64(w.Wind), float64(w.Zero)} {
		if !standard(v) {
			return errors.New("weather: the wind and every standard deviation must be finite and not negative")
		}
	}
	if !units.Finite(w.Stack.Mean) {
		return errors.New("weather: the stack must be finite")
	}
	return m.checkStand()
}

// checkStand refuses a space or a leak that lies nowhere.
func (m *Model) checkStand() error {
	for i, s := range m.Spaces {
		if !units.Finite(s.Crossing) || !units.Finite(s.Warmth) || s.Stack != nil && !units.Finite(*s.Stack) {
			return fmt.Errorf("%s: its crossing, warmth and stack must be finite", m.spaceName(SpaceID(i)))
		}
	}
	for i, p := range m.Paths {
		if !units.Finite(p.Height) || !standard(p.HeightSD) {
			return fmt.Errorf("%s: its height must be finite, with a standard deviation that is not negative", m.pathLabel(i))
		}
	}
	return nil
}

// checkRest refuses a hold at rest that is held, and a reading less one that there is not.
func (m *Model) checkRest(h *Hold) error {
	if h.Visit < 0 || h.Visit > len(m.Later) {
		return fmt.Errorf("visit %d does not exist; there are %d", h.Visit, len(m.Later)+1)
	}
	if h.Rest && (h.Fan != nil || h.House != 0 || h.LessRest) {
		return errors.New("at rest the house is not held and the door fan carries nothing; its pressure stands in Read")
	}
	less := h.LessRest
	for _, r := range h.Read {
		less = less || r.LessRest
	}
	if !less {
		return nil
	}
	for i := range m.Holds {
		if m.Holds[i].Rest && m.Holds[i].Visit == h.Visit {
			return nil
		}
	}
	return errors.New("a reading less what was read at rest needs a hold at rest")
}
