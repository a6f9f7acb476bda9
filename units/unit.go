package units

import "math"

// dimension is what a unit measures.
type dimension uint8

const (
	dimNone dimension = iota
	dimPressure
	dimFlow
	dimArea
	dimLength
	dimVolume
	dimTemperature
	dimTemperatureDifference
	dimPower
	dimTime
	dimDensity
	dimRatio
	dimRate
	dimThermalResistance
	dimSpecificFlow
	dimEnergy
	dimViscosity
	dimSpeed
	dimFloorArea
)

// Unit is a unit of one dimension. The zero Unit has no dimension, no symbol
// and a factor of one.
type Unit struct {
	symbol string // plain text that the parsers read back
	pretty string // the same as the SI brochure prints it; empty when no different
	dim    dimension
	factor float64 // SI units in one of this unit; 0 stands for 1
	offset float64 // added before the factor: the zero of °F and °C
	per    string  // what it is for each of; see Per
}

// Symbol is the unit's symbol in plain text, which the parsers read back:
// "in2", "m3/h".
func (u Unit) Symbol() string { return u.divided(u.symbol) }

// Pretty is the symbol as the SI brochure prints it, with raised figures:
// "in²", "m³/h". The parsers read it back too.
func (u Unit) Pretty() string {
	if u.pretty == "" {
		return u.Symbol()
	}
	return u.divided(u.pretty)
}

func (u Unit) divided(symbol string) string {
	if u.per == "" {
		return symbol
	}
	return symbol + "/" + u.per
}

// ToSI converts a number in this unit to the SI base of its dimension.
func (u Unit) ToSI(v float64) float64 {
	if u.factor == 0 {
		return v
	}
	return (v + u.offset) * u.factor
}

// FromSI converts a number in the SI base of the dimension to this unit.
func (u Unit) FromSI(v float64) float64 {
	if u.factor == 0 {
		return v
	}
	return v/u.factor - u.offset
}

// in converts q to u, or gives NaN (printed as "?") where u is a unit of
// something else: a slip in a table then shows itself instead of a wrong number.
func (u Unit) in(q float64, dim dimension) float64 {
	if u.dim != dim || u.per != "" {
		return math.NaN()
	}
	return u.FromSI(q)
}

// Gravity is the standard acceleration of free fall, m/s²; 3rd CGPM, 1901.
const Gravity = 9.80665

// Exact definitions the factors below are made of.
const (
	inch      = 0.0254                             // m; international yard and pound agreement, 1959
	foot      = 12 * inch                          // m
	pound     = 0.45359237                         // kg; same agreement
	btu       = 1055.05585262                      // J; International Table, 5th conference on the properties of steam, 1956
	cubicFoot = foot * foot * foot                 // m³
	mercury   = 13595.1                            // kg/m³; conventional, NIST SP 811 (2008), B.8, inch of mercury
	rankine   = 5.0 / 9                            // K; NIST SP 811 (2008), B.8, degree Rankine
	hour      = 3600.0                             // s
	rValue    = hour * foot * foot * rankine / btu // m²·K/W
)

