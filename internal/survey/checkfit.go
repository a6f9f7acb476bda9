package survey

import (
	"math"

	"holdbook/internal/sheet"
	"holdbook/zonal"
)

// A report speaks of a sheet that one in a hundred good ones would match. A
// check is run on every sheet, so it warns only of what is clearer than that:
// a misfit this many times its 99 % point, or a reading this many standard
// deviations off. The rest is a note.
const (
	clearMisfit = 1.5
	clearOff    = 5.0
)

// fits has the joint estimate judge whether the readings fit each other.
func (c *checker) fits() {
	if err := c.solve(); err != nil {
		c.say(Blocks, sheet.Pos{}, "", "no house explains these readings together", "each hold by itself: check a sheet with one hold less")
		return
	}
	if c.estimate == nil {
		return
	}
	s, err := c.estimate.Posterior.Suspect(zonal.Options{Workers: c.o.Workers, CurvatureOnly: true})
	if err != nil {
		return
	}
	c.count(s)
	c.unchecked(s)
	if !s.Suspect {
		return
	}
	level := Remarks
	if c.clear(s) {
		level = Warns
	}
	switch {
	case s.Reading >= 0:
		e := c.estimate.Readings[s.Reading]
		if c.doubt[c.held[e.Hold].hold.Pos] {
			return
		}
		pos, about := c.placeOf(e)
		if c.said(pos) {
			return
		}
		c.say(level, pos, about, "it does not fit the other readings; "+slipWords[s.Slip], "this reading first")
	case s.Hold >= 0 && c.doubt[c.held[s.Hold].hold.Pos]:
	case s.Hold >= 0:
		c.say(level, c.held[s.Hold].hold.Pos, c.model.Holds[s.Hold].Name, "the hold does not fit the others; "+slipWords[s.Slip], "what was open, shut or covered in it")
	default:
		c.worst(level, s)
	}
}

// count tells how many readings have others to check them.
func (c *checker) count(s *zonal.Suspicion) {
	c.out.Read = len(s.Checks)
	for _, k := range s.Checks {
		if k.Checkable {
			c.out.Checked++
		}
	}
}

// unchecked notes a fan flow that alone says how large the leakage of the house is.
func (c *checker) unchecked(s *zonal.Suspicion) {
	k := c.loneFan(s)
	if k < 0 || c.said(c.held[k].hold.Fan.Pos) {
		return
	}
	c.say(Remarks, c.held[k].hold.Fan.Pos, c.model.Holds[k].Name+", door fan", loneText, c.again(k))
}

// clear tells whether a suspicion is one that a good sheet hardly ever raises.
func (c *checker) clear(s *zonal.Suspicion) bool {
	if s.Misfit > clearMisfit*s.Limit {
		return true
	}
	for _, k := range s.Checks {
		if math.Abs(k.Off) > clearOff {
			return true
		}
	}
	return false
}

// worst places a suspicion that names no single reading at the one furthest
// off. Two fan flows of one state that are told apart already explain it better.
func (c *checker) worst(level CheckLevel, s *zonal.Suspicion) {
	if c.unlike == Warns || c.unlike == level {
		return
	}
	most, at := 0.0, -1
	for _, k := range s.Checks {
		if off := math.Abs(k.Off); off > most && k.Reading < len(c.estimate.Readings) {
			most, at = off, k.Reading
		}
	}
	if at < 0 {
		c.say(level, sheet.Pos{}, "", "the readings do not fit each other, and no single one can be named", "the zones again, to house and to outside"+c.andFan())
		return
	}
	pos, about := c.placeOf(c.estimate.Readings[at])
	if !c.said(pos) {
		c.say(level, pos, about, "the readings do not fit each other; this one is furthest off, but it need not be the one", "this reading and the other zones, to house and to outside"+c.andFan())
	}
}

// placeOf finds a reading of the model in the sheet.
func (c *checker) placeOf(e zonal.ReadingEstimate) (sheet.Pos, string) {
	h, name := c.held[e.Hold].hold, c.model.Holds[e.Hold].Name
	switch e.Kind {
	case zonal.HouseReading:
		return h.House.Pos, name + ", house"
	case zonal.FanReading:
		return h.Fan.Pos, name + ", door fan"
	case zonal.SourceReading:
		for _, f := range h.Fans {
			if c.spaces[f.From.Name] == e.Of && c.spaces[f.To.Name] == e.To || len(h.Fans) == 1 {
				return f.Flow.Pos, name + ", further fan"
			}
		}
		return h.Pos, name
	}
	for _, x := range h.Readings {
		same := c.spaces[x.Of.Name] == e.Of && c.spaces[x.To.Name] == e.To || c.spaces[x.To.Name] == e.Of && c.spaces[x.Of.Name] == e.To
		if same && x.Flow.Given == (e.Kind == zonal.PathReading) {
			pos := x.Pressure.Pos
			if x.Flow.Given {
				pos = x.Flow.Pos
			}
			return pos, name + ", " + c.names[e.Of]
		}
	}
	return h.Pos, name
}
