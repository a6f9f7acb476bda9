package survey

import (
	"math"

	"holdbook/pressure"
	"holdbook/units"
)

// roundOff is the width of an interval, as a share of its value, that arithmetic
// makes of nothing.
const roundOff = 1e-9

// toQ is an estimate with the base unit of u, which says what is estimated; nil
// where it is not finite.
func toQ[T ~float64](e units.Estimate[T], u units.Unit) *Q {
	q := &Q{Unit: u.Base()}
	q.Value, q.Low, q.High = e.In(q.Unit)
	if q.High-q.Low <= roundOff*math.Abs(q.Value) {
		q.Low, q.High = q.Value, q.Value // known: its last digits are arithmetic
	}
	if !units.Finite(q.Value, q.Low, q.High) {
		return nil
	}
	return q
}

// Flow is an estimated flow as findings have it; so are the others.
func Flow(e units.Estimate[units.Flow]) *Q { return toQ(e, units.CubicMetrePerSecond) }

// Rate is an estimated air change.
func Rate(e units.Estimate[units.Rate]) *Q { return toQ(e, units.PerSecond) }

// Ratio is an estimated ratio.
func Ratio(e units.Estimate[units.Ratio]) *Q { return toQ(e, units.One) }

func percentOf(e units.Estimate[units.Ratio]) *Q { return toQ(e, units.Percent) }

func pascals(e units.Estimate[units.Pressure]) *Q { return toQ(e, units.Pascal) }

// leakArea is a leak area, with the pressure and coefficient it is stated for.
func leakArea(e units.Estimate[units.Area], at pressure.AreaReference) *Q {
	q := toQ(e, units.SquareMetre)
	if q != nil {
		q.Coefficient, q.Pressure = float64(at.Cd), float64(at.Pressure)
	}
	return q
}

// Scale is an estimate times an exact factor, as another quantity.
func Scale[B, A ~float64](e units.Estimate[A], k float64) units.Estimate[B] {
	return units.Estimate[B]{Value: B(k * float64(e.Value)), Low: B(k * float64(e.Low)), High: B(k * float64(e.High))}
}