// The units that the parsers know. They are variables only because Go has no
// constant structs: do not assign to them.
var (
	Pascal              = Unit{symbol: "Pa", dim: dimPressure, factor: 1}
	Hectopascal         = Unit{symbol: "hPa", dim: dimPressure, factor: 100}
	Kilopascal          = Unit{symbol: "kPa", dim: dimPressure, factor: 1000}
	InchWater           = Unit{symbol: "inH2O", dim: dimPressure, factor: inch * 1000 * Gravity}
	MillimetreWater     = Unit{symbol: "mmH2O", dim: dimPressure, factor: Gravity}
	CentimetreWater     = Unit{symbol: "cmH2O", dim: dimPressure, factor: 10 * Gravity}
	InchMercury         = Unit{symbol: "inHg", dim: dimPressure, factor: inch * mercury * Gravity}
	PoundPerSquareInch  = Unit{symbol: "psi", dim: dimPressure, factor: pound * Gravity / (inch * inch)}
	CubicMetrePerSecond = Unit{symbol: "m3/s", pretty: "m³/s", dim: dimFlow, factor: 1}

	CubicMetrePerMinute = Unit{symbol: "m3/min", pretty: "m³/min", dim: dimFlow, factor: 1.0 / 60}
	CubicMetrePerHour   = Unit{symbol: "m3/h", pretty: "m³/h", dim: dimFlow, factor: 1 / hour}
	LitrePerSecond      = Unit{symbol: "L/s", dim: dimFlow, factor: 0.001}
	CFM                 = Unit{symbol: "cfm", dim: dimFlow, factor: cubicFoot / 60}

	SquareMetre      = Unit{symbol: "m2", pretty: "m²", dim: dimArea, factor: 1}
	SquareCentimetre = Unit{symbol: "cm2", pretty: "cm²", dim: dimArea, factor: 1e-4}
	SquareMillimetre = Unit{symbol: "mm2", pretty: "mm²", dim: dimArea, factor: 1e-6}
	SquareInch       = Unit{symbol: "in2", pretty: "in²", dim: dimArea, factor: inch * inch}
	SquareFoot       = Unit{symbol: "ft2", pretty: "ft²", dim: dimArea, factor: foot * foot}

	Metre      = Unit{symbol: "m", dim: dimLength, factor: 1}
	Centimetre = Unit{symbol: "cm", dim: dimLength, factor: 0.01}
	Millimetre = Unit{symbol: "mm", dim: dimLength, factor: 0.001}
	Inch       = Unit{symbol: "in", dim: dimLength, factor: inch}
	Foot       = Unit{symbol: "ft", dim: dimLength, factor: foot}

	CubicMetre = Unit{symbol: "m3", pretty: "m³", dim: dimVolume, factor: 1}
	Litre      = Unit{symbol: "L", dim: dimVolume, factor: 0.001}
	CubicFoot  = Unit{symbol: "ft3", pretty: "ft³", dim: dimVolume, factor: cubicFoot}

	Kelvin     = Unit{symbol: "K", dim: dimTemperature, factor: 1}
	Celsius    = Unit{symbol: "°C", dim: dimTemperature, factor: 1, offset: 273.15}
	Fahrenheit = Unit{symbol: "°F", dim: dimTemperature, factor: rankine, offset: 459.67}

	KelvinDegree     = Unit{symbol: "K", dim: dimTemperatureDifference, factor: 1}
	FahrenheitDegree = Unit{symbol: "°F", dim: dimTemperatureDifference, factor: rankine}

	Watt             = Unit{symbol: "W", dim: dimPower, factor: 1}
	Kilowatt         = Unit{symbol: "kW", dim: dimPower, factor: 1000}
	BtuPerHour       = Unit{symbol: "Btu/h", dim: dimPower, factor: btu / hour}
	KiloBtuPerHour   = Unit{symbol: "kBtu/h", dim: dimPower, factor: 1000 * btu / hour}
	TonRefrigeration = Unit{symbol: "tons", dim: dimPower, factor: 12000 * btu / hour}

	Second = Unit{symbol: "s", dim: dimTime, factor: 1}
	Minute = Unit{symbol: "min", dim: dimTime, factor: 60}
	Hour   = Unit{symbol: "h", dim: dimTime, factor: hour}

	KilogramPerCubicMetre = Unit{symbol: "kg/m3", pretty: "kg/m³", dim: dimDensity, factor: 1}
	PoundPerCubicFoot     = Unit{symbol: "lb/ft3", pretty: "lb/ft³", dim: dimDensity, factor: pound / cubicFoot}

	One     = Unit{symbol: "", dim: dimRatio, factor: 1}
	Percent = Unit{symbol: "%", dim: dimRatio, factor: 0.01}

	Joule        = Unit{symbol: "J", dim: dimEnergy, factor: 1}
	KilowattHour = Unit{symbol: "kWh", dim: dimEnergy, factor: 1000 * hour}
	Therm        = Unit{symbol: "therm", dim: dimEnergy, factor: 100000 * btu} // as the tariffs of gas have it: 100 000 Btu

	PerSecond = Unit{symbol: "1/s", dim: dimRate, factor: 1}
	PerHour   = Unit{symbol: "1/h", dim: dimRate, factor: 1 / hour}

	SquareMetreKelvinPerWatt = Unit{symbol: "m2·K/W", pretty: "m²·K/W", dim: dimThermalResistance, factor: 1}
	HourSquareFootPerBtu     = Unit{symbol: "h·ft2·°F/Btu", pretty: "h·ft²·°F/Btu", dim: dimThermalResistance, factor: rValue}

	CFMPerSquareFoot             = Unit{symbol: "cfm/ft2", pretty: "cfm/ft²", dim: dimSpecificFlow, factor: foot / 60}
	LitrePerSecondSquareMetre    = Unit{symbol: "L/(s·m2)", pretty: "L/(s·m²)", dim: dimSpecificFlow, factor: 0.001}
	CubicMetrePerHourSquareMetre = Unit{symbol: "m3/(h·m2)", pretty: "m³/(h·m²)", dim: dimSpecificFlow, factor: 1 / hour}
	PascalSecond                 = Unit{symbol: "Pa·s", dim: dimViscosity, factor: 1}
	MetrePerSecond               = Unit{symbol: "m/s", dim: dimSpeed, factor: 1}

	// SquareMetreOfFloor is a square metre of floors and envelopes, which results show in
	// other units than leaks; squareFootOfFloor is the same in the other system.
	SquareMetreOfFloor = Unit{symbol: "m2", pretty: "m²", dim: dimFloorArea, factor: 1}
	squareFootOfFloor  = Unit{symbol: "ft2", pretty: "ft²", dim: dimFloorArea, factor: foot * foot}

	CubicMetrePerSecondSquareMetre = Unit{symbol: "m3/(s·m2)", pretty: "m³/(s·m²)", dim: dimSpecificFlow, factor: 1}
)
