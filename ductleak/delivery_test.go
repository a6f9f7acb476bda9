package ductleak

import (
	"math"
	"testing"

	"holdbook/units"
)

const (
	btuPerHour = 1055.05585262 / 3600
	squareFoot = 0.3048 * 0.3048
	rValue     = squareFoot * 3600 * 5 / 9 / 1055.05585262 // m²·K/W in one h·ft²·°F/Btu
)

func fahrenheit(f float64) units.Temperature { return units.Temperature((f + 459.67) * 5 / 9) }

func toFahrenheit(t units.Temperature) float64 { return float64(t)*9/5 - 459.67 }

func side(leak, surface, r, ambient float64) DeliverySide {
	return DeliverySide{
		Leakage: units.Flow(leak * cfm), Surface: units.Area(surface * squareFoot),
		Resistance: units.ThermalResistance(r * rValue), Ambient: fahrenheit(ambient),
	}
}

// heating is the computed heating case: 1000 cfm, 60 000 Btu/h, 70 °F indoors,
// 35 °F around both ducts, 300 and 100 ft².
func heating(qs, qr, r float64) Delivery {
	return Delivery{
		Flow: units.Flow(1000 * cfm), Output: units.Power(60000 * btuPerHour), Indoor: fahrenheit(70),
		Supply: side(qs, 300, r, 35), Return: side(qr, 100, r, 35),
	}
}

// Equations of ASHRAE 152 (6-23, 6-40) as given by the residential source of
// NREL; the values are computed.
func TestDeliveryHeating(t *testing.T) {
	for _, row := range []struct {
		qs, qr, r                                    float64
		bs, br, trp, tsp, treg, de, ret, sup, f1, f5 float64
	}{
		{0, 0, 4.2, 0.9360, 0.9782, 69.24, 124.79, 119.05, 0.8828, 0.0137, 0.1034, 0.8945, 0.9414},
		{100, 80, 4.2, 0.9360, 0.9782, 66.50, 122.05, 116.48, 0.7530, 0.0630, 0.1840, 0.7728, 0.8519},
		{200, 120, 4.2, 0.9360, 0.9782, 65.13, 120.68, 115.20, 0.6509, 0.0877, 0.2614, 0.6784, 0.7885},
		{50, 40, 8, 0.9659, 0.9885, 68.21, 123.77, 120.74, 0.8676, 0.0322, 0.1002, 0.8784, 0.9214},
		{100, 80, math.Inf(1), 1, 1, 67.20, 122.76, 122.76, 0.8546, 0.0504, 0.0950, 0.8641, 0.9021},
	} {
		d := heating(row.qs, row.qr, row.r)
		got, err := d.Evaluate()
		if err != nil {
			t.Fatal(err)
		}
		near(t, "rise", float64(got.Rise)*9/5, 55.556, 5e-4)
		near(t, "B_s", got.SupplyFactor, units.Ratio(row.bs), 5e-5)
		near(t, "B_r", got.ReturnFactor, units.Ratio(row.br), 5e-5)
		near(t, "T_rp", toFahrenheit(got.ReturnPlenum), row.trp, 5e-3)
		near(t, "T_sp", toFahrenheit(got.Supplied), row.tsp, 5e-3)
		near(t, "T_reg", toFahrenheit(got.AtRegister), row.treg, 5e-3)
		near(t, "DE", got.Effectiveness, units.Ratio(row.de), 5e-5)
		near(t, "return loss", got.ReturnLeakage+got.ReturnConduction, units.Ratio(row.ret), 5e-5)
		near(t, "supply loss", got.SupplyLeakage+got.SupplyConduction, units.Ratio(row.sup), 5e-5)
		for f, want := range map[units.Ratio]float64{0.1: row.f1, 0.5: row.f5} {
			d.Supply.Regain, d.Return.Regain = f, f
			got, _ := d.Evaluate()
			near(t, "DE with regain", got.Corrected, units.Ratio(want), 5e-5)
		}
	}
}

