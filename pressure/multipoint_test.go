package pressure

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/stat"

	"holdbook/internal/fit"
	"holdbook/units"
)

// setA is a depressurised test with little noise, setB a pressurised one with
// much noise at altitude. Invented readings; results computed outside this
// program from the formulas of Roulet 2008 eqs 7.13 to 7.21.
func setA(t *testing.T) (stations []Station, outdoor Air) {
	t.Helper()
	pm := []float64{-61.8, -55.4, -49.9, -43.7, -38.2, -31.6, -25.9, -19.4}
	fan := []float64{1512, 1404, 1306, 1190, 1085, 947, 822, 668}
	house, outdoor := dry(celsius(21), 98000), dry(celsius(2), 98000)
	return stationsOf(t, pm, fan, units.CubicMetrePerHour, good(TwoBaselines(-2.1, -1.5))(t), Depressurised, house, outdoor), outdoor
}

func setB(t *testing.T) (stations []Station, house Air) {
	t.Helper()
	pm := []float64{52.1, 46.0, 41.5, 35.2, 30.9, 25.3, 19.8, 14.6}
	fan := []float64{1985, 1872, 1690, 1570, 1385, 1268, 1042, 858}
	house, outdoor := dry(celsius(20), 83431), dry(celsius(-10), 83431)
	return stationsOf(t, pm, fan, units.CFM, good(TwoBaselines(2.4, 3.4))(t), Pressurised, house, outdoor), house
}

func stationsOf(t *testing.T, pm, fan []float64, u units.Unit, b Baseline, d Direction, house, outdoor Air) []Station {
	t.Helper()
	in, out := good(house.Density())(t).Value, good(outdoor.Density())(t).Value
	var stations []Station
	for i := range pm {
		dp := good(DefaultGauge().Subtract(units.Pressure(pm[i]), b))(t)
		q := good(EnvelopeFlow(units.Flow(u.ToSI(fan[i])), d, in, out))(t)
		stations = append(stations, Station{Pressure: dp.Value, PressureSD: 0.5, Flow: q.Value, Repeat: 0.03})
	}
	return stations
}

// half is the upper half-width of an interval, as a share of the value.
func half(e units.Estimate[units.Flow]) float64 {
	return float64(e.High/e.Value) - 1
}

func TestSetA(t *testing.T) {
	const src = "set A, computed"
	stations, outdoor := setA(t)
	rows := []check{}
	for i, want := range []float64{1414.34, 1313.31, 1221.64, 1113.13, 1014.92, 885.83, 768.90, 624.85} {
		rows = append(rows, check{"envelope flow", inCubicMetres(stations[i].Flow), want, 0.006, src})
	}
	for i, want := range []float64{60.0, 53.6, 48.1, 41.9, 36.4, 29.8, 24.1, 17.6} {
		rows = append(rows, check{"induced pressure", stations[i].dp(), want, 1e-9, src})
	}
	m := good(FitStandard(stations))(t)
	c := good(m.Coefficient())(t)
	n := good(m.Exponent())(t)
	n90 := m.line.SlopeSE * fit.StudentT(0.90, float64(m.line.Dof))
	rows = append(rows,
		check{"n", m.Leak.N, 0.667446, 6e-7, src}, check{"s_n", m.line.SlopeSE, 0.000972303, 6e-10, src},
		check{"n ± 95 %", float64(n.High - n.Value), 0.002379, 6e-7, src}, check{"n ± 90 %", n90, 0.001889, 6e-7, src},
		check{"C", c.Value * 3600, 92.0391, 6e-5, src}, check{"C low", c.Low * 3600, 91.2515, 6e-5, src}, check{"C high", c.High * 3600, 92.8334, 6e-5, src},
		check{"r2", m.R2, 0.9999873, 6e-8, src},
	)
	runChecks(t, rows)
	setASums(t, stations)
	setAReference(t, m, outdoor)
}

