package pressure

import (
	"errors"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"holdbook/units"
)

func onePoint(q units.Flow, p, n float64) OnePoint {
	return OnePoint{Station: Station{Pressure: units.Pressure(p), Flow: q}, Exponent: units.Ratio(n)}
}

func TestOnePointComputed(t *testing.T) {
	at50 := func(p, n float64) float64 { return inCFM(good(onePoint(cfm(1500), p, n).At(50))(t).Flow.Value) }
	rows := []check{
		{"1500 cfm at 42.3 Pa", at50(42.3, 0.65), 1672.2, 0.1, "computed"},
		{"n 0.55", at50(42.3, 0.55), 1644.5, 0.1, "computed"}, {"n 0.75", at50(42.3, 0.75), 1700.4, 0.1, "computed"},
	}
	reached := []float64{45, 40, 35, 30, 25, 20, 15, 10}
	for n, factors := range map[float64][]float64{
		0.65: {1.0709, 1.1561, 1.2609, 1.3938, 1.5692, 1.8141, 2.1871, 2.8466},
		0.50: {1.0541, 1.1180, 1.1952, 1.2910, 1.4142, 1.5811, 1.8257, 2.2361},
		0.75: {1.0822, 1.1822, 1.3067, 1.4669, 1.6818, 1.9882, 2.4669, 3.3437},
	} {
		for i, p := range reached {
			rows = append(rows, check{"factor", at50(p, n) / 1500, factors[i], 6e-5, "computed"})
		}
	}
	for i, off := range []float64{0.5, 1.1, 1.8, 2.6, 3.5, 4.7, 6.2, 8.4} {
		rows = append(rows, check{"error in % when n is 0.05 off", 100 * (at50(reached[i], 0.70)/at50(reached[i], 0.65) - 1), off, 0.051, "computed"})
	}
	runChecks(t, rows)
}

func TestOnePointSpread(t *testing.T) {
	spread := func(p, uq, up float64) float64 {
		o := onePoint(1, p, 0.65)
		o.Repeat, o.PressureSD, o.ExponentSD = units.Ratio(uq), units.Pressure(up), 0.06
		return float64(good(o.At(50))(t).Spread.Value) * 100
	}
	runChecks(t, []check{
		{"5 %, 1 Pa at 50", spread(50, .05, 1), 5.2, 0.06, "computed"}, {"at 25", spread(25, .05, 1), 7.0, 0.06, "computed"},
		{"at 15", spread(15, .05, 1), 9.8, 0.06, "computed"}, {"3 %, 0.25 Pa at 50", spread(50, .03, .25), 3.0, 0.06, "computed"},
		{"at 25", spread(25, .03, .25), 5.2, 0.06, "computed"}, {"at 15", spread(15, .03, .25), 7.9, 0.06, "computed"},
	})
	o := onePoint(1, 50, 0.65)
	o.ExponentSD = 0.06
	near(t, "4 Pa area from one point adds 15 % [computed]", SDLn(good(AreaOf(o, At4Pa, 1.2))(t)), 0.15, 0.003)
}

func TestOnePointReachedAndWarned(t *testing.T) {
	for _, r := range []struct {
		p        float64
		reached  bool
		warnings int
	}{{50, true, 0}, {47.5, true, 0}, {47.4, false, 0}, {15, false, 0}, {14.9, false, 1}, {-50, true, 0}} {
		got := good(onePoint(1, r.p, 0.65).At(50))(t)
		if got.Reached != r.reached || len(got.Warnings) != r.warnings {
			t.Errorf("at %v Pa: reached %v, warnings %v", r.p, got.Reached, got.Warnings)
		}
	}
}

