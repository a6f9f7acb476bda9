package ductleak

import (
	"errors"
	"math"
	"strings"
	"testing"

	"gonum.org/v1/gonum/floats/scalar"

	"holdbook/pressure"
	"holdbook/units"
)

// cfm is one cubic foot per minute in m³/s, from the exact foot.
const cfm = 0.3048 * 0.3048 * 0.3048 / 60

// near fails unless got lies within tol of want; NaN never does.
func near[Q ~float64](t *testing.T, what string, got, want Q, tol float64) {
	t.Helper()
	if !scalar.EqualWithinAbs(float64(got), float64(want), tol) {
		t.Errorf("%s = %.8g, want %.8g within %.2g", what, float64(got), float64(want), tol)
	}
}

// inCFM is a flow in the unit of the check tables.
func inCFM(q units.Flow) float64 { return float64(q) / cfm }

// refused fails unless err is a *pressure.Fault that speaks of the reading and
// carries a remedy.
func refused(t *testing.T, err error, reading string) {
	t.Helper()
	var e *pressure.Fault
	if !errors.As(err, &e) {
		t.Errorf("got %v, want a reading error about %q", err, reading)
		return
	}
	if !strings.Contains(e.Reading, reading) || e.What == "" || e.Do == "" {
		t.Errorf("error %q does not name %q with a problem and a remedy", e, reading)
	}
}

// ordered fails unless the interval is finite and holds its value.
func ordered[Q ~float64](t *testing.T, what string, e units.Estimate[Q]) {
	t.Helper()
	for _, v := range []Q{e.Low, e.Value, e.High} {
		if !units.Finite(float64(v)) {
			t.Errorf("%s: %v is not finite", what, e)
			return
		}
	}
	if e.Low > e.Value || e.Value > e.High {
		t.Errorf("%s: %v is out of order", what, e)
	}
}

func pa(v, sd float64) units.Measured[units.Pressure] {
	return units.Measured[units.Pressure]{Value: units.Pressure(v), SD: units.Pressure(sd)}
}

func flow(v, sd float64) units.Measured[units.Flow] {
	return units.Measured[units.Flow]{Value: units.Flow(v * cfm), SD: units.Flow(sd * cfm)}
}

func exponent(n float64) units.Measured[units.Ratio] { return units.Known(units.Ratio(n)) }

func hasNaN(v ...float64) bool {
	for _, x := range v {
		if math.IsNaN(x) {
			return true
		}
	}
	return false
}
