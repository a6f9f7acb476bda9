package zonal

import (
	"fmt"
	"math"
	"slices"

	"holdbook/units"
)

// HandFinding is one hand method applied to one zone of a model. Exactly one of
// Series, Result and Err says what came of it; Result stands beside Err where
// the answer is only a bound.
type HandFinding struct {
	Zone SpaceID
	// Found and Changed are the holds compared; Changed is −1 for Series.
	Found, Changed int
	Series         *SeriesAnswer
	Result         *HandResult
	Err            error
}

// Hand applies every hand method that a model's holds allow: Series to the hold
// as found, OpenedDoor and AddedOpening to each hold in which one opening of
// the zone is all that changed, NullTest and StepTest to holds with one further
// fan between the zone and outside. Holds with anything else changed are passed
// over. Working is written in the given system of units. A model without a
// usable hold gives an empty list.
func Hand(m *Model, system units.System) []HandFinding {
	var all []HandFinding
	if check(m) != nil {
		return nil
	}
	order := orderOf(m).holds
	for z := SpaceID(2); int(z) < len(m.Spaces); z++ {
		t := handTable{m: m, zone: z, order: order, errors: m.handErrors(z, system)}
		if m.pathBetween(House, z) == nil || !t.lay() {
			continue
		}
		all = append(all, t.series())
		all = append(all, t.changes()...)
		all = append(all, t.twoFans()...)
	}
	return all
}

// handTable is the holds of a model as they concern one zone.
type handTable struct {
	m      *Model
	zone   SpaceID
	errors HandErrors
	order  []int // of the holds, see Model.HoldOrder
	found  int
}

// lay picks the hold as found in which the zone was read: one with a fan flow
// if there is one, and of those the first.
func (t *handTable) lay() bool {
	t.found = -1
	for _, h := range t.order {
		hold := &t.m.Holds[h]
		if hold.changed() || !t.isRead(h) {
			continue
		}
		if t.found < 0 || (t.m.Holds[t.found].Fan == nil && hold.Fan != nil) {
			t.found = h
		}
	}
	return t.found >= 0
}

func (h *Hold) changed() bool {
	return len(h.Opened)+len(h.Sealed)+len(h.Covered)+len(h.Fans) > 0
}

func (t *handTable) isRead(h int) bool {
	s := t.m.handState(h, t.zone)
	return s.ZoneToHouse != nil || s.ZoneToOutside != nil
}

// handState is what a hold says of one zone. Repeated readings of one pressure
// are averaged by their variances.
func (m *Model) handState(h int, zone SpaceID) HandState {
	hold := &m.Holds[h]
	s := HandState{Name: hold.Name, House: HandPressure{hold.House, hold.HouseSD}}
	for _, r := range hold.Read {
		switch [2]SpaceID{r.Of, r.To} {
		case [2]SpaceID{zone, House}:
			s.ZoneToHouse = averaged(s.ZoneToHouse, HandPressure{r.Pressure, r.SD})
		case [2]SpaceID{House, zone}:
			s.ZoneToHouse = averaged(s.ZoneToHouse, HandPressure{-r.Pressure, r.SD})
		case [2]SpaceID{zone, Outside}:
			s.ZoneToOutside = averaged(s.ZoneToOutside, HandPressure{r.Pressure, r.SD})
		case [2]SpaceID{Outside, zone}:
			s.ZoneToOutside = averaged(s.ZoneToOutside, HandPressure{-r.Pressure, r.SD})
		}
	}
	if f := hold.Fan; f != nil {
		s.Fan = &HandFlow{f.Flow, f.SDLn}
	}
	return s
}