func setASums(t *testing.T, stations []Station) {
	t.Helper()
	x, y, err := logs(stations)
	if err != nil {
		t.Fatal(err)
	}
	for i := range y {
		y[i] += math.Log(3600) // the published sums are of m³/h
	}
	const src = "set A, computed"
	runChecks(t, []check{
		{"xm", stat.Mean(x, nil), 3.5904562, 6e-8, src}, {"ym", stat.Mean(y, nil), 6.9186472, 6e-8, src},
		{"s_x2", stat.Variance(x, nil), 0.1764269, 6e-8, src}, {"s_y2", stat.Variance(y, nil), 0.0785963, 6e-8, src},
		{"s_xy", stat.Covariance(x, y, nil), 0.1177553, 6e-8, src},
	})
}

func setAReference(t *testing.T, m MultiPoint, outdoor Air) {
	t.Helper()
	const src = "set A, computed"
	iso, isoRef, err := m.AtReference(outdoor, DensityOnly)
	if err != nil {
		t.Fatal(err)
	}
	e779, e779Ref, err := m.AtReference(outdoor, DensityAndViscosity)
	if err != nil {
		t.Fatal(err)
	}
	q50, q10, q4 := good(iso.FlowAt(50))(t), good(iso.FlowAt(10))(t), good(iso.FlowAt(4))(t)
	area := func(c Curve, r AreaReference) float64 {
		return squareCentimetres(good(AreaOf(c, r, StandardDensity))(t).Value)
	}
	runChecks(t, []check{
		{"density factor", float64(isoRef.Factor.Value), 1.010027, 6e-7, src},
		{"viscosity factor", float64(e779Ref.Factor.Value / isoRef.Factor.Value), 0.983585, 6e-7, src},
		{"C_L", iso.Leak.C * 3600, 92.9619, 6e-5, src}, {"C0", e779.Leak.C * 3600, 91.4359, 6e-5, src},
		{"Q50", inCubicMetres(q50.Value), 1265.54, 0.006, src}, {"Q50 ±", half(q50), 0.00121, 6e-6, src},
		{"n50", float64(good(AirChangesAt(iso, 50, 350))(t).Value) * 3600, 3.6158, 6e-5, src},
		{"Q4", inCubicMetres(q4.Value), 234.502, 6e-4, src}, {"Q4 ±", half(q4), 0.00534, 6e-6, src},
		{"Q10", inCubicMetres(q10.Value), 432.265, 6e-4, src}, {"Q10 ±", half(q10), 0.00321, 6e-6, src},
		{"4 Pa area", area(iso, At4Pa), 252.72, 0.006, src}, {"10 Pa area", area(iso, At10Pa), 482.20, 0.006, src},
		{"E779 Q50", inCubicMetres(good(e779.FlowAt(50))(t).Value), 1244.76, 0.006, src},
		{"E779 4 Pa area", area(e779, At4Pa), 248.57, 0.006, src}, {"E779 10 Pa area", area(e779, At10Pa), 474.28, 0.006, src},
	})
}

func TestSetB(t *testing.T) {
	const src = "set B, computed"
	stations, house := setB(t)
	rows := []check{}
	for i, want := range []float64{2211.30, 2085.41, 1882.67, 1748.99, 1542.89, 1412.56, 1160.79, 955.81} {
		rows = append(rows, check{"envelope flow", inCFM(stations[i].Flow), want, 0.006, src})
	}
	m := good(FitStandard(stations))(t)
	c, n := good(m.Coefficient())(t), good(m.Exponent())(t)
	n90 := m.line.SlopeSE * fit.StudentT(0.90, float64(m.line.Dof))
	c1 := inCFM(1)
	at, ref, err := m.AtReference(house, DensityAndViscosity)
	if err != nil {
		t.Fatal(err)
	}
	rows = append(rows,
		check{"n", m.Leak.N, 0.590356, 6e-7, src}, check{"s_n", m.line.SlopeSE, 0.014589, 6e-7, src},
		check{"n ± 95 %", float64(n.High - n.Value), 0.035697, 1e-6, src}, check{"n ± 90 %", n90, 0.028348, 1e-6, src},
		check{"C", c.Value * c1, 221.724, 6e-4, src}, check{"C low", c.Low * c1, 196.760, 6e-4, src}, check{"C high", c.High * c1, 249.856, 6e-4, src},
		check{"r2", m.R2, 0.996349, 6e-7, src}, check{"factor", float64(ref.Factor.Value), 0.923486, 6e-7, src},
	)
	for _, r := range []struct{ p, q, low, high float64 }{{50, 2061.8, 2007.0, 2118.0}, {10, 797.3, 766.2, 829.5}, {4, 464.2, 432.5, 498.2}} {
		q := good(at.FlowAt(units.Pressure(r.p)))(t)
		rows = append(rows, check{"flow", inCFM(q.Value), r.q, 0.06, src}, check{"low", inCFM(q.Low), r.low, 0.06, src}, check{"high", inCFM(q.High), r.high, 0.06, src})
	}
	rows = append(rows,
		check{"4 Pa area", squareInches(good(AreaOf(at, At4Pa, StandardDensity))(t).Value), 131.73, 0.006, src},
		check{"10 Pa area", squareInches(good(AreaOf(at, At10Pa, StandardDensity))(t).Value), 234.21, 0.006, src},
		check{"air changes", float64(good(AirChangesAt(at, 50, units.Volume(units.CubicFoot.ToSI(15000))))(t).Value) * 3600, 8.247, 6e-4, src},
	)
	runChecks(t, rows)
}

