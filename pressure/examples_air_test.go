package pressure_test

import (
	"errors"
	"fmt"
	"holdbook/pressure"
	"holdbook/units"
)

func ExampleMultiPoint_ExponentShown() {
	m, _ := pressure.FitStandard(five())
	n, _ := m.ExponentShown()
	fmt.Println(n.Worked(units.IP).Formula)
	// Output:
	// n = Sxy/Sxx
}

func ExampleMultiPoint_Coefficient() {
	m, _ := pressure.FitWeighted(five(), pressure.DefaultGauge().FanCalibration())
	c, _ := m.Coefficient()
	fmt.Printf("%.4f m³/(s·Pa^n)\n", c.Value)
	// Output:
	// 0.0695 m³/(s·Pa^n)
}

func ExampleMultiPoint_AtReference() {
	m, _ := pressure.FitWeighted(five(), pressure.DefaultGauge().FanCalibration())
	cold := pressure.Air{Temperature: 263.15, Barometer: 101325, Humidity: 0.5}
	standard, r, _ := m.AtReference(cold, pressure.DensityOnly)
	fmt.Printf("%.3f %v %v\n", r.Factor.Value, r.By, standard.Leak.C > m.Leak.C)
	// Output:
	// 1.038 ISO 9972, density only true
}

func ExampleToReference() {
	r, _ := pressure.ToReference(pressure.Leak{C: 0.05, N: 0.65}, pressure.Air{Temperature: 263.15, Barometer: 101325}, pressure.DensityAndViscosity)
	fmt.Printf("%.3f\n", r.Factor.Value)
	// Output:
	// 1.012
}

func ExampleStandard_String() {
	fmt.Println(pressure.DensityAndViscosity)
	// Output:
	// ASTM E779, density and viscosity
}

func ExampleAreaOf() {
	one := pressure.OnePoint{Station: hold(-42.3, 1500), Exponent: 0.65, ExponentSD: 0.06}
	a, _ := pressure.AreaOf(one, pressure.At4Pa, pressure.StandardDensity)
	fmt.Println(a.Format(units.SquareInch))
	// Output:
	// 90 70 120
}

func ExampleAirChangesAt() {
	one := pressure.OnePoint{Station: hold(-42.3, 1500), Exponent: 0.65, ExponentSD: 0.06}
	n, _ := pressure.AirChangesAt(one, 50, units.Volume(units.CubicFoot.ToSI(14400)))
	fmt.Println(n.Format(units.PerHour))
	// Output:
	// 7.0 6.8 7.2
}

func ExampleAirChanges() {
	n, _ := pressure.AirChanges(cfm(2280), units.Volume(units.CubicFoot.ToSI(14400)))
	fmt.Println(n.Value.Text(units.PerHour, 1))
	// Output:
	// 9.5 1/h
}

func ExampleQueryAirChanges() {
	fmt.Println(pressure.QueryAirChanges(units.Rate(units.PerHour.ToSI(120))))
	// Output:
	// the house changes its air 120 times an hour at 50 Pa: houses lie between 0.1 and 50; check the volume, the flow and their units
}

func ExampleFlowPerArea() {
	q, _ := pressure.FlowPerArea(cfm(2280), units.Area(units.SquareFoot.ToSI(1800)))
	fmt.Println(q.Value.Text(units.CFMPerSquareFoot, 2))
	// Output:
	// 1.27 cfm/ft²
}

func ExampleSpecificLeakageArea() {
	s, _ := pressure.SpecificLeakageArea(0.08, 167)
	fmt.Printf("%.5f\n", s.Value)
	// Output:
	// 0.00048
}

func ExampleNormalisedLeakage() {
	n, _ := pressure.NormalisedLeakage(0.08, 167, 5)
	fmt.Printf("%.2f\n", n.Value)
	// Output:
	// 0.63
}

func ExampleStackPressure() {
	p, _ := pressure.StackPressure(1.34, 1.2, 2.5)
	fmt.Println(p.Value.Text(units.Pascal, 1))
	// Output:
	// 3.4 Pa
}

func ExampleWindPressure() {
	p, _ := pressure.WindPressure(0.6, 1.2, 5)
	fmt.Println(p.Value.Text(units.Pascal, 1))
	// Output:
	// 9.0 Pa
}

func ExampleDirectionOf() {
	fmt.Println(pressure.DirectionOf(-50), pressure.DirectionOf(50))
	// Output:
	// depressurised pressurised
}

