package pressure

import (
	"cmp"
	"math"

	"holdbook/units"
)

// Standard is a published way to correct a leak to standard air (20 °C,
// 101325 Pa). The two differ by a few per cent away from standard air, so a
// result must name the one that was used.
type Standard int

// The two published ways.
const (
	DensityOnly         Standard = iota // ISO 9972 (from memory)
	DensityAndViscosity                 // ASTM E779; Roulet 2008 eq 4.15
)

// String names the way for a report.
func (s Standard) String() string {
	if s == DensityAndViscosity {
		return "ASTM E779, density and viscosity"
	}
	return "ISO 9972, density only"
}

// Reference is a leak corrected to standard air.
type Reference struct {
	Leak   Leak // at standard air
	By     Standard
	Factor Computed[units.Ratio] // flow at standard air over flow as tested, at one pressure
}

// ToReference corrects a leak to standard air. inLeaks is the air in the leaks
// during the test: outdoor air when the house was depressurised, house air when
// it was pressurised. The leak must hold envelope flow, not fan flow.
func ToReference(l Leak, inLeaks Air, by Standard) (Reference, error) {
	rho, err := inLeaks.Density()
	if err == nil {
		err = l.check()
	}
	if err != nil {
		return Reference{}, err
	}
	factor, err := densityFactor(l.N, rho.Value)
	if err == nil && by == DensityAndViscosity {
		factor, err = viscousFactor(l.N, rho.Value, inLeaks)
	}
	corrected := Leak{C: l.C * float64(factor.Value), N: l.N}
	return Reference{Leak: corrected, By: by, Factor: factor}, cmp.Or(err, needFinite("the corrected coefficient", corrected.C))
}

// densityFactor is the correction by ISO 9972 (from memory).
func densityFactor(n float64, rho units.Density) (Computed[units.Ratio], error) {
	return compute[units.Ratio](math.Pow(float64(rho/StandardDensity), 1-n),
		formula("f = ({ρ}/1.2041)^(1 - {n})", "ISO 9972, from memory", noUnit, noUnit),
		term{"ρ", float64(rho), asDensity}, term{"n", n, noUnit})
}

// viscousFactor is the correction by density and viscosity.
func viscousFactor(n float64, rho units.Density, a Air) (Computed[units.Ratio], error) {
	density, err := densityFactor(n, rho)
	if err != nil {
		return density, err
	}
	mu, err := a.Viscosity()
	if err != nil {
		return Computed[units.Ratio]{}, err
	}
	mu0 := sutherland(float64(StandardTemperature))
	return compute[units.Ratio](math.Pow(float64(mu.Value)/mu0, 2*n-1)*float64(density.Value),
		formula("f = ({μ}/{μ0})^(2·{n} - 1)·({ρ}/1.2041)^(1 - {n})", "Roulet 2008 eq 4.15; ASTM E779 the same, from memory", noUnit, noUnit),
		term{"μ", float64(mu.Value), asViscosity}, term{"μ0", mu0, asViscosity}, term{"n", n, noUnit}, term{"ρ", float64(rho), asDensity})
}
