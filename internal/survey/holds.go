package survey

import (
	"fmt"
	"strconv"

	"holdbook/internal/sheet"
	"holdbook/pressure"
	"holdbook/units"
	"holdbook/zonal"
)

// heldState is what became of one hold's readings on their way to the model.
type heldState struct {
	hold     *sheet.Hold
	gauge    pressure.Gauge // with the wobble in force
	baseline pressure.Baseline
	raw      units.Pressure // house to outside as read, with its sign
	fan      units.Flow     // through the envelope; 0 when not read
	shown    units.Flow     // as the gauge showed it
	perShown float64        // envelope flow over what the gauge shows at the pressure held
}

// Limits of the closure of a zone read both ways, and of a reading on the wrong
// side (standard deviations; Pa).
const (
	manySD       = 3.0
	closureBlock = units.Pressure(5)
)

// holdName names a hold in messages and tables.
func holdName(i int, h *sheet.Hold) string {
	if h.Name.Given() {
		return units.Sanitize(h.Name.Value)
	}
	return "hold " + strconv.Itoa(i+1)
}

// layHolds makes a hold of the model of every finished hold of the sheet.
func (r *run) layHolds() error {
	for i := range r.sheet.Holds {
		h := &r.sheet.Holds[i]
		if !h.Finished() {
			r.notice(Note, holdName(i, h), "no house pressure yet; the hold is not used")
			r.f.Holds = append(r.f.Holds, Hold{Name: holdName(i, h)})
			continue
		}
		if err := r.layHold(i, h); err != nil {
			return err
		}
	}
	if len(r.model.Holds) == 0 {
		if len(r.sheet.Holds)+len(r.sheet.Zones) == 0 && len(r.sheet.DuctTests)+len(r.sheet.OnOff) > 0 {
			return nil // the ducts were all that was asked about
		}
		r.notice(Note, "", "no finished hold: write the house pressure of a hold and nothing else is needed for a first answer")
		return nil
	}
	if err := r.directions(); err != nil {
		return err
	}
	r.order = r.model.HoldOrder()
	return nil
}

// signless is the baseline (Pa) from which it matters that it and the house
// pressure were both written without a sign.
const signless = units.Pressure(0.5)

// level warns of a house pressure that is hardly one of a test. A second fan or an
// opening to outside may hold the house at nothing.
func (r *run) level(name string, h *sheet.Hold) {
	switch p := abs(h.House.Value); {
	case p < lowHold && len(h.Fans) == 0:
		r.notice(Warning, name, "the house was held at %s only, where wind and the gauge's error rule the readings; look at whether the fan was up, the decimal point, and the unit", p.Text(units.Pascal, 1))
	case p > highHold:
		r.notice(Warning, name, "the house was held at %s, far above the usual 50 Pa; look at the decimal point, the unit, or an over-driven house", p.Text(units.Pascal, 1))
	}
}

func (r *run) layHold(i int, h *sheet.Hold) error {
	name := holdName(i, h)
	if b := h.Baseline; b.Given && abs(b.Value) >= signless && !h.House.Signed() && r.below() {
		switch taken := units.Fixed(float64(b.Value), 1); {
		case !b.Signed():
			r.notice(Note, name, "house and baseline stand without a sign; the house counts as below outdoors, the baseline as %s Pa above: write both with the signs the gauge showed", taken)
		case h.House.Value != 0:
			r.notice(Note, name, "the house stands without a sign and counts as below outdoors, the baseline of %s Pa has one: write both with the signs the gauge showed", taken)
		}
	}
	r.level(name, h)
	r.samples(name, h)
	state := heldState{hold: h, gauge: r.gaugeIn(i), baseline: r.baselineOf(i, name)}
	var err error
	if state.raw, err = r.houseSign(h); err != nil {
		return err
	}
	house, err := windIn(state.gauge, h.House).Subtract(state.raw, state.baseline)
	if err != nil {
		return r.place(h.House.Pos, err.Error())
	}
	if len(h.Fans) == 0 && abs(house.Value-state.raw) >= abs(state.raw) {
		if state.raw == 0 {
			return r.place(h.House.Pos, fmt.Sprintf("%s: a house pressure of 0 holds nothing; leave it out until it is read", name))
		}
		return r.place(h.House.Pos, fmt.Sprintf("the baseline is larger than the house pressure of %s; read both again", name))
	}
	m := zonal.Hold{Name: name, House: r.notZero(house.Value), HouseSD: someError(house.SD)}
	r.worked(name, house.Worked(r.system))
	if err := r.layFan(&m, &state, name); err != nil {
		return err
	}
	if err := r.layChanges(i, &m, h); err != nil {
		return err
	}
	if err := r.layReadings(&m, &state, name); err != nil {
		return err
	}
	r.model.Holds = append(r.model.Holds, m)
	r.holds, r.held = append(r.holds, i), append(r.held, state)
	r.f.Holds = append(r.f.Holds, r.holdRecord(name, &m, &state))
	return nil
}

