package zonal

import "holdbook/units"

// action is a candidate with a name for the log.
type action struct {
	name string
	Candidate
}

// another is a hold not yet made in which some zones are read to the house.
func another(house units.Pressure, zones ...SpaceID) Hold {
	h := Hold{House: house, HouseSD: 0.47, Fan: &FlowReading{Flow: 1, SDLn: 0.01, Cal: []int{0, 1}}}
	for _, z := range zones {
		h.Read = append(h.Read, PressureReading{Of: z, To: House, Pressure: 0, SD: 0.45})
	}
	return h
}

// opening is the action of opening something and reading the zone again.
func (m *Model) openedAction(name string, z SpaceID, o Opening) action {
	h := another(-50, z)
	h.Opened = []int{len(m.Openings)}
	return action{name, Candidate{Holds: []Hold{h}, Openings: []Opening{o}}}
}

func (m *Model) openHouse(z SpaceID) action {
	return m.openedAction("open to the house", z, Opening{A: House, B: z, Flow50: LogNormal{3000 * cfm, 2}})
}

func (m *Model) openOutside(z SpaceID) action {
	return m.openedAction("open to outside", z, Opening{A: z, B: Outside, Flow50: LogNormal{3000 * cfm, 2}})
}

// addHole adds a hole of the size that the pressure of the zone asks for.
func (m *Model) addHole(post *Posterior, z SpaceID) action {
	var areas []units.Area
	for _, a := range []float64{10, 20, 40, 60, 100, 150, 250} {
		areas = append(areas, units.Area(a*squareInch))
	}
	h, err := post.HoleFor(z, House, areas)
	if err != nil {
		panic(err)
	}
	return m.openedAction("hole to the house", z, Opening{A: House, B: z, Area: h.Area, AreaSDLn: 0.03})
}

func (m *Model) secondReference(z SpaceID) action {
	h := another(-50)
	h.Fan, h.Read = nil, []PressureReading{{Of: z, To: Outside, SD: 0.45}}
	return action{"second reference", Candidate{Holds: []Hold{h}}}
}

func (m *Model) nullFan(z SpaceID) action {
	h := another(-50, z)
	h.Fans = []FanSource{{z, Outside, FlowReading{Flow: 400 * cfm, SDLn: 0.01, Cal: []int{2}}}}
	return action{"second fan", Candidate{Holds: []Hold{h}, Trimmed: true}}
}

func (m *Model) second() action {
	return action{"second pressure", Candidate{Holds: []Hold{another(-25)}}}
}

func (m *Model) again() action {
	h := another(-50)
	for z := zone1; int(z) < len(m.Spaces); z++ {
		h.Read = append(h.Read, PressureReading{Of: z, To: House, Pressure: 0, SD: 0.45})
	}
	return action{"repeat", Candidate{Holds: []Hold{h}}}
}

func (m *Model) coverDucts(z SpaceID, main int) action {
	h := another(-50, z)
	h.Sealed, h.Covered = []int{main}, []int{len(m.Paths)}
	return action{"cover the registers", Candidate{Holds: []Hold{h},
		Paths: []Path{{A: House, B: z, Flow50: LogNormal{50 * cfm, 1.5}, Exponent: crack, Covered: true}}}}
}

// trial is a kind of house, what was read of it, what could be read next, and
// what is asked.
type trial struct {
	family
	actions  func(m *Model, post *Posterior) []action
	question Question
	// rule is the rule of thumb: open the zone with the most flow, by p the
	// pressures to the house, toward its tighter side. It is a number of an action.
	rule func(zone SpaceID, toHouse float64) int
}

// zoned are the actions on one zone, the rule's two first.
func (m *Model) zoned(post *Posterior, z SpaceID) []action {
	return []action{m.openHouse(z), m.openOutside(z), m.addHole(post, z), m.secondReference(z)}
}

func tighter(zone SpaceID, toHouse float64) int {
	at := int(zone-zone1) * 4
	if toHouse < Reference/2 {
		at++
	}
	return at
}

var trials = []trial{
	{families[0], func(m *Model, post *Posterior) []action {
		return append(m.zoned(post, zone1), m.second(), m.again())
	}, Question{Through: []SpaceID{zone1}, Seal: []SealTarget{{Paths: []int{1}}}}, tighter},
	{families[1], func(m *Model, post *Posterior) []action {
		return append(m.zoned(post, zone1), m.nullFan(zone1), m.again())
	}, Question{Through: []SpaceID{zone1}, Seal: []SealTarget{{Paths: []int{1}}}}, tighter},
	{family{name: "two zones, as found", build: func() *Model {
		m := houseModel(2)
		m.attic(zone1)
		m.garage(zone2)
		m.hold(-50, true)
		return m
	}}, func(m *Model, post *Posterior) []action {
		return append(append(m.zoned(post, zone1), m.zoned(post, zone2)...), m.nullFan(zone2), m.second(), m.again())
	}, Question{Through: []SpaceID{zone1, zone2}, Seal: []SealTarget{{Paths: []int{1}}, {Paths: []int{3}}}}, tighter},
	{family{name: "two zones coupled, one opened", build: func() *Model {
		m := houseModel(2)
		m.garage(zone1)
		m.attic(zone2)
		m.path(zone1, zone2, 100, crack)
		m.hold(-50, true)
		m.hold(-50, true, m.opening(House, zone1))
		return m
	}}, func(m *Model, post *Posterior) []action {
		return append(append(m.zoned(post, zone1), m.zoned(post, zone2)...), m.nullFan(zone1), m.second(), m.again())
	}, Question{Through: []SpaceID{zone1, zone2}, Seal: []SealTarget{{Paths: []int{1}}, {Paths: []int{3}}}}, tighter},
	{family{name: "attic and ducts, as found", build: func() *Model {
		m := houseModel(2)
		m.attic(zone1)
		m.path(House, zone2, 3000, square)
		m.path(zone2, Outside, 100, vent)
		m.path(zone2, zone1, 100, vent)
		m.hold(-50, true)
		return m
	}}, func(m *Model, post *Posterior) []action {
		return append(m.zoned(post, zone1), m.coverDucts(zone2, 3), m.second(), m.again())
	}, Question{Through: []SpaceID{zone1, zone2}, Seal: []SealTarget{{Paths: []int{1}}, {Paths: []int{4}}, {Paths: []int{5}}}},
		func(_ SpaceID, toHouse float64) int { return tighter(zone1, toHouse) }},
	{families[4], func(m *Model, post *Posterior) []action {
		return []action{m.addHole(post, zone1), m.openOutside(zone1), m.openHouse(zone2), m.openOutside(zone2), m.addHole(post, zone2),
			m.secondReference(zone2), m.nullFan(zone2), m.second(), m.again()}
	}, Question{Through: []SpaceID{zone1, zone2}, Seal: []SealTarget{{Paths: []int{1}}, {Paths: []int{3}}}},
		func(zone SpaceID, toHouse float64) int {
			at := 2 * int(zone-zone1)
			if at > 0 && toHouse < Reference/2 {
				at++
			}
			return at
		}},
}
