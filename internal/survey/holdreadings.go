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
func layReadings(c *Case, log *Log, m *zonal.Hold, s *LaidHold, name string) error {
	for _, x := range s.Hold.Readings {
		of, to := c.Spaces[x.Of.Name], c.Spaces[x.To.Name]
		if x.Flow.Given {
			if x.Flow.Value == 0 {
				return c.ErrorAt(x.Flow.Pos, "a flow of 0 says only that it is below what the hood can show; leave it out")
			}
			if f := pathFlow(c, of, to, x); c.Model.Joined(m, of, to) {
				m.Flows = append(m.Flows, f)
			} else {
				log.Notice(Warning, name, "a flow was read from %s to %s where nothing joins the two in this hold; it is not used: write what stood open, or take it out of what was sealed", c.Names[of], c.Names[to])
			}
			continue
		}
		v, err := corrected(c, log, x, of, to, s, name)
		if err != nil {
			return c.ErrorAt(x.Pressure.Pos, err.Error())
		}
		m.Read = append(m.Read, v)
	}
	layLevels(c, log, m, s)
	return checkClosing(c, log, s, name)
}

// pathFlow is a flow measured with a hood. A stated sd is the whole error of it.
func pathFlow(c *Case, of, to zonal.SpaceID, x sheet.Reading) zonal.PathFlow {
	f := zonal.PathFlow{Of: of, To: to, FlowReading: zonal.FlowReading{Flow: units.Abs(x.Flow.Value), SDLn: repeatOf(c.Gauge.Repeat, x.Flow)}}
	if x.Flow.Value < 0 {
		f.Of, f.To = to, of
	}
	if x.SD.Given {
		f.SDLn = float64(x.SD.Value)
	} else {
		n := len(c.Model.Calibrations)
		f.Cal = addCalibration(c.Model, "flow hood", c.Gauge.Calibration/2)
		listCalibrations(c, n)
	}
	return f
}

// corrected takes the baseline out of a zone reading: its own, or where that was
// not read what lies between its two ends.
func corrected(c *Case, log *Log, x sheet.Reading, of, to zonal.SpaceID, s *LaidHold, name string) (zonal.PressureReading, error) {
	zone := of
	if zone == zonal.House {
		zone = to
	}
	less := s.Hold.LessOf(c.Names[zone])
	b, read := readingBaseline(x, of, to, s), x.Baseline.Given || s.zonesRead(of, to)
	if less {
		b, read = pressure.Baseline{}, true
	}
	net, err := windIn(s.Gauge, x.Pressure).Subtract(x.Pressure.Value, b)
	if err != nil {
		return zonal.PressureReading{}, err
	}
	line := net.Worked(c.System)
	if !read && s.Baseline.Mean != 0 {
		line.Source += "; its baseline was not read: half of the house's is taken"
		log.Background("", "where a space has no baseline of its own, half of the house's is taken off its readings, and its doubt added")
	}
	log.worked(fmt.Sprintf("%s, %s to %s", name, c.Names[of], c.Names[to]), line)
	raw := laidReading{raw: x.Pressure.Value, sd: windIn(s.Gauge, x.Pressure).PressureSD(x.Pressure.Value), at: x.Baseline.Pos, less: less}
	sd := net.SD
	if x.PressureSD.Given {
		raw.sd = x.PressureSD.Value
		sd = units.Pressure(math.Hypot(float64(x.PressureSD.Value), float64(b.Drift)))
	}
	raw.sd = someError(raw.sd)
	if x.Baseline.Given && !less {
		raw.own = &b
	}
	s.read = append(s.read, raw)
	return zonal.PressureReading{Of: of, To: to, Pressure: net.Value, SD: someError(sd)}, nil
}