func TestTwoPointComputed(t *testing.T) {
	two := func(repeat, up float64) TwoPoint {
		high := Station{Pressure: 50, PressureSD: units.Pressure(up), Flow: cfm(1200), Repeat: units.Ratio(repeat)}
		low := Station{Pressure: 12.5, PressureSD: units.Pressure(up), Flow: cfm(487.4), Repeat: units.Ratio(repeat)}
		return good(FitTwo(low, high, Calibration{}))(t)
	}
	runChecks(t, []check{
		{"n", two(0, 0).Leak.N, 0.64993, 1e-5, "computed"},
		{"u_n, 3 % and 0.25 Pa", float64(two(.03, .25).Spread.Value), 0.032, 6e-4, "computed"},
		{"u_n, 5 % and 1 Pa", float64(two(.05, 1).Spread.Value), 0.064, 1.1e-3, "computed"},
		{"flow at the upper station", inCFM(good(two(.03, .25).FlowAt(50))(t).Value), 1200, 1e-6, "identity"},
	})
}

// At a station the flow is as well known as its reading; between them better
// than beyond; errors of the fan cancel out of the exponent in one range only.
func TestTwoPointIntervals(t *testing.T) {
	cal := DefaultGauge().FanCalibration()
	a := Station{Pressure: -50, PressureSD: 0.5, Flow: 0.6, Repeat: 0.01, Range: "open"}
	b := Station{Pressure: -20, PressureSD: 0.4, Flow: 0.33, Repeat: 0.01, Range: "open"}
	c := b
	c.Range = "low"
	same, split := good(FitTwo(a, b, cal))(t), good(FitTwo(a, c, cal))(t)
	n := same.Leak.N
	near(t, "interval at the station", SDLn(good(same.FlowAt(50))(t)), math.Sqrt(1e-4+math.Pow(n*0.01, 2)+math.Pow(0.025, 2)), 1e-9)
	if !(SDLn(good(same.FlowAt(4))(t)) > 2*SDLn(good(same.FlowAt(35))(t))) {
		t.Error("extrapolation does not widen the interval")
	}
	if !(split.Spread.Value > same.Spread.Value) {
		t.Error("a second flow range does not widen the exponent")
	}
}

func TestPointRefusals(t *testing.T) {
	ok := Station{Name: "one", Pressure: 50, PressureSD: 0.5, Flow: 0.6}
	at := func(s Station) error { _, err := OnePoint{Station: s, Exponent: 0.65}.At(50); return err }
	two := func(s Station) error { _, err := FitTwo(ok, s, Calibration{}); return err }
	nan := math.NaN()
	rows := map[string]error{
		"no flow":           at(Station{Pressure: 50}),
		"negative flow":     at(Station{Pressure: 50, Flow: -1}),
		"NaN flow":          at(Station{Pressure: 50, Flow: units.Flow(nan)}),
		"no pressure":       at(Station{Flow: 1}),
		"infinite pressure": at(Station{Pressure: units.Pressure(math.Inf(1)), Flow: 1}),
		"pressure in noise": at(Station{Pressure: 1, PressureSD: 0.42, Flow: 1}),
		"n too low":         func() error { _, err := onePoint(1, 50, 0.4).At(50); return err }(),
		"reference zero":    func() error { _, err := onePoint(1, 50, 0.65).At(0); return err }(),
		"reference NaN":     func() error { _, err := onePoint(1, 50, 0.65).At(units.Pressure(nan)); return err }(),
		"same pressure":     two(ok),
		"narrow span":       two(Station{Pressure: 50 / 1.79, Flow: 0.4}),
		"exponent above 1":  two(Station{Pressure: 20, Flow: 0.1}),
		"exponent below .5": two(Station{Pressure: 20, Flow: 0.55}),
		"no fit":            func() error { _, err := TwoPoint{}.FlowAt(50); return err }(),
		"no fits":           func() error { _, err := MultiPoint{}.FlowAt(50); return err }(),
	}
	for name, err := range rows {
		requireFault(t, name, err)
	}
	if err := two(Station{Pressure: 50 / 1.81, Flow: 0.41}); err != nil {
		t.Errorf("just wide enough a span is refused: %v", err)
	}
}