// Equation 6-23 in its published form must give the same.
func TestDeliveryEquation623(t *testing.T) {
	d := heating(137, 61, 6.1)
	d.Supply.Ambient = fahrenheit(21)
	r, err := d.Evaluate()
	if err != nil {
		t.Fatal(err)
	}
	as, ar, bs, br := r.SupplyKept, r.ReturnKept, r.SupplyFactor, r.ReturnFactor
	dTr := units.Ratio(float64(d.Indoor-d.Return.Ambient) / float64(r.Rise))
	dTs := units.Ratio(float64(d.Indoor-d.Supply.Ambient) / float64(r.Rise))
	near(t, "eq 6-23", r.Effectiveness, as*bs-as*bs*(1-ar*br)*dTr-as*(1-bs)*dTs, 1e-12)
	near(t, "balance", r.Effectiveness+r.SupplyLeakage+r.SupplyConduction+r.ReturnLeakage+r.ReturnConduction, 1, 1e-12)
	d.Supply.Regain, d.Return.Regain = 0.37, 0.21
	r, _ = d.Evaluate()
	near(t, "eq 6-40", r.Regain, 0.37*(r.SupplyLeakage+r.SupplyConduction)+0.21*(1-br)*dTr, 1e-12)
}

func cooling(qs, qr float64) Delivery {
	d := Delivery{
		Flow: units.Flow(1200 * cfm), Output: units.Power(-36000 * btuPerHour), Indoor: fahrenheit(75),
		IndoorHumidity: 0.0103, Sensible: 0.75,
		Supply: side(qs, 300, 4.2, 110), Return: side(qr, 100, 4.2, 110),
	}
	d.Return.Humidity = 0.0140
	return d
}

// Equation 6-25 likewise; values computed.
func TestDeliveryCooling(t *testing.T) {
	near(t, "house enthalpy", Enthalpy(fahrenheit(75), 0.0103)/2326, 29.271, 5e-4)
	near(t, "attic enthalpy", Enthalpy(fahrenheit(110), 0.0140)/2326, 41.938, 5e-4)
	r, err := cooling(120, 120).Evaluate()
	if err != nil {
		t.Fatal(err)
	}
	near(t, "B_s", r.SupplyFactor, 0.94638, 5e-6)
	near(t, "B_r", r.ReturnFactor, 0.98180, 5e-6)
	near(t, "T_rp", toFahrenheit(r.ReturnPlenum), 79.07, 5e-3)
	near(t, "t_sp", toFahrenheit(r.Supplied), 58.24, 5e-3)
	near(t, "DE", r.Effectiveness, 0.6205, 5e-5)
	near(t, "balance", r.Effectiveness+r.SupplyLeakage+r.SupplyConduction+r.ReturnLeakage+r.ReturnConduction, 1, 1e-12)
}

// The published form of 6-25 with the supply plenum held, return leak varied.
func TestDeliveryCoolingReturnLeak(t *testing.T) {
	base, err := cooling(120, 120).Evaluate()
	if err != nil {
		t.Fatal(err)
	}
	for kept, want := range map[units.Ratio]units.Ratio{1: 0.789, 0.95: 0.705, 0.85: 0.536} {
		d := cooling(120, 1200*float64(1-kept))
		r, err := d.Evaluate()
		if err != nil {
			t.Fatal(err)
		}
		// The table holds t_sp: its supply conduction is that of the base case.
		reach := 1 - r.ReturnLeakage - r.ReturnConduction - base.SupplyConduction
		near(t, "DE", r.SupplyKept*reach, want, 5e-4)
	}
}