func TestSetBWeighted(t *testing.T) {
	stations, _ := setB(t)
	m := good(FitWeighted(stations, Calibration{}))(t)
	x, y, err := logs(stations)
	if err != nil {
		t.Fatal(err)
	}
	var w []float64
	for _, s := range stations {
		w = append(w, float64(s.Flow*s.Flow))
	}
	squares := good(fit.Line(x, y, w))(t)
	const src = "set B, computed"
	runChecks(t, []check{
		{"effective variance n", m.Leak.N, 0.591895, 6e-7, src}, {"effective variance C", inCFM(units.Flow(m.Leak.C)), 220.542, 6e-4, src},
		{"flow-squared n", squares.Slope, 0.594524, 6e-7, src}, {"flow-squared C", inCFM(units.Flow(math.Exp(squares.Intercept))), 218.701, 6e-4, src},
	})
}

func exactSet() []Station {
	var out []Station
	for _, r := range [][2]float64{{60, 787.3376}, {50, 699.3478}, {40, 604.9252}, {30, 501.7548}, {20, 385.5069}, {15, 319.7584}} {
		out = append(out, Station{Pressure: units.Pressure(-r[0]), PressureSD: 0.4, Flow: cfm(r[1]), Repeat: 0.01, Range: "open"})
	}
	return out
}

func TestExactSet(t *testing.T) {
	for name, m := range map[string]MultiPoint{
		"standard": good(FitStandard(exactSet()))(t), "weighted": good(FitWeighted(exactSet(), DefaultGauge().FanCalibration()))(t),
	} {
		runChecks(t, []check{
			{name + " C", inCFM(units.Flow(m.Leak.C)), 55, 55e-6, "exact set, computed"},
			{name + " n", m.Leak.N, 0.65, 1e-6, "exact set, computed"},
		})
		if len(m.Warnings) != 0 || m.Excess != 1 {
			t.Errorf("%s: warnings on exact data: %v", name, m.Warnings)
		}
	}
}

func TestStudentT(t *testing.T) {
	for i, want := range []float64{12.706, 4.3027, 3.1824, 2.7764, 2.5706, 2.4469, 2.3646, 2.3060, 2.2622} {
		near(t, "T 95 % [Roulet 2008 table 7.6]", fit.StudentT(0.95, float64(i+1)), want, 5e-4)
	}
	for i, want := range []float64{6.3138, 2.9200, 2.3534, 2.1318, 2.0150, 1.9432, 1.8946, 1.8595, 1.8331, 1.8125} {
		near(t, "T 90 % [computed]", fit.StudentT(0.90, float64(i+1)), want, 6e-5)
	}
}

// Scaling all flows scales C; scaling all pressures leaves n.
func TestFitScaling(t *testing.T) {
	stations, _ := setB(t)
	base := good(FitStandard(stations))(t)
	var flows, turned []Station
	for _, s := range stations {
		f, p := s, s
		f.Flow *= 3
		p.Pressure *= -1
		flows, turned = append(flows, f), append(turned, p)
	}
	m := good(FitStandard(flows))(t)
	nearRel(t, "C scales", m.Leak.C, 3*base.Leak.C, 1e-10)
	nearRel(t, "n stays", m.Leak.N, base.Leak.N, 1e-10)
	if got := good(FitStandard(turned))(t); got.Leak != base.Leak {
		t.Errorf("the sign of the hold changes the fit: %v, %v", got.Leak, base.Leak)
	}
}

