package zonal_test

import (
	"fmt"
	"math"

	"holdbook/units"
	"holdbook/zonal"
)

// What one hold tells of the leaks of a house with an attic, beside what was assumed: the
// numbers of each path in turn, its size first.
func ExamplePosterior_Moments() {
	m := zonal.NewModel()
	attic, _ := m.AddZone(zonal.Attic, "attic")
	m.Holds = []zonal.Hold{{House: -50, HouseSD: 0.5, Fan: &zonal.FlowReading{Flow: units.Flow(units.CFM.ToSI(2000)), SDLn: 0.02},
		Read: []zonal.PressureReading{{Of: attic, To: zonal.House, Pressure: 45, SD: 0.5}}}}
	post, err := zonal.Infer(m, zonal.Options{CurvatureOnly: true})
	if err != nil {
		fmt.Println(err)
		return
	}
	told, err := post.Moments()
	fmt.Println(len(told.Prior), "numbers of paths,", len(told.Mean), "in all", err)
	fmt.Printf("ln size of house–outside: sd %.1f before, %.1f after\n", told.Prior[0].SD, math.Sqrt(told.Covariance[0][0]))
	// Output:
	// 6 numbers of paths, 11 in all <nil>
	// ln size of house–outside: sd 1.5 before, 0.2 after
}
