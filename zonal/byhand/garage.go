package byhand

import (
	"math"

	"holdbook/units"
)

// GarageSteps is the two-step check of an attached garage. A step that was not
// read is nil.
type GarageSteps struct {
	ToHouse *bool // step 1: the house-to-garage pressure exceeds 45 Pa at a 50 Pa hold
	Door    *bool // step 2: opening the overhead door changes the fan flow by no more than 6 %
}

// Passes reports whether a step was read and none failed.
func (g GarageSteps) Passes() bool {
	ok := func(b *bool) bool { return b == nil || *b }
	return (g.ToHouse != nil || g.Door != nil) && ok(g.ToHouse) && ok(g.Door)
}

// CheckGarage applies both steps: toHouse is the house-to-garage pressure
// (either sign) at a house pressure of 50 Pa, which must exceed 45 Pa; closed
// and open are the fan flows at 50 Pa with the overhead door shut and open,
// which must not differ by more than 6 % of the first. A nil pointer is a step
// not read, and so is one without a flow to compare with. It is a criterion for air barriers, not for safety.
//
// Source: PNNL guide to sealing between garage and house; two steps also in
// Rudd and Loomis 2014 (NREL).
func CheckGarage(toHouse *units.Pressure, closed, open *units.Flow) GarageSteps {
	var g GarageSteps
	if toHouse != nil {
		ok := math.Abs(float64(*toHouse)) > 45
		g.ToHouse = &ok
	}
	if closed != nil && open != nil && *closed > 0 {
		// the last term keeps a change of exactly 6 % from failing by rounding
		ok := math.Abs(float64(*open-*closed)) <= 0.06*float64(*closed)*(1+1e-12)
		g.Door = &ok
	}
	return g
}
