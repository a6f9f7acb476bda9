package zonal

import "errors"

// UsualOneWay is the standard deviation of the logarithm of what the direct leak of a house passes
// when it is held above outdoors over what it passes held below: flaps, dampers and sashes that
// one direction presses shut. Judgement, not published.
func UsualOneWay() float64 { return 0.1 }

// layOneWay gives the ratio between the two directions its slot, where the house was held in
// both. What is estimated of a house lies in the middle of the two.
func (l *layout) layOneWay() {
	m := l.problem.model
	below, above := false, false
	for i := range m.Holds {
		below, above = below || m.Holds[i].House < 0, above || m.Holds[i].House > 0
	}
	l.problem.oneWay = l.add(unknown{kind: oneWayRatio, sd: m.OneWaySDLn}, below && above && m.OneWaySDLn > 0)
}

// turned is the direct leak of the house as it is in a hold: half of the ratio larger held above
// outdoors, half of it smaller held below.
func turned(p *problem, e edgeSlots, q *Path, hold *Hold) edgeSlots {
	direct := q.A == House && q.B == Outside || q.A == Outside && q.B == House
	if !direct || p.oneWay == none || hold.Rest || hold.House == 0 {
		return e
	}
	e.oneWay, e.half = p.oneWay, 0.5
	if hold.House < 0 {
		e.half = -0.5
	}
	return e
}

// checkOneWay refuses a spread of the two directions that is none.
func checkOneWay(m *Model) error {
	if !standard(m.OneWaySDLn) {
		return errors.New("the spread of the two directions must be finite and not negative")
	}
	return nil
}
