package ductleak

import (
	"math"
	"testing"

	"holdbook/units"
)

func spreadOf[Q ~float64](v Q, relative float64) units.Estimate[Q] {
	return units.Estimate[Q]{Value: v, Low: v / Q(1+relative), High: v * Q(1+relative)}
}

// lossCase is the computed heating case as inputs with a doubt each.
func lossCase(qs, qr, doubt float64) LossInput {
	d := heating(qs, qr, 4.2)
	half := func(s DeliverySide) LossSide {
		return LossSide{Leakage: spreadOf(s.Leakage, doubt), Surface: spreadOf(s.Surface, doubt), Resistance: spreadOf(s.Resistance, doubt),
			Ambient: Exactly(s.Ambient), Regain: Exactly(units.Ratio(0.1))}
	}
	return LossInput{
		Flow: spreadOf(d.Flow, doubt), Output: spreadOf(d.Output, doubt), Supply: half(d.Supply), Return: half(d.Return),
		Indoor: Exactly(d.Indoor), Outdoor: Exactly(fahrenheit(35)), Natural: Exactly(units.Flow(100 * cfm)),
		Insulated: units.ThermalResistance(8 * rValue),
	}
}

// Computed: 0.7728·0.9937 = 0.768 and 0.6784·0.9748 = 0.661, cycling left out.
func TestDistributionEfficiency(t *testing.T) {
	for _, row := range []struct{ qs, qr, de, load, eta float64 }{
		{100, 80, 0.7728, 0.9937, 0.768}, {200, 120, 0.6784, 0.9748, 0.661},
	} {
		r, err := DistributionEfficiency(lossCase(row.qs, row.qr, 0))
		if err != nil {
			t.Fatal(err)
		}
		near(t, "effectiveness with regain", r.Corrected.Value, units.Ratio(row.de), 5e-5)
		near(t, "load factor", r.LoadFactor.Value, units.Ratio(row.load), 5e-5)
		near(t, "efficiency", r.Efficiency.Value, units.Ratio(row.eta), 5e-4)
		near(t, "no doubt, no width", r.Efficiency.High-r.Efficiency.Low, 0, 1e-12)
	}
}

func TestLossesAddUp(t *testing.T) {
	in := lossCase(150, 90, 0.2)
	in.Cycling, in.Equipment = 0.03, 0.98
	r, err := DistributionEfficiency(in)
	if err != nil {
		t.Fatal(err)
	}
	var sum units.Ratio
	for _, l := range r.Losses {
		sum += l.Share.Value
		ordered(t, string(l.Cause), l.Share)
	}
	near(t, "losses and efficiency", sum+r.Efficiency.Value, 1, 1e-12)
	ordered(t, "efficiency", r.Efficiency)
	if r.Efficiency.High-r.Efficiency.Low < 0.01 {
		t.Error("20 % doubt in every input must show")
	}
	near(t, "supply fraction", r.SupplyFraction.Value, 0.15, 1e-9)
}

func TestGains(t *testing.T) {
	r, err := DistributionEfficiency(lossCase(150, 90, 0.2))
	if err != nil {
		t.Fatal(err)
	}
	if len(r.Gains) != 3 {
		t.Fatalf("%d gains", len(r.Gains))
	}
	tight, err := DistributionEfficiency(lossCase(1e-9, 1e-9, 0))
	if err != nil {
		t.Fatal(err)
	}
	near(t, "sealed", r.Gains[0].Efficiency.Value, tight.Efficiency.Value, 1e-9)
	near(t, "saving", r.Gains[0].Saving.Value, 1-r.Efficiency.Value/tight.Efficiency.Value, 1e-9)
	both, insulate := r.Gains[2].Saving.Value, r.Gains[1].Saving.Value
	if !(both > r.Gains[0].Saving.Value && both > insulate && insulate > 0) {
		t.Errorf("gains %v", r.Gains)
	}
	half := lossCase(150, 90, 0)
	half.Sealed = 0.5
	part, err := DistributionEfficiency(half)
	if err != nil {
		t.Fatal(err)
	}
	if g := part.Gains[0].Saving.Value; !(g > 0 && g < r.Gains[0].Saving.Value) {
		t.Errorf("half the sealing saves %v", g)
	}
}

