package pressure_test

import (
	"fmt"

	"holdbook/pressure"
	"holdbook/units"
)

// One hold, its baseline and its fan flow (invented): the flow at 50 Pa with
// its 90 % interval, and how it was found.
func ExampleOnePoint_At() {
	gauge := pressure.DefaultGauge()
	baseline, err := pressure.OneBaseline(-1.2)
	if err != nil {
		fmt.Println(err)
		return
	}
	house, err := gauge.Subtract(-43.5, baseline)
	if err != nil {
		fmt.Println(err)
		return
	}
	test := pressure.OnePoint{
		Station: pressure.Station{
			Name: "as found", Pressure: house.Value, PressureSD: house.SD,
			Flow: units.Flow(units.CFM.ToSI(1500)), Repeat: gauge.Repeat,
		},
		Calibration: gauge.FanCalibration(),
		Exponent:    pressure.DefaultExponent, ExponentSD: pressure.DefaultExponentSD,
	}
	result, err := test.At(50)
	if err != nil {
		fmt.Println(err)
		return
	}
	cfm := func(q units.Flow) float64 { return units.CFM.FromSI(float64(q)) }
	fmt.Println(house.Worked(units.IP).Numbers)
	fmt.Println(result.Shown.Worked(units.IP).Numbers)
	fmt.Printf("%.0f (%.0f–%.0f) cfm\n", cfm(result.Flow.Value), cfm(result.Flow.Low), cfm(result.Flow.High))
	// Output:
	// -43.5 Pa - (-1.2 Pa) = -42.3 Pa
	// 1500 cfm·(50 Pa/42.3 Pa)^0.65 = 1672 cfm
	// 1672 (1593–1756) cfm
}
