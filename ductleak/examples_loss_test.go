package ductleak_test

import (
	"fmt"
	"holdbook/ductleak"
	"holdbook/units"
)

func ExampleDifferences() {
	d, err := ductleak.Differences([]ductleak.Station{{House: 10, Flow: cfm(750)}}, []ductleak.Station{{House: 10, Flow: cfm(700)}}, 0.65)
	fmt.Println(d[0].Flow.Text(units.CFM, 0), err)
	// Output:
	// 50 cfm <nil>
}

func ExampleFitKnownPressures() {
	f, err := ductleak.FitKnownPressures(onOff().Differences, 40, 60, 0.6)
	fmt.Println(f.Supply.Text(units.CFM, 0), f.Return.Text(units.CFM, 0), err)
	// Output:
	// 100 cfm 60 cfm <nil>
}

func ExampleScanPressures() {
	f, err := ductleak.ScanPressures(onOff().Differences, 80, 80, 0.6)
	fmt.Println(f.SupplyPressure, f.ReturnPressure, err)
	// Output:
	// 40 60 <nil>
}

func ExampleSupplyShape() {
	fmt.Printf("%.3f\n", ductleak.SupplyShape(-20, 40, 0.6))
	// Output:
	// 1.320
}

func ExampleReturnShape() {
	fmt.Printf("%.3f\n", ductleak.ReturnShape(0, 60, 0.6))
	// Output:
	// -1.000
}

func ExampleHouseShift_Evaluate() {
	r, err := shift().Evaluate()
	fmt.Println(err, r.Dominant)
	fmt.Println(r.Net.Format(units.CFM))
	// Output:
	// <nil> supply leaks dominate
	// 290 200 400
}

func ExampleShiftResult_Working() {
	r, _ := shift().Evaluate()
	fmt.Println(r.Working(units.IP)[1].Numbers)
	// Output:
	// 2000 cfm·(|-2 Pa|/50 Pa)^0.6 = 290 cfm
}

func ExampleNetFromShift() {
	fmt.Println(ductleak.NetFromShift(cfm(2000), -2, 0.65).Text(units.CFM, 0))
	// Output:
	// 247 cfm
}

func ExampleShiftFromNet() {
	fmt.Println(ductleak.ShiftFromNet(cfm(247), cfm(2000), 0.65).Text(units.Pascal, 1))
	// Output:
	// 2.0 Pa
}

func ExampleRunningTest_Evaluate() {
	r, err := running().Evaluate()
	fmt.Println(err, r.Resolved)
	fmt.Println(r.Leakage.Format(units.CFM))
	// Output:
	// <nil> true
	// 260 160 360
}

func ExampleRunningResult_Working() {
	r, _ := running().Evaluate()
	fmt.Println(r.Working(units.IP)[0].Numbers)
	// Output:
	// 1200 cfm - 940 cfm = 260 cfm
}

func ExampleHoodError_SD() {
	fmt.Printf("%.3f\n", ductleak.HoodError{Common: 0.03, Each: 0.04}.SD())
	// Output:
	// 0.050
}

func ExampleRunningSigma() {
	sigma, common, each := ductleak.RunningSigma(cfm(60), []units.Flow{cfm(540), cfm(540)}, ductleak.OrdinaryHood)
	fmt.Println(sigma.Text(units.CFM, 0), common.Text(units.CFM, 0), each.Text(units.CFM, 0))
	// Output:
	// 132 cfm 108 cfm 46 cfm
}

func ExampleFlowFromRise() {
	q, err := ductleak.FlowFromRise(units.Power(units.BtuPerHour.ToSI(60000)), units.TemperatureDifference(units.FahrenheitDegree.ToSI(50)), 1.2)
	fmt.Println(q.Text(units.CFM, 0), err)
	// Output:
	// 1112 cfm <nil>
}

func ExampleRoomReading_Evaluate() {
	r, err := room().Evaluate(1.2)
	fmt.Println(err, r.Above)
	fmt.Println(r.Extra.Format(units.SquareInch))
	// Output:
	// <nil> true
	// 19 16 22
}

func ExampleRoomResult_Working() {
	r, _ := room().Evaluate(1.2)
	fmt.Println(r.Working(units.IP)[1].Numbers)
	// Output:
	// 65.4 in²·(1 - √(3 Pa/|6 Pa|)), not below zero = 19.2 in²
}

func ExampleTransferArea() {
	fmt.Println(ductleak.TransferArea(cfm(120), 3, 1.2).Text(units.SquareInch, 0))
	// Output:
	// 65 in²
}

func ExampleTransferPressure() {
	fmt.Println(ductleak.TransferPressure(cfm(120), units.Area(units.SquareInch.ToSI(65)), 1.2).Text(units.Pascal, 1))
	// Output:
	// 3.0 Pa
}

