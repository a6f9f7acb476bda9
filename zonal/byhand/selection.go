package byhand

import (
	"math"

	"holdbook/internal/fit"
	"holdbook/units"
)

// selection is a change that had to pass a limit before it was used: those that pass are
// too large on average, and the more so the nearer to the limit they lie. All three are in
// one unit.
type selection struct{ change, limit, sd float64 }

// least is what the low end of the change must be multiplied by so that it lies below the
// true change 19 times in 20 among the changes that pass the limit: with r̂ read and a true
// change r, P(R > r̂ | R > limit; r) = 0.05 for a normal R. It is 1 for a change far above
// the limit and 0 where no positive r is as small as that.
//
// Source: inference on a truncated normal, textbook; computed here.
func (s selection) least() float64 {
	t, gate := s.change/s.sd, s.limit/s.sd
	usual := t - fit.Z90
	if !units.Finite(t) || usual <= 0 {
		return 1 // known exactly, or an end that is open as it is
	}
	beyond := func(x float64) float64 { return math.Erfc(x/math.Sqrt2) / 2 }
	tooLikely := func(r float64) bool { return beyond(t-r) > tail*beyond(gate-r) }
	if tooLikely(0) {
		return 0
	}
	low, high := 0.0, t
	for high-low > 1e-9*t {
		if r := (low + high) / 2; tooLikely(r) {
			high = r
		} else {
			low = r
		}
	}
	return math.Min(1, low/usual)
}

// tail is the probability beyond either end of an interval.
const tail = 0.05