// The calibration of the fan leaves the exponent alone and widens the flow;
// with two ranges their errors reach the exponent too.
func TestCalibrationInTheWeightedFit(t *testing.T) {
	cal := Calibration{Common: 0.02, PerRange: 0.015}
	one := exactSet()
	two := exactSet()
	for i := 3; i < len(two); i++ {
		two[i].Range = "low"
	}
	none := good(FitWeighted(one, Calibration{}))(t)
	same, split := good(FitWeighted(one, cal))(t), good(FitWeighted(two, cal))(t)
	n0, n1, n2 := good(none.Exponent())(t), good(same.Exponent())(t), good(split.Exponent())(t)
	near(t, "one range leaves the exponent", float64(n1.High-n1.Low), float64(n0.High-n0.Low), 1e-12)
	if !(n2.High-n2.Low > 1.2*(n1.High-n1.Low)) {
		t.Errorf("two ranges: %v is not wider than %v", n2, n1)
	}
	q0, q1 := good(none.FlowAt(50))(t), good(same.FlowAt(50))(t)
	near(t, "flow takes the calibration in quadrature", SDLn(q1), math.Hypot(SDLn(q0), 0.025), 1e-9)
}

// Simulated tests: the 90 % interval of the weighted fit covers the truth about
// nine times in ten when the errors are as stated.
func TestWeightedCoverage(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 9))
	truth, g := Leak{C: 0.04, N: 0.63}, DefaultGauge()
	const trials = 2000
	var coverN, coverQ4, coverQ50 int
	for range trials {
		m, err := FitWeighted(simulate(r, truth, g), g.FanCalibration())
		if err != nil {
			continue // counts as not covered
		}
		coverN += within(good(m.Exponent())(t), units.Ratio(truth.N))
		coverQ4 += within(good(m.FlowAt(4))(t), truth.Flow(4))
		coverQ50 += within(good(m.FlowAt(50))(t), truth.Flow(50))
	}
	for name, n := range map[string]int{"n": coverN, "flow at 4 Pa": coverQ4, "flow at 50 Pa": coverQ50} {
		near(t, "coverage of "+name, float64(n)/trials, 0.905, 0.025)
	}
}

func within[Q ~float64](e units.Estimate[Q], truth Q) int {
	if e.Low <= truth && truth <= e.High {
		return 1
	}
	return 0
}

// simulate draws the readings of one multi-point test with two flow ranges.
func simulate(r *rand.Rand, l Leak, g Gauge) []Station {
	cal := g.FanCalibration()
	common := r.NormFloat64() * float64(cal.Common)
	ranges := map[string]float64{"open": r.NormFloat64() * float64(cal.PerRange), "low": r.NormFloat64() * float64(cal.PerRange)}
	var out []Station
	for _, p := range []units.Pressure{60, 52, 44, 36, 28, 22, 16} {
		label := "open"
		if p < 30 {
			label = "low"
		}
		e := common + ranges[label] + r.NormFloat64()*float64(g.Repeat)
		sd := g.PressureSD(p)
		out = append(out, Station{
			Pressure: p + units.Pressure(r.NormFloat64())*sd, PressureSD: sd,
			Flow: l.Flow(p) * units.Flow(math.Exp(e)), Repeat: g.Repeat, Range: label,
		})
	}
	return out
}

func TestScatterBeyondChanceIsTold(t *testing.T) {
	stations := exactSet()
	for i := range stations {
		stations[i].PressureSD, stations[i].Repeat = 0.01, 0.001
		stations[i].Flow *= units.Flow(1 + 0.02*float64(i%2))
	}
	m := good(FitWeighted(stations, Calibration{}))(t)
	if !(m.Excess > 3) || len(m.Warnings) == 0 {
		t.Errorf("excess %v, warnings %v", m.Excess, m.Warnings)
	}
}
