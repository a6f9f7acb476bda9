package pressure

import (
	"testing"

	"holdbook/units"
)

func density(t *testing.T, a Air) float64 {
	t.Helper()
	return float64(good(a.Density())(t).Value)
}

func barometer(t *testing.T, z float64) units.Pressure {
	t.Helper()
	return good(BarometerAt(units.Length(z)))(t).Value
}

func TestAirPublished(t *testing.T) {
	standardRho := func(z float64) float64 {
		return density(t, dry(good(TemperatureAt(units.Length(z)))(t).Value, barometer(t, z)))
	}
	mu := func(f float64) float64 {
		const poundSecondPerSquareFoot = 47.88025898 // Pa·s
		return float64(good(Air{Temperature: fahrenheit(f)}.Viscosity())(t).Value) / poundSecondPerSquareFoot * 1e7
	}
	const atmosphere = "U.S. Standard Atmosphere 1976 tables"
	const psi = 6894.757293
	runChecks(t, []check{
		{"bar at 1000 m", float64(barometer(t, 1000)) / 1e5, 0.8988, 0.8988 * 3e-4, atmosphere},
		{"bar at 2000 m", float64(barometer(t, 2000)) / 1e5, 0.7950, 0.7950 * 3e-4, atmosphere},
		{"bar at 3000 m", float64(barometer(t, 3000)) / 1e5, 0.7012, 0.7012 * 3e-4, atmosphere},
		{"psi at 5000 ft", float64(barometer(t, 1524)) / psi, 12.228, 12.228 * 3e-4, atmosphere},
		{"psi at 10000 ft", float64(barometer(t, 3048)) / psi, 10.108, 10.108 * 3e-4, atmosphere},
		{"density at 0 m", standardRho(0), 1.2250, 1.2250 * 3e-4, atmosphere},
		{"density at 1000 m", standardRho(1000), 1.1117, 1.1117 * 3e-4, atmosphere},
		{"density at 2000 m", standardRho(2000), 1.0066, 1.0066 * 3e-4, atmosphere},
		{"density at 3000 m", standardRho(3000), 0.9093, 0.9093 * 3e-4, atmosphere},
		{"viscosity at 59 °F", mu(59), 3.737, 3.737 * 5e-4, atmosphere},
		{"viscosity at 41.17 °F", mu(41.17), 3.637, 3.637 * 5e-4, atmosphere},
		{"viscosity at 23.36 °F", mu(23.36), 3.534, 3.534 * 5e-4, atmosphere},
		{"saturation at 20 °C", float64(good(SaturationPressure(celsius(20)))(t).Value), 2339, 1, "ATTMA TSL1:2010 A.1.2, value computed"},
	})
}

func TestAirComputed(t *testing.T) {
	rows := []check{
		{"dry at 20 °C", density(t, dry(293.15, 101325)), 1.20410, 6e-6, "computed"},
		{"half humid at 20 °C", density(t, Air{293.15, 101325, 0.5}), 1.19884, 6e-6, "computed"},
		{"-10 °C at 1500 m", density(t, dry(263.15, barometer(t, 1500))), 1.1194, 6e-5, "computed"},
	}
	for _, r := range []struct{ z, p, rho float64 }{
		{0, 101325, 1.2041}, {500, 95461, 1.1344}, {1000, 89875, 1.0680}, {1500, 84556, 1.0048}, {1524, 84307, 1.0019},
		{1609, 83431, 0.9915}, {2000, 79495, 0.9447}, {3048, 69682, 0.8281},
	} {
		p := barometer(t, r.z)
		rows = append(rows, check{"barometer", float64(p), r.p, 0.6, "computed from the standard atmosphere"},
			check{"density by altitude", density(t, dry(293.15, p)), r.rho, 6e-5, "computed"})
	}
	for _, r := range []struct{ c, rho, mu float64 }{
		{-20, 1.3944, 16.153}, {-10, 1.3414, 16.661}, {0, 1.2923, 17.161}, {10, 1.2466, 17.652},
		{20, 1.2041, 18.134}, {21, 1.2000, 18.182}, {30, 1.1644, 18.609}, {40, 1.1272, 19.076},
	} {
		a := dry(celsius(r.c), 101325)
		rows = append(rows, check{"density", density(t, a), r.rho, 6e-5, "computed"},
			check{"viscosity", float64(good(a.Viscosity())(t).Value) * 1e6, r.mu, 6e-4, "computed"})
	}
	runChecks(t, rows)
}

// The linear shortcut of Roulet 2008 eq 4.18 agrees with Sutherland's formula
// (eq 4.17) within 0.4 % from -10 to 40 °C.
func TestViscosityShortcut(t *testing.T) {
	mu0 := float64(good(Air{Temperature: 293.15}.Viscosity())(t).Value)
	for c := -10.0; c <= 40; c += 2.5 {
		mu := float64(good(Air{Temperature: celsius(c)}.Viscosity())(t).Value)
		nearRel(t, "shortcut [Roulet 2008 eqs 4.17, 4.18]", (17.1+0.047*c)/(17.1+0.047*20), mu/mu0, 4e-3)
	}
}

func TestAirRefusals(t *testing.T) {
	for name, a := range map[string]Air{
		"celsius for kelvin": {20, 101325, 0}, "hPa for Pa": {293, 1013, 0}, "percent for share": {293, 101325, 50}, "empty": {},
	} {
		if c, err := a.Density(); err == nil || c.Value != 0 {
			t.Errorf("%s: no refusal: %v", name, c.Value)
		}
	}
}
