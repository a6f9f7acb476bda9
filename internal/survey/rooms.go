package survey

import (
	"fmt"

	"holdbook/ductleak"
	"holdbook/internal/sheet"
	"holdbook/pressure"
	"holdbook/units"
	"holdbook/zonal/byhand"
)

// roomFindings reports the rooms behind shut doors: their pressures with the air
// handler running against the published limits, and their ranking in a hold.
func roomFindings(c *Case, log *Log) []RoomPressure {
	if len(c.Sheet.Rooms) == 0 {
		return nil
	}
	list := make([]RoomPressure, len(c.Sheet.Rooms))
	for i, x := range c.Sheet.Rooms {
		list[i].Name = units.Sanitize(x.Name.Value)
		if x.Pressure.Given {
			closedRoom(c, log, &list[i], x)
		}
	}
	rankRooms(c, log, list)
	return list
}

// withRooms puts the rooms to the ducts, if there are any.
func (d *Ducts) withRooms(rooms []RoomPressure) *Ducts {
	if d == nil && len(rooms) > 0 {
		d = &Ducts{Registers: []Register{}, Tests: []DuctTest{}}
	}
	if d != nil {
		d.Rooms = rooms
	}
	return d
}

// largeRoom is the design flow from which a room has the wider limit.
const largeRoom = 150 // cfm; ENERGY STAR homes, PNNL transfer-grille guide

// roomLimit is the published limit that sizes a room's transfer opening.
func roomLimit(x sheet.Room) (ductleak.Limit, error) {
	if x.Exterior.Value || x.Flow.Value.In(units.CFM) >= largeRoom {
		return ductleak.FindLimit("room-energystar-large")
	}
	return ductleak.FindLimit("room-energystar")
}

// closedRoom sizes the opening that would keep a room within its limit.
func closedRoom(c *Case, log *Log, out *RoomPressure, x sheet.Room) {
	l, err := roomLimit(x)
	if err != nil {
		return
	}
	t := ductleak.RoomReading{Name: out.Name, Pressure: c.pressureWithin(x.Pressure.Value), Limit: units.Pressure(l.Value)}
	if x.Flow.Given {
		t.Flow = units.Within(x.Flow.Value, ductleak.OrdinaryHood.SD())
	}
	res, err := t.Evaluate(c.houseAir())
	if err != nil {
		log.Notice(Warning, out.Name, "its pressure was not used: %s", readingFault(err))
		return
	}
	p := pressure.Interval90(t.Pressure)
	out.Pressure = pascals(p)
	size := absEstimate(p)
	out.Verdict = fmt.Sprintf("%s Pa %s: %s", units.Fixed(l.Value, 0), string(l.Sense), l.Judge(ductleak.Plain(size)))
	log.worked("room "+out.Name, res.Working(c.System)...)
	if x.Flow.Given && res.Above {
		out.Transfer = toQ(res.Extra, units.SquareMetre)
		if out.Transfer != nil {
			out.Transfer.Coefficient = openingCd
		}
	}
}

// absEstimate is the size of a signed quantity.
func absEstimate(e units.Estimate[units.Pressure]) units.Estimate[units.Pressure] {
	low, high := units.Abs(e.Low), units.Abs(e.High)
	if e.Low <= 0 && e.High >= 0 {
		return units.Estimate[units.Pressure]{Value: units.Abs(e.Value), Low: 0, High: max(low, high)}
	}
	return units.Estimate[units.Pressure]{Value: units.Abs(e.Value), Low: min(low, high), High: max(low, high)}
}

// rankRooms ranks the rooms read with the house held.
func rankRooms(c *Case, log *Log, list []RoomPressure) {
	k := c.holdNamed("")
	var read []byhand.RoomReading
	for i, x := range c.Sheet.Rooms {
		if !x.Held.Given {
			continue
		}
		if k < 0 {
			log.Notice(Note, list[i].Name, "it was read while the house was held, but no finished hold is there to say at what pressure")
			continue
		}
		read = append(read, roomReading(c, list[i].Name, x, k))
	}
	if len(read) == 0 {
		return
	}
	e := byhand.DefaultErrors()
	e.Units, e.Air = c.System, c.houseAir() // it flows out of the room or into it: house air in the gap
	answers, err := byhand.RankRooms(read, e)
	if err != nil {
		log.Notice(Warning, "rooms", "they were not ranked: %s", err.Error())
		return
	}
	for _, a := range answers {
		writeRank(c, log, list, a)
	}
}

func roomReading(c *Case, name string, x sheet.Room, k int) byhand.RoomReading {
	h := &c.Model.Holds[k]
	out := byhand.RoomReading{Name: name, House: units.Measured[units.Pressure]{Value: h.House, SD: h.HouseSD}}
	// a room behind its door lies toward outdoors of a held house: its sign is known
	v := units.Abs(x.Held.Value)
	if h.House > 0 {
		v = -v
	}
	out.ToHall = units.Measured[units.Pressure]{Value: v, SD: c.Gauge.PressureSD(v)}
	if x.Gap.Given {
		out.Gap = &byhand.Hole{Area: x.Gap.Value, SDLn: 0.10}
	}
	return out
}

// writeRank writes one answer to the room it is about.
func writeRank(c *Case, log *Log, list []RoomPressure, a byhand.RoomAnswer) {
	for i := range list {
		if list[i].Name != a.Name {
			continue
		}
		list[i].Rank = a.Rank
		if a.Flow50 != nil && a.Flow50.Resolved {
			list[i].Flow50 = Flow(a.Flow50.Estimate)
		}
		v, low, high := units.FormatInterval(100*float64(a.Share.Value), 100*float64(a.Share.Low), 100*float64(a.Share.High))
		if a.Share.Bound == byhand.Between {
			list[i].Verdict = joinedText(list[i].Verdict, fmt.Sprintf("%s %% of the hold (%s–%s)", v, low, high))
		}
	}
	log.worked("room "+a.Name, a.Working...)
	for _, n := range a.Notes {
		log.Background("rooms", "%s", n)
	}
}

func joinedText(a, b string) string {
	if a == "" {
		return b
	}
	return a + "; " + b
}
