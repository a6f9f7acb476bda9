package zonal_test

import (
	"fmt"

	"holdbook/units"
	"holdbook/zonal"
)

// What columns of air drive in a house of two storeys at 20 °C, freezing outdoors.
func ExampleStackOf() {
	stack := zonal.StackOf(1.2041, 1.2922)
	fmt.Printf("%.2f Pa for each metre, good to %.2f\n", stack.Mean, stack.SD)
	// Output: 0.86 Pa for each metre, good to 0.04
}

func ExampleUnknownStack() {
	fmt.Println(zonal.UnknownStack())
	// Output: {0 0.6}
}

func ExampleUsualZero() {
	fmt.Println(zonal.UsualZero().Text(units.Pascal, 1))
	// Output: 0.2 Pa
}

func ExampleModel_Stand() {
	m := zonal.NewModel()
	attic, _ := m.AddZone(zonal.Attic, "attic")
	m.Stand(5.2)
	m.Weather = &zonal.Weather{Stack: zonal.StackOf(1.2041, 1.2922), Wind: 0.6, Zero: zonal.UsualZero()}
	fmt.Println("the hose from the attic comes in at", m.Spaces[attic].Crossing, "m")
	fmt.Println("the leaks of the house lie at", m.Paths[0].Height, "m on average")
	// Output:
	// the hose from the attic comes in at 5.2 m
	// the leaks of the house lie at 2.6 m on average
}

func ExampleKind_MayTouch() {
	fmt.Println(zonal.Garage.MayTouch(zonal.Attic, false), zonal.Attic.MayTouch(zonal.Crawlspace, false))
	// Output: true false
}

func ExamplePresumedSize() {
	fmt.Println(zonal.PresumedSize().Median.Text(units.CFM, 0))
	// Output: 20 cfm
}

func ExampleOpeningExponentPrior() {
	fmt.Println(zonal.OpeningExponentPrior())
	// Output: {0.53 0.03}
}

func ExampleSecondPrior() {
	fmt.Println(zonal.SecondPrior())
	// Output: {0.006 1.1}
}

func ExampleUsualOneWay() {
	m := zonal.NewModel()
	m.OneWaySDLn = zonal.UsualOneWay() // nine times in ten the two directions differ by less than 18 %
	fmt.Println(m.OneWaySDLn)
	// Output: 0.1
}

func ExamplePosterior_Reconciled() {
	house := zonal.NewModel()
	if _, err := house.Join(zonal.House, zonal.Outside); err != nil {
		fmt.Println(err)
	}
	for i, cfm := range []float64{960, 1620, 1290, 2030, 1550} { // at 20, 30, 40, 50 and 60 Pa
		house.Holds = append(house.Holds, zonal.Hold{House: units.Pressure(-20 - 10*i), HouseSD: 0.2,
			Fan: &zonal.FlowReading{Flow: units.Flow(units.CFM.ToSI(cfm)), SDLn: 0.02}})
	}
	post, err := zonal.Infer(house, zonal.Options{})
	if err != nil {
		fmt.Println(err)
		return
	}
	if post, err = post.Reconciled(zonal.Options{}); err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("errors taken %.0f times as large\n", post.Widened())
	// Output: errors taken 9 times as large
}

func ExamplePosterior_Widened() {
	house := zonal.NewModel()
	if _, err := house.Join(zonal.House, zonal.Outside); err != nil {
		fmt.Println(err)
	}
	house.Holds = []zonal.Hold{{House: -50, HouseSD: 0.2, Fan: &zonal.FlowReading{Flow: 1, SDLn: 0.02}}}
	post, err := zonal.Infer(house, zonal.Options{CurvatureOnly: true})
	if err == nil {
		post, err = post.Reconciled(zonal.Options{CurvatureOnly: true})
	}
	fmt.Println(post.Widened(), err)
	// Output: 1 <nil>
}

func ExamplePosterior_FlowIn() {
	house := zonal.NewModel()
	if _, err := house.Join(zonal.House, zonal.Outside); err != nil {
		fmt.Println(err)
	}
	house.Openings = []zonal.Opening{{Name: "vent", A: zonal.House, B: zonal.Outside, Area: 0.02}}
	house.Holds = []zonal.Hold{{House: -50, HouseSD: 0.2, Fan: &zonal.FlowReading{Flow: units.Flow(units.CFM.ToSI(1000)), SDLn: 0.01}},
		{House: -50, HouseSD: 0.2, Opened: []int{0}}}
	post, err := zonal.Infer(house, zonal.Options{CurvatureOnly: true})
	if err != nil {
		fmt.Println(err)
		return
	}
	found, err := post.FlowIn(0)
	open, err2 := post.FlowIn(1)
	fmt.Println(found.Value.Text(units.CFM, -1), open.Value > found.Value, err, err2)
	// Output: 1000 cfm true <nil> <nil>
}
