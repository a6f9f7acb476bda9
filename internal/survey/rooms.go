package survey

import (
	"fmt"
	"math"

	"holdbook/ductleak"
	"holdbook/internal/sheet"
	"holdbook/units"
	"holdbook/zonal/byhand"
)

// rooms reports the rooms behind shut doors: their pressures with the air
// handler running against the published limits, and their ranking in a hold.
func (r *run) rooms() {
	if len(r.sheet.Rooms) == 0 {
		return
	}
	if r.f.Ducts == nil {
		r.f.Ducts = &Ducts{Registers: []Register{}, Tests: []DuctTest{}}
	}
	list := make([]RoomPressure, len(r.sheet.Rooms))
	for i, x := range r.sheet.Rooms {
		list[i].Name = units.Sanitize(x.Name.Value)
		if x.Pressure.Given {
			r.closedRoom(&list[i], x)
		}
	}
	r.rankRooms(list)
	r.f.Ducts.Rooms = list
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
func (r *run) closedRoom(out *RoomPressure, x sheet.Room) {
	l, err := roomLimit(x)
	if err != nil {
		return
	}
	t := ductleak.RoomReading{Name: out.Name, Pressure: r.within(x.Pressure.Value), Limit: units.Pressure(l.Value)}
	if x.Flow.Given {
		t.Flow = flowWithin(x.Flow.Value, math.Hypot(ductleak.OrdinaryHood.Common, ductleak.OrdinaryHood.Each))
	}
	res, err := t.Evaluate(r.houseAir())
	if err != nil {
		r.notice(Warning, out.Name, "its pressure was not used: %s", readingFault(err))
		return
	}
	reach := units.Pressure(fit90) * t.Pressure.SD
	p := units.Estimate[units.Pressure]{Value: x.Pressure.Value, Low: x.Pressure.Value - reach, High: x.Pressure.Value + reach}
	out.Pressure = r.pascals(p)
	size := absEstimate(p)
	out.Verdict = fmt.Sprintf("%s Pa %s: %s", units.Fixed(l.Value, 0), string(l.Sense), l.Judge(ductleak.Plain(size)))
	for _, w := range res.Working(r.system) {
		r.work("room "+out.Name, w.Formula, w.Numbers, w.Source)
	}
	if x.Flow.Given && res.Above {
		out.Transfer = quantity(res.Extra, units.SquareMetre)
		if out.Transfer != nil {
			out.Transfer.Coefficient = openingCd
		}
	}
}

// absEstimate is the size of a signed quantity.
func absEstimate(e units.Estimate[units.Pressure]) units.Estimate[units.Pressure] {
	low, high := abs(e.Low), abs(e.High)
	if e.Low <= 0 && e.High >= 0 {
		return units.Estimate[units.Pressure]{Value: abs(e.Value), Low: 0, High: max(low, high)}
	}
	return units.Estimate[units.Pressure]{Value: abs(e.Value), Low: min(low, high), High: max(low, high)}
}

// rankRooms ranks the rooms read with the house held.
func (r *run) rankRooms(list []RoomPressure) {
	k := r.holdNamed("")
	var read []byhand.RoomReading
	for i, x := range r.sheet.Rooms {
		if !x.Held.Given {
			continue
		}
		if k < 0 {
			r.notice(Note, list[i].Name, "it was read while the house was held, but no finished hold is there to say at what pressure")
			continue
		}
		read = append(read, r.roomReading(list[i].Name, x, k))
	}
	if len(read) == 0 {
		return
	}
	e := byhand.DefaultErrors()
	e.Units, e.Air = r.system, r.houseAir() // it flows out of the room or into it: house air in the gap
	answers, err := byhand.RankRooms(read, e)
	if err != nil {
		r.notice(Warning, "rooms", "they were not ranked: %s", err.Error())
		return
	}
	for _, a := range answers {
		r.ranked(list, a)
	}
}

func (r *run) roomReading(name string, x sheet.Room, k int) byhand.RoomReading {
	h := &r.model.Holds[k]
	out := byhand.RoomReading{Name: name, House: units.Measured[units.Pressure]{Value: h.House, SD: h.HouseSD}}
	// a room behind its door lies toward outdoors of a held house: its sign is known
	v := abs(x.Held.Value)
	if h.House > 0 {
		v = -v
	}
	out.ToHall = units.Measured[units.Pressure]{Value: v, SD: r.gauge.PressureSD(v)}
	if x.Gap.Given {
		out.Gap = &byhand.Hole{Area: x.Gap.Value, SDLn: 0.10}
	}
	return out
}

// ranked writes one answer to the room it is about.
func (r *run) ranked(list []RoomPressure, a byhand.RoomAnswer) {
	for i := range list {
		if list[i].Name != a.Name {
			continue
		}
		list[i].Rank = a.Rank
		if a.Flow50 != nil && a.Flow50.Resolved {
			list[i].Flow50 = r.flow(a.Flow50.Estimate)
		}
		v, low, high := units.FormatInterval(100*float64(a.Share.Value), 100*float64(a.Share.Low), 100*float64(a.Share.High))
		if a.Share.Bound == byhand.Between {
			list[i].Verdict = joined(list[i].Verdict, fmt.Sprintf("%s %% of the hold (%s–%s)", v, low, high))
		}
	}
	for _, w := range a.Working {
		r.work("room "+a.Name, w.Formula, w.Numbers, w.Source)
	}
	for _, n := range a.Notes {
		r.notice(Note, "rooms", "%s", n)
	}
}

func joined(a, b string) string {
	if a == "" {
		return b
	}
	return a + "; " + b
}
