package zonal_test

import (
	"fmt"

	"holdbook/pressure"
	"holdbook/units"
	"holdbook/zonal"
)

// A house with a vented attic, held 50 Pa below outdoors: the attic reads 44 Pa to the
// house and the fan 1900 cfm.
func Example() {
	house := zonal.NewModel()
	attic, err := house.AddZone(zonal.Attic, "attic")
	if err != nil {
		panic(err)
	}
	gauge := pressure.DefaultGauge()
	house.Holds = []zonal.Hold{{
		Name: "as found", House: -50, HouseSD: gauge.PressureSD(-50),
		Fan:  &zonal.FlowReading{Flow: units.Flow(units.CFM.ToSI(1900)), SDLn: float64(gauge.Repeat)},
		Read: []zonal.PressureReading{{Of: attic, To: zonal.House, Pressure: 44, SD: gauge.PressureSD(44)}},
	}}
	estimate, err := zonal.Solve(house, zonal.Options{})
	if err != nil {
		panic(err)
	}
	f := estimate.Zones[0].Fraction
	fmt.Printf("connection fraction %.2f (%.2f to %.2f)\n", f.Value, f.Low, f.High)
	// Output: connection fraction 0.12 (0.10 to 0.14)
}
