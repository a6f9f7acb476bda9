package byhand

import (
	"fmt"
	"math"

	"holdbook/pressure"
	"holdbook/units"
)

// Closure is by how much the three pressures of a zone fail to add up:
// (zone to outside - zone to house) - house, all signed as a gauge shows them.
// Above 1.5 Pa it deserves a warning and above 5 Pa the readings contradict one
// another (judgement, computed).
func Closure(house, zoneToHouse, zoneToOutside units.Pressure) units.Pressure {
	return zoneToOutside - zoneToHouse - house
}

// check looks over one state before a method uses it and returns notes.
func (s State) check(method string, needFan bool) ([]string, error) {
	bad := refusal(method, s.Name)
	for _, r := range []*units.Measured[units.Pressure]{&s.House, s.ZoneToHouse, s.ZoneToOutside} {
		if r != nil && !validPressure(*r) {
			return nil, bad("a pressure or its standard deviation is not one that a gauge can show", "give both in pascals, below 1000 Pa")
		}
	}
	hold := math.Abs(float64(s.House.Value))
	if hold < smallestHold {
		return nil, bad(units.Say("the house is held at only %s", s.House.Value),
			"hold at least 5 Pa, better 50 Pa")
	}
	for _, r := range []*units.Measured[units.Pressure]{&s.House, s.ZoneToHouse, s.ZoneToOutside} {
		if r != nil && float64(r.SD) > hold/4 {
			return nil, bad(units.Say("the standard deviation of a pressure is %s, over a quarter of the hold", r.SD),
				"read again in calmer air, averaged over a longer time")
		}
	}
	if s.FullyOpen < NoSide || s.FullyOpen > OutsideSide {
		return nil, bad("the side to which the zone stands open is none", "say house or outside")
	}
	if s.FullyOpen == NoSide && s.ZoneToHouse == nil && s.ZoneToOutside == nil {
		return nil, bad("no zone pressure was read", "read the zone to the house or to outside")
	}
	if s.Fan == nil && needFan {
		return nil, bad("no fan flow was read", "read the fan flow in this hold too")
	}
	if s.Fan != nil && !validFlow(*s.Fan) {
		return nil, bad("the fan flow is not a positive one that a fan can move, with a relative error below 1",
			"read the fan flow again")
	}
	if err := s.checkSigns(bad); err != nil {
		return nil, err
	}
	return s.checkClosure(bad)
}

// checkStates is check for several states, with the notes of all.
func checkStates(method string, needFan bool, states ...State) (notes []string, err error) {
	for _, s := range states {
		n, err := s.check(method, needFan)
		if err != nil {
			return nil, err
		}
		notes = append(notes, n...)
	}
	return notes, nil
}

// validPressure holds for any pressure of a building.
func validPressure(r units.Measured[units.Pressure]) bool {
	return math.Abs(float64(r.Value)) < 1000 && r.SD >= 0 && r.SD < 1000
}

// validFlow holds for any flow of a fan, from 1 mL/s to 10 000 m³/s.
func validFlow(f units.Measured[units.Flow]) bool {
	return f.Value > 1e-6 && f.Value < 1e4 && f.SD >= 0 && f.Relative() < 1
}

// checkSigns refuses a zone outside the span from house to outdoors, which no
// single fan can bring about.
func (s State) checkSigns(bad func(what, do string) error) error {
	if s.FullyOpen != NoSide {
		return nil
	}
	m := s.moment(&draw{})
	slack := 0.5
	for _, r := range []*units.Measured[units.Pressure]{s.ZoneToHouse, s.ZoneToOutside} {
		if r != nil {
			slack = math.Max(slack, 3*math.Hypot(float64(r.SD), float64(s.House.SD)))
		}
	}
	if m.p < -slack {
		return bad(units.Say("the zone lies %s beyond the house pressure", units.Pressure(-m.p)),
			"check the sign and which space each tap is in")
	}
	if m.z < -slack {
		return bad(units.Say("the zone lies %s beyond outdoors", units.Pressure(-m.z)),
			"check the sign and which space each tap is in")
	}
	return nil
}

