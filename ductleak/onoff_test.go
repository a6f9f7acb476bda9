package ductleak

import (
	"math"
	"testing"

	"holdbook/units"
)

// onOffTable is computed from the model: supply 100 cfm at 40 Pa, return
// 60 cfm at 60 Pa, exponent 0.6.
var onOffTable = []struct{ dP, fs, fr, diff, rounded float64 }{
	{-50, 0.70799, -0.54224, 38.264, math.NaN()},
	{-40, 1.00000, -0.57460, 65.524, math.NaN()},
	{-25, 1.30943, -0.64104, 92.481, 92},
	{-20, 1.31951, -0.67112, 91.684, 92},
	{-15, 1.30943, -0.70799, 88.464, 88},
	{-10, 1.27674, -0.75562, 82.337, 82},
	{-5, 1.21018, -0.82404, 71.576, 72},
	{0, 1.00000, -1.00000, 40.000, math.NaN()},
	{5, 0.78605, -1.17429, 8.148, 8},
	{10, 0.70799, -1.23766, -3.461, -3},
	{15, 0.65539, -1.27674, -11.066, -11},
	{20, 0.61567, -1.30133, -16.513, -17},
	{25, 0.58390, -1.31507, -20.514, -21},
	{30, 0.55755, -1.31951, -23.415, math.NaN()},
	{50, 0.48345, -1.23766, -25.915, math.NaN()},
}

func TestOnOffShapes(t *testing.T) {
	for _, row := range onOffTable {
		fs, fr := SupplyShape(row.dP, 40, 0.6), ReturnShape(row.dP, 60, 0.6)
		near(t, "supply shape", fs, row.fs, 5e-6)
		near(t, "return shape", fr, row.fr, 5e-6)
		near(t, "difference", 100*fs+60*fr, row.diff, 5e-4)
	}
}

func TestOnOffShapeProperties(t *testing.T) {
	for _, n := range []float64{0.5, 0.6, 0.75} {
		for _, p := range []float64{20, 40, 110} {
			near(t, "supply at zero", SupplyShape(0, p, n), 1, 1e-12)
			near(t, "return at zero", ReturnShape(0, p, n), -1, 1e-12)
			near(t, "supply at −dPs", SupplyShape(-p, p, n), 1, 1e-12)
			near(t, "return at +dPr", ReturnShape(p, p, n), -1, 1e-12)
			near(t, "supply at its top", SupplyShape(-p/2, p, n), 2*math.Pow(0.5, n), 1e-12)
			near(t, "return at its top", ReturnShape(p/2, p, n), -2*math.Pow(0.5, n), 1e-12)
			near(t, "symmetry", SupplyShape(-p/2+7, p, n), SupplyShape(-p/2-7, p, n), 1e-12)
			if SupplyShape(-p/2+1, p, n) >= SupplyShape(-p/2, p, n) {
				t.Error("the supply shape is not greatest halfway")
			}
		}
	}
}

// tenPoints are the stations ±5 to ±25 Pa of the table.
func tenPoints(rounded bool) []Difference {
	var d []Difference
	for _, row := range onOffTable {
		if math.IsNaN(row.rounded) {
			continue
		}
		y := 100*SupplyShape(row.dP, 40, 0.6) + 60*ReturnShape(row.dP, 60, 0.6)
		if rounded {
			y = row.rounded
		}
		d = append(d, Difference{House: units.Pressure(row.dP), Flow: units.Flow(y * cfm)})
	}
	return d
}

// Computed fits to the ten rounded points.
func TestOnOffKnownPressures(t *testing.T) {
	for _, row := range []struct{ ps, pr, qs, qr, rms float64 }{
		{40, 60, 99.958, 60.071, 0.378}, {50, 50, 100.786, 62.032, 1.287}, {60, 40, 101.188, 63.434, 2.063},
		{40, 40, 96.086, 56.987, 1.164}, {30, 75, 100.646, 58.405, 2.741},
	} {
		f, err := FitKnownPressures(tenPoints(true), units.Pressure(row.ps), units.Pressure(row.pr), 0.6)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "supply", inCFM(f.Supply), row.qs, 1e-3)
		near(t, "return", inCFM(f.Return), row.qr, 1e-3)
		near(t, "rms", inCFM(f.RMS), row.rms, 1e-3)
	}
}