// Every factor of the regain table (Walker 1998, ASHRAE 152 6.5.2, as cited by
// the residential source of NREL).
func TestRegainTable(t *testing.T) {
	bare, walls, ceiling, both := Insulation{}, Insulation{Walls: true}, Insulation{Ceiling: true}, Insulation{Walls: true, Ceiling: true}
	for _, row := range []struct {
		where Location
		with  Insulation
		want  units.Ratio
	}{
		{Outdoors, bare, 0}, {Attic, bare, 0.10}, {Garage, bare, 0.05},
		{UnconditionedBasement, bare, 0.50}, {UnconditionedBasement, walls, 0.75}, {UnconditionedBasement, ceiling, 0.30},
		{VentedCrawlspace, bare, 0.50}, {VentedCrawlspace, walls, 0.66}, {VentedCrawlspace, ceiling, 0.12}, {VentedCrawlspace, both, 0.17},
		{UnventedCrawlspace, bare, 0.60}, {UnventedCrawlspace, walls, 0.76}, {UnventedCrawlspace, ceiling, 0.16}, {UnventedCrawlspace, both, 0.30},
		{ConditionedSpace, bare, 1}, {ConditionedSpace, both, 1},
	} {
		got, err := RegainFactor(row.where, row.with)
		if err != nil {
			t.Fatal(err)
		}
		near(t, string(row.where), got, row.want, 0)
	}
	_, err := RegainFactor("loft", bare)
	refused(t, err, "duct location")
}

// Computed from the half-of-imbalance rule; natural exchange 100 cfm, 35 °F
// outdoors.
func TestLoadFactor(t *testing.T) {
	for _, row := range []struct{ net, on, factor, corrected, eta float64 }{
		{20, 110, 0.9937, 0.7728, 0.768}, {80, 140, 0.9748, 0.6784, 0.661},
	} {
		on := InducedInfiltration(units.Flow(100*cfm), units.Flow(row.net*cfm))
		near(t, "exchange", inCFM(on), row.on, 1e-9)
		f := LoadFactor(on, units.Flow(100*cfm), fahrenheit(70), fahrenheit(35), units.Power(60000*btuPerHour), standardAir)
		near(t, "load factor", f, units.Ratio(row.factor), 5e-5)
		near(t, "efficiency", float64(f)*row.corrected, row.eta, 5e-4)
	}
	for _, row := range []struct{ natural, net, want float64 }{
		{100, 199, 199.5}, {100, 200, 200}, {100, 300, 300}, {100, -80, 60}, {100, -300, 0}, {100, 0, 100},
	} {
		near(t, "exchange", float64(InducedInfiltration(units.Flow(row.natural), units.Flow(row.net))), row.want, 1e-9)
	}
}

// Cummings 1990 (method); values computed. Duct shares: Cummings 1990 and
// FSEC-CR-370-90.
func TestSmallFormulas(t *testing.T) {
	f, err := ReturnLeakFraction(82, 77, 110)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "return leak fraction", f, 0.152, 5e-4)
	_, err = ReturnLeakFraction(82, 77, 77)
	refused(t, err, "return plenum")
	for _, row := range []struct{ before, after, want float64 }{{12.58, 11.04, 12.2}, {7.31, 6.53, 10.7}} {
		share, err := DuctShare(row.before, row.after)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "duct share", 100*float64(share), row.want, 0.05)
	}
	for _, row := range []struct{ output, rise, want float64 }{{60000, 55, 1010}, {64000, 50, 1185}} {
		q, err := FlowFromRise(units.Power(row.output*btuPerHour), units.TemperatureDifference(row.rise*5/9), standardAir)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "flow", inCFM(q), row.want, 0.5)
	}
	_, err = FlowFromRise(units.Power(1), 0, standardAir)
	refused(t, err, "temperature rise")
}

func TestDeliveryRefuses(t *testing.T) {
	for says, change := range map[string]func(*Delivery){
		"air-handler flow":        func(d *Delivery) { d.Flow = 0 },
		"air-handler output":      func(d *Delivery) { d.Output = 0 },
		"supply ducts, leakage":   func(d *Delivery) { d.Supply.Leakage = d.Flow },
		"return ducts, insulatio": func(d *Delivery) { d.Return.Resistance = 0 },
		"supply ducts, regain":    func(d *Delivery) { d.Supply.Regain = 1.1 },
		"indoor temperature":      func(d *Delivery) { d.Indoor = units.Temperature(math.NaN()) },
		"sensible share":          func(d *Delivery) { d.Sensible = 2 },
	} {
		d := heating(100, 80, 4.2)
		change(&d)
		_, err := d.Evaluate()
		refused(t, err, says)
	}
}
