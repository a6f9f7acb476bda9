package ductleak

import (
	"math"
	"testing"

	"holdbook/units"
)

// Computed, calm limit, exponent 0.65.
func TestNetFromShift(t *testing.T) {
	for q50, want := range map[float64][4]float64{
		1000: {50, 79, 123, 161}, 2000: {100, 157, 247, 321}, 3000: {150, 236, 370, 482},
	} {
		for i, d := range []units.Pressure{0.5, 1, 2, 3} {
			near(t, "net", inCFM(NetFromShift(units.Flow(q50*cfm), -d, 0.65)), want[i], 0.5)
		}
	}
	for net, want := range map[units.Flow]units.Pressure{50: 0.17, 100: 0.50, 150: 0.93, 200: 1.45} {
		near(t, "shift", ShiftFromNet(net, 2000, 0.65), want, 0.005)
	}
}

func TestHouseShift(t *testing.T) {
	shift := func(on, off float64) HouseShift {
		return HouseShift{On: pa(on, 0.15), Off: pa(off, 0.15), Flow50: spreadOf(units.Flow(2000*cfm), 0.05), Exponent: exponent(0.65)}
	}
	for _, row := range []struct {
		on, off  float64
		want     Dominant
		resolved bool
	}{{-3, -1, SupplyDominates, true}, {1.5, -0.5, ReturnDominates, true}, {-1.2, -0.9, Balanced, false}, {-1, -1, Balanced, false}} {
		r, err := shift(row.on, row.off).Evaluate()
		if err != nil {
			t.Fatal(err)
		}
		if r.Dominant != row.want || r.Resolved != row.resolved {
			t.Errorf("%v to %v Pa: %s, resolved %v", row.off, row.on, r.Dominant, r.Resolved)
		}
		ordered(t, "net", r.Net)
	}
	r, _ := shift(-3, -1).Evaluate()
	near(t, "net", inCFM(r.Net.Value), 247, 0.5)
	wantLine(t, r.Working(units.IP), "2000 cfm·(|-2 Pa|/50 Pa)", "= 247 cfm")
	_, err := shift(-12, 0).Evaluate()
	refused(t, err, "house pressure")
	none := shift(-3, -1)
	none.Flow50 = units.Estimate[units.Flow]{}
	_, err = none.Evaluate()
	refused(t, err, "house flow")
}

// Computed error budgets: 1200 cfm, ten registers of 108 cfm.
func TestRunningSigma(t *testing.T) {
	flows := make([]units.Flow, 10)
	for i := range flows {
		flows[i] = 108
	}
	for _, row := range []struct {
		handler units.Flow
		hood    HoodError
		want    float64
		tol     float64
	}{
		{0, HoodError{Common: 0.06}, 64.8, 0.05}, {0, HoodError{Common: 0.20}, 216, 0.05},
		{0, HoodError{Each: 0.06}, 20.5, 0.05}, {60, HoodError{Each: 0.06}, 63, 0.5}, {84, HoodError{Common: 0.06}, 106, 0.5},
	} {
		sigma, _, _ := RunningSigma(row.handler, flows, row.hood)
		near(t, "sigma", float64(sigma), row.want, row.tol)
	}
}

func TestRunning(t *testing.T) {
	test := RunningTest{AirHandler: flow(1200, 60), Hood: OrdinaryHood}
	for range 10 {
		test.Registers = append(test.Registers, RunningRegister{Name: "r", Flow: units.Flow(108 * cfm), Design: units.Flow(120 * cfm)})
	}
	r, err := test.Evaluate()
	if err != nil {
		t.Fatal(err)
	}
	near(t, "sum", inCFM(r.Sum), 1080, 1e-9)
	near(t, "leakage", inCFM(r.Leakage.Value), 120, 1e-9)
	if r.Resolved {
		t.Error("ordinary hoods can not resolve a tenth of the flow")
	}
	near(t, "of design", r.Shares[0].OfDesign, 0.9, 1e-12)
	near(t, "of share", r.Shares[0].OfShare, 1, 1e-12)
	wantLine(t, r.Working(units.IP), "1200 cfm - 1080 cfm", "= 120 cfm")

	test.AirHandler = flow(900, 30)
	test.Hood = PoweredHood
	if r, err = test.Evaluate(); err != nil {
		t.Fatal(err)
	}
	if !r.Contradiction || r.Leakage.Value != 0 || r.Leakage.Low != 0 {
		t.Errorf("registers that pass more than the air handler: %+v", r.Leakage)
	}
	test.Registers[3].Flow = units.Flow(math.NaN())
	_, err = test.Evaluate()
	refused(t, err, "register r, flow")
	_, err = RunningTest{AirHandler: flow(900, 30)}.Evaluate()
	refused(t, err, "register flows")
}

// Computed free areas for 100 cfm, and the published Florida opening
// (50 in² and an undercut of 30 by 1 in).
func TestTransferArea(t *testing.T) {
	const squareInch = 0.0254 * 0.0254
	const air = units.Density(1.204)
	for p, want := range map[units.Pressure]float64{2.5: 59.8, 3: 54.6, 5: 42.3} {
		near(t, "area", float64(TransferArea(units.Flow(100*cfm), p, air))/squareInch, want, 0.05)
	}
	near(t, "pressure", TransferPressure(units.Flow(100*cfm), 80*squareInch, air), 1.40, 0.005)
}

func TestRoom(t *testing.T) {
	room := RoomReading{Name: "north", Pressure: pa(6, 0.3), Flow: flow(120, 8), Limit: 3}
	r, err := room.Evaluate(1.204)
	if err != nil {
		t.Fatal(err)
	}
	if !r.Above {
		t.Error("6 Pa is above 3 Pa")
	}
	here := TransferArea(room.Flow.Value, 6, 1.204)
	near(t, "lacking and there", r.Extra.Value+here, r.Free.Value, 1e-12)
	ordered(t, "extra", r.Extra)
	wantLine(t, r.Working(units.IP), "120 cfm", "in²")
	room.Pressure = pa(-2, 0.3)
	if r, err = room.Evaluate(1.204); err != nil {
		t.Fatal(err)
	}
	if r.Above || r.Extra.Value != 0 {
		t.Errorf("2 Pa needs nothing: %+v", r)
	}
	room.Pressure = pa(400, 0.3)
	_, err = room.Evaluate(1.204)
	refused(t, err, "room north")
}
