package units_test

import (
	"fmt"
	"holdbook/units"
	"math"
)

func ExampleParsePressure() {
	p, err := units.ParsePressure("-0.2 in. w.c.")
	fmt.Println(p.Text(units.Pascal, 1), err)
	// Output:
	// -49.8 Pa <nil>
}

func ExampleParsePressure_noUnit() {
	_, err := units.ParsePressure("50")
	fmt.Println(err)
	// Output:
	// "50": no unit; write 50 Pa or 50 inH2O, whichever was meant
}

// A number without a unit is taken in the unit given.
func ExampleParsePressureIn() {
	p, err := units.ParsePressureIn("50", units.Pascal)
	fmt.Println(p.Text(units.InchWater, 3), err)
	// Output:
	// 0.201 inH2O <nil>
}

func ExamplePressure_In() {
	fmt.Printf("%.3f\n", units.Pressure(50).In(units.InchWater))
	// Output:
	// 0.201
}

func ExamplePressure_Text() {
	fmt.Println(units.Pressure(43.94).Text(units.Pascal, 1))
	// Output:
	// 43.9 Pa
}

func ExampleParseFlow() {
	q, err := units.ParseFlow("1,500 cfm")
	fmt.Println(q.Text(units.LitrePerSecond, 0), err)
	// Output:
	// 708 L/s <nil>
}

// A unit of something else gives no number, which prints as "?".
func ExampleFlow_In() {
	q := units.Flow(1)
	fmt.Println(q.In(units.CubicMetrePerHour), q.Text(units.Pascal, 0))
	// Output:
	// 3600 ? Pa
}

func ExampleFlow_Text() {
	fmt.Println(units.Flow(0.7079).Text(units.CFM, -2))
	// Output:
	// 1500 cfm
}

func ExampleParseArea() {
	a, err := units.ParseArea("40 in²")
	fmt.Println(a.Text(units.SquareCentimetre, 0), err)
	// Output:
	// 258 cm² <nil>
}

func ExampleParseLength() {
	l, err := units.ParseLength("8 ft")
	fmt.Println(l.Text(units.Metre, 2), err)
	// Output:
	// 2.44 m <nil>
}

func ExampleParseVolume() {
	v, err := units.ParseVolume("14400 ft3")
	fmt.Println(v.Text(units.CubicMetre, 0), err)
	// Output:
	// 408 m³ <nil>
}

func ExampleParseTemperature() {
	t, err := units.ParseTemperature("68 °F")
	fmt.Println(t.Text(units.Celsius, 1), err)
	// Output:
	// 20.0 °C <nil>
}

func ExampleParseTemperatureDifference() {
	d, err := units.ParseTemperatureDifference("36 °F")
	fmt.Println(d.Text(units.KelvinDegree, 1), err)
	// Output:
	// 20.0 K <nil>
}

func ExampleParsePower() {
	p, err := units.ParsePower("60000 Btu/h")
	fmt.Println(p.Text(units.Kilowatt, 1), err)
	// Output:
	// 17.6 kW <nil>
}

func ExampleParseTime() {
	t, err := units.ParseTime("90 min")
	fmt.Println(t.Text(units.Hour, 1), err)
	// Output:
	// 1.5 h <nil>
}

func ExampleParseDensity() {
	d, err := units.ParseDensity("0.075 lb/ft3")
	fmt.Println(d.Text(units.KilogramPerCubicMetre, 3), err)
	// Output:
	// 1.201 kg/m³ <nil>
}

func ExampleParseRatio() {
	r, err := units.ParseRatio("65 %")
	fmt.Println(r, err)
	// Output:
	// 0.65 <nil>
}

func ExampleParseRate() {
	r, err := units.ParseRate("7.8 1/h")
	fmt.Println(r.Text(units.PerHour, 1), err)
	// Output:
	// 7.8 1/h <nil>
}

func ExampleParseThermalResistance() {
	r, err := units.ParseThermalResistance("4.2 h·ft²·°F/Btu")
	fmt.Println(r.Text(units.SquareMetreKelvinPerWatt, 2), err)
	// Output:
	// 0.74 m²·K/W <nil>
}

func ExampleParseSpecificFlow() {
	q, err := units.ParseSpecificFlow("0.04 cfm/ft2")
	fmt.Println(q.Text(units.CubicMetrePerHourSquareMetre, 2), err)
	// Output:
	// 0.73 m³/(h·m²) <nil>
}

func ExampleParseFlowUnit() {
	u, err := units.ParseFlowUnit("L/s")
	fmt.Println(u.Symbol(), err)
	// Output:
	// L/s <nil>
}

func ExampleParsePressureUnit() {
	u, err := units.ParsePressureUnit("in. w.c.")
	fmt.Println(u.Symbol(), err)
	// Output:
	// inH2O <nil>
}

func ExampleParseSystem() {
	s, err := units.ParseSystem("SI")
	fmt.Println(s, s.Flow().Pretty(), err)
	// Output:
	// si m³/h <nil>
}

func ExampleParseError_Error() {
	_, err := units.ParseFlow("1500 cfn")
	fmt.Println(err)
	// Output:
	// "1500 cfn": unknown unit cfn; write a flow such as 2280 cfm, 62 L/s or 388 m3/h
}

func ExampleSystem_Flow() {
	fmt.Println(units.IP.Flow().Pretty(), units.SI.Flow().Pretty())
	// Output:
	// cfm m³/h
}