func ExampleDirection_String() {
	fmt.Println(pressure.Pressurised)
	// Output:
	// pressurised
}

func ExampleDirection_FanAir() {
	fmt.Println(pressure.Depressurised.FanAir(1.2, 1.3))
	// Output:
	// 1.2
}

func ExampleDirection_LeakAir() {
	fmt.Println(pressure.Depressurised.LeakAir(1.2, 1.3))
	// Output:
	// 1.3
}

func ExampleTrueFlow() {
	q, _ := pressure.TrueFlow(cfm(2000), pressure.StandardDensity, 1.1)
	fmt.Println(q.Value.Text(units.CFM, 0))
	// Output:
	// 2092 cfm
}

func ExampleUnscaled() {
	q, _ := pressure.Unscaled(cfm(2280), -48, 50, 0.65)
	fmt.Println(q.Value.Text(units.CFM, 0))
	// Output:
	// 2220 cfm
}

func ExampleEnvelopeFlow() {
	q, _ := pressure.EnvelopeFlow(cfm(2000), pressure.Depressurised, 1.2, 1.3)
	fmt.Println(q.Value.Text(units.CFM, 0))
	// Output:
	// 1846 cfm
}

func ExampleFanFlow() {
	q, _ := pressure.FanFlow(cfm(1846), pressure.Depressurised, 1.2, 1.3)
	fmt.Println(q.Value.Text(units.CFM, 0))
	// Output:
	// 2000 cfm
}

func ExampleLogEstimate() {
	e, _ := pressure.LogEstimate(units.Flow(1), 0.05)
	fmt.Printf("%.2f to %.2f\n", e.Low, e.High)
	// Output:
	// 0.92 to 1.09
}

func ExampleNormalEstimate() {
	e, _ := pressure.NormalEstimate(units.Pressure(50), 1)
	fmt.Printf("%.1f to %.1f\n", e.Low, e.High)
	// Output:
	// 48.4 to 51.6
}

func ExampleInterval90() {
	e := pressure.Interval90(units.Measured[units.Pressure]{Value: 50, SD: 1})
	fmt.Printf("%.1f to %.1f\n", e.Low, e.High)
	// Output:
	// 48.4 to 51.6
}

func ExampleSD() {
	e := pressure.Interval90(units.Measured[units.Pressure]{Value: 50, SD: 1})
	fmt.Println(pressure.SD(e).Text(units.Pascal, 1))
	// Output:
	// 1.0 Pa
}

func ExampleSDLn() {
	e, _ := pressure.LogEstimate(units.Flow(1), 0.05)
	fmt.Printf("%.2f\n", pressure.SDLn(e))
	// Output:
	// 0.05
}

func ExampleModelEstimate() {
	e, _ := pressure.ModelEstimate(cfm(80), 0.05)
	fmt.Println(e.Format(units.CFM))
	// Output:
	// 80 30 180
}

func ExamplePropagate() {
	q, _ := pressure.LogEstimate(cfm(2280), 0.03)
	n, _ := pressure.Propagate(q, func(q units.Flow) (pressure.Computed[units.Rate], error) { return pressure.AirChanges(q, 408) })
	fmt.Println(n.Format(units.PerHour))
	// Output:
	// 9.5 9.0 10.0
}

func ExampleBasicInfiltration() {
	q, _ := pressure.BasicInfiltration(0.05, 2, pressure.AcrossStreet, pressure.Weather{Difference: 20, Wind: 4})
	fmt.Println(q.Value.Text(units.LitrePerSecond, 0))
	// Output:
	// 49 L/s
}

func ExampleEnhancedHouse_Infiltration() {
	house := pressure.EnhancedHouse{Leak: pressure.Leak{C: 0.051, N: 0.67}, Storeys: 2, Shelter: pressure.UrbanLarge}
	in, _ := house.Infiltration(pressure.Weather{Difference: 20, Wind: 4})
	fmt.Println(in.Total.Value.Text(units.LitrePerSecond, 0))
	// Output:
	// 32 L/s
}

func ExampleAnnualAirChanges() {
	n, _ := pressure.AnnualAirChanges(units.Rate(units.PerHour.ToSI(8)))
	fmt.Println(n.Value.Text(units.PerHour, 1))
	// Output:
	// 0.4 1/h
}

func ExampleWithFans() {
	q, _ := pressure.WithFans(0.03, 0.02, 0.04)
	fmt.Println(q.Value.Text(units.LitrePerSecond, 0))
	// Output:
	// 70 L/s
}

