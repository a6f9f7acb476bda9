package survey

import (
	"math"

	"holdbook/pressure"
	"holdbook/units"
)

// noise is the width of an interval, as a share of its value, that arithmetic
// makes of nothing.
const noise = 1e-9

// quantity turns an estimate into what leaves the program; nil where it is not
// finite.
func quantity[T ~float64](e units.Estimate[T], u units.Unit) *Q {
	v, low, high := u.FromSI(float64(e.Value)), u.FromSI(float64(e.Low)), u.FromSI(float64(e.High))
	if high-low <= noise*math.Abs(v) {
		low, high = v, v // known: its last digits are arithmetic
	}
	for _, x := range []float64{v, low, high} {
		if math.IsNaN(x) || math.IsInf(x, 0) {
			return nil
		}
	}
	return &Q{Value: v, Low: low, High: high, Unit: u.Symbol()}
}

// Flow is a flow in the reader's unit.
func (c *Case) Flow(e units.Estimate[units.Flow]) *Q { return quantity(e, c.System.Flow()) }

func (c *Case) pascals(e units.Estimate[units.Pressure]) *Q { return quantity(e, c.System.Pressure()) }

// Rate is an air change in the reader's unit.
func (c *Case) Rate(e units.Estimate[units.Rate]) *Q { return quantity(e, c.System.Rate()) }

// Ratio is a ratio, without a unit.
func Ratio(e units.Estimate[units.Ratio]) *Q { return quantity(e, units.One) }

func percentOf(e units.Estimate[units.Ratio]) *Q { return quantity(e, units.Percent) }

// area is a leak area, with the pressure and coefficient it is stated for.
func (c *Case) area(e units.Estimate[units.Area], at pressure.AreaReference) *Q {
	q := quantity(e, c.System.Area())
	if q != nil {
		q.Coefficient, q.Pressure = float64(at.Cd), float64(at.Pressure)
	}
	return q
}