// The reader's unit of a result in SI.
func ExampleSystem_For() {
	fmt.Println(units.IP.For(units.SquareMetre).Pretty())
	// Output:
	// in²
}

func ExampleSystem_String() {
	fmt.Println(units.IP, units.SI)
	// Output:
	// ip si
}

func ExampleUnit_Symbol() {
	fmt.Println(units.SquareInch.Symbol(), units.SquareInch.Pretty())
	// Output:
	// in2 in²
}

func ExampleUnit_ToSI() {
	fmt.Println(units.InchWater.ToSI(1))
	// Output:
	// 249.08891
}

func ExampleUnit_FromSI() {
	fmt.Printf("%.2f\n", units.Fahrenheit.FromSI(293.15))
	// Output:
	// 68.00
}

func ExampleUnit_Base() {
	fmt.Println(units.CFM.Base().Pretty())
	// Output:
	// m³/s
}

func ExampleUnit_Alike() {
	fmt.Println(units.CFM.Alike(units.LitrePerSecond), units.CFM.Alike(units.Pascal))
	// Output:
	// true false
}

func ExampleUnit_Per() {
	fmt.Println(units.CFM.Per("h").Pretty())
	// Output:
	// cfm/h
}

func ExampleConvert() {
	fmt.Printf("%.0f\n", units.Convert(1500, units.CFM, units.LitrePerSecond))
	// Output:
	// 708
}

func ExampleNamed() {
	fmt.Println(units.Put("12", units.Named("EUR")))
	// Output:
	// 12 EUR
}

func ExampleKnown() {
	fmt.Println(units.Known(units.Ratio(0.6)).SD)
	// Output:
	// 0
}

func ExampleWithin() {
	q := units.Within(units.Flow(0.5), 0.03)
	fmt.Println(q.SD)
	// Output:
	// 0.015
}

func ExampleMeasured_Relative() {
	q := units.Measured[units.Flow]{Value: 0.5, SD: 0.015}
	fmt.Println(q.Relative())
	// Output:
	// 0.03
}

func ExampleFinite() {
	fmt.Println(units.Finite(0.5, -3), units.Finite(0.5, math.Inf(1)), units.Finite(math.NaN()))
	// Output:
	// true false false
}

func ExampleEstimate_NotBelowZero() {
	e := units.Estimate[units.Flow]{Value: 0.1, Low: -0.2, High: 0.4}
	fmt.Println(e.NotBelowZero().In(units.CubicMetrePerSecond))
	// Output:
	// 0.1 0 0.4
}

func ExampleEstimate_In() {
	e := units.Estimate[units.Flow]{Value: 0.5, Low: 0.4, High: 0.6}
	fmt.Println(e.In(units.LitrePerSecond))
	// Output:
	// 500 400 600
}

func ExampleEstimate_Format() {
	e := units.Estimate[units.Flow]{Value: 0.1475, Low: 0.1138, High: 0.1882}
	fmt.Println(e.Format(units.CFM))
	// Output:
	// 310 240 400
}

func ExampleFormatInterval() {
	fmt.Println(units.FormatInterval(312.4, 241.0, 398.7))
	// Output:
	// 310 240 400
}

// More than a factor of six apart: "not resolved".
func ExampleFactorsApart() {
	fmt.Println(units.FactorsApart(40, 900), units.FactorsApart(100, 600))
	// Output:
	// true false
}

func ExampleFixed() {
	fmt.Println(units.Fixed(-43.96, 1), units.Fixed(316, -1), units.Fixed(-0.04, 1))
	// Output:
	// -44.0 320 0.0
}

func ExampleSignificant() {
	fmt.Println(units.Significant(1534, 2), units.Significant(0.0123456, 3))
	// Output:
	// 1500 0.0123
}

func ExampleNumber() {
	fmt.Println(units.Number(1672.2, 3), units.Number(0.5, 3), units.Number(1.8134e-5, 3))
	// Output:
	// 1672 0.5 1.81e-05
}

// A difference stands with the decimals it needs.
func ExampleCommon() {
	decimals := units.Common(3, 2122.88, 2033.7, 89.2)
	fmt.Println(units.Fixed(2122.88, decimals), "-", units.Fixed(2033.7, decimals), "=", units.Fixed(89.2, decimals))
	// Output:
	// 2122.9 - 2033.7 = 89.2
}

func ExamplePut() {
	fmt.Println(units.Put("12", units.SquareInch), units.Put("0.65", units.One))
	// Output:
	// 12 in² 0.65
}

func ExampleSay() {
	fmt.Println(units.Say("the zone moved by only %s of %s", units.Pressure(2.04), units.Pressure(50)))
	// Output:
	// the zone moved by only 2.0 Pa of 50.0 Pa
}

func ExampleChance() {
	fmt.Println(units.Chance(0.001), units.Chance(0.63), units.Chance(0.999))
	// Output:
	// <1 60 >99
}

func ExampleSanitize() {
	fmt.Println(units.Sanitize("attic\x1b[31m  north"))
	// Output:
	// attic north
}

func ExampleSanitizeTo() {
	fmt.Println(units.SanitizeTo("crawlspace under the kitchen", 12))
	// Output:
	// crawlspace…
}

func ExampleUnit_MarshalText() {
	text, err := units.CFM.MarshalText()
	fmt.Println(string(text), err)
	// Output:
	// cfm <nil>
}

func ExampleUnit_UnmarshalText() {
	var u units.Unit
	err := u.UnmarshalText([]byte("m3/h"))
	fmt.Println(u.Pretty(), err)
	// Output:
	// m³/h <nil>
}