func averaged(before *HandPressure, r HandPressure) *HandPressure {
	if before == nil {
		return &r
	}
	wa, wb := 1.0, 1.0
	if before.SD > 0 && r.SD > 0 {
		wa, wb = 1/sq(before.SD), 1/sq(r.SD)
	}
	mean := (wa*float64(before.Value) + wb*float64(r.Value)) / (wa + wb)
	sd := math.Hypot(wa*float64(before.SD), wb*float64(r.SD)) / (wa + wb)
	return &HandPressure{units.Pressure(mean), units.Pressure(sd)}
}

func (m *Model) pathBetween(a, b SpaceID) *Path {
	for i := range m.Paths {
		p := &m.Paths[i]
		if !p.Covered && (p.A == a && p.B == b || p.A == b && p.B == a) {
			return p
		}
	}
	return nil
}

// handErrors takes the error model from a model's own priors.
func (m *Model) handErrors(zone SpaceID, system units.System) HandErrors {
	e := DefaultHandErrors()
	e.Units, e.Air, e.FanSDLn = system, m.Air, 0
	e.Cd.SD = e.Cd.Mean * m.CdSDLn
	for _, to := range []struct {
		a, b SpaceID
		n    *Normal
	}{{House, zone, &e.HouseZone}, {zone, Outside, &e.ZoneOutside}, {House, Outside, &e.Direct}} {
		if p := m.pathBetween(to.a, to.b); p != nil {
			*to.n = p.Exponent
		}
	}
	return e
}

// pair is two states ready to compare: calibrations that both fan readings
// share go to the error model, those of one alone to that reading.
func (t *handTable) pair(a, b int) (found, changed HandState, e HandErrors) {
	e = t.errors
	found, changed = t.m.handState(a, t.zone), t.m.handState(b, t.zone)
	if found.Fan == nil || changed.Fan == nil {
		return found, changed, e
	}
	ca, cb := t.m.Holds[a].Fan.Cal, t.m.Holds[b].Fan.Cal
	found.Fan.SDLn = math.Hypot(found.Fan.SDLn, t.calibration(ca, cb, false))
	changed.Fan.SDLn = math.Hypot(changed.Fan.SDLn, t.calibration(cb, ca, false))
	e.FanSDLn = t.calibration(ca, cb, true)
	return found, changed, e
}

// calibration is the joint error of those of cal that stand, or do not stand,
// in the other list.
func (t *handTable) calibration(cal, other []int, shared bool) float64 {
	v := 0.0
	for _, c := range cal {
		if slices.Contains(other, c) == shared {
			v = math.Hypot(v, t.m.Calibrations[c].SDLn)
		}
	}
	return v
}

func (t *handTable) series() HandFinding {
	f := HandFinding{Zone: t.zone, Found: t.found, Changed: -1}
	a, err := Series(t.m.handState(t.found, t.zone), t.errors)
	if f.Err = err; err == nil {
		a.Notes = append(a.Notes, t.neighbours()...)
		f.Series = &a
	}
	return f
}

// neighbours notes that what the hand methods call outside is everything that
// is not the house.
func (t *handTable) neighbours() []string {
	for z := SpaceID(2); int(z) < len(t.m.Spaces); z++ {
		if z != t.zone && t.m.pathBetween(t.zone, z) != nil {
			return []string{fmt.Sprintf("the %s also touches the %s: by hand everything that is not the house counts as outside",
				t.m.Spaces[t.zone].Name, t.m.Spaces[z].Name)}
		}
	}
	return nil
}

// changes applies the one-fan tests to every hold with one opening of the zone.
func (t *handTable) changes() []HandFinding {
	var all []HandFinding
	for h := range t.m.Holds {
		o, side := t.onlyOpening(h)
		if side == NoSide || !t.isRead(h) {
			continue
		}
		found, changed, e := t.pair(t.found, h)
		if found.Fan != nil && changed.Fan != nil {
			r, err := OpenedDoor(found, changed, side, e)
			all = append(all, t.finding(h, r, err))
		}
		if o.Area > 0 {
			r, err := AddedOpening(found, changed, side, Hole{Area: o.Area, SDLn: o.AreaSDLn, Cd: o.Cd}, e)
			all = append(all, t.finding(h, r, err))
		}
	}
	return all
}

