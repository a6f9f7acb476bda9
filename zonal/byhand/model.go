package byhand

import (
	"fmt"
	"math"
	"slices"

	"holdbook/units"
	"holdbook/zonal"
)

// Finding is one hand method applied to one zone of a model. Exactly one of
// Series, Result and Err says what came of it; Result stands beside Err where
// the answer is only a bound.
type Finding struct {
	Zone zonal.SpaceID
	// Found and Changed are the holds compared; Changed is -1 for Series.
	Found, Changed int
	Series         *SeriesAnswer
	Result         *Result
	Err            error
}

// Hand applies every hand method that a model's holds allow: Series to the hold
// as found, OpenedDoor and AddedOpening to each hold in which one opening of
// the zone is all that changed, NullTest and StepTest to holds with one further
// fan between the zone and outside. Holds with anything else changed are passed
// over. Working is written in the given system of units. A model without a
// usable hold gives an empty list.
func Apply(m *zonal.Model, system units.System) []Finding {
	var all []Finding
	if m.Check() != nil {
		return nil
	}
	order := m.HoldOrder()
	for z := zonal.SpaceID(2); int(z) < len(m.Spaces); z++ {
		t := table{m: m, zone: z, order: order, errors: errorModel(m, z, system)}
		if pathBetween(m, zonal.House, z) == nil || !t.lay() {
			continue
		}
		all = append(all, t.series())
		all = append(all, t.changes()...)
		all = append(all, t.twoFans()...)
	}
	return all
}

// table is the holds of a model as they concern one zone.
type table struct {
	m      *zonal.Model
	zone   zonal.SpaceID
	errors Errors
	order  []int // of the holds, see Model.HoldOrder
	found  int
}

// lay picks the hold as found in which the zone was read: one with a fan flow
// if there is one, and of those the first.
func (t *table) lay() bool {
	t.found = -1
	for _, h := range t.order {
		hold := &t.m.Holds[h]
		if changed(hold) || !t.isRead(h) {
			continue
		}
		if t.found < 0 || (t.m.Holds[t.found].Fan == nil && hold.Fan != nil) {
			t.found = h
		}
	}
	return t.found >= 0
}

func changed(h *zonal.Hold) bool {
	return len(h.Opened)+len(h.Sealed)+len(h.Covered)+len(h.Fans) > 0
}

func (t *table) isRead(h int) bool {
	s := stateOf(t.m, h, t.zone)
	return s.ZoneToHouse != nil || s.ZoneToOutside != nil
}

// stateOf is what a hold says of one zone. Repeated readings of one pressure
// are averaged by their variances.
func stateOf(m *zonal.Model, h int, zone zonal.SpaceID) State {
	hold := &m.Holds[h]
	s := State{Name: hold.Name, House: pascals(hold.House, hold.HouseSD)}
	for _, r := range hold.Read {
		switch [2]zonal.SpaceID{r.Of, r.To} {
		case [2]zonal.SpaceID{zone, zonal.House}:
			s.ZoneToHouse = averaged(s.ZoneToHouse, pascals(r.Pressure, r.SD))
		case [2]zonal.SpaceID{zonal.House, zone}:
			s.ZoneToHouse = averaged(s.ZoneToHouse, pascals(-r.Pressure, r.SD))
		case [2]zonal.SpaceID{zone, zonal.Outside}:
			s.ZoneToOutside = averaged(s.ZoneToOutside, pascals(r.Pressure, r.SD))
		case [2]zonal.SpaceID{zonal.Outside, zone}:
			s.ZoneToOutside = averaged(s.ZoneToOutside, pascals(-r.Pressure, r.SD))
		}
	}
	if f := hold.Fan; f != nil {
		s.Fan = new(units.Within(f.Flow, f.SDLn))
	}
	return s
}

// pascals is a pressure reading with its standard deviation.
func pascals(value, sd units.Pressure) units.Measured[units.Pressure] {
	return units.Measured[units.Pressure]{Value: value, SD: sd}
}

func averaged(before *units.Measured[units.Pressure], r units.Measured[units.Pressure]) *units.Measured[units.Pressure] {
	if before == nil {
		return &r
	}
	wa, wb := 1.0, 1.0
	if before.SD > 0 && r.SD > 0 {
		wa, wb = 1/sq(before.SD), 1/sq(r.SD)
	}
	mean := (wa*float64(before.Value) + wb*float64(r.Value)) / (wa + wb)
	sd := math.Hypot(wa*float64(before.SD), wb*float64(r.SD)) / (wa + wb)
	return new(pascals(units.Pressure(mean), units.Pressure(sd)))
}

func pathBetween(m *zonal.Model, a, b zonal.SpaceID) *zonal.Path {
	if i := m.PathBetween(a, b); i >= 0 {
		return &m.Paths[i]
	}
	return nil
}

// errorModel takes the error model from a model's own priors.
func errorModel(m *zonal.Model, zone zonal.SpaceID, system units.System) Errors {
	e := DefaultErrors()
	e.Units, e.Air, e.FanSDLn = system, m.Air, 0
	e.Cd = units.Within(e.Cd.Value, m.CdSDLn)
	for _, to := range []struct {
		a, b zonal.SpaceID
		n    *units.Measured[units.Ratio]
	}{{zonal.House, zone, &e.HouseZone}, {zone, zonal.Outside, &e.ZoneOutside}, {zonal.House, zonal.Outside, &e.Direct}} {
		if p := pathBetween(m, to.a, to.b); p != nil {
			*to.n = units.Measured[units.Ratio]{Value: units.Ratio(p.Exponent.Mean), SD: units.Ratio(p.Exponent.SD)}
		}
	}
	return e
}