func (s State) checkClosure(bad func(what, do string) error) ([]string, error) {
	if s.FullyOpen != NoSide || s.ZoneToHouse == nil || s.ZoneToOutside == nil {
		return nil, nil
	}
	miss := float64(Closure(s.House.Value, s.ZoneToHouse.Value, s.ZoneToOutside.Value))
	switch {
	case math.Abs(miss) > closureStop:
		return nil, bad(units.Say("house, zone-to-house and zone-to-outside miss one another by %s", units.Pressure(math.Abs(miss))),
			"read all three again within one minute and check the taps")
	case math.Abs(miss) > closureWarn:
		return []string{units.Say("house, zone-to-house and zone-to-outside miss one another by %s; "+
			"the difference is shared out by their standard deviations", units.Pressure(math.Abs(miss)))}, nil
	}
	return nil, nil
}

// check refuses an error model that cannot be drawn from.
func (e Errors) check(method string) error {
	ok := e.FanSDLn >= 0 && e.FanSDLn < 1 && e.Cd.Value > 0 && e.Cd.Value <= 1 && e.Cd.SD >= 0 && e.Cd.SD < e.Cd.Value &&
		e.Air > 0 && e.Air < 10 && e.Draws >= 0
	for _, n := range []units.Measured[units.Ratio]{e.HouseZone, e.ZoneOutside, e.Direct} {
		ok = ok && n.Value >= pressure.MinExponent && n.Value <= pressure.MaxExponent && n.SD >= 0 && units.Finite(float64(n.SD))
	}
	if ok {
		return nil
	}
	return fault(ErrReading, method, "error model",
		"an exponent, calibration, discharge coefficient or density is out of range",
		"give exponents from 0.5 to 1, a discharge coefficient up to 1 and relative errors below 1")
}

// checkChange refuses a change of zone pressure too small to carry an answer,
// or one away from the side that was opened.
func checkChange(method string, a, b State, opened Side) ([]string, error) {
	ma, mb := a.moment(&draw{}).at50(float64(pressure.DefaultExponent)), b.moment(&draw{}).at50(float64(pressure.DefaultExponent))
	moved := mb.p - ma.p // toward outside
	if opened == HouseSide {
		moved = -moved
	}
	switch {
	case moved < -refuseChange:
		return nil, fault(ErrReading, method, b.Name,
			units.Say("the zone moved %s toward the %s though it was opened to the %s", units.Pressure(-moved), opened.other(), opened),
			"check what stood open and which space each tap was in")
	case moved < refuseChange:
		return nil, fault(ErrTooSmall, method, b.Name,
			units.Say("opening it to the %s moved the zone by %s, and under %.0f Pa the readings' own errors drown it "+
				"(a limit computed, not published)", opened, units.Pressure(math.Max(moved, 0)), refuseChange),
			tryInstead(ma, opened))
	case moved < warnChange:
		return []string{units.Say("the zone moved by only %s; %.0f Pa or more in calm air, 8 to 10 Pa in gusts, "+
			"gives a better answer (computed, not published)", units.Pressure(moved), warnChange)}, nil
	}
	return nil, nil
}

func tryInstead(found moment, opened Side) string {
	if (opened == OutsideSide) == (found.p > found.z) {
		return fmt.Sprintf("open the zone to the %s instead", opened.other())
	}
	return "open it wider"
}

// CoupledNote says, for another zone read in both states of a test, whether it
// moved with the change. Above 1 Pa (2 % of a 50 Pa hold; judgement, computed)
// the two-zone answer is an upper estimate. The readings are to the house, of
// one sign convention.
func CoupledNote(name string, before, after units.Measured[units.Pressure]) (string, bool) {
	moved := math.Abs(float64(after.Value - before.Value))
	limit := math.Max(1, 2*math.Hypot(float64(before.SD), float64(after.SD)))
	if !(moved > limit) {
		return "", false
	}
	return units.Say("coupled, upper estimate: the %s moved by %s too; open it to outside in both states, or rely on the joint estimate",
		name, units.Pressure(moved)), true
}
