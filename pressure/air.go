package pressure

import (
	"cmp"
	"math"

	"holdbook/units"
)

// Standard air as the leakage standards use it: 20 °C, 101325 Pa, dry.
const (
	StandardTemperature units.Temperature = 293.15
	StandardBarometer   units.Pressure    = 101325
	StandardDensity     units.Density     = 1.2041
)

// Constants of humid air. Source: EN 13829 and ISO 9972 (from memory).
const (
	gasConstant  = 287.055 // of dry air, J/(kg·K)
	vapourWeight = 0.37802 // 1 less the molar mass of water over that of air
)

// Viscosity is a dynamic viscosity in pascal seconds.
type Viscosity float64

// Air is a state of the air.
type Air struct {
	Temperature units.Temperature // K
	Barometer   units.Pressure    // Pa, absolute
	Humidity    units.Ratio       // relative, 0 to 1; 0.5 may be taken where it is not known
}

// check refuses what cannot be air around a house or in its ducts.
func (a Air) check() error {
	return cmp.Or(
		checkTemperature(a.Temperature),
		needWithin("the barometric pressure", float64(a.Barometer), 20000, 120000, "Pa"),
		needWithin("the relative humidity", float64(a.Humidity), 0, 1, ""),
	)
}

// checkTemperature refuses temperatures that point to a wrong unit.
func checkTemperature(t units.Temperature) error {
	return needWithin("the air temperature", float64(t), 190, 400, "K")
}

// SaturationPressure is the pressure of water vapour in saturated air at t.
// Source: ATTMA TSL1:2010 A.1.2.
func SaturationPressure(t units.Temperature) (Computed[units.Pressure], error) {
	if err := checkTemperature(t); err != nil {
		return Computed[units.Pressure]{}, err
	}
	k := float64(t)
	return compute[units.Pressure](math.Exp(59.484085-6790.4985/k-5.02802*math.Log(k)),
		formula("p = exp(59.484085 - 6790.4985/{T} - 5.02802·ln {T})", "ATTMA TSL1:2010 A.1.2", asPascal, asPascal),
		term{"T", k, asKelvin})
}

// Density is the density of humid air, kg/m³. Source: ATTMA TSL1:2010 A.1.2,
// with the constants of EN 13829 and ISO 9972 (from memory).
func (a Air) Density() (Computed[units.Density], error) {
	if err := a.check(); err != nil {
		return Computed[units.Density]{}, err
	}
	saturated, err := SaturationPressure(a.Temperature)
	if err != nil {
		return Computed[units.Density]{}, err
	}
	vapour := float64(a.Humidity) * float64(saturated.Value)
	return compute[units.Density]((float64(a.Barometer)-vapourWeight*vapour)/(gasConstant*float64(a.Temperature)),
		formula("ρ = ({p} - 0.37802·{pv})/(287.055·{T})", "ATTMA TSL1:2010 A.1.2; constants from memory", asDensity, asDensity),
		term{"p", float64(a.Barometer), asPascal}, term{"pv", vapour, asPascal}, term{"T", float64(a.Temperature), asKelvin})
}

// Viscosity is the dynamic viscosity of air, Pa·s (Sutherland's formula). It
// does not depend on the pressure. Source: Roulet 2008 eq 4.17.
func (a Air) Viscosity() (Computed[Viscosity], error) {
	if err := checkTemperature(a.Temperature); err != nil {
		return Computed[Viscosity]{}, err
	}
	t := float64(a.Temperature)
	return compute[Viscosity](sutherland(t),
		formula("μ = 1.458e-6·√{T}/(1 + 110.4/{T})", "Roulet 2008 eq 4.17", asViscosity, asViscosity),
		term{"T", t, asKelvin})
}

// sutherland is Sutherland's formula for air, K to Pa·s.
func sutherland(t float64) float64 {
	return 1.458e-6 * math.Sqrt(t) / (1 + 110.4/t)
}

// BarometerAt is the barometric pressure of the standard atmosphere at an
// altitude (m above sea level, -500 to 11000). Source: Roulet 2008, quoting
// ASHRAE 1997.
func BarometerAt(altitude units.Length) (Computed[units.Pressure], error) {
	if err := checkAltitude(altitude); err != nil {
		return Computed[units.Pressure]{}, err
	}
	return compute[units.Pressure](101325*math.Pow(1-2.25577e-5*float64(altitude), 5.2559),
		formula("p = 101325·(1 - 2.25577e-5·{Z})^5.2559", "Roulet 2008, quoting ASHRAE 1997", asPascal, asPascal),
		term{"Z", float64(altitude), asMetre})
}

// TemperatureAt is the temperature of the standard atmosphere at an altitude
// (m, -500 to 11000). Source: Roulet 2008, quoting ASHRAE 1997.
func TemperatureAt(altitude units.Length) (Computed[units.Temperature], error) {
	if err := checkAltitude(altitude); err != nil {
		return Computed[units.Temperature]{}, err
	}
	return compute[units.Temperature](288.15-0.0065*float64(altitude),
		formula("T = 288.15 - 0.0065·{Z}", "Roulet 2008, quoting ASHRAE 1997", asKelvin, asTemperature),
		term{"Z", float64(altitude), asMetre})
}

// checkAltitude keeps to the range the standard atmosphere's formula is for.
func checkAltitude(z units.Length) error {
	return needWithin("the altitude", float64(z), -500, 11000, "m")
}
