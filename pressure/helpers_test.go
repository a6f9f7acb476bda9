package pressure

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/floats/scalar"

	"holdbook/units"
)

// near fails unless got is within tol of want; NaN never passes.
func near(t *testing.T, name string, got, want, tol float64) {
	t.Helper()
	if !scalar.EqualWithinAbs(got, want, tol) {
		t.Errorf("%s: got %.9g, want %.9g within %g", name, got, want, tol)
	}
}

// nearRel is near with a relative tolerance.
func nearRel(t *testing.T, name string, got, want, rel float64) {
	t.Helper()
	near(t, name, got, want, math.Abs(want)*rel)
}

// good returns the value of a call that must not fail.
func good[T any](v T, err error) func(*testing.T) T {
	return func(t *testing.T) T {
		t.Helper()
		if err != nil {
			t.Fatalf("unexpected error: %v", err)
		}
		return v
	}
}

func cfm(v float64) units.Flow           { return units.Flow(units.CFM.ToSI(v)) }
func inCFM(q units.Flow) float64         { return units.CFM.FromSI(float64(q)) }
func inCubicMetres(q units.Flow) float64 { return units.CubicMetrePerHour.FromSI(float64(q)) }
func celsius(t float64) units.Temperature {
	return units.Temperature(units.Celsius.ToSI(t))
}
func fahrenheit(t float64) units.Temperature {
	return units.Temperature(units.Fahrenheit.ToSI(t))
}
func dry(t units.Temperature, p units.Pressure) Air { return Air{Temperature: t, Barometer: p} }
func squareCentimetres(a units.Area) float64        { return units.SquareCentimetre.FromSI(float64(a)) }
func squareInches(a units.Area) float64             { return units.SquareInch.FromSI(float64(a)) }

// check is a row of a table of published or computed values. Every row names
// where its value comes from and how closely it must be met.
type check struct {
	name      string
	got       float64
	want, tol float64
	source    string
}

func runChecks(t *testing.T, rows []check) {
	t.Helper()
	for _, r := range rows {
		near(t, r.name+" ["+r.source+"]", r.got, r.want, r.tol)
	}
}

// printed is a row of a value as a book prints it, by the unit of its last digit.
func printed(name string, got, want, unit float64, source string) check {
	return check{name, got, want, unit / 2 * (1 + 1e-9), source}
}

// cut is that of a value whose further digits the book leaves off.
func cut(name string, got, want, unit float64, source string) check {
	return check{name + ", cut", got, want + unit/2, unit / 2 * (1 + 1e-9), source}
}
