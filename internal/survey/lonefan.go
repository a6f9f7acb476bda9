package survey

import (
	"slices"

	"holdbook/units"
	"holdbook/zonal"
)

// loneError is the error, as a ratio, that the other readings must show in a fan flow to
// check it: judgement.
const loneError = 1.15

// LoneFan is the hold whose fan flow alone says how large the leakage of the house is:
// the only one as found, in which the other readings would not show loneError and in
// which they show nothing. It is −1 where there is none. A reading is suspected at twice
// the reach of its 90 % interval: at 3.29 standard deviations, not 1.64.
func LoneFan(c *Case, e *zonal.Estimate, s *zonal.Suspicion) int {
	lone := -1
	for k := range c.Model.Holds {
		if c.Model.Holds[k].Fan == nil || !c.Held[k].Hold.AsFound() {
			continue
		}
		if lone >= 0 {
			return -1
		}
		lone = k
	}
	i := slices.IndexFunc(e.Readings, func(reading zonal.ReadingEstimate) bool {
		return reading.Kind == zonal.FanReading && reading.Hold == lone
	})
	if i < 0 || i == s.Reading || lone == s.Hold || i >= len(s.Checks) {
		return -1
	}
	if est := s.Checks[i].Expected; est.Value > 0 && est.High*est.High < loneError*est.Value*est.Value {
		return -1
	}
	return lone
}

// LoneText is said of the fan flow of a lone hold, and what checks it.
const LoneText = "the size of the house rests on this flow, and no other reading in the holds would show it 15 % off"

// SecondHold is the pressure (Pa) below which a hold as found counts as a second one, beside
// one at 50 Pa.
const SecondHold = units.Pressure(40)

// ReadAgain is what checks the fan flow of hold k.
func ReadAgain(c *Case, k int) string {
	if units.Abs(c.Model.Holds[k].House) < SecondHold {
		return "the fan once more as found, or as found at 50 Pa"
	}
	return "the fan once more as found, or as found at 25 Pa"
}