func TestOnOffScan(t *testing.T) {
	f, err := ScanPressures(tenPoints(true), 150, 150, 0.6)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "supply pressure", f.SupplyPressure, 39, 0)
	near(t, "return pressure", f.ReturnPressure, 69, 0)
	near(t, "supply", inCFM(f.Supply), 101.200, 1e-3)
	near(t, "return", inCFM(f.Return), 61.020, 1e-3)
	near(t, "rms", inCFM(f.RMS), 0.3227, 1e-4)

	if f, err = ScanPressures(tenPoints(false), 150, 150, 0.6); err != nil {
		t.Fatal(err)
	}
	near(t, "exact supply pressure", f.SupplyPressure, 40, 0)
	near(t, "exact return pressure", f.ReturnPressure, 60, 0)
	near(t, "exact supply", inCFM(f.Supply), 100, 1e-6)
	near(t, "exact return", inCFM(f.Return), 60, 1e-6)
}

// Computed: standard deviations for unit noise, pressures known.
func TestOnOffPrecision(t *testing.T) {
	f, err := FitKnownPressures(tenPoints(false), 40, 60, 0.6)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "supply", f.UnitSupply, 0.56, 0.005)
	near(t, "return", f.UnitReturn, 0.56, 0.01)
	near(t, "net", f.UnitNet, 0.32, 0.005)
	near(t, "correlation", f.Correlation, 0.84, 0.005)

	var twenty []Difference
	for p := 5; p <= 50; p += 5 {
		twenty = append(twenty, Difference{House: units.Pressure(p)}, Difference{House: units.Pressure(-p)})
	}
	if f, err = FitKnownPressures(twenty, 40, 60, 0.6); err != nil {
		t.Fatal(err)
	}
	near(t, "supply, 20 points", f.UnitSupply, 0.41, 0.005)
	near(t, "return, 20 points", f.UnitReturn, 0.37, 0.005)
	near(t, "correlation, 20 points", f.Correlation, 0.80, 0.005)
	near(t, "net, 20 points", f.UnitNet, 0.25, 0.005)
}

func TestOnOffClips(t *testing.T) {
	var d []Difference
	for p := -25.0; p <= 25; p += 5 {
		d = append(d, Difference{House: units.Pressure(p), Flow: units.Flow((80*SupplyShape(p, 40, .6) - 5*ReturnShape(p, 60, .6)) * cfm)})
	}
	f, err := FitKnownPressures(d, 40, 60, 0.6)
	if err != nil {
		t.Fatal(err)
	}
	if f.Clipped != "return" || f.Return != 0 || f.Supply <= 0 {
		t.Errorf("clipped %q, supply %.1f, return %.1f", f.Clipped, inCFM(f.Supply), inCFM(f.Return))
	}
}

// Computed pair: 2000 cfm at 50 Pa, exponent 0.65, at +10 and −25 Pa.
func TestOnOffPairs(t *testing.T) {
	off := []Station{{10, units.Flow(702.6 * cfm)}, {-25, units.Flow(-1274.6 * cfm)}}
	on := []Station{{10, units.Flow(699.1 * cfm)}, {-25, units.Flow(-1182.1 * cfm)}}
	d, err := Differences(on, off, CorrectionExponent)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "at +10 Pa", inCFM(d[0].Flow), -3.5, 0.01)
	near(t, "at −25 Pa", inCFM(d[1].Flow), 92.5, 0.01)
	near(t, "envelope at 10 Pa", 2000*math.Pow(0.2, 0.65), 702.6, 0.05)
	// An off reading a little away is carried over by the power law.
	on[0].House = 10.4
	if d, err = Differences(on, off, CorrectionExponent); err != nil {
		t.Fatal(err)
	}
	near(t, "carried", inCFM(d[0].Envelope), 702.6*math.Pow(1.04, 0.65), 1e-6)
	_, err = Differences([]Station{{5, 1}}, []Station{{-5, -1}}, 0.65)
	refused(t, err, "on/off test")
}

func TestOnOffRefuses(t *testing.T) {
	_, err := FitKnownPressures(tenPoints(true)[:1], 40, 60, 0.6)
	refused(t, err, "on/off test")
	_, err = FitKnownPressures(tenPoints(true), 0, 60, 0.6)
	refused(t, err, "operating duct pressure")
	same := []Difference{{House: 10, Flow: 1}, {House: 10, Flow: 2}}
	_, err = FitKnownPressures(same, 40, 60, 0.6)
	refused(t, err, "on/off test")
	_, err = ScanPressures(tenPoints(true), math.MaxFloat64, 60, 0.6)
	refused(t, err, "scan")
}
