package check

import (
	"fmt"
	"math"

	"holdbook/internal/sheet"
	"holdbook/internal/survey"
	"holdbook/units"
)

// plain is a quantity of the sheet with the range that plain sense leaves it. The ranges are
// judgement: what dwellings, their ducts and the air in them are.
type plain struct {
	pos              sheet.Pos
	value, low, high float64 // SI
	about            string
	text, look       string // what is said of one outside, and what to look at
}

// ranged puts a quantity, as it is printed in a unit, into what is said of it. One that is
// not given is as it should be.
func ranged[Q interface {
	~float64
	Text(units.Unit, int) string
}](q sheet.Quantity[Q], low, high Q, u units.Unit, decimals int, about, text, look string) plain {
	if !q.Given {
		return plain{}
	}
	return plain{q.Pos, float64(q.Value), float64(low), float64(high), about, fmt.Sprintf(text, q.Value.Text(u, decimals)), look}
}

// size is the range of a magnitude.
func (p plain) size() plain {
	p.value = math.Abs(p.value)
	return p
}

// outOfRange says what lies outside its range.
func (out *slips) outOfRange(list ...plain) {
	for _, p := range list {
		if p.value < p.low || p.value > p.high {
			out.say(Warns, p.pos, p.about, p.text, p.look)
		}
	}
}

// houseRanges are those of the house.
func houseRanges(v *visit) []plain {
	h := v.sheet.House
	return []plain{
		ranged(h.Volume, 30, 8000, v.system.Volume(), 0, "house", "a volume of %s is hardly that of a house", "its unit, ft3 or m3"),
		ranged(h.FloorArea, 12, 2000, v.system.FloorArea(), 0, "house", "a floor area of %s is hardly that of a house", "its unit, ft2 or m2"),
	}
}

// airRanges are those of the temperatures of the air, whose units are easily taken for each
// other.
func airRanges(v *visit) []plain {
	h, u := v.sheet.House, v.system.Temperature()
	const text, look = " is hardly so", "its unit, °F or °C"
	indoors := func(t sheet.Temperature, about string) plain {
		return ranged(t, 278, 313, u, 0, about, "%s indoors"+text, look)
	}
	outdoors := func(t sheet.Temperature, about string) plain {
		return ranged(t, 228, 325, u, 0, about, "%s outdoors"+text, look)
	}
	list := []plain{indoors(h.Indoor, "house"), outdoors(h.Outdoor, "house")}
	for i := range v.sheet.Holds {
		x := &v.sheet.Holds[i]
		list = append(list, indoors(x.Indoor, survey.HoldName(i, x)), outdoors(x.Outdoor, survey.HoldName(i, x)))
	}
	for _, z := range v.sheet.Zones {
		list = append(list, ranged(z.Temperature, 228, 345, u, 0, units.Sanitize(z.Name.Value), "%s in a zone"+text, look))
	}
	return list
}

// handlerRanges are those of the air handler.
func handlerRanges(v *visit, a *sheet.AirHandler) []plain {
	const about = "air handler"
	plenum := func(p sheet.Pressure) plain {
		return ranged(p, 2, 400, units.Pascal, 2, about, "a plenum pressure of %s is hardly one", "its unit, Pa or inches of water").size()
	}
	return []plain{
		plenum(a.SupplyPressure), plenum(a.ReturnPressure),
		ranged(a.HousePressure, 0, 15, units.Pascal, 1, about, "it changes the house pressure by %s, which is hardly so", "the decimal point, the unit, and that the door fan was off").size(),
		ranged(a.Flow, units.Flow(units.CFM.ToSI(100)), units.Flow(units.CFM.ToSI(6000)), v.system.Flow(), 0, about, "an air handler that moves %s is hardly one of a house", "its unit and the decimal point"),
	}
}

// ductRanges are those of the tests and the runs of ducts, and of rooms behind shut doors.
func ductRanges(v *visit) (list []plain) {
	for _, t := range v.sheet.DuctTests {
		list = append(list, ranged(t.Pressure, 5, 100, units.Pascal, 1, "duct test", "a test pressure of %s is hardly one", "its unit and the decimal point").size())
	}
	for i, d := range v.sheet.Ducts {
		list = append(list, ranged(d.Diameter, 0.05, 1.2, v.system.Length(), 2, titled("duct", d.Name, i), "a diameter of %s is hardly one", "its unit, in or ft"))
	}
	for i, r := range v.sheet.Rooms {
		list = append(list, ranged(r.Pressure, 0, 40, units.Pascal, 1, titled("room", r.Name, i), "a pressure of %s across a room door is hardly one", "the decimal point and the unit").size())
	}
	return list
}

// openingRanges are those of openings of a stated size in a hold: a slit is no hole, and but
// for a garage's door none is larger than a door.
func openingRanges(v *visit, h *sheet.Hold, name string) (list []plain) {
	for _, o := range h.Opened {
		most := units.Area(3)
		if o.Between.Has(sheet.OutsideName) {
			most = 40
		}
		list = append(list, ranged(o.Area, 3e-4, most, v.system.Area(), 1, name, "an opening of %s is hardly one", "its unit, in2, ft2 or cm2"))
	}
	return list
}