// requireFault insists on a complete Fault without NaN in its text.
func requireFault(t *testing.T, name string, err error) {
	t.Helper()
	var p *Fault
	if !errors.As(err, &p) {
		t.Errorf("%s: got %v, want a Fault", name, err)
		return
	}
	if p.What == "" || p.Why == "" || p.Do == "" || strings.Contains(p.Error(), "NaN") || strings.Contains(p.Error(), "Inf") {
		t.Errorf("%s: incomplete: %v", name, p)
	}
}

func TestMultiPointRefusals(t *testing.T) {
	all := exactSet()
	narrow := []Station{}
	for i := range 6 {
		p := units.Pressure(50 - 2*i)
		narrow = append(narrow, Station{Pressure: p, Flow: Leak{0.05, 0.65}.Flow(p)})
	}
	bent := exactSet()
	for i := range bent {
		bent[i].Flow = Leak{0.01, 1.05}.Flow(units.Pressure(bent[i].dp()))
	}
	for name, f := range map[string]struct {
		stations []Station
		shown    bool
	}{
		"none": {nil, false}, "two": {all[:2], false}, "four": {all[:4], true}, "narrow": {narrow, true}, "bent": {bent, true},
		"zero flow": {append([]Station{{Pressure: 30}}, all...), false},
	} {
		m, err := FitStandard(f.stations)
		requireFault(t, name, err)
		if (m.Leak.C > 0) != f.shown {
			t.Errorf("%s: fit beside the refusal: %v, want %v", name, m.Leak.C > 0, f.shown)
		}
	}
	if _, err := FitStandard(all[:5]); err != nil {
		t.Errorf("five holds are refused: %v", err)
	}
	exact := exactSet()
	for i := range exact {
		exact[i].PressureSD, exact[i].Repeat = 0, 0
	}
	_, err := FitWeighted(exact, Calibration{})
	requireFault(t, "nothing to weigh with", err)
}

// Whatever is fed in, what comes out is finite or an error.
func TestNothingInfiniteLeaves(t *testing.T) {
	r := rand.New(rand.NewPCG(11, 12))
	wild := []float64{0, 1, -1, 1e-300, 1e300, -1e300, math.NaN(), math.Inf(1), math.Inf(-1), 50, 0.65, 293, 101325, 1e-9, 1e9}
	pick := func() float64 { return wild[r.IntN(len(wild))] }
	for range 20000 {
		s := func() Station {
			return Station{Pressure: units.Pressure(pick()), PressureSD: units.Pressure(pick()), Flow: units.Flow(pick()), Repeat: units.Ratio(pick())}
		}
		cal := Calibration{units.Ratio(pick()), units.Ratio(pick())}
		if o, err := (OnePoint{s(), cal, units.Ratio(pick()), units.Ratio(pick())}).At(units.Pressure(pick())); err == nil {
			requireFinite(t, o.Flow)
		}
		if two, err := FitTwo(s(), s(), cal); err == nil {
			requireFinite(t, two.Exponent)
			if q, err := two.FlowAt(units.Pressure(pick())); err == nil {
				requireFinite(t, q)
			}
		}
		if m, err := FitWeighted([]Station{s(), s(), s(), s(), s()}, cal); err == nil {
			requireFinite(t, good(m.Exponent())(t))
		}
		if c, err := (Air{units.Temperature(pick()), units.Pressure(pick()), units.Ratio(pick())}).Density(); err == nil {
			requireFinite(t, units.Estimate[units.Density]{Value: c.Value})
		}
		if c, err := AreaOfFlow(units.Flow(pick()), AreaReference{units.Pressure(pick()), units.Ratio(pick())}, units.Density(pick())); err == nil {
			requireFinite(t, units.Estimate[units.Area]{Value: c.Value})
		}
		if e, err := LogEstimate(pick(), pick()); err == nil {
			requireFinite(t, e)
		}
		if e, err := NormalEstimate(pick(), pick()); err == nil {
			requireFinite(t, e)
		}
	}
}

func requireFinite[Q ~float64](t *testing.T, e units.Estimate[Q]) {
	t.Helper()
	if !units.Finite(float64(e.Low), float64(e.Value), float64(e.High)) {
		t.Fatalf("not finite: %v", e)
	}
}