// onlyOpening is the one opening of a hold if it joins the zone to the house or
// to outside and nothing else changed.
func (t *handTable) onlyOpening(h int) (*Opening, Side) {
	hold := &t.m.Holds[h]
	if len(hold.Opened) != 1 || len(hold.Sealed)+len(hold.Covered)+len(hold.Fans) > 0 {
		return nil, NoSide
	}
	o := &t.m.Openings[hold.Opened[0]]
	switch {
	case o.A == t.zone && o.B == House, o.B == t.zone && o.A == House:
		return o, HouseSide
	case o.A == t.zone && o.B == Outside, o.B == t.zone && o.A == Outside:
		return o, OutsideSide
	}
	return nil, NoSide
}

func (t *handTable) finding(h int, r HandResult, err error) HandFinding {
	f := HandFinding{Zone: t.zone, Found: t.found, Changed: h, Err: err}
	if r.Method == "" {
		return f
	}
	r.Notes = append(r.Notes, t.neighbours()...)
	r.Notes = append(r.Notes, t.coupled(h)...)
	f.Result = &r
	return f
}

// coupled names the other zones that moved with the change.
func (t *handTable) coupled(h int) []string {
	var notes []string
	for z := SpaceID(2); int(z) < len(t.m.Spaces); z++ {
		a, b := t.m.handState(t.found, z), t.m.handState(h, z)
		if z == t.zone || a.ZoneToHouse == nil || b.ZoneToHouse == nil {
			continue
		}
		before, after := a.scaledToHouse(), b.scaledToHouse()
		if note, moved := CoupledNote(t.m.Spaces[z].Name, before, after); moved {
			notes = append(notes, note)
		}
	}
	return notes
}

// scaledToHouse is the zone-to-house reading brought to a 50 Pa hold.
func (s HandState) scaledToHouse() HandPressure {
	return HandPressure{ScaledPressure(s.ZoneToHouse.Value, s.House.Value), ScaledPressure(s.ZoneToHouse.SD, s.House.Value)}
}

// twoFans applies the null test and the step test to holds with one further fan
// between the zone and outside.
func (t *handTable) twoFans() []HandFinding {
	var all []HandFinding
	steps, last := []HandState{t.m.handState(t.found, t.zone)}, -1
	for _, h := range t.order {
		hold := &t.m.Holds[h]
		if len(hold.Fans) != 1 || len(hold.Opened)+len(hold.Sealed)+len(hold.Covered) > 0 || !t.isRead(h) ||
			hold.Fan == nil || steps[0].Fan == nil || !t.joinsOutside(hold.Fans[0]) {
			continue
		}
		s := t.m.handState(h, t.zone)
		steps, last = append(steps, s), h
		if p := s.moment(&draw{}).p; math.Abs(p) <= refuseChange {
			open, null, e := t.pair(t.openOutside(), h)
			r, err := NullTest(open, null, HandFlow{hold.Fans[0].Flow, hold.Fans[0].SDLn}, e)
			all = append(all, t.finding(h, r, err))
		}
	}
	if len(steps) < 3 {
		return all
	}
	_, _, e := t.pair(t.found, last)
	r, err := StepTest(steps, e)
	return append(all, t.finding(last, r, err))
}

func (t *handTable) joinsOutside(f FanSource) bool {
	return f.From == t.zone && f.To == Outside || f.From == Outside && f.To == t.zone
}

// openOutside is the hold to set against a null: one with the zone open to
// outside if there is one, else as found.
func (t *handTable) openOutside() int {
	for _, h := range t.order {
		if o, side := t.onlyOpening(h); o != nil && side == OutsideSide && t.m.Holds[h].Fan != nil && t.isRead(h) {
			return h
		}
	}
	return t.found
}
