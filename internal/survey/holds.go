package survey

import (
	"fmt"
	"math"
	"strconv"

	"holdbook/internal/sheet"
	"holdbook/pressure"
	"holdbook/units"
	"holdbook/zonal"
)

// heldState is what became of one hold's readings on their way to the model.
type heldState struct {
	hold     *sheet.Hold
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
		r.notice(Note, "", "no finished hold: write the house pressure of a hold and nothing else is needed for a first answer")
		return nil
	}
	return r.directions()
}

func (r *run) layHold(i int, h *sheet.Hold) error {
	name := holdName(i, h)
	state := heldState{hold: h, baseline: r.baselineOf(i, name)}
	var err error
	if state.raw, err = r.houseSign(h); err != nil {
		return err
	}
	house, err := r.gauge.Subtract(state.raw, state.baseline)
	if err != nil {
		return r.place(h.House.Pos, err.Error())
	}
	if len(h.Fans) == 0 && float64(house.Value)*float64(state.raw) <= 0 {
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
// hold that has one.
func (r *run) baselineOf(i int, name string) pressure.Baseline {
	k, ok := r.sheet.BaselineHold(i)
	if !ok {
		r.notice(Note, "", "no baseline was read; it counts as zero")
		return pressure.Baseline{}
	}
	h := &r.sheet.Holds[k]
	b, err := pressure.OneBaseline(h.Baseline.Value)
	if h.BaselineAfter.Given {
		b, err = pressure.TwoBaselines(h.Baseline.Value, h.BaselineAfter.Value)
	}
	if err != nil {
		return pressure.Baseline{}
	}
	for _, w := range b.Warnings() {
		r.problem(holdName(k, h), w)
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

// layFan brings the door-fan flow to what passes the envelope.
func (r *run) layFan(m *zonal.Hold, s *heldState, name string) error {
	h := s.hold
	if !h.Fan.Given {
		return nil
	}
	s.shown = h.Fan.Value
	unscaled, err := r.unscaled(h.Fan.Value, h.FanScaledTo, m.House, name)
	if err != nil {
		return r.place(h.Fan.Pos, err.Error())
	}
	air := r.airOf(h)
	q, err := r.trueFlow(unscaled, pressure.DirectionOf(m.House).FanAir(air.house, air.outdoor), name)
	if err != nil {
		return r.place(h.Fan.Pos, err.Error())
	}
	if air.known {
		c, err := pressure.EnvelopeFlow(q, pressure.DirectionOf(m.House), air.house, air.outdoor)
		if err != nil {
			return r.place(h.Fan.Pos, err.Error())
		}
		r.worked(name, c.Worked(r.system))
		q = c.Value
	} else {
		r.notice(Note, "", "indoor and outdoor temperatures are not both given; fan flows are taken without a density correction")
	}
	s.fan = q
	s.perShown = float64(q / unscaled)
	m.Fan = &zonal.FlowReading{Flow: q, SDLn: float64(r.gauge.Repeat), Cal: r.fanErrors("fan", h.Range.Value)}
	return nil
}

// defaultExponent undoes the scaling a gauge has made: common practice.
const defaultExponent = units.Ratio(0.65)

// unscaled undoes what a gauge did that showed the flow scaled to a pressure.
func (r *run) unscaled(shown units.Flow, scaledTo sheet.Pressure, house units.Pressure, name string) (units.Flow, error) {
	if !scaledTo.Given {
		return shown, nil
	}
	c, err := pressure.Unscaled(shown, house, scaledTo.Value, defaultExponent)
	if err != nil {
		return 0, err
	}
	r.worked(name, c.Worked(r.system))
	return c.Value, nil
}

// trueFlow is the volume flow of the air in a fan, of density inFan (zero: not
// known), from what its gauge shows.
func (r *run) trueFlow(q units.Flow, inFan units.Density, name string) (units.Flow, error) {
	if !r.sheet.Gauge.Indicated() {
		return q, nil
	}
	if inFan == 0 {
		r.notice(Warning, "", "the fan shows the flow of standard air, but the temperatures that would correct it are missing")
		return q, nil
	}
	c, err := pressure.TrueFlow(q, standardDensity, inFan)
	if err != nil {
		return 0, err
	}
	r.worked(name, c.Worked(r.system))
	return c.Value, nil
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

// furtherFan brings the flow of a further fan to the air in the leaks. Fans of
// one name share one calibration.
func (r *run) furtherFan(f sheet.Fan, m *zonal.Hold, h *sheet.Hold) (zonal.FanSource, error) {
	name := "further fan"
	if f.Name.Given() {
		name = "fan " + units.Sanitize(f.Name.Value)
	}
	air := r.airOf(h)
	inFan := r.densityIn(f.From.Name, air)
	q, err := r.unscaled(f.Flow.Value, f.ScaledTo, m.House, name)
	if err == nil {
		q, err = r.trueFlow(q, inFan, name)
	}
	if err == nil && air.known && inFan > 0 {
		var c pressure.Computed[units.Flow]
		c, err = pressure.EnvelopeFlow(q, pressure.Depressurised, inFan, pressure.DirectionOf(m.House).LeakAir(air.house, air.outdoor))
		r.worked(name, c.Worked(r.system))
		q = c.Value
	}
	return zonal.FanSource{From: r.spaces[f.From.Name], To: r.spaces[f.To.Name],
		FlowReading: zonal.FlowReading{Flow: q, SDLn: float64(r.gauge.Repeat), Cal: r.fanErrors(name, f.Range.Value)}}, err
}

// densityIn is the density of the air that leaves a space; zero where its
// temperature is not known.
func (r *run) densityIn(space string, air airPair) units.Density {
	switch space {
	case sheet.HouseName:
		return air.house
	case sheet.OutsideName:
		return air.outdoor
	}
	z, ok := r.sheet.Zone(space)
	if !ok || !z.Temperature.Given || !air.known {
		return 0
	}
	rho, err := pressure.Air{Temperature: z.Temperature.Value, Barometer: air.houseAir.Barometer}.Density()
	if err != nil {
		return 0
	}
	return rho.Value
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

// layReadings carries over the pressures and flows read between spaces.
func (r *run) layReadings(m *zonal.Hold, s *heldState, name string) error {
	for _, x := range s.hold.Readings {
		of, to := r.spaces[x.Of.Name], r.spaces[x.To.Name]
		if x.Flow.Given {
			if x.Flow.Value == 0 {
				return r.place(x.Flow.Pos, "a flow of 0 says only that it is below what the hood can show; leave it out")
			}
			m.Flows = append(m.Flows, r.pathFlow(of, to, x))
			continue
		}
		v, err := r.corrected(x, of, to, s, name)
		if err != nil {
			return r.place(x.Pressure.Pos, err.Error())
		}
		m.Read = append(m.Read, v)
	}
	return r.closure(m, s, name)
}

// pathFlow is a flow measured with a hood. A stated sd is the whole error of it.
func (r *run) pathFlow(of, to zonal.SpaceID, x sheet.Reading) zonal.PathFlow {
	f := zonal.PathFlow{Of: of, To: to, FlowReading: zonal.FlowReading{Flow: abs(x.Flow.Value), SDLn: float64(r.gauge.Repeat)}}
	if x.Flow.Value < 0 {
		f.Of, f.To = to, of
	}
	if x.SD.Given {
		f.SDLn = float64(x.SD.Value)
	} else {
		f.Cal = r.calibration("flow hood", r.gauge.Calibration/2)
	}
	return f
}

// corrected takes the baseline out of a zone reading: its own, or where that was
// not read what lies between its two ends.
func (r *run) corrected(x sheet.Reading, of, to zonal.SpaceID, s *heldState, name string) (zonal.PressureReading, error) {
	b := r.readingBaseline(x, of, to, s.baseline)
	c, err := r.gauge.Subtract(x.Pressure.Value, b)
	if err != nil {
		return zonal.PressureReading{}, err
	}
	r.worked(fmt.Sprintf("%s, %s to %s", name, r.names[of], r.names[to]), c.Worked(r.system))
	sd := c.SD
	if x.PressureSD.Given {
		sd = units.Pressure(math.Hypot(float64(x.PressureSD.Value), float64(b.Drift)))
	}
	return zonal.PressureReading{Of: of, To: to, Pressure: c.Value, SD: someError(sd)}, nil
}

func (r *run) readingBaseline(x sheet.Reading, of, to zonal.SpaceID, house pressure.Baseline) pressure.Baseline {
	if x.Baseline.Given {
		if b, err := pressure.OneBaseline(x.Baseline.Value); err == nil {
			return b
		}
	}
	switch {
	case of == zonal.House && to == zonal.Outside:
		return house
	case of == zonal.Outside && to == zonal.House:
		house.Mean = -house.Mean
		return house
	case to == zonal.House || to == zonal.Outside:
		return pressure.UnreadZoneBaseline(house, to == zonal.House)
	case of == zonal.House || of == zonal.Outside:
		b := pressure.UnreadZoneBaseline(house, of == zonal.House)
		b.Mean = -b.Mean
		return b
	}
	b := pressure.UnreadZoneBaseline(house, true)
	b.Mean = 0
	return b
}

// expectedSign is the sign a reading must have in a hold with a single fan: 1,
// −1, or 0 where physics does not know it.
func expectedSign(of, to zonal.SpaceID, house units.Pressure) float64 {
	sign := 0.0
	switch {
	case to == zonal.House, of == zonal.Outside:
		sign = 1
	case of == zonal.House, to == zonal.Outside:
		sign = -1
	}
	if house > 0 {
		return -sign
	}
	return sign
}

// directions turns readings that are clearly on the wrong side, and refuses the
// sheet when they are most of those that tell a direction. A number without a
// sign is a magnitude: it can agree with the hold but not contradict it.
func (r *run) directions() error {
	right, wrong := 0, 0
	var first sheet.Pos
	for k := range r.model.Holds {
		m := &r.model.Holds[k]
		if len(m.Fans) > 0 {
			continue
		}
		i := 0
		for _, x := range r.held[k].hold.Readings {
			if x.Flow.Given {
				continue
			}
			read := &m.Read[i]
			i++
			sign := expectedSign(read.Of, read.To, m.House)
			if sign == 0 || abs(read.Pressure) <= manySD*read.SD {
				continue
			}
			if float64(read.Pressure)*sign > 0 {
				right++
				continue
			}
			if x.Pressure.Signed() {
				if wrong++; wrong == 1 {
					first = x.Pressure.Pos
				}
			}
			r.turn(read, x, r.held[k].baseline, m.Name)
		}
	}
	if wrong >= 2 && wrong > right {
		return r.place(first, "most readings have the sign of the opposite hold; correct job.hold, or the signs: a reading is the first space minus the second")
	}
	return nil
}

// turn gives a reading the other sign: the hoses were the other way round.
func (r *run) turn(read *zonal.PressureReading, x sheet.Reading, house pressure.Baseline, hold string) {
	b := r.readingBaseline(x, read.Of, read.To, house)
	own := units.Pressure(0)
	if x.Baseline.Given {
		own = 2 * b.Mean // a baseline read with the same hoses turns too
	}
	read.Pressure = -(read.Pressure + b.Mean) - b.Mean + own
	r.notice(Note, fmt.Sprintf("%s, %s", hold, r.names[read.Of]), "%s to %s can only have the other sign in this hold; it was taken as %s Pa",
		r.names[read.Of], r.names[read.To], units.Fixed(float64(read.Pressure), 1))
}

// closure compares the two references of a zone with the house pressure as read.
func (r *run) closure(m *zonal.Hold, s *heldState, name string) error {
	type both struct {
		toHouse, toOutside units.Pressure
		house, outside     bool
		pos                sheet.Pos
	}
	zones := map[zonal.SpaceID]*both{}
	for _, x := range s.hold.Readings {
		if x.Flow.Given {
			continue
		}
		of, to, v := r.spaces[x.Of.Name], r.spaces[x.To.Name], x.Pressure.Value
		if of == zonal.House || of == zonal.Outside {
			of, to, v = to, of, -v
		}
		if of < 2 || to >= 2 {
			continue
		}
		z := zones[of]
		if z == nil {
			z = &both{}
			zones[of] = z
		}
		if sign := expectedSign(of, to, s.raw); len(m.Fans) == 0 && float64(v)*sign < 0 && abs(v) > 1 {
			v = -v
		}
		z.pos = x.Pressure.Pos
		if to == zonal.House {
			z.toHouse, z.house = v, true
		} else {
			z.toOutside, z.outside = v, true
		}
	}
	for id := zonal.SpaceID(2); int(id) < len(r.names); id++ {
		z := zones[id]
		if z == nil || !z.house || !z.outside {
			continue
		}
		off := z.toOutside - z.toHouse - s.raw
		sd := math.Sqrt(sq(r.gauge.PressureSD(z.toHouse)) + sq(r.gauge.PressureSD(z.toOutside)) + sq(r.gauge.PressureSD(s.raw)))
		about := fmt.Sprintf("%s, %s", name, r.names[id])
		switch {
		case abs(off) > closureBlock:
			return r.place(z.pos, fmt.Sprintf("%s: read to the house and to outside it does not close on the house pressure by %s Pa; read both again", units.Sanitize(r.names[id]), units.Fixed(float64(off), 1)))
		case float64(abs(off)) > manySD*sd:
			r.notice(Warning, about, "its two references miss the house pressure by %s Pa; look at the hoses", units.Fixed(float64(off), 1))
		}
	}
	return nil
}

func sq[Q ~float64](v Q) float64 { return float64(v) * float64(v) }

// holdRecord is a hold as it was used.
func (r *run) holdRecord(name string, m *zonal.Hold, s *heldState) Hold {
	h := Hold{Name: name, House: float64(m.House), Used: true, Baseline: float64(s.baseline.Mean)}
	if m.Fan != nil {
		v := s.fan.In(r.system.Flow())
		h.Fan, h.FanUnit = &v, r.system.Flow().Symbol()
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
