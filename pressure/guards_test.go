package pressure

import (
	"math"
	"math/rand/v2"
	"testing"

	"holdbook/units"
)

// Each warning is silent just inside its threshold and speaks just outside.
func TestWarningThresholds(t *testing.T) {
	up := func(v float64) float64 { return math.Nextafter(v, math.Inf(1)) }
	down := func(v float64) float64 { return math.Nextafter(v, 0) }
	for _, r := range []struct {
		name          string
		quiet, spoken *Fault
	}{
		{"lowest hold", LowPressureWarning(-10, 2), LowPressureWarning(units.Pressure(down(10)), 2)},
		{"five baselines", LowPressureWarning(20, -4), LowPressureWarning(20, units.Pressure(-up(4)))},
		{"wind", WindWarning(6), WindWarning(Speed(up(6)))},
		{"stack", StackWarning(-40, 5), StackWarning(units.TemperatureDifference(-up(40)), 5)},
		{"air changes, many", QueryAirChanges(49.9 / 3600), QueryAirChanges(50.1 / 3600)},
		{"air changes, few", QueryAirChanges(0.101 / 3600), QueryAirChanges(0.099 / 3600)},
	} {
		if r.quiet != nil {
			t.Errorf("%s: speaks inside the threshold: %v", r.name, r.quiet)
		}
		if r.spoken == nil {
			t.Errorf("%s: silent outside the threshold", r.name)
			continue
		}
		requireFault(t, r.name, r.spoken)
	}
	for n, want := range map[float64]int{0.55: 0, down(0.55): 1, 0.75: 0, up(0.75): 1} {
		if got := len(exponentWarnings(n)); got != want {
			t.Errorf("n %v: %d warnings, want %d", n, got, want)
		}
	}
}

func TestDirections(t *testing.T) {
	if DirectionOf(-50) != Depressurised || DirectionOf(50) != Pressurised {
		t.Error("the sign of the house pressure gives the wrong direction")
	}
	for _, d := range []Direction{Depressurised, Pressurised} {
		if d.FanAir(1, 2) == d.LeakAir(1, 2) {
			t.Errorf("%v: the same air in fan and leaks", d)
		}
	}
	if Depressurised.FanAir(1, 2) != 1 || Pressurised.FanAir(1, 2) != 2 {
		t.Error("the fan moves house air out and outdoor air in")
	}
}

// Simulated one-point and two-point tests: the 90 % interval covers the truth
// nine times in ten when the errors and the exponent are drawn as stated.
func TestPointCoverage(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	g := DefaultGauge()
	const trials = 4000
	var one, two, exponent int
	for range trials {
		truth := Leak{C: 0.04, N: math.Min(1, math.Max(0.5, 0.65+0.06*r.NormFloat64()))}
		s := simulate(r, truth, g)
		high, low := s[1], s[6]
		o := good(OnePoint{low, g.FanCalibration(), DefaultExponent, DefaultExponentSD}.FlowAt(50))(t)
		one += within(o, truth.Flow(50))
		if f, err := FitTwo(high, low, g.FanCalibration()); err == nil {
			two += within(good(f.FlowAt(10))(t), truth.Flow(10))
			exponent += within(f.Exponent, units.Ratio(truth.N))
		}
	}
	near(t, "coverage of one point", float64(one)/trials, 0.90, 0.02)
	near(t, "coverage of two points", float64(two)/trials, 0.90, 0.02)
	near(t, "coverage of the exponent", float64(exponent)/trials, 0.90, 0.02)
}