// Correlated leakages leave the net narrower.
func TestLossCorrelation(t *testing.T) {
	in := lossCase(150, 140, 0.3)
	apart, err := DistributionEfficiency(in)
	if err != nil {
		t.Fatal(err)
	}
	in.LeakageCorrelation = 0.84
	together, err := DistributionEfficiency(in)
	if err != nil {
		t.Fatal(err)
	}
	if together.Net.High-together.Net.Low >= 0.6*(apart.Net.High-apart.Net.Low) {
		t.Errorf("net %v against %v", together.Net, apart.Net)
	}
}

// Jump, Walker and Modera 1996: 64 to 76 % delivery saves 15.8 % (computed).
func TestSavingDefinition(t *testing.T) {
	near(t, "saving", 1-64.0/76, 0.158, 5e-4)
	in := lossCase(150, 90, 0)
	r, err := DistributionEfficiency(in)
	if err != nil {
		t.Fatal(err)
	}
	after := float64(r.Gains[0].Efficiency.Value)
	near(t, "saving", float64(r.Gains[0].Saving.Value), 1-float64(r.Efficiency.Value)/after, 1e-12)
}

// Cummings 2003: 25 Pa and operating leakage imply the pressures (computed).
func TestOperatingLeakage(t *testing.T) {
	for _, row := range []struct{ q25, op, pressure, share, handler float64 }{
		{88, 170, 74.9, 0.134, 1269}, {132, 167, 37.0, 0.132, 1265},
	} {
		p := PressureFor(units.Flow(row.op), units.Flow(row.q25), 25, DuctExponent)
		near(t, "pressure", p, units.Pressure(row.pressure), 0.1)
		near(t, "air handler", row.op/row.share, row.handler, 1)
		q, err := OperatingLeakage(Exactly(units.Flow(row.q25)), units.Known(p), exponent(0.6))
		if err != nil {
			t.Fatal(err)
		}
		near(t, "operating leakage", q.Leakage.Value, units.Flow(row.op), 1e-9)
		wantLine(t, q.Working(units.IP), "^0.6 ", "Pa")
	}
	near(t, "air-handler box", (77.5+3.1)/0.064, 1259, 1)
	near(t, "all on the return side", PressureFor(77.5, 23.9+3.9, 25, DuctExponent), 138, 0.5)
	for p, want := range map[units.Pressure]float64{
		5: .3807, 10: .5771, 15: .7360, 20: .8747, 30: 1.1156, 40: 1.3258, 50: 1.5157, 75: 1.9332, 100: 2.2974, 125: 2.6265,
	} {
		near(t, "factor", float64(ScaleFlow(1, 25, p, DuctExponent)), want, 5e-5)
	}
	near(t, "supply default", float64(ScaleFlow(60, 25, 30, 0.6)), 66.9, 0.05)
	near(t, "return default", float64(ScaleFlow(40, 25, 50, 0.6)), 60.6, 0.05)
	for n, want := range map[units.Ratio]float64{0.5: .7071, 0.6: .6598, 0.65: .6373} {
		near(t, "25 from 50 Pa", float64(ScaleFlow(1, 50, 25, n)), want, 5e-5)
	}
}

