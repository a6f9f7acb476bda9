package pressure

import (
	"strings"
	"testing"

	"holdbook/units"
)

// workedLines is one worked line of every formula of the package.
func workedLines(t *testing.T, s units.System) map[string]Worked {
	t.Helper()
	out := map[string]Worked{}
	add := func(name string, w Worked) { out[name] = w }
	house, outdoor := dry(celsius(20), 97000), Air{celsius(-1), 97000, 0.5}
	in, outside := good(house.Density())(t), good(outdoor.Density())(t)
	q := cfm(2280)
	add("baseline", good(DefaultGauge().Subtract(-51.3, good(OneBaseline(-1.2))(t)))(t).Worked(s))
	add("saturation", good(SaturationPressure(celsius(-1)))(t).Worked(s))
	add("density", outside.Worked(s))
	add("viscosity", good(house.Viscosity())(t).Worked(s))
	add("barometer", good(BarometerAt(259))(t).Worked(s))
	add("temperature", good(TemperatureAt(259))(t).Worked(s))
	add("true flow", good(TrueFlow(q, StandardDensity, in.Value))(t).Worked(s))
	add("unscaled", good(Unscaled(q, -48.7, 50, 0.65))(t).Worked(s))
	add("envelope flow", good(EnvelopeFlow(q, Depressurised, in.Value, outside.Value))(t).Worked(s))
	add("fan flow", good(FanFlow(q, Depressurised, in.Value, outside.Value))(t).Worked(s))
	add("iso", good(ToReference(Leak{0.05, 0.65}, outdoor, DensityOnly))(t).Factor.Worked(s))
	add("e779", good(ToReference(Leak{0.05, 0.65}, outdoor, DensityAndViscosity))(t).Factor.Worked(s))
	add("area", good(LeakArea(Leak{0.05, 0.65}, At4Pa, 1.2))(t).Worked(s))
	add("convert area", good(ConvertArea(0.1, At4Pa, At10Pa, 0.65))(t).Worked(s))
	add("hole", good(HoleFlow(0.0258064, 0.6, 50, 1.2))(t).Worked(s))
	add("air changes", good(AirChanges(q, units.Volume(units.CubicFoot.ToSI(14400))))(t).Worked(s))
	add("per area", good(FlowPerArea(q, floorArea(1800)))(t).Worked(s))
	add("sla", good(SpecificLeakageArea(0.08, floorArea(1800)))(t).Worked(s))
	add("stack", good(StackPressure(outside.Value, in.Value, 2.5))(t).Worked(s))
	add("wind", good(WindPressure(-0.3, 1.2, 5))(t).Worked(s))
	workedFits(t, s, add)
	workedAir(t, s, add)
	return out
}

func workedFits(t *testing.T, s units.System, add func(string, Worked)) {
	t.Helper()
	cal := DefaultGauge().FanCalibration()
	a := Station{Pressure: -42.3, PressureSD: 0.45, Flow: cfm(1500), Repeat: 0.01}
	b := Station{Pressure: -20, PressureSD: 0.42, Flow: cfm(930), Repeat: 0.01}
	one := good(OnePoint{a, cal, DefaultExponent, DefaultExponentSD}.At(50))(t)
	two := good(FitTwo(a, b, cal))(t)
	m := good(FitWeighted(exactSet(), cal))(t)
	add("one point", one.Shown.Worked(s))
	add("one point spread", one.Spread.Worked(s))
	add("two point", two.Shown.Worked(s))
	add("two point spread", two.Spread.Worked(s))
	add("multi-point n", good(m.ExponentShown())(t).Worked(s))
	add("multi-point flow", good(m.FlowShown(50))(t).Worked(s))
}

func workedAir(t *testing.T, s units.System, add func(string, Worked)) {
	t.Helper()
	w := Weather{39, 6.7}
	in := good(EnhancedHouse{Leak{0.051, 0.67}, 2, SlabOrBasement, true, UrbanLarge}.Infiltration(w))(t)
	floor := floorArea(1800)
	total := good(TotalRate(floor, 3, Since2013, s))(t)
	nl := good(NormalisedLeakage(0.08, floor, 5))(t)
	credit := good(InfiltrationCredit(nl.Value, 0.6, floor, s))(t)
	add("basic", good(BasicInfiltration(0.05, 2, AcrossStreet, w))(t).Worked(s))
	add("enhanced stack", in.Stack.Worked(s))
	add("enhanced wind", in.Wind.Worked(s))
	add("enhanced", in.Total.Worked(s))
	add("annual", good(AnnualAirChanges(9.0/3600))(t).Worked(s))
	add("fans", good(WithFans(0.03, 0.02, 0.04))(t).Worked(s))
	add("driving force", good(DrivingForce(2.5, 40))(t).Worked(s))
	add("total", total.Worked(s))
	add("nl", nl.Worked(s))
	add("credit", credit.Worked(s))
	add("fan rate", good(FanRate(total.Value, credit.Value, false, 1))(t).Worked(s))
}

func TestWorkedLinesAreComplete(t *testing.T) {
	for _, s := range []units.System{units.IP, units.SI} {
		for name, w := range workedLines(t, s) {
			all := w.Formula + w.Numbers + w.Source
			if w.Formula == "" || w.Numbers == "" || w.Source == "" || strings.ContainsAny(all, "{}?") || strings.Contains(all, "NaN") {
				t.Errorf("%s: %+v", name, w)
			}
			t.Logf("%-18s %s\n%20s%s\n%20s%s", name, w.Formula, "", w.Numbers, "", w.Source)
		}
	}
}

func TestWorkedLines(t *testing.T) {
	ip, si := workedLines(t, units.IP), workedLines(t, units.SI)
	for _, r := range []struct{ got, want string }{
		{ip["one point"].Numbers, "1500 cfm·(50 Pa/42.3 Pa)^0.65 = 1672 cfm"},
		{ip["one point"].Formula, "Q(P) = Q·(P/Δp)^n"},
		{ip["air changes"].Numbers, "60·2280 cfm/14400 ft³ = 9.5 1/h"},
		{ip["two point"].Numbers, "ln(1500 cfm/930 cfm)/ln(42.3 Pa/20 Pa) = 0.6382"},
		{si["hole"].Numbers, "0.6·0.02581 m²·√(2·50 Pa/(1.2 kg/m³)) = 0.141 m³/s = 509 m³/h"},
		{ip["baseline"].Numbers, "-51.3 Pa - (-1.2 Pa) = -50.1 Pa"},
	} {
		if r.got != r.want {
			t.Errorf("got  %s\nwant %s", r.got, r.want)
		}
	}
	if w := (Computed[units.Flow]{}).Worked(units.IP); w != (Worked{}) {
		t.Errorf("nothing computed gives %+v", w)
	}
}