const (
	// leastHouse stands for a house pressure of nothing (Pa), far below what any
	// gauge shows.
	leastHouse = units.Pressure(1e-3)
	// leastSD is the error (Pa) of a reading of which the gauge promises none, as
	// 1 % of 0 Pa is: half the last figure of a common display. Judgement.
	leastSD = units.Pressure(0.05)
)

func someError(sd units.Pressure) units.Pressure {
	if sd > 0 {
		return sd
	}
	return leastSD
}

// notZero gives a house pressure of nothing, as a house open to outside has it
// beside a fan in a zone, the sign of the hold.
func (r *run) notZero(house units.Pressure) units.Pressure {
	switch {
	case abs(house) >= leastHouse:
		return house
	case r.below():
		return -leastHouse
	}
	return leastHouse
}

// baselineOf is the baseline in force in a hold; it carries over from the last
// hold that has one. One read again after the hold makes a mean of the two.
func (r *run) baselineOf(i int, name string) pressure.Baseline {
	k, ok := r.sheet.BaselineHold(i)
	after, wobble := r.sheet.Holds[i].BaselineAfter, r.gaugeIn(i).Wobble
	switch {
	case !ok && !after.Given:
		r.notice(Note, "", "no baseline was read; it counts as zero")
		return pressure.Baseline{}
	case !ok:
		return r.checkedBaseline(name, sheet.Pressure{}, after, wobble)
	case !after.Given:
		after = r.sheet.Holds[k].BaselineAfter
	}
	return r.checkedBaseline(holdName(k, &r.sheet.Holds[k]), r.sheet.Holds[k].Baseline, after, wobble)
}

// checkedBaseline makes a baseline of what was read before and after, either of
// which may be missing, and says what is wrong with it.
func (r *run) checkedBaseline(name string, before, after sheet.Pressure, wobble units.Pressure) pressure.Baseline {
	b, err := baselineFrom(before, after, wobble)
	if err != nil {
		return pressure.Baseline{}
	}
	for _, w := range b.Warnings() {
		r.problem(name, w)
	}
	return b
}

// houseSign gives an unsigned house pressure the sign of the hold.
func (r *run) houseSign(h *sheet.Hold) (units.Pressure, error) {
	v, job := h.House.Value, r.sheet.Job
	below := job.Depressurised()
	switch {
	case !h.House.Signed():
		if below {
			return -v, nil
		}
		return v, nil
	case job.Hold.Given() && v != 0 && below != (v < 0):
		return 0, r.place(h.House.Pos, fmt.Sprintf("the house pressure %s contradicts hold = %q; correct the sign or the hold", units.Sanitize(h.House.Text), units.Sanitize(job.Hold.Value)))
	}
	return v, nil
}

// layChanges carries over what was opened, sealed and blown.
func (r *run) layChanges(i int, m *zonal.Hold, h *sheet.Hold) error {
	for k, o := range h.Opened {
		n, err := r.opening(i, k, o)
		if err != nil {
			return err
		}
		m.Opened = append(m.Opened, n)
	}
	for _, s := range h.Sealed {
		a, b := r.spaces[s.Between[0].Name], r.spaces[s.Between[1].Name]
		p := r.pathBetween(a, b, false)
		if p < 0 {
			return r.place(s.Pos, "no path to seal there; let the two spaces touch")
		}
		m.Sealed = append(m.Sealed, p)
		if d, ok := r.registersOf(a, b); ok {
			m.Covered = append(m.Covered, r.coveredPath(d))
		}
	}
	for _, f := range h.Fans {
		source, err := r.furtherFan(f, m, h)
		if err != nil {
			return r.place(f.Flow.Pos, err.Error())
		}
		m.Fans = append(m.Fans, source)
	}
	return nil
}

// registersOf tells whether sealing a path covers registers, and of which ducts.
func (r *run) registersOf(a, b zonal.SpaceID) (zonal.SpaceID, bool) {
	switch {
	case a == zonal.House && r.kinds[b] == sheet.DuctsKind:
		return b, true
	case b == zonal.House && r.kinds[a] == sheet.DuctsKind:
		return a, true
	}
	return 0, false
}

// holdRecord is a hold as it was used.
func (r *run) holdRecord(name string, m *zonal.Hold, s *heldState) Hold {
	h := Hold{Name: name, House: float64(m.House), Used: true, Baseline: float64(s.baseline.Mean),
		Time: s.hold.Time.Text, Note: units.SanitizeTo(s.hold.Note.Value, 300)}
	if m.Fan != nil {
		v := float64(s.fan)
		h.Fan, h.FanUnit = &v, units.CubicMetrePerSecond
	}
	for _, k := range m.Opened {
		o := r.model.Openings[k]
		h.Changes = append(h.Changes, fmt.Sprintf("opened %s–%s", r.names[o.A], r.names[o.B]))
	}
	for _, k := range m.Sealed {
		p := r.model.Paths[k]
		h.Changes = append(h.Changes, fmt.Sprintf("sealed %s–%s", r.names[p.A], r.names[p.B]))
	}
	for _, f := range m.Fans {
		h.Changes = append(h.Changes, fmt.Sprintf("fan %s to %s", r.names[f.From], r.names[f.To]))
	}
	return h
}