func ExampleDelivery_Evaluate() {
	d, err := delivery().Evaluate()
	fmt.Printf("%.2f %v\n", d.Effectiveness, err)
	// Output:
	// 0.76 <nil>
}

func ExampleConductionFactor() {
	b := ductleak.ConductionFactor(28, 0.74, cfm(1000), 1.2)
	fmt.Printf("%.2f\n", b)
	// Output:
	// 0.94
}

func ExampleEnthalpy() {
	fmt.Printf("%.1f kJ/kg\n", ductleak.Enthalpy(297.15, 0.01)/1000)
	// Output:
	// 67.4 kJ/kg
}

func ExampleInducedInfiltration() {
	fmt.Println(ductleak.InducedInfiltration(cfm(100), cfm(20)).Text(units.CFM, 0))
	// Output:
	// 110 cfm
}

func ExampleLoadFactor() {
	k := ductleak.LoadFactor(cfm(110), cfm(100), 293, 273, units.Power(units.BtuPerHour.ToSI(60000)), 1.2)
	fmt.Printf("%.3f\n", k)
	// Output:
	// 0.994
}

func ExampleReturnLeakFraction() {
	f, _ := ductleak.ReturnLeakFraction(75, 70, 120)
	fmt.Printf("%.2f\n", f)
	// Output:
	// 0.10
}

func ExampleDuctShare() {
	s, _ := ductleak.DuctShare(2400, 2100)
	fmt.Printf("%.3f\n", s)
	// Output:
	// 0.125
}

func ExampleDistributionEfficiency() {
	r, err := losses()
	fmt.Println(err)
	fmt.Println(r.Efficiency.Format(units.Percent))
	// Output:
	// <nil>
	// 78 76 79
}

func ExampleLossResult_Working() {
	r, _ := losses()
	fmt.Println(r.Working(units.IP)[0].Numbers)
	// Output:
	// (60000 Btu/h)/(1.08·1000 cfm) = 55.6 °F
}

func ExampleLossResult_Year() {
	r, _ := losses()
	y, err := r.Year(ductleak.YearInput{RunTime: ductleak.Exactly(units.Time(1200 * 3600)), Output: ductleak.Exactly(units.Power(units.BtuPerHour.ToSI(60000))), Efficiency: ductleak.Exactly(units.Ratio(0.9))})
	fmt.Printf("%.0f therms bought, %v\n", y.Bought.Value/ductleak.Therm, err)
	// Output:
	// 800 therms bought, <nil>
}

func ExampleRegainFactor() {
	f, err := ductleak.RegainFactor(ductleak.VentedCrawlspace, ductleak.Insulation{Walls: true})
	fmt.Println(f, err)
	// Output:
	// 0.66 <nil>
}

func ExampleLimits() {
	fmt.Println(len(ductleak.Limits()) > 10)
	// Output:
	// true
}

func ExampleFindLimit() {
	_, err := ductleak.FindLimit("no such code")
	fmt.Println(err != nil)
	// Output:
	// true
}

func ExampleLimitsOn() {
	for _, l := range ductleak.LimitsOn(ductleak.GaragePressure) {
		fmt.Println(l.Text(units.IP))
	}
	// Output:
	// above 45.0 Pa at 50 Pa
}

func ExampleLimit_Text() {
	l, _ := ductleak.FindLimit("room-energystar")
	fmt.Println(l.Text(units.IP))
	// Output:
	// at most 3.0 Pa
}

func ExampleLimit_Judge() {
	l, _ := ductleak.FindLimit("room-energystar")
	fmt.Println(l.Judge(units.Estimate[float64]{Value: 2, Low: 1.5, High: 2.5}), "|", l.Judge(units.Estimate[float64]{Value: 3, Low: 2.5, High: 3.5}))
	// Output:
	// meets | too close to call
}

func ExampleLimit_Chance() {
	l := ductleak.Limit{Sense: ductleak.AtMost, Value: 3}
	fmt.Printf("%.2f %.2f\n", l.Chance(units.Estimate[float64]{Value: 3, Low: 2.5, High: 3.5}), l.Chance(units.Estimate[float64]{Value: 2, Low: 1.5, High: 3}))
	// Output:
	// 0.50 0.95
}

func ExamplePerArea() {
	q, _ := ductleak.PerArea(ductleak.Exactly(cfm(96)), units.Area(units.SquareFoot.ToSI(1800)))
	fmt.Println(q.Value.Text(units.CFMPerSquareFoot, 3))
	// Output:
	// 0.053 cfm/ft²
}

func ExampleShareOf() {
	s, _ := ductleak.ShareOf(ductleak.Exactly(cfm(96)), ductleak.Exactly(cfm(1200)))
	fmt.Println(s.Value.Text(units.Percent, 0))
	// Output:
	// 8 %
}
