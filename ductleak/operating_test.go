package ductleak

import (
	"math"
	"testing"

	"holdbook/internal/fit"
	"holdbook/pressure"
	"holdbook/units"
)

func TestSumSides(t *testing.T) {
	side := pressure.Interval90(units.Measured[units.Flow]{Value: 50, SD: 5})
	sum := SumSides(side, side)
	near(t, "sum", sum.Value, 100, 1e-12)
	near(t, "half-width", float64(sum.High-sum.Low)/2, fit.Z90*5*math.Sqrt2, 0.4)
}

// Half of the plenum is common practice; its doubt must reach the leakage.
func TestHalfPlenum(t *testing.T) {
	p := HalfPlenum(pa(60, 1))
	near(t, "half", p.Value, 30, 1e-12)
	o, err := OperatingLeakage(Exactly(units.Flow(60*cfm)), p, exponent(0.6))
	if err != nil {
		t.Fatal(err)
	}
	near(t, "leakage", inCFM(o.Leakage.Value), 66.9, 0.05)
	near(t, "ln width", math.Log(float64(o.Leakage.High/o.Leakage.Low)), 2*fit.Z90*0.6*float64(p.SD/p.Value), 0.03)
	_, err = OperatingLeakage(Exactly(units.Flow(60*cfm)), pa(0, 1), exponent(0.6))
	refused(t, err, "operating pressure")
}

func TestOnOffWorking(t *testing.T) {
	r, err := simulated(oneTruth, 800*cfm, 1600*cfm, stations, nil, calm).Evaluate()
	if err != nil {
		t.Fatal(err)
	}
	lines := r.Working(units.IP)
	wantLine(t, lines, "(-25 Pa)", "= 92.6 cfm, read 92.5 cfm")
	wantLine(t, lines, "(1 + 25 Pa/", "read -20.5 cfm")
	wantLine(t, lines, "median of the joint estimate = ")
}
