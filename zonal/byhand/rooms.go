package byhand

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"holdbook/pressure"
	"holdbook/units"
)

const closedDoor = "closed-door reading"

// RoomReading is one room with its door shut while the house is held and the
// air handler is off.
type RoomReading struct {
	Name   string
	House  units.Measured[units.Pressure] // house (the hall) to outside, signed
	ToHall units.Measured[units.Pressure] // room with reference to the hall, signed as a gauge shows it
	Gap    *Hole                          // the gap at the door, where it was measured
}

// RoomAnswer is one room of the ranking, the leakiest first.
type RoomAnswer struct {
	Name string
	Rank int // from 1; 0 for a room that cannot be ranked
	// Share is room-to-hall over house pressure: 0 tight behind the door or a
	// wide gap, 1 wide open to outside.
	Share Answer[units.Ratio]
	// Flow50 is the room's leakage to outside at 50 Pa across it; nil without
	// a measured gap.
	Flow50  *Answer[units.Flow]
	Working []pressure.Worked
	Notes   []string
}

// RankRooms ranks rooms by what leaks behind their shut doors. Where every gap
// was measured, by flow,
//
//	q = Cd·A·√(2·p_r/ρ), L_room = q·(50/(P - p_r))^n
//
// and otherwise by p_r/P, which compares only rooms with equal gaps: a note
// says so. The exponent is that of Errors.Direct. The error is a *pressure.Fault
// that names the room.
//
// Source: computed here from the sharp-edged hole and the power law.
func RankRooms(rooms []RoomReading, e Errors) ([]RoomAnswer, error) {
	if err := e.check(closedDoor); err != nil {
		return nil, err
	}
	answers, measured := make([]RoomAnswer, len(rooms)), 0
	for i, r := range rooms {
		a, err := r.answer(e)
		if err != nil {
			return nil, err
		}
		if answers[i] = a; a.Flow50 != nil {
			measured++
		}
	}
	byFlow := measured == len(rooms)
	slices.SortStableFunc(answers, func(a, b RoomAnswer) int { return cmp.Compare(b.key(byFlow), a.key(byFlow)) })
	for i := range answers {
		answers[i].Rank = i + 1
		if !byFlow {
			answers[i].Notes = append(answers[i].Notes,
				"ranked by pressure: compares only rooms with equal gaps at the door; measure every gap to rank by flow")
		}
	}
	return answers, nil
}

func (a RoomAnswer) key(byFlow bool) float64 {
	if byFlow {
		return float64(a.Flow50.Value)
	}
	return float64(a.Share.Value)
}

// magnitudes draws the house pressure and the room's to the hall.
func (r RoomReading) magnitudes(d *draw) (hold, room float64) {
	dir := math.Copysign(1, float64(r.House.Value))
	return dir * d.pressure(r.House), -dir * d.pressure(r.ToHall)
}

func (r RoomReading) answer(e Errors) (RoomAnswer, error) {
	if err := r.check(); err != nil {
		return RoomAnswer{}, err
	}
	var gap cut
	if r.Gap != nil {
		var err error
		if gap, err = r.Gap.cut(r.Name, e); err != nil {
			return RoomAnswer{}, err
		}
	}
	out := e.propagate(func(d *draw) []float64 {
		hold, room := r.magnitudes(d)
		k := math.Min(1, math.Max(0, room/hold))
		return []float64{k, over(gap.sized(d)*share(room, pressure.SharpExponent), share(hold-room, d.nD))}
	})
	a := RoomAnswer{Name: r.Name, Share: fraction(out[0])}
	if r.Gap != nil {
		flow := answer[units.Flow](out[1])
		a.Flow50 = &flow
		a.Working = []pressure.Worked{r.worked(gap, flow, e)}
	}
	if _, room := r.magnitudes(&draw{}); room < warnRoom {
		a.Notes = append(a.Notes, "under 1 Pa to the hall: little leaks behind this door, or the gap is wide")
	}
	return a, nil
}

// warnRoom is the room pressure (Pa) under which a gauge tells little.
const warnRoom = 1.0

func (r RoomReading) check() error {
	bad := refusal(closedDoor, r.Name)
	held := math.Abs(float64(r.House.Value))
	if !validPressure(r.House) || !validPressure(r.ToHall) || held < smallestHold || float64(r.House.SD+r.ToHall.SD) > held/4 {
		return bad("a house pressure of 5 Pa or more and a room pressure are needed", "hold 50 Pa and read the room to the hall")
	}
	hold, room := r.magnitudes(&draw{})
	switch slack := math.Max(0.5, 3*math.Hypot(float64(r.House.SD), float64(r.ToHall.SD))); {
	case room < -slack:
		return bad(units.Say("the room lies %s beyond the hall, which a hold cannot do", units.Pressure(-room)),
			"turn the sign or the hoses; the air handler must be off")
	case room > hold+slack:
		return bad(units.Say("the room lies %s beyond outdoors", units.Pressure(room-hold)), "read the room to the hall again")
	}
	return nil
}

func (r RoomReading) worked(gap cut, a Answer[units.Flow], e Errors) pressure.Worked {
	d := e.nominal()
	hold, room := r.magnitudes(d)
	q := gap.sized(d) * share(room, pressure.SharpExponent)
	f := e.numbers(q)
	return pressure.Worked{
		Formula: "q = Cd·A·√(2·p_r/ρ), L = q·(50 / (P - p_r))^n",
		Numbers: fmt.Sprintf("%s at %s Pa passes %s %s; %s × (50 / %s)^%.2f = %s", e.holeText("gap", gap),
			units.Fixed(room, 1), f.flow(q), f.unit.Pretty(), f.flow(q), units.Fixed(hold-room, 1), d.nD, e.flowText(a)),
		Source: roomSource,
	}
}
