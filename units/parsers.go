package units

// Each parser reads one number with its unit, such as its examples, and gives
// the quantity in SI. What it refuses it refuses with a *ParseError; what it
// gives is never NaN nor infinite. The parsers that end in In also take a bare
// number, read in the unit given.

// ParsePressure reads a pressure, such as "43.9 Pa" or "0.18 in. w.c.".
func ParsePressure(s string) (Pressure, error) {
	v, err := parse(s, dimPressure, nil)
	return Pressure(v), err
}

// ParsePressureIn is ParsePressure that reads a bare number in the unit given.
func ParsePressureIn(s string, bare Unit) (Pressure, error) {
	v, err := parse(s, dimPressure, &bare)
	return Pressure(v), err
}

// ParseFlow reads a volume flow, such as "2280 cfm" or "388 m³/h".
func ParseFlow(s string) (Flow, error) {
	v, err := parse(s, dimFlow, nil)
	return Flow(v), err
}

// ParseFlowIn is ParseFlow that reads a bare number in the unit given.
func ParseFlowIn(s string, bare Unit) (Flow, error) {
	v, err := parse(s, dimFlow, &bare)
	return Flow(v), err
}

// ParseArea reads an area, such as "40 in2" or "258 cm²".
func ParseArea(s string) (Area, error) {
	v, err := parse(s, dimArea, nil)
	return Area(v), err
}

// ParseAreaIn is ParseArea that reads a bare number in the unit given.
func ParseAreaIn(s string, bare Unit) (Area, error) {
	v, err := parse(s, dimArea, &bare)
	return Area(v), err
}

// ParseLength reads a length, such as "850 ft" or "2.4 m".
func ParseLength(s string) (Length, error) {
	v, err := parse(s, dimLength, nil)
	return Length(v), err
}

// ParseLengthIn is ParseLength that reads a bare number in the unit given.
func ParseLengthIn(s string, bare Unit) (Length, error) {
	v, err := parse(s, dimLength, &bare)
	return Length(v), err
}

// ParseVolume reads a volume, such as "14,400 ft3" or "408 m3".
func ParseVolume(s string) (Volume, error) {
	v, err := parse(s, dimVolume, nil)
	return Volume(v), err
}

// ParseVolumeIn is ParseVolume that reads a bare number in the unit given.
func ParseVolumeIn(s string, bare Unit) (Volume, error) {
	v, err := parse(s, dimVolume, &bare)
	return Volume(v), err
}

// ParseTemperature reads a temperature above absolute zero, such as "68 F" or "20 °C".
func ParseTemperature(s string) (Temperature, error) {
	v, err := parse(s, dimTemperature, nil)
	return Temperature(v), err
}

// ParseTemperatureIn is ParseTemperature that reads a bare number in the unit given.
func ParseTemperatureIn(s string, bare Unit) (Temperature, error) {
	v, err := parse(s, dimTemperature, &bare)
	return Temperature(v), err
}

// ParseTemperatureDifference reads a temperature difference, such as "18 F" or "10 K".
func ParseTemperatureDifference(s string) (TemperatureDifference, error) {
	v, err := parse(s, dimTemperatureDifference, nil)
	return TemperatureDifference(v), err
}

// ParseTemperatureDifferenceIn is ParseTemperatureDifference that reads a bare number in the unit given.
func ParseTemperatureDifferenceIn(s string, bare Unit) (TemperatureDifference, error) {
	v, err := parse(s, dimTemperatureDifference, &bare)
	return TemperatureDifference(v), err
}

// ParsePower reads a power, such as "60000 Btu/h" or "17.6 kW".
func ParsePower(s string) (Power, error) {
	v, err := parse(s, dimPower, nil)
	return Power(v), err
}

// ParsePowerIn is ParsePower that reads a bare number in the unit given.
func ParsePowerIn(s string, bare Unit) (Power, error) {
	v, err := parse(s, dimPower, &bare)
	return Power(v), err
}

// ParseTime reads a length of time, such as "10 min" or "20 s".
func ParseTime(s string) (Time, error) {
	v, err := parse(s, dimTime, nil)
	return Time(v), err
}

// ParseTimeIn is ParseTime that reads a bare number in the unit given.
func ParseTimeIn(s string, bare Unit) (Time, error) {
	v, err := parse(s, dimTime, &bare)
	return Time(v), err
}

// ParseDensity reads a density, such as "1.2 kg/m3" or "0.075 lb/ft3".
func ParseDensity(s string) (Density, error) {
	v, err := parse(s, dimDensity, nil)
	return Density(v), err
}

// ParseDensityIn is ParseDensity that reads a bare number in the unit given.
func ParseDensityIn(s string, bare Unit) (Density, error) {
	v, err := parse(s, dimDensity, &bare)
	return Density(v), err
}

// ParseRatio reads a share, such as "5 %" or "5 percent".
func ParseRatio(s string) (Ratio, error) {
	v, err := parse(s, dimRatio, nil)
	return Ratio(v), err
}

// ParseRatioIn is ParseRatio that reads a bare number in the unit given.
func ParseRatioIn(s string, bare Unit) (Ratio, error) {
	v, err := parse(s, dimRatio, &bare)
	return Ratio(v), err
}

// ParseRate reads a rate, air changes in an hour, such as "0.35 1/h" or "0.35 per hour".
func ParseRate(s string) (Rate, error) {
	v, err := parse(s, dimRate, nil)
	return Rate(v), err
}

// ParseRateIn is ParseRate that reads a bare number in the unit given.
func ParseRateIn(s string, bare Unit) (Rate, error) {
	v, err := parse(s, dimRate, &bare)
	return Rate(v), err
}

// ParseThermalResistance reads a thermal resistance, such as "19 h·ft2·F/Btu" or "3.3 m2·K/W".
func ParseThermalResistance(s string) (ThermalResistance, error) {
	v, err := parse(s, dimThermalResistance, nil)
	return ThermalResistance(v), err
}

// ParseThermalResistanceIn is ParseThermalResistance that reads a bare number in the unit given.
func ParseThermalResistanceIn(s string, bare Unit) (ThermalResistance, error) {
	v, err := parse(s, dimThermalResistance, &bare)
	return ThermalResistance(v), err
}

// ParseSpecificFlow reads a flow per area, such as "0.25 cfm/ft2" or "4.6 m3/(h·m2)".
func ParseSpecificFlow(s string) (SpecificFlow, error) {
	v, err := parse(s, dimSpecificFlow, nil)
	return SpecificFlow(v), err
}

// ParseSpecificFlowIn is ParseSpecificFlow that reads a bare number in the unit given.
func ParseSpecificFlowIn(s string, bare Unit) (SpecificFlow, error) {
	v, err := parse(s, dimSpecificFlow, &bare)
	return SpecificFlow(v), err
}
