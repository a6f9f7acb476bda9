package pressure

import (
	"math"
	"testing"

	"holdbook/units"
)

// Temperature factors for an indicated flow: meter calibrated at 20 °C, house
// 70 °F, sea level, n 0.65. Computed by the same physics outside this program;
// not the table of any standard.
func TestTemperatureFactors(t *testing.T) {
	outdoors := []float64{-20, 0, 20, 40, 60, 80, 100}
	want := map[Direction][]float64{
		Depressurised: {.8489, .8832, .9173, .9512, .9847, 1.0181, 1.0512},
		Pressurised:   {1.0992, 1.0750, 1.0523, 1.0311, 1.0110, .9921, .9742},
	}
	for d, row := range want {
		for i, f := range outdoors {
			near(t, d.String()+" [computed]", flowFactor(t, d, dry(fahrenheit(70), 101325), dry(fahrenheit(f), 101325)), row[i], 6e-5)
		}
	}
}

// flowFactor takes an indicated flow of 1 m³/s all the way to standard air.
func flowFactor(t *testing.T, d Direction, house, outdoor Air) float64 {
	t.Helper()
	in, out := good(house.Density())(t).Value, good(outdoor.Density())(t).Value
	q := good(TrueFlow(1, StandardDensity, d.FanAir(in, out)))(t).Value
	q = good(EnvelopeFlow(q, d, in, out))(t).Value
	leakAir := outdoor
	if d == Pressurised {
		leakAir = house
	}
	l := good(NewLeak(q, 50, 0.65))(t)
	return float64(good(ToReference(l, leakAir, DensityAndViscosity))(t).Leak.Flow(50))
}

// An indicated flow at altitude needs (p/p0)^-0.15 at n 0.65 where house and
// outdoors are at the calibration temperature. Computed.
func TestAltitudeFactors(t *testing.T) {
	for _, r := range []struct{ z, want float64 }{{1524, 1.0280}, {3048, 1.0578}} {
		a := dry(293.15, barometer(t, r.z))
		near(t, "altitude factor [computed]", flowFactor(t, Depressurised, a, a), r.want, 6e-5)
	}
}

func TestDensityRatio(t *testing.T) {
	in, out := good(dry(celsius(21), 98000).Density())(t).Value, good(dry(celsius(2), 98000).Density())(t).Value
	near(t, "ratio 21/2 °C [computed]", float64(good(EnvelopeFlow(1, Depressurised, in, out))(t).Value), 0.93541, 6e-6)
	near(t, "10 K is about 3 % [Roulet 2008 eq 4.5]", 1-float64(good(EnvelopeFlow(1, Depressurised, 1/293.15*353, 1/283.15*353))(t).Value), 0.03, 0.006)
}

// n 0.65, -10 °C, 1500 m: density and viscosity factors. The facts compute
// them from barometric density.
func TestReferenceFactors(t *testing.T) {
	l, a := Leak{1, 0.65}, dry(celsius(-10), barometer(t, 1500))
	iso, e779 := good(ToReference(l, a, DensityOnly))(t), good(ToReference(l, a, DensityAndViscosity))(t)
	near(t, "density factor [computed]", float64(iso.Factor.Value), 0.9748, 6e-5)
	near(t, "viscosity factor [computed]", float64(e779.Factor.Value/iso.Factor.Value), 0.9749, 6e-5)
	if iso.By.String() == e779.By.String() {
		t.Error("the two corrections do not name themselves apart")
	}
}

func TestFlowRoundTrips(t *testing.T) {
	for _, d := range []Direction{Depressurised, Pressurised} {
		q := good(EnvelopeFlow(0.7, d, 1.16, 1.24))(t).Value
		nearRel(t, "fan and envelope flow", float64(good(FanFlow(q, d, 1.16, 1.24))(t).Value), 0.7, 1e-12)
	}
	scaled := Leak{0.05, 0.65}.Flow(50)
	nearRel(t, "scaled flow undone", float64(good(Unscaled(scaled, -42.3, 50, 0.65))(t).Value), float64(Leak{0.05, 0.65}.Flow(42.3)), 1e-12)
	nearRel(t, "true flow and back", float64(good(TrueFlow(good(TrueFlow(1, 1.2, 1))(t).Value, 1, 1.2))(t).Value), 1, 1e-12)
}

func TestBaseline(t *testing.T) {
	b := good(TwoBaselines(-2.1, -1.5))(t)
	in := good(DefaultGauge().Subtract(-61.8, b))(t)
	near(t, "signed subtraction [computed]", float64(in.Value), -60, 1e-9)
	near(t, "drift is 0.2887 of the difference [Delmotte 2016]", float64(b.Drift), 0.2887*0.6, 3e-5)
	near(t, "sd of the reading", float64(in.SD), math.Sqrt(0.309*0.309+0.4*0.4+0.03), 1e-9)
	if len(b.Warnings()) != 0 {
		t.Error("a quiet baseline is warned of")
	}
	if n := len(good(TwoBaselines(5, 9))(t).Warnings()); n != 2 {
		t.Errorf("a large and moving baseline gives %d warnings, want 2", n)
	}
	if w := in.Worked(units.IP).Numbers; w != "-61.8 Pa - (-1.8 Pa) = -60.0 Pa" {
		t.Errorf("worked line: %s", w)
	}
}

// An ignored baseline: shares of the flow at n 0.65. Computed.
func TestIgnoredBaseline(t *testing.T) {
	l := Leak{1, 0.65}
	for _, r := range []struct{ p, b, want float64 }{{50, 1, 0.013}, {10, 1, 0.066}, {50, 2.5, 0.033}} {
		got := 1 - float64(l.Flow(units.Pressure(r.p-r.b))/l.Flow(units.Pressure(r.p)))
		near(t, "ignored baseline [computed]", got, r.want, 5e-4)
	}
}

func TestUnreadZoneBaseline(t *testing.T) {
	house := good(OneBaseline(-1.2))(t)
	toHouse, toOutside := UnreadZoneBaseline(house, true), UnreadZoneBaseline(house, false)
	near(t, "to house", float64(toHouse.Mean), 0.6, 1e-12)
	near(t, "to outside", float64(toOutside.Mean), -0.6, 1e-12)
	near(t, "spread", float64(toHouse.Drift), 1.2/math.Sqrt(12), 1e-12)
	near(t, "the two close on the house", float64(toOutside.Mean-toHouse.Mean), float64(house.Mean), 1e-12)
}

func TestGauge(t *testing.T) {
	g := DefaultGauge()
	runChecks(t, []check{
		{"sd at 10 Pa", float64(g.PressureSD(10)), math.Hypot(0.125, 0.4), 1e-12, "error model"},
		{"sd just below 25 Pa", float64(g.PressureSD(24.999)), math.Hypot(0.125, 0.4), 1e-12, "error model"},
		{"sd at -50 Pa", float64(g.PressureSD(-50)), math.Hypot(0.25, 0.4), 1e-12, "error model"},
		{"common calibration", float64(g.FanCalibration().Common), 0.020, 1e-12, "error model"},
		{"range calibration", float64(g.FanCalibration().PerRange), 0.015, 1e-12, "error model"},
		{"both together", g.FanCalibration().SD(), 0.025, 1e-12, "half of 5 %"},
	})
	if g.Check() != nil || (Gauge{Floor: -1}).Check() == nil || (Gauge{Wobble: units.Pressure(math.NaN())}).Check() == nil {
		t.Error("gauge check lets through what it must not, or the reverse")
	}
}
