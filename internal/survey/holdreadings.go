package survey

import (
	"fmt"
	"math"

	"holdbook/internal/sheet"
	"holdbook/pressure"
	"holdbook/units"
	"holdbook/zonal"
)

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
	f := zonal.PathFlow{Of: of, To: to, FlowReading: zonal.FlowReading{Flow: abs(x.Flow.Value), SDLn: repeatOf(r.gauge.Repeat, x.Flow)}}
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
	b := r.readingBaseline(x, of, to, s)
	c, err := windIn(s.gauge, x.Pressure).Subtract(x.Pressure.Value, b)
	if err != nil {
		return zonal.PressureReading{}, err
	}
	line := c.Worked(r.system)
	if !x.Baseline.Given && s.baseline.Mean != 0 {
		line.Source += "; its baseline was not read: half of the house's is taken"
		r.notice(Note, "", "no baseline was read in the spaces; half of the house's is taken off their readings, and its doubt added")
	}
	r.worked(fmt.Sprintf("%s, %s to %s", name, r.names[of], r.names[to]), line)
	sd := c.SD
	if x.PressureSD.Given {
		sd = units.Pressure(math.Hypot(float64(x.PressureSD.Value), float64(b.Drift)))
	}
	return zonal.PressureReading{Of: of, To: to, Pressure: c.Value, SD: someError(sd)}, nil
}

func (r *run) readingBaseline(x sheet.Reading, of, to zonal.SpaceID, s *heldState) pressure.Baseline {
	house := s.baseline
	if x.Baseline.Given {
		if b, err := baselineFrom(x.Baseline, sheet.Pressure{}, s.gauge.Wobble); err == nil {
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
			if sign == 0 || abs(read.Pressure) <= manySD*read.SD || r.closesAsWritten(k, read) {
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
			r.turn(read, x, &r.held[k], m.Name)
		}
	}
	if wrong >= 2 && wrong > right {
		return r.place(first, "most readings have the sign of the opposite hold; correct job.hold, or the signs: a reading is the first space minus the second")
	}
	return nil
}

// closesAsWritten tells whether a zone was read to the house and to outside in a hold, and
// the two, as they were written, make the house pressure.
func (r *run) closesAsWritten(k int, read *zonal.PressureReading) bool {
	zone, s := max(read.Of, read.To), &r.held[k]
	var raw [2]units.Pressure // to the house, to outside
	var has [2]bool
	for _, x := range s.hold.Readings {
		of, to, v := r.spaces[x.Of.Name], r.spaces[x.To.Name], x.Pressure.Value
		if to == zone {
			of, to, v = to, of, -v
		}
		if of == zone && to <= zonal.Outside && !x.Flow.Given {
			raw[to], has[to] = v, true
		}
	}
	return has[0] && has[1] && closes(s.gauge, raw[0], raw[1], s.raw)
}

// turn gives a reading the other sign: the hoses were the other way round.
func (r *run) turn(read *zonal.PressureReading, x sheet.Reading, s *heldState, hold string) {
	b := r.readingBaseline(x, read.Of, read.To, s)
	own := units.Pressure(0)
	if x.Baseline.Given {
		own = 2 * b.Mean // a baseline read with the same hoses turns too
	}
	read.Pressure = -(read.Pressure + b.Mean) - b.Mean + own
	r.notice(Note, fmt.Sprintf("%s, %s", hold, r.names[read.Of]), "%s to %s can only have the other sign in this hold; it was taken as %s Pa",
		r.names[read.Of], r.names[read.To], units.Fixed(float64(read.Pressure), 1))
}

// closingSD is the sd (Pa) of what a zone's two readings, raw, miss the house pressure by.
func closingSD(g pressure.Gauge, toHouse, toOutside, house units.Pressure) float64 {
	return math.Sqrt(sq(g.PressureSD(toHouse)) + sq(g.PressureSD(toOutside)) + sq(g.PressureSD(house)))
}

// closes tells whether a zone's two readings make the house pressure, all of them raw.
func closes(g pressure.Gauge, toHouse, toOutside, house units.Pressure) bool {
	return float64(abs(toOutside-toHouse-house)) <= manySD*closingSD(g, toHouse, toOutside, house)
}

// righted are a zone's two readings under a single fan: as they were written where they
// close on the house pressure, for a baseline can put a zone on either side of outside;
// else each with the only sign it can have.
func righted(g pressure.Gauge, toHouse, toOutside, house units.Pressure) (units.Pressure, units.Pressure) {
	if closes(g, toHouse, toOutside, house) {
		return toHouse, toOutside
	}
	const zone = zonal.Outside + 1 // any
	return turned(toHouse, expectedSign(zone, zonal.House, house)), turned(toOutside, expectedSign(zone, zonal.Outside, house))
}

// turned is a reading with the sign it must have, unless it is too small to tell.
func turned(v units.Pressure, sign float64) units.Pressure {
	if float64(v)*sign < 0 && abs(v) > 1 {
		return -v
	}
	return v
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
		if len(m.Fans) == 0 {
			z.toHouse, z.toOutside = righted(s.gauge, z.toHouse, z.toOutside, s.raw)
		}
		off, sd := z.toOutside-z.toHouse-s.raw, closingSD(s.gauge, z.toHouse, z.toOutside, s.raw)
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
