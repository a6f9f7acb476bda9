package units

// System is the set of units that results are printed in.
type System int

// The two systems: inch-pound, and SI with its customary building units.
const (
	IP System = iota
	SI
)

// ParseSystem reads "ip" or "si", in any case.
func ParseSystem(s string) (System, error) {
	switch foldASCII(s) {
	case "ip":
		return IP, nil
	case "si":
		return SI, nil
	}
	return IP, &ParseError{Text: s, Reason: "not a system of units", Accepted: "ip or si"}
}

// String is the name that ParseSystem reads back.
func (s System) String() string { return pick(s, "ip", "si") }

func pick[T any](s System, ip, si T) T {
	if s == SI {
		return si
	}
	return ip
}

// Pressure is the pascal in both systems: house tests are held in pascals
// everywhere.
func (s System) Pressure() Unit { return Pascal }

// Flow is cfm or m³/h.
func (s System) Flow() Unit { return pick(s, CFM, CubicMetrePerHour) }

// Area is the unit of leaks and openings: in² or cm².
func (s System) Area() Unit { return pick(s, SquareInch, SquareCentimetre) }

// FloorArea is the unit of floors and envelopes: ft² or m².
func (s System) FloorArea() Unit { return pick(s, SquareFoot, SquareMetre) }

// Volume is ft³ or m³.
func (s System) Volume() Unit { return pick(s, CubicFoot, CubicMetre) }

// Length is ft or m.
func (s System) Length() Unit { return pick(s, Foot, Metre) }

// Temperature is °F or °C.
func (s System) Temperature() Unit { return pick(s, Fahrenheit, Celsius) }

// TemperatureDifference is °F or K.
func (s System) TemperatureDifference() Unit { return pick(s, FahrenheitDegree, KelvinDegree) }

// Power is Btu/h or W.
func (s System) Power() Unit { return pick(s, BtuPerHour, Watt) }

// Energy is the therm or the kWh.
func (s System) Energy() Unit { return pick(s, Therm, KilowattHour) }

// Rate is air changes per hour, 1/h, in both systems.
func (s System) Rate() Unit { return PerHour }

// Density is lb/ft³ or kg/m³.
func (s System) Density() Unit { return pick(s, PoundPerCubicFoot, KilogramPerCubicMetre) }

// ThermalResistance is h·ft²·°F/Btu or m²·K/W.
func (s System) ThermalResistance() Unit {
	return pick(s, HourSquareFootPerBtu, SquareMetreKelvinPerWatt)
}

// SpecificFlow is cfm/ft² or m³/(h·m²).
func (s System) SpecificFlow() Unit { return pick(s, CFMPerSquareFoot, CubicMetrePerHourSquareMetre) }
