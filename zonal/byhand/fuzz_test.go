package byhand

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"

	"holdbook/pressure"
	"holdbook/units"
)

// FuzzMethods: whatever the readings, every method answers with finite
// numbers or a *pressure.Fault, and prints neither NaN nor infinity.
func FuzzMethods(f *testing.F) {
	f.Add(-50.0, 37.2, -50.0, 0.0, 0.4, 0.7, 0.9, 0.01, 0.03)
	f.Add(50.0, -0.1, 49.0, -12.0, 0.0, 1e-300, 1e300, 0.0, 1e-9)
	f.Add(-50.0, 49.99, -50.0, 50.0, 1e6, 0.7, 0.7, 0.99, 1e9)
	f.Add(math.Inf(1), math.NaN(), -1e308, 1e308, math.NaN(), -1.0, math.Inf(-1), math.NaN(), math.NaN())
	f.Add(-5.0, 4.999, -1e300, 1e299, 0.1, 1e-9, 2e-9, 0.5, 1e-6)
	f.Fuzz(func(t *testing.T, houseA, zoneA, houseB, zoneB, sd, flowA, flowB, sdLn, area float64) {
		state := func(name string, house, zone, flow float64) State {
			return State{Name: name, House: pa(units.Pressure(house), units.Pressure(sd)),
				ZoneToHouse: new(pa(units.Pressure(zone), units.Pressure(sd))), Fan: new(passes(units.Flow(flow), sdLn))}
		}
		a, b := state("a", houseA, zoneA, flowA), state("b", houseB, zoneB, flowB)
		e := field()
		e.Draws = 50
		if s, err := Series(a, e); err == nil {
			requireFinite(t, s.Working, s.Notes, s.Fraction.Value, s.Fraction.Low, s.Fraction.High, s.Ratio.Value, s.Ratio.Low, s.Ratio.High)
		} else {
			requireFault(t, "series", err)
		}
		check := func(r Result, err error) {
			if err != nil {
				requireFault(t, "method", err)
			}
			for _, q := range []*Answer[units.Flow]{&r.HouseZone, &r.ZoneOutside, r.Through, r.Direct} {
				if q != nil {
					requireFinite(t, r.Working, r.Notes, q.Value, q.Low, q.High)
				}
			}
		}
		for _, side := range []Side{HouseSide, OutsideSide} {
			check(OpenedDoor(a, b, side, e))
			check(AddedOpening(a, b, side, Hole{Area: units.Area(area), SDLn: sdLn}, e))
		}
		check(NullTest(a, b, *a.Fan, e))
		check(StepTest([]State{a, b, a, b}, e))
		test := FanTest{Name: "a", Held: a.House, Fan: *a.Fan}
		check(ThreeTests(test, FanTest{Held: b.House, Fan: *b.Fan}, test, e))
		if g, err := Guarded(test, FanTest{Held: b.House, Fan: *b.Fan}, []Guard{{Name: "g", Off: *a.ZoneToHouse, Share: area}}, e); err != nil {
			requireFault(t, "guard", err)
		} else {
			requireFinite(t, g.Working, g.Notes, g.Total.Value, g.Exterior.Value, g.Interior.High)
		}
		if rooms, err := RankRooms([]RoomReading{{Name: "r", House: a.House, ToHall: *a.ZoneToHouse, Gap: &Hole{Area: units.Area(area)}}}, e); err != nil {
			requireFault(t, "room", err)
		} else {
			requireFinite(t, rooms[0].Working, rooms[0].Notes, rooms[0].Flow50.Value, rooms[0].Flow50.High)
		}
	})
}

func requireFinite[Q ~float64](t *testing.T, working []pressure.Worked, notes []string, values ...Q) {
	t.Helper()
	for _, v := range values {
		assert.True(t, units.Finite(float64(v)), "%v", values)
	}
	text := strings.Join(notes, " ")
	for _, w := range working {
		text += w.Numbers
	}
	assert.NotContains(t, text, "NaN")
	assert.NotContains(t, text, "Inf")
}
