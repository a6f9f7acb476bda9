package byhand_test

import (
	"errors"
	"fmt"
	"holdbook/units"
	"holdbook/zonal"
	"holdbook/zonal/byhand"
)

// attic is what was read in a hold of a house with an attic: house to outside and attic to
// house in pascals, with the errors of a usual gauge, and the fan flow in cfm.
func attic(name string, house, toHouse units.Pressure, fan float64) byhand.State {
	return byhand.State{Name: name, House: units.Measured[units.Pressure]{Value: house, SD: 0.5},
		ZoneToHouse: &units.Measured[units.Pressure]{Value: toHouse, SD: 0.5}, Fan: new(units.Within(units.Flow(units.CFM.ToSI(fan)), 0.01))}
}

// What the holds of a house in the computer's memory allow: here a reading of the attic, as found.
func ExampleApply() {
	m := &zonal.Model{
		Spaces: []zonal.Space{{Name: "house"}, {Name: "outside"}, {Name: "attic"}}, Air: 1.204,
		Paths: []zonal.Path{
			{A: zonal.House, B: 2, Flow50: zonal.LogNormal{Median: 0.14, SDLn: 1.5}, Exponent: zonal.Normal{Mean: 0.65, SD: 0.06}},
			{A: 2, B: zonal.Outside, Flow50: zonal.LogNormal{Median: 0.9, SDLn: 1.5}, Exponent: zonal.Normal{Mean: 0.65, SD: 0.06}},
		},
		Holds: []zonal.Hold{{Name: "as found", House: -50, HouseSD: 0.5,
			Read: []zonal.PressureReading{{Of: 2, To: zonal.House, Pressure: 37, SD: 0.5}}}},
	}
	for _, f := range byhand.Apply(m, units.IP) {
		fmt.Println(m.Spaces[f.Zone].Name+":", f.Series.Working[0].Numbers)
	}
	// Output:
	// attic: 13.0 / 50.0 = 0.26; (13.0 / 37.0)^0.65 = 0.51
}

func ExampleSeries() {
	a, err := byhand.Series(attic("as found", -50, 37, 2277), byhand.DefaultErrors())
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(a.Ratio.Format(units.One))
	// Output:
	// 0.51 0.43 0.59
}

// The attic hatch was opened: its pressure to the house fell from 37 to 6 Pa, and the fan flow rose by 361 cfm.
func ExampleOpenedDoor() {
	r, err := byhand.OpenedDoor(attic("as found", -50, 37, 2277), attic("hatch open", -50, 6, 2638), byhand.HouseSide, byhand.DefaultErrors())
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(r.HouseZone.Format(units.CFM))
	fmt.Println(r.Working[0].Numbers)
	// Output:
	// 400 300 500
	// 2638 - 2277 = 361 cfm at 50 Pa; 361 / (0.920 - 0.417) = 700 cfm
}

// A change that the fan's own repeatability would drown is refused, with what to do instead.
func ExampleOpenedDoor_tooSmall() {
	_, err := byhand.OpenedDoor(attic("as found", -50, 5, 2277), attic("hatch open", -50, 1, 2290), byhand.HouseSide, byhand.DefaultErrors())
	fmt.Println(errors.Is(err, byhand.ErrTooSmall), err)
	// Output:
	// true opened-door test, hatch open: opening it changed the fan flow at 50 Pa by 0.6 %, and 2.8 % is the least that two readings of this fan can tell apart (computed, not published); open the zone to the outside instead
}

func ExampleAddedOpening() {
	hole := byhand.Hole{Area: units.Area(units.SquareInch.ToSI(40)), SDLn: 0.03}
	r, err := byhand.AddedOpening(attic("as found", -50, 37, 2277), attic("hole cut", -50, 24, 2380), byhand.HouseSide, hole, byhand.DefaultErrors())
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(r.ZoneOutside.Format(units.CFM))
	// Output:
	// 610 520 710
}

func ExampleNullTest() {
	zoneFan := units.Within(units.Flow(units.CFM.ToSI(600)), 0.01)
	r, err := byhand.NullTest(attic("hatch to outside open", -50, 49, 1500), attic("nulled", -50, 0, 1200), zoneFan, byhand.DefaultErrors())
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(r.HouseZone.Format(units.CFM))
	fmt.Println(r.ZoneOutside.Format(units.CFM))
	// Output:
	// 300 260 350
	// 600 560 640
}

func ExampleStepTest() {
	steps := []byhand.State{attic("as found", -50, 37, 1447), attic("step", -50, 20, 1365), attic("nulled", -50, 0, 1200)}
	r, err := byhand.StepTest(steps, byhand.DefaultErrors())
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(r.HouseZone.Format(units.CFM))
	// Output:
	// 300 250 360
}

