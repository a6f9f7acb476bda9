package ductleak

import (
	"cmp"
	"math"

	"holdbook/internal/fit"
	"holdbook/units"
)

// OpenRegister is leakage to outside by the flow at one register left open,
// all others covered, the house held and the air handler off. Do supply and
// return apart, the way through the air handler blocked.
type OpenRegister struct {
	Flow  units.Measured[units.Flow]     // through the register, magnitude
	House units.Measured[units.Pressure] // house to outside, magnitude
	Ducts units.Measured[units.Pressure] // house to duct at the open register; zero where it was not read
	// Zone is house to the ducts' zone, where the zone is not at outdoor
	// pressure; zero Value means that it is.
	Zone    units.Measured[units.Pressure]
	Scaling units.Measured[units.Ratio]
}

// OpenRegisterResult is what the flow at one open register says.
type OpenRegisterResult struct {
	Test      OpenRegister
	Drive     units.Pressure // across the leaks: duct to outside, or to the zone
	Outside25 units.Estimate[units.Flow]
	// LowerBound is true when the ducts stood more than 1 Pa from the room:
	// inside leaks then feed the duct too, and the flow misses that part.
	LowerBound bool
	Resolved   bool
}

// nearRoom is how far the duct may stand from the room for the whole leakage
// to pass through the open register (Modera 1995).
const nearRoom = 1 * units.Pressure(1)

// leastDrive is the least pressure across duct leaks that a test may have; a
// gauge error of 0.25 Pa is then 3 % of flow.
const leastDrive = 5 * units.Pressure(1)

// Evaluate works the test: Q·(25/P)^n with P duct to outside, not house to
// outside (Modera 1995).
func (t OpenRegister) Evaluate() (OpenRegisterResult, error) {
	drive := t.drive()
	if err := cmp.Or(
		checkPositive("open register, house pressure", t.House),
		checkNotNegative("open register, flow", t.Flow),
		checkMeasured("open register, duct pressure", t.Ducts),
		checkNotNegative("open register, house-to-zone pressure", t.Zone),
		checkPositive("exponent of the duct leaks", t.Scaling),
		checkDrive("open register, duct-to-outside pressure", drive),
	); err != nil {
		return OpenRegisterResult{}, err
	}
	r := OpenRegisterResult{Test: t, Drive: drive.Value, LowerBound: t.Ducts.Value > nearRoom}
	r.Outside25 = scaledTo25(t.Flow, drive, t.Scaling)
	r.Resolved = Resolved(r.Outside25)
	return r, checkResult("leakage to outside at an open register", r.Outside25)
}

func (t OpenRegister) drive() units.Measured[units.Pressure] {
	from := driving(t.House, t.Zone)
	return units.Measured[units.Pressure]{
		Value: from.Value - t.Ducts.Value,
		SD:    units.Pressure(math.Hypot(float64(from.SD), float64(t.Ducts.SD))),
	}
}

func checkDrive(reading string, p units.Measured[units.Pressure]) error {
	if err := checkMeasured(reading, p); err != nil {
		return err
	}
	if p.Value < leastDrive {
		return wrong(reading, "hold more, or open the ducts' zone to outdoors",
			"%s across the duct leaks is under %.0f Pa", p.Value, float64(leastDrive))
	}
	return nil
}

// scaledTo25 is a flow read at a pressure, carried to 25 Pa, with an interval.
func scaledTo25(q units.Measured[units.Flow], p units.Measured[units.Pressure], n units.Measured[units.Ratio]) units.Estimate[units.Flow] {
	return simulateOne(func(noise fit.Noise) units.Flow {
		flow := max(0, around(noise, q))
		return ScaleFlow(flow, aroundPositive(noise, p), reference25, exponentOf(noise, n))
	})
}
