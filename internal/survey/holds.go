package survey

import (
	"cmp"
	"fmt"
	"strconv"

	"holdbook/internal/sheet"
	"holdbook/pressure"
	"holdbook/units"
	"holdbook/zonal"
)

// LaidHold is what became of one hold's readings on their way to the model.
type LaidHold struct {
	Hold     *sheet.Hold
	Gauge    pressure.Gauge // with the wobble in force
	Baseline pressure.Baseline
	zones    map[zonal.SpaceID]pressure.Baseline // of zones to the house, where they were read
	Raw      units.Pressure                      // house to outside as read, with its sign

	read     []laidReading // of each of the model's Read
	air      AirPair       // of the fan flow, if one was read
	fan      units.Flow    // through the envelope; 0 when not read
	fanRatio float64       // envelope flow over what the gauge shows at the pressure held
}

// laidReading is a pressure of a zone as it was read.
type laidReading struct {
	raw, sd units.Pressure
	own     *pressure.Baseline // its own baseline, if it was read
	at      sheet.Pos          // of that
	less    bool               // the gauge took the baseline off
}

// HoldName names a hold in messages and tables.
func HoldName(i int, h *sheet.Hold) string {
	if h.Name.Given() {
		return units.Sanitize(h.Name.Value)
	}
	return "hold " + strconv.Itoa(i+1)
}

// Pressures of a hold that are hardly those of a test: judgement.
const (
	LowHold  = units.Pressure(6)  // below it wind rules a hold
	highHold = units.Pressure(75) // above it a hold was over-driven
)

// layHolds makes a hold of the model of every finished hold of the sheet.
func layHolds(c *Case, log *Log) error {
	for i := range c.Sheet.Holds {
		h := &c.Sheet.Holds[i]
		if !h.Finished() {
			log.Notice(Note, HoldName(i, h), "no house pressure yet; the hold is not used")
			c.Holds = append(c.Holds, Hold{Name: HoldName(i, h)})
			continue
		}
		if err := layHold(c, log, i, h); err != nil {
			return err
		}
	}
	if len(c.Model.Holds) == 0 {
		if len(c.Sheet.Holds)+len(c.Sheet.Zones) == 0 && hasTests(c.Sheet) {
			return nil // the ducts were all that was asked about
		}
		log.Notice(Note, "", "no finished hold: write the house pressure of a hold and nothing else is needed for a first answer")
		return nil
	}
	if err := directions(c, log); err != nil {
		return err
	}
	c.Order = c.Model.HoldOrder()
	return nil
}

// Signless is the baseline (Pa) from which it matters that it and the house
// pressure were both written without a sign.
const Signless = units.Pressure(0.5)

// OddPressure is what is wrong with a house pressure that is hardly one of a test: what it
// means, and what to look at; empty for an ordinary one. A second fan or an opening to
// outside may hold the house at nothing.
func OddPressure(h *sheet.Hold) (what, means, look string) {
	p := units.Abs(h.House.Value)
	what = "the house was held at " + p.Text(units.Pascal, 1)
	switch {
	case p < LowHold && len(h.Fans) == 0:
		return what + " only", ", where wind and the gauge's error rule the readings", "whether the fan was up, the decimal point, and the unit"
	case p > highHold:
		return what + ", far above the usual 50 Pa", "", "the decimal point, the unit, or an over-driven house"
	}
	return "", "", ""
}