// pair is two states ready to compare: calibrations that both fan readings
// share go to the error model, those of one alone to that reading.
func (t *table) pair(a, b int) (found, changed State, e Errors) {
	e = t.errors
	found, changed = stateOf(t.m, a, t.zone), stateOf(t.m, b, t.zone)
	if found.Fan == nil || changed.Fan == nil {
		return found, changed, e
	}
	ca, cb := t.m.Holds[a].Fan.Cal, t.m.Holds[b].Fan.Cal
	*found.Fan = wider(*found.Fan, t.calibration(ca, cb, false))
	*changed.Fan = wider(*changed.Fan, t.calibration(cb, ca, false))
	e.FanSDLn = t.calibration(ca, cb, true)
	return found, changed, e
}

// wider is a flow with a further relative error, independent of its own.
func wider(q units.Measured[units.Flow], by float64) units.Measured[units.Flow] {
	return units.Within(q.Value, math.Hypot(q.Relative(), by))
}

// calibration is the joint error of those of cal that stand, or do not stand,
// in the other list.
func (t *table) calibration(cal, other []int, shared bool) float64 {
	v := 0.0
	for _, c := range cal {
		if slices.Contains(other, c) == shared {
			v = math.Hypot(v, t.m.Calibrations[c].SDLn)
		}
	}
	return v
}

func (t *table) series() Finding {
	f := Finding{Zone: t.zone, Found: t.found, Changed: -1}
	a, err := Series(stateOf(t.m, t.found, t.zone), t.errors)
	if f.Err = err; err == nil {
		a.Notes = append(a.Notes, t.neighbours()...)
		f.Series = &a
	}
	return f
}

// neighbours notes that what the hand methods call outside is everything that is not the
// house, where a zone is said to touch another.
func (t *table) neighbours() []string {
	for z := zonal.SpaceID(2); int(z) < len(t.m.Spaces); z++ {
		if p := pathBetween(t.m, t.zone, z); z != t.zone && p != nil && p.Flow50 != zonal.PresumedSize() {
			return []string{fmt.Sprintf("the %s also touches the %s: by hand everything that is not the house counts as outside",
				t.m.Spaces[t.zone].Name, t.m.Spaces[z].Name)}
		}
	}
	return nil
}

// changes applies the one-fan tests to every hold with one opening of the zone.
func (t *table) changes() []Finding {
	var all []Finding
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
func (t *table) onlyOpening(h int) (*zonal.Opening, Side) {
	hold := &t.m.Holds[h]
	if len(hold.Opened) != 1 || len(hold.Sealed)+len(hold.Covered)+len(hold.Fans) > 0 {
		return nil, NoSide
	}
	o := &t.m.Openings[hold.Opened[0]]
	switch {
	case o.Joins(t.zone, zonal.House):
		return o, HouseSide
	case o.Joins(t.zone, zonal.Outside):
		return o, OutsideSide
	}
	return nil, NoSide
}

func (t *table) finding(h int, r Result, err error) Finding {
	f := Finding{Zone: t.zone, Found: t.found, Changed: h, Err: err}
	if r.Method == "" {
		return f
	}
	r.Notes = append(r.Notes, t.neighbours()...)
	r.Notes = append(r.Notes, t.coupled(h)...)
	f.Result = &r
	return f
}

// coupled names the other zones that moved with the change.
func (t *table) coupled(h int) []string {
	var notes []string
	for z := zonal.SpaceID(2); int(z) < len(t.m.Spaces); z++ {
		a, b := stateOf(t.m, t.found, z), stateOf(t.m, h, z)
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
func (s State) scaledToHouse() units.Measured[units.Pressure] {
	return pascals(ScaledPressure(s.ZoneToHouse.Value, s.House.Value), ScaledPressure(s.ZoneToHouse.SD, s.House.Value))
}

// twoFans applies the null test and the step test to holds with one further fan
// between the zone and outside.
func (t *table) twoFans() []Finding {
	var all []Finding
	steps, last := []State{stateOf(t.m, t.found, t.zone)}, -1
	for _, h := range t.order {
		hold := &t.m.Holds[h]
		if len(hold.Fans) != 1 || len(hold.Opened)+len(hold.Sealed)+len(hold.Covered) > 0 || !t.isRead(h) ||
			hold.Fan == nil || steps[0].Fan == nil || !t.joinsOutside(hold.Fans[0]) {
			continue
		}
		s := stateOf(t.m, h, t.zone)
		steps, last = append(steps, s), h
		if p := s.moment(&draw{}).p; math.Abs(p) <= refuseChange {
			open, null, e := t.pair(t.openOutside(), h)
			r, err := NullTest(open, null, units.Within(hold.Fans[0].Flow, hold.Fans[0].SDLn), e)
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

func (t *table) joinsOutside(f zonal.FanSource) bool {
	return f.From == t.zone && f.To == zonal.Outside || f.From == zonal.Outside && f.To == t.zone
}

// openOutside is the hold to set against a null: one with the zone open to
// outside if there is one, else as found.
func (t *table) openOutside() int {
	for _, h := range t.order {
		if o, side := t.onlyOpening(h); o != nil && side == OutsideSide && t.m.Holds[h].Fan != nil && t.isRead(h) {
			return h
		}
	}
	return t.found
}