func readingBaseline(x sheet.Reading, of, to zonal.SpaceID, s *LaidHold) pressure.Baseline {
	house := s.Baseline
	if x.Baseline.Given {
		if b, err := BaselineFrom(x.Baseline, sheet.Pressure{}, s.Gauge.Wobble); err == nil {
			return b
		}
	}
	if s.zonesRead(of, to) {
		return s.between(of, to)
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

// zonesRead tells whether the baselines of the zones at the ends of a reading were read.
func (s *LaidHold) zonesRead(of, to zonal.SpaceID) bool {
	zones := 0
	for _, end := range []zonal.SpaceID{of, to} {
		if end > zonal.Outside {
			if _, ok := s.zones[end]; !ok {
				return false
			}
			zones++
		}
	}
	return zones > 0
}

// between is the baseline of a reading from those of its ends to the house.
func (s *LaidHold) between(of, to zonal.SpaceID) pressure.Baseline {
	toHouse := func(end zonal.SpaceID) pressure.Baseline {
		switch end {
		case zonal.House:
			return pressure.Baseline{}
		case zonal.Outside:
			b := s.Baseline
			b.Mean = -b.Mean
			return b
		}
		return s.zones[end]
	}
	a, b := toHouse(of), toHouse(to)
	a.Mean, a.Drift = a.Mean-b.Mean, units.Pressure(math.Hypot(float64(a.Drift), float64(b.Drift)))
	return a
}

// ExpectedSign is the sign a reading must have in a hold with a single fan: 1,
// −1, or 0 where physics does not know it.
func ExpectedSign(of, to zonal.SpaceID, house units.Pressure) float64 {
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
func directions(c *Case, log *Log) error {
	right, wrong := 0, 0
	var first sheet.Pos
	for k := range c.Model.Holds {
		m := &c.Model.Holds[k]
		if len(m.Fans) > 0 {
			continue
		}
		asWritten := closingAsWritten(c, &c.Held[k])
		i := 0
		for _, x := range c.Held[k].Hold.Readings {
			if x.Flow.Given {
				continue
			}
			read, raw := &m.Read[i], &c.Held[k].read[i]
			i++
			sign := ExpectedSign(read.Of, read.To, m.House)
			if sign == 0 || units.Abs(read.Pressure) <= ManySD*read.SD || asWritten[max(read.Of, read.To)] {
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
			turn(c, log, read, x, &c.Held[k], m.Name)
			raw.turn()
		}
	}
	if wrong >= 2 && wrong > right {
		return c.ErrorAt(first, "most readings have the sign of the opposite hold; correct job.hold, or the signs: a reading is the first space minus the second")
	}
	return nil
}

// closingAsWritten are the zones of a hold whose two readings close in the signs they were
// written with: those cannot be wrong.
func closingAsWritten(c *Case, s *LaidHold) map[zonal.SpaceID]bool {
	in := map[zonal.SpaceID]bool{}
	for _, z := range Closings(s.Hold, s.Raw, s.Gauge) {
		in[c.Spaces[z.Zone]] = z.asWritten
	}
	return in
}

// turn gives a reading as it was read the other sign, and its own baseline with it.
func (r *laidReading) turn() {
	r.raw = -r.raw
	if r.own != nil {
		own := *r.own
		own.Mean = -own.Mean
		r.own = &own
	}
}

// turn gives a reading the other sign: the hoses were the other way round.
func turn(c *Case, log *Log, read *zonal.PressureReading, x sheet.Reading, s *LaidHold, hold string) {
	b := readingBaseline(x, read.Of, read.To, s)
	own := units.Pressure(0)
	if x.Baseline.Given {
		own = 2 * b.Mean // a baseline read with the same hoses turns too
	}
	read.Pressure = -(read.Pressure + b.Mean) - b.Mean + own
	log.Notice(Note, fmt.Sprintf("%s, %s", hold, c.Names[read.Of]), "%s to %s can only have the other sign in this hold; it was taken as %s Pa",
		c.Names[read.Of], c.Names[read.To], units.Fixed(float64(read.Pressure), 1))
}