func layHold(c *Case, log *Log, i int, h *sheet.Hold) error {
	name := HoldName(i, h)
	if b := h.Baseline; b.Given && units.Abs(b.Value) >= Signless && !h.House.Signed() && c.Below() {
		switch taken := units.Fixed(float64(b.Value), 1); {
		case !b.Signed():
			log.Notice(Note, name, "house and baseline stand without a sign; the house counts as below outdoors, the baseline as %s Pa above: write both with the signs the gauge showed", taken)
		case h.House.Value != 0:
			log.Notice(Note, name, "the house stands without a sign and counts as below outdoors, the baseline of %s Pa has one: write both with the signs the gauge showed", taken)
		}
	}
	if what, means, look := OddPressure(h); what != "" {
		log.Notice(Warning, name, "%s%s; look at %s", what, means, look)
	}
	layAllSamples(c, name, h)
	if err := cmp.Or(contradiction(c, h), unsigned(c, h)); err != nil {
		return err
	}
	state := LaidHold{Hold: h, Raw: SignedHouse(c.Sheet, h), Gauge: GaugeIn(c.Sheet, c.Gauge, i)}
	state.Baseline = baselineOf(c, log, i, name, state.Gauge.Wobble)
	state.zones = zoneBaselines(c, i, state.Gauge.Wobble)
	baseline := state.Baseline
	if h.LessOf(sheet.HouseName) {
		baseline = pressure.Baseline{}
	}
	house, err := windIn(state.Gauge, h.House).Subtract(state.Raw, baseline)
	if err != nil {
		return c.ErrorAt(h.House.Pos, err.Error())
	}
	if len(h.Fans) == 0 && units.Abs(house.Value-state.Raw) >= units.Abs(state.Raw) {
		if state.Raw == 0 {
			return c.ErrorAt(h.House.Pos, fmt.Sprintf("%s: a house pressure of 0 holds nothing; leave it out until it is read", name))
		}
		return c.ErrorAt(h.House.Pos, fmt.Sprintf("the baseline is larger than the house pressure of %s; read both again", name))
	}
	m := zonal.Hold{Name: name, House: notZero(c, house.Value), HouseSD: someError(house.SD)}
	log.worked(name, house.Worked(c.System))
	if err := layFan(c, log, &m, &state, name); err != nil {
		return err
	}
	if err := layChanges(c, log, i, &m, h); err != nil {
		return err
	}
	if err := layReadings(c, log, &m, &state, name); err != nil {
		return err
	}
	c.Model.Holds = append(c.Model.Holds, m)
	c.Held = append(c.Held, state)
	c.Holds = append(c.Holds, holdRecord(c, name, &m, &state))
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
func notZero(c *Case, house units.Pressure) units.Pressure {
	switch {
	case units.Abs(house) >= leastHouse:
		return house
	case c.Below():
		return -leastHouse
	}
	return leastHouse
}

// baselineOf is the baseline in force in a hold; it carries over from the last
// hold that has one. One read again after the hold makes a mean of the two.
func baselineOf(c *Case, log *Log, i int, name string, wobble units.Pressure) pressure.Baseline {
	k, ok := c.Sheet.BaselineHold(i)
	after := c.Sheet.Holds[i].BaselineAfter
	switch {
	case !ok && !after.Given:
		log.Notice(Note, "", "no baseline was read; it counts as zero")
		return pressure.Baseline{}
	case !ok:
		return checkedBaseline(log, name, sheet.Pressure{}, after, wobble)
	case !after.Given:
		after = c.Sheet.Holds[k].BaselineAfter
	}
	return checkedBaseline(log, HoldName(k, &c.Sheet.Holds[k]), c.Sheet.Holds[k].Baseline, after, wobble)
}

// zoneBaselines are the baselines of the zones to the house in force in hold i.
func zoneBaselines(c *Case, i int, wobble units.Pressure) map[zonal.SpaceID]pressure.Baseline {
	of := map[zonal.SpaceID]pressure.Baseline{}
	for z := range c.Zones() {
		if q, ok := c.Sheet.ZoneBaseline(i, c.Names[z]); ok {
			if b, err := BaselineFrom(q, sheet.Pressure{}, wobble); err == nil {
				of[z] = b
			}
		}
	}
	return of
}

// checkedBaseline makes a baseline of what was read before and after, either of
// which may be missing, and says what is wrong with it.
func checkedBaseline(log *Log, name string, before, after sheet.Pressure, wobble units.Pressure) pressure.Baseline {
	b, err := BaselineFrom(before, after, wobble)
	if err != nil {
		return pressure.Baseline{}
	}
	log.problem(name, b.Warnings()...)
	return b
}

// SignedHouse is the house pressure of a hold, which has the sign of the hold where it was
// written without one.
func SignedHouse(s *sheet.Sheet, h *sheet.Hold) units.Pressure {
	if !h.House.Signed() && s.Job.Depressurised() {
		return -h.House.Value
	}
	return h.House.Value
}

// contradiction tells of a house pressure whose sign is not that of the hold the job states.
func contradiction(c *Case, h *sheet.Hold) error {
	v, job := h.House.Value, c.Sheet.Job
	if h.House.Signed() && job.Hold.Given() && v != 0 && job.Depressurised() != (v < 0) {
		return c.ErrorAt(h.House.Pos, fmt.Sprintf("the house pressure %s contradicts hold = %q; correct the sign or the hold", units.Sanitize(h.House.Text), units.Sanitize(job.Hold.Value)))
	}
	return nil
}

// layChanges carries over what was opened, sealed and blown.
func layChanges(c *Case, log *Log, i int, m *zonal.Hold, h *sheet.Hold) error {
	for k, o := range h.Opened {
		n, err := layOpening(c, i, k, o)
		if err != nil {
			return err
		}
		m.Opened = append(m.Opened, n)
	}
	for _, s := range h.Sealed {
		a, b := c.Spaces[s.Between[0].Name], c.Spaces[s.Between[1].Name]
		p := c.Model.PathBetween(a, b)
		if p < 0 {
			return c.ErrorAt(s.Pos, "no path to seal there; let the two spaces touch")
		}
		m.Sealed = append(m.Sealed, p)
		if d, ok := c.registersOf(a, b); ok {
			m.Covered = append(m.Covered, layCoveredPath(c, d))
		}
	}
	for _, f := range h.Fans {
		source, err := furtherFan(c, log, f, m, h)
		if err != nil {
			return c.ErrorAt(f.Flow.Pos, err.Error())
		}
		m.Fans = append(m.Fans, source)
	}
	layGuards(c, m, h)
	return nil
}

// registersOf tells whether sealing a path covers registers, and of which ducts.
func (c *Case) registersOf(a, b zonal.SpaceID) (zonal.SpaceID, bool) {
	switch {
	case a == zonal.House && c.Kinds[b] == sheet.DuctsKind:
		return b, true
	case b == zonal.House && c.Kinds[a] == sheet.DuctsKind:
		return a, true
	}
	return 0, false
}

// Registers tells whether what joins two spaces are registers and no leak.
func (c *Case) Registers(a, b zonal.SpaceID) bool {
	_, ok := c.registersOf(a, b)
	return ok
}

// holdRecord is a hold as it was used.
func holdRecord(c *Case, name string, m *zonal.Hold, s *LaidHold) Hold {
	h := Hold{Name: name, House: float64(m.House), Used: true, Baseline: float64(s.Baseline.Mean),
		Time: s.Hold.Time.Text, Note: units.SanitizeTo(s.Hold.Note.Value, 300)}
	if m.Fan != nil {
		v := float64(s.fan)
		h.Fan, h.FanUnit = &v, units.CubicMetrePerSecond
	}
	for _, k := range m.Opened {
		o := c.Model.Openings[k]
		h.Changes = append(h.Changes, fmt.Sprintf("opened %s–%s", c.Names[o.A], c.Names[o.B]))
	}
	for _, k := range m.Sealed {
		p := c.Model.Paths[k]
		h.Changes = append(h.Changes, fmt.Sprintf("sealed %s–%s", c.Names[p.A], c.Names[p.B]))
	}
	for _, f := range m.Fans {
		h.Changes = append(h.Changes, fmt.Sprintf("fan %s to %s", c.Names[f.From], c.Names[f.To]))
	}
	return h
}
