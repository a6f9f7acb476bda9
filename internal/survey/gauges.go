package survey

import (
	"math"
	"slices"

	"holdbook/internal/sheet"
	"holdbook/pressure"
	"holdbook/units"
	"holdbook/zonal"
)

// ScaledTo is the pressure that the gauge had carried the door-fan flow of a hold to: as the
// hold says, else as the door fan shows it; not given where it showed the flow itself.
func ScaledTo(s *sheet.Sheet, h *sheet.Hold) sheet.Pressure {
	if h.FanScaledTo.Given {
		return h.FanScaledTo
	}
	return carriedTo(s)
}

// carriedTo is the pressure that the gauge of the door fan carries every flow to; not given
// where it shows the flow itself.
func carriedTo(s *sheet.Sheet) sheet.Pressure {
	if s.DoorFan.CarriesTo50() {
		return sheet.Pressure{Value: zonal.Reference, Text: "50 Pa", Pos: s.DoorFan.Shows.Pos, Given: true}
	}
	return sheet.Pressure{}
}

const (
	// mayBeScaled is the house pressure below which it matters that a gauge may have shown the
	// flow carried to 50 Pa: there it is 4 % (judgement).
	mayBeScaled = units.Pressure(47)
	// otherPressure is how far apart two holds of one state are whose flows show whether they
	// were carried to one pressure: judgement.
	otherPressure = 1.2
)

// noteScaled says what the other meaning of a fan flow would be where nothing tells it.
func noteScaled(c *Case, log *Log) {
	if c.Sheet.DoorFan.Shows.Given() {
		return
	}
	for k := range c.Model.Holds {
		h := c.Held[k].Hold
		if p := units.Abs(c.Model.Holds[k].House); c.Model.Holds[k].Fan != nil && len(h.Fans) == 0 && p < mayBeScaled && !h.FanScaledTo.Given && !heldElsewhere(c, k) {
			more := 100 * (pressure.FlowRatio(zonal.Reference, p, pressure.DefaultExponent) - 1)
			log.Notice(Warning, c.Model.Holds[k].Name, "its fan flow is taken as that through the fan at %s Pa; a gauge that showed it carried to 50 Pa makes the result %s %% too large: write the flow in cfm@50 (or m3/h@50, L/s@50) if it did, shows = \"flow\" under [door_fan] if not",
				units.Fixed(float64(p), 1), units.Fixed(more, 0))
		}
	}
}

// heldElsewhere tells whether the fan was read in the state of hold k at another pressure too:
// then the flows themselves show whether they were carried to one.
func heldElsewhere(c *Case, k int) bool {
	a := &c.Model.Holds[k]
	for j := range c.Model.Holds {
		b := &c.Model.Holds[j]
		ratio := math.Abs(float64(b.House / a.House))
		if b.Fan != nil && sameChanges(a, b) && max(ratio, 1/ratio) >= otherPressure {
			return true
		}
	}
	return false
}

// sameChanges tells whether two holds are of one state.
func sameChanges(a, b *zonal.Hold) bool {
	return len(a.Fans)+len(b.Fans) == 0 && slices.Equal(a.Opened, b.Opened) && slices.Equal(a.Sealed, b.Sealed)
}

// RangesApart are the holds whose fan flow is set against that of the house as found, but was
// read in another flow range, and never in that of the house as found.
func RangesApart(c *Case) (list []Apart) {
	for k := range c.Model.Holds {
		changed := &c.Model.Holds[k]
		if changed.Fan == nil || len(changed.Fans) > 0 || len(changed.Opened)+len(changed.Sealed) == 0 || !c.Held[k].Hold.Range.Given() {
			continue
		}
		if j := openHold(c, k); j >= 0 && apartInRange(c, j, k) {
			list = append(list, Apart{Found: j, Changed: k})
		}
	}
	return list
}

// Apart is two holds of the model whose fan flows are compared.
type Apart struct{ Found, Changed int }

// Covers tells whether the two are compared for the registers that were covered: their
// difference is small.
func (a Apart) Covers(c *Case) bool { return len(c.Model.Holds[a.Changed].Covered) > 0 }

// apartInRange tells whether two states share no flow range.
func apartInRange(c *Case, found, changed int) bool {
	known := false
	for j := range c.Model.Holds {
		if c.Model.Holds[j].Fan == nil || !sameChanges(&c.Model.Holds[j], &c.Model.Holds[found]) || !c.Held[j].Hold.Range.Given() {
			continue
		}
		known = true
		for k := range c.Model.Holds {
			if c.Model.Holds[k].Fan != nil && sameChanges(&c.Model.Holds[k], &c.Model.Holds[changed]) && SameName(c.Held[j].Hold.Range.Value, c.Held[k].Hold.Range.Value) {
				return false
			}
		}
	}
	return known
}

// RangesApartText is said of two flows that are compared across flow ranges.
func RangesApartText(c *Case, a Apart) string {
	found, changed := c.Held[a.Found].Hold.Range.Value, c.Held[a.Changed].Hold.Range.Value
	return "its fan flow was read in range " + units.Sanitize(changed) + ", that as found in " + units.Sanitize(found) +
		": the calibration of the two does not cancel in their difference; read one of them once more in the range of the other"
}

// noteRanges says where flows are compared across flow ranges.
func noteRanges(c *Case, log *Log) {
	for _, a := range RangesApart(c) {
		level := Note
		if a.Covers(c) {
			level = Warning
		}
		log.Notice(level, c.Model.Holds[a.Changed].Name, "%s", RangesApartText(c, a))
	}
}