func ExampleDrivingForce() {
	idf, _ := pressure.DrivingForce(3, 40)
	fmt.Printf("%.2f m/s\n", idf.Value)
	// Output:
	// 0.93 m/s
}

func ExampleTotalRate() {
	q, _ := pressure.TotalRate(units.Area(units.SquareFoot.ToSI(1800)), 3, pressure.Since2013, units.IP)
	fmt.Println(q.Worked(units.IP).Numbers)
	// Output:
	// 0.03·1800 ft² + 7.5·(3 + 1) = 84 cfm
}

func ExampleInfiltrationCredit() {
	q, _ := pressure.InfiltrationCredit(0.6, 0.6, units.Area(units.SquareFoot.ToSI(1800)), units.IP)
	fmt.Println(q.Value.Text(units.CFM, 0))
	// Output:
	// 89 cfm
}

func ExampleFanRate() {
	q, _ := pressure.FanRate(cfm(84), cfm(40), false, 1)
	fmt.Println(q.Value.Text(units.CFM, 0))
	// Output:
	// 65 cfm
}

func ExampleEdition_String() {
	fmt.Println(pressure.Since2013)
	// Output:
	// ASHRAE 62.2-2013 and later
}

func ExampleLowPressureWarning() {
	fmt.Println(pressure.LowPressureWarning(-8, -1))
	// Output:
	// the lowest hold is at 8 Pa with a baseline of 1 Pa: below 10 Pa, or five times the baseline, wind and stack effect rule the reading; leave that hold out, or take longer averages in calm weather
}

func ExampleWindWarning() {
	fmt.Println(pressure.WindWarning(7))
	// Output:
	// the wind was 7 m/s: above 6 m/s a fitted exponent is mostly noise; take the exponent as 0.65, or wait for calmer weather
}

func ExampleStackWarning() {
	fmt.Println(pressure.StackWarning(40, 8))
	// Output:
	// temperature difference times height is 320 m·K: above about 200 m·K the pressure differs too much between floor and ceiling; test when it is milder, or at higher pressures only
}

func ExampleComputed_Worked() {
	n, _ := pressure.AirChanges(cfm(2280), units.Volume(units.CubicFoot.ToSI(14400)))
	w := n.Worked(units.IP)
	fmt.Println(w.Formula)
	fmt.Println(w.Numbers)
	fmt.Println(w.Source)
	// Output:
	// air changes = 60·Q/V
	// 60·2280 cfm/14400 ft³ = 9.5 1/h
	// EN 13829, ISO 9972 (n50); TightVent FAQ
}

func ExampleLine_Worked() {
	line := pressure.Line{Formula: "net = {supply} - {return}", Source: "mass balance", Result: pressure.In("", 0.01, units.LitrePerSecond),
		Figures: []pressure.Figure{pressure.In("supply", 0.05, units.LitrePerSecond), pressure.In("return", 0.04, units.LitrePerSecond)}}
	fmt.Println(line.Worked().Numbers)
	// Output:
	// (50 L/s) - (40 L/s) = 10 L/s
}

func ExampleIn() {
	line := pressure.Line{Formula: "p = {p}", Result: pressure.In("", 12.34, units.Pascal), Figures: []pressure.Figure{pressure.In("p", 12.34, units.Pascal)}}
	fmt.Println(line.Worked().Numbers)
	// Output:
	// 12.3 Pa = 12.3 Pa
}

func ExamplePlain() {
	line := pressure.Line{Formula: "k = 1 - {k}", Result: pressure.Plain("", 0.25), Figures: []pressure.Figure{pressure.Plain("k", 0.75)}}
	fmt.Println(line.Worked().Numbers)
	// Output:
	// 1 - 0.75 = 0.25
}

func ExampleSaid() {
	line := pressure.Line{Formula: "loss = {R}", Result: pressure.Plain("", 0.0), Figures: []pressure.Figure{pressure.Said("R", "no conduction")}}
	fmt.Println(line.Worked().Numbers)
	// Output:
	// no conduction = 0
}

func ExampleFault_Error() {
	fmt.Println(&pressure.Fault{Reading: "covered-register pressure", What: "it is below zero", Do: "give the magnitude"})
	// Output:
	// covered-register pressure: it is below zero; give the magnitude
}

func ExampleFault_Unwrap() {
	small := errors.New("change too small")
	var err error = &pressure.Fault{What: "it moved by 1 Pa", Do: "open it wider", Kind: small}
	fmt.Println(errors.Is(err, small))
	// Output:
	// true
}
