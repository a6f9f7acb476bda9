package pressure

import (
	"math"
	"testing"

	"holdbook/units"
)

// Two holds at 25 and 50 Pa whose flows repeat to 2 %: the sd of the exponent is
// 0.02·√2/ln 2 = 0.0408 and its 90 % interval reaches 1.645·0.0408 = 0.0671 to either
// side (computed by hand). The fit is refused only where all of the interval lies
// outside of 0.5 to 1, the ends of a leak's exponent (orifice and laminar flow, HoF
// 2021 ch.16); a value outside whose interval reaches in is warned of.
func TestTwoPointExponentByItsInterval(t *testing.T) {
	for _, c := range []struct {
		n       float64
		refused bool
	}{{0.432, true}, {0.434, false}, {0.49, false}, {1.01, false}, {1.066, false}, {1.068, true}} {
		low := Station{Pressure: 25, Flow: 0.5, Repeat: 0.02}
		high := Station{Pressure: 50, Flow: units.Flow(0.5 * math.Pow(2, c.n)), Repeat: 0.02}
		two, err := FitTwo(low, high, Calibration{})
		if refused := err != nil; refused != c.refused {
			t.Errorf("exponent %v: refused %v, want %v (%v)", c.n, refused, c.refused, err)
		}
		if !c.refused && len(two.Warnings) != 1 {
			t.Errorf("exponent %v: %d warnings, want one", c.n, len(two.Warnings))
		}
	}
}