func TestYear(t *testing.T) {
	r, err := DistributionEfficiency(lossCase(150, 90, 0))
	if err != nil {
		t.Fatal(err)
	}
	in := YearInput{
		RunTime: Exactly(units.Time(1000 * 3600)), Output: Exactly(units.Power(60000 * btuPerHour)),
		Efficiency: Exactly(units.Ratio(0.8)), Price: 1.20 / float64(Therm),
	}
	y, err := r.Year(in)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "therms", float64(y.Bought.Value/Therm), 750, 1e-6)
	near(t, "cost", float64(y.Cost.Value), 900, 1e-6)
	near(t, "lost", float64(y.LostCost.Value), 900*(1-float64(r.Efficiency.Value)), 1e-6)
	sum := 0.0
	for _, l := range y.ByCause {
		sum += float64(l.Cost.Value)
	}
	near(t, "by cause", sum, float64(y.LostCost.Value), 1e-6)
	near(t, "saved by sealing", float64(y.Saved[0].Cost.Value), 900*float64(r.Gains[0].Saving.Value), 1e-6)

	// Degree-days: load over both efficiencies.
	days := YearInput{HeatLoss: Exactly(units.Ratio(250)), DegreeDays: 3000, Efficiency: Exactly(units.Ratio(0.8))}
	if y, err = r.Year(days); err != nil {
		t.Fatal(err)
	}
	near(t, "energy", float64(y.Bought.Value/KilowattHour), 250*3000*24/1000/0.8/float64(r.Efficiency.Value), 1e-6)
	near(t, "delivered", float64(y.Bought.Value-y.Lost.Value)*0.8/float64(KilowattHour), 18000, 1e-6)

	for says, bad := range map[string]YearInput{
		"equipment efficiency": {RunTime: in.RunTime, Output: in.Output},
		"year":                 {Efficiency: in.Efficiency},
		"run time":             {RunTime: Exactly(units.Time(1e9)), Output: in.Output, Efficiency: in.Efficiency},
		"air-handler output":   {RunTime: in.RunTime, Efficiency: in.Efficiency},
	} {
		_, err := r.Year(bad)
		refused(t, err, says)
	}
}

func TestLossRefusesAndDoubts(t *testing.T) {
	bad := lossCase(100, 80, 0)
	bad.LeakageCorrelation = math.NaN()
	_, err := DistributionEfficiency(bad)
	refused(t, err, "correlation")
	bad = lossCase(1200, 80, 0)
	_, err = DistributionEfficiency(bad)
	refused(t, err, "supply ducts, leakage")
	wild, err := DistributionEfficiency(lossCase(500, 450, 0.3))
	if err != nil {
		t.Fatal(err)
	}
	if len(wild.Doubts) < 3 {
		t.Errorf("doubts %q", wild.Doubts)
	}
	ordered(t, "wild", wild.Efficiency)
	calm, err := DistributionEfficiency(lossCase(100, 80, 0))
	if err != nil {
		t.Fatal(err)
	}
	if len(calm.Doubts) != 0 {
		t.Errorf("doubts %q", calm.Doubts)
	}
}

func TestLossWorking(t *testing.T) {
	r, err := DistributionEfficiency(lossCase(100, 80, 0))
	if err != nil {
		t.Fatal(err)
	}
	ip := r.Working(units.IP)
	wantLine(t, ip, "(60000 Btu/h)/(1.08·1000 cfm)", "= 55.6 °F")
	wantLine(t, ip, "300 ft²", "= 0.936")
	wantLine(t, ip, "= 0.753")
	wantLine(t, ip, "= 0.7728")
	wantLine(t, ip, "0.7728·0.9937·1 ", "= 0.7679")
	wantLine(t, ip, "1.08·", "(110 cfm - 100 cfm)", "= 0.9937")
	cool := lossCase(100, 80, 0)
	cool.Output, cool.Sensible = Exactly(units.Power(-36000*btuPerHour)), 0.75
	cool.Supply.Ambient, cool.Return.Ambient = Exactly(fahrenheit(110)), Exactly(fahrenheit(110))
	if r, err = DistributionEfficiency(cool); err != nil {
		t.Fatal(err)
	}
	wantLine(t, r.Working(units.IP), "kJ/kg", "= "+units.Number(float64(r.Point.ReturnLeakage), 4))
	in := lossCase(100, 80, 0)
	in.Supply.Resistance = Exactly(units.ThermalResistance(math.Inf(1)))
	if r, err = DistributionEfficiency(in); err != nil {
		t.Fatal(err)
	}
	wantLine(t, r.Working(units.SI), "no conduction", "= 1")
}