func ExampleThreeTests() {
	test := func(name string, flow float64) byhand.FanTest {
		return byhand.FanTest{Name: name, Held: units.Measured[units.Pressure]{Value: -50, SD: 0.5}, Fan: units.Within(units.Flow(units.CFM.ToSI(flow)), 0.01)}
	}
	r, err := byhand.ThreeTests(test("zone open", 1500), test("joined", 1800), test("zone fan", 900), byhand.DefaultErrors())
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(r.HouseZone.Format(units.CFM))
	fmt.Println(r.ZoneOutside.Format(units.CFM))
	fmt.Println(r.Direct.Format(units.CFM))
	// Output:
	// 300 270 330
	// 600 570 640
	// 1200 1150 1260
}

func ExampleRankRooms() {
	held := units.Measured[units.Pressure]{Value: -50, SD: 0.4}
	rooms, err := byhand.RankRooms([]byhand.RoomReading{
		{Name: "bedroom", House: held, ToHall: units.Measured[units.Pressure]{Value: 4, SD: 0.4}},
		{Name: "bath", House: held, ToHall: units.Measured[units.Pressure]{Value: 12, SD: 0.4}},
	}, byhand.DefaultErrors())
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, r := range rooms {
		fmt.Println(r.Rank, r.Name)
	}
	// Output:
	// 1 bath
	// 2 bedroom
}

func ExampleGuarded() {
	test := func(name string, flow float64) byhand.FanTest {
		return byhand.FanTest{Name: name, Held: units.Measured[units.Pressure]{Value: -50, SD: 0.4}, Fan: units.Within(units.Flow(units.CFM.ToSI(flow)), 0.01)}
	}
	guards := []byhand.Guard{{Name: "flat next door", Off: units.Measured[units.Pressure]{Value: 0.2, SD: 0.2}}}
	r, err := byhand.Guarded(test("alone", 1000), test("guarded", 700), guards, byhand.DefaultErrors())
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(r.Exterior.Format(units.CFM))
	// Output:
	// 690 660 730
}

func ExampleCheckGarage() {
	toHouse := units.Pressure(47)
	fmt.Println(byhand.CheckGarage(&toHouse, nil, nil).Passes())
	// Output:
	// true
}

// A garage of which nothing was read does not pass.
func ExampleGarageSteps_Passes() {
	fmt.Println(byhand.GarageSteps{}.Passes())
	// Output:
	// false
}

// House, zone to house and zone to outside should add up; here they miss by 1 Pa.
func ExampleClosure() {
	fmt.Println(byhand.Closure(-50, 37, -12))
	// Output:
	// 1
}

func ExampleCoupledNote() {
	before, after := units.Measured[units.Pressure]{Value: 40, SD: 0.3}, units.Measured[units.Pressure]{Value: 35, SD: 0.3}
	note, moved := byhand.CoupledNote("garage", before, after)
	fmt.Println(moved, note)
	// Output:
	// true coupled, upper estimate: the garage moved by 5.0 Pa too; open it to outside in both states, or rely on the joint estimate
}

func ExampleLeakRatio() {
	fmt.Printf("%.2f\n", byhand.LeakRatio(37.2, 12.8, 0.65))
	// Output:
	// 0.50
}

func ExampleSeriesPressure() {
	fmt.Printf("%.1f Pa\n", byhand.SeriesPressure(50, 0.5, 0.65))
	// Output:
	// 37.2 Pa
}

func ExampleSeriesFlow() {
	q := byhand.SeriesFlow(units.Flow(units.CFM.ToSI(300)), units.Flow(units.CFM.ToSI(600)), 0.65)
	fmt.Println(q.Text(units.CFM, 0))
	// Output:
	// 248 cfm
}

func ExampleScaledFlow() {
	fmt.Println(byhand.ScaledFlow(units.Flow(units.CFM.ToSI(2000)), -40, 0.65).Text(units.CFM, 0))
	// Output:
	// 2312 cfm
}

func ExampleScaledPressure() {
	fmt.Println(byhand.ScaledPressure(30, -40))
	// Output:
	// 37.5
}

func ExampleDefaultErrors() {
	e := byhand.DefaultErrors()
	fmt.Println(e.HouseZone.Value, e.HouseZone.SD, e.Cd.Value, e.FanSDLn)
	// Output:
	// 0.65 0.06 0.6 0.025
}

func ExampleSide_String() {
	fmt.Println(byhand.HouseSide, byhand.OutsideSide, byhand.NoSide)
	// Output:
	// house outside neither side
}
