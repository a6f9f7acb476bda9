package survey

import (
	"slices"

	"holdbook/zonal"
)

// loneError is the error, as a ratio, that the other readings must show in a fan flow to
// check it: judgement.
const loneError = 1.15

// loneFan is the hold whose fan flow alone says how large the leakage of the house is:
// the only one as found, in which the other readings would not show loneError and in
// which they show nothing. It is −1 where there is none. A reading is suspected at twice
// the reach of its 90 % interval: at 3.29 standard deviations, not 1.64.
func (r *run) loneFan(s *zonal.Suspicion) int {
	lone := -1
	for k := range r.model.Holds {
		if r.model.Holds[k].Fan == nil || !r.held[k].hold.AsFound() {
			continue
		}
		if lone >= 0 {
			return -1
		}
		lone = k
	}
	i := slices.IndexFunc(r.estimate.Readings, func(e zonal.ReadingEstimate) bool { return e.Kind == zonal.FanReading && e.Hold == lone })
	if i < 0 || i == s.Reading || lone == s.Hold || i >= len(s.Checks) {
		return -1
	}
	if e := s.Checks[i].Expected; e.Value > 0 && e.High*e.High < loneError*e.Value*e.Value {
		return -1
	}
	return lone
}

// loneText is said of the fan flow of a lone hold, and what checks it.
const loneText = "the size of the house rests on this flow, and no other reading in the holds would show it 15 % off"

// again is what checks the fan flow of hold k.
func (r *run) again(k int) string {
	if abs(r.model.Holds[k].House) < farFromFifty {
		return "the fan once more as found, or as found at 50 Pa"
	}
	return "the fan once more as found, or as found at 25 Pa"
}
