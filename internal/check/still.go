package check

import (
	"fmt"
	"math"

	"holdbook/internal/sheet"
	"holdbook/internal/survey"
	"holdbook/pressure"
	"holdbook/units"
	"holdbook/zonal"
)

// stillness is a zone before and after something was opened to it, scaled to
// holds of 50 Pa.
type stillness struct {
	pos, reading sheet.Pos // of the hold and of the zone's reading
	about        string
	zone         zonal.SpaceID
	moved        units.Pressure // towards what it was opened to
	far          units.Pressure // how far it could move
	was          units.Pressure // to the house, before
	sd           float64
}

// outside is the zone's pressure to outside before it was opened, in Pa.
func (s stillness) outside() float64 { return float64(zonal.Reference - s.was) }

// stoodStill finds a zone that did not move although it was opened.
func stoodStill(c *survey.Case, out *slips, j, k int, o zonal.Opening, s stillness) bool {
	near := max(littleMove, units.Pressure(2*s.sd))
	if units.Abs(s.moved) > near || s.far < nearHouse+2*near {
		return false
	}
	name, zone := c.Model.Holds[k].Name, c.Names[s.zone]
	if rise, ok := fanRise(c, out, j, k); ok && rise > max(leastRatio, clearSD*ratioSD(c, j, k)) {
		return tooStill(out, o, s, rise)
	}
	text := "the " + zone + " did not move when it was opened"
	if plainFan(c, out, k) && plainFan(c, out, j) {
		text = "neither the " + zone + " nor the fan moved when it was opened"
	}
	if o.Area > 0 { // the estimate knows what it should have moved
		out.say(Remarks, s.pos, name, text, "a larger hole: this one tells little")
		return true
	}
	out.say(Warns, s.pos, name, text, "whether it was open while the readings were taken")
	return true
}

// fanRise is by how much the fan flow rose from one hold to another, at one
// pressure, as a share.
func fanRise(c *survey.Case, out *slips, j, k int) (float64, bool) {
	if !plainFan(c, out, j) || !plainFan(c, out, k) {
		return 0, false
	}
	return math.Log(float64(c.FlowAt50(k) / c.FlowAt50(j))), true
}

// tooStill finds a zone that stood still although the fan flow rose with it
// opened to the house: what more passes the zone has to pass its outer leaks,
// which pass at most the whole fan flow.
func tooStill(out *slips, o zonal.Opening, s stillness, rise float64) bool {
	if min(o.A, o.B) != zonal.House {
		return false
	}
	least := s.outside() * math.Expm1(rise) // at an exponent of 1
	if least < 3*float64(littleMove)+4*s.sd {
		return hardlyMoved(out, s, rise)
	}
	out.say(Warns, s.reading, s.about, fmt.Sprintf("it did not move, although the fan flow rose by %s %%", units.Fixed(100*math.Expm1(rise), 0)),
		"the reading: it may be from another hold")
	return true
}

const (
	// largeShare of a house's whole flow through one space is more than is met:
	// judgement.
	largeShare = 0.5
	// oddSD is how many standard deviations a reading must be off for a note.
	oddSD = 2.5
)

// hardlyMoved finds a zone near outdoors that could have stood still, but only
// if more than a large share of all the air came through it.
func hardlyMoved(out *slips, s stillness, rise float64) bool {
	expected := s.outside() * (math.Pow(1+math.Expm1(rise)/largeShare, 1/float64(pressure.DefaultExponent)) - 1)
	off := (expected - float64(s.moved)) / s.sd
	if !(off > oddSD) {
		return false
	}
	level := Remarks
	if off > survey.ManySD {
		level = Warns
	}
	out.say(level, s.reading, s.about, fmt.Sprintf("it hardly moved, although the fan flow rose by %s %%: as if more than half of the air came through it", units.Fixed(100*math.Expm1(rise), 0)),
		"the reading: it may be from another hold")
	return true
}
