package check

import (
	"math"

	"holdbook/internal/sheet"
	"holdbook/internal/survey"
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

// misfits has the joint estimate judge whether the readings fit each other. The estimate is
// nil where there is none, and so are the checks of its readings.
func misfits(c *survey.Case, out *slips, o survey.Options) (*zonal.Estimate, []zonal.Check) {
	e, err := survey.Solve(c, o)
	if err != nil {
		out.say(Blocks, sheet.Pos{}, "", "no house explains these readings together", "each hold by itself: check a sheet with one hold less")
		return nil, nil
	}
	if e == nil {
		return nil, nil
	}
	s, err := e.Posterior.Suspect(zonal.Options{Workers: o.Workers, CurvatureOnly: true})
	if err != nil {
		return e, nil
	}
	noteLoneFan(c, e, out, s)
	if readings, sizes := survey.Unchecked(c, e, s); len(readings) > 0 {
		out.say(Remarks, sheet.Pos{}, "", survey.UncheckedText(readings, sizes), "each again, or to outside too")
	}
	if s.Suspect {
		sayMisfit(c, e, out, s)
	}
	return e, s.Checks
}

// sayMisfit places a suspicion.
func sayMisfit(c *survey.Case, e *zonal.Estimate, out *slips, s *zonal.Suspicion) {
	level := Remarks
	if clearlyMisfits(s) {
		level = Warns
	}
	switch {
	case s.Reading >= 0:
		reading := e.Readings[s.Reading]
		if h, _ := c.HoldPlace(reading.Hold); out.doubt[h.Pos] {
			return
		}
		pos, about := placeOf(c, reading)
		if out.said(pos) {
			return
		}
		out.doubtful(level, pos, about, "it does not fit the other readings; "+survey.SlipWords[s.Slip], "this reading first")
	case s.Hold >= 0:
		h, name := c.HoldPlace(s.Hold)
		if out.doubt[h.Pos] {
			return
		}
		out.doubtful(level, h.Pos, name, "the hold does not fit the others; "+survey.SlipWords[s.Slip], "what was open, shut or covered in it")
	case s.Missing != nil:
		out.doubtful(level, sheet.Pos{}, "", survey.MissingText(c, s.Missing), "whether air can go from one to the other")
	default:
		worstMisfit(c, e, out, level, s)
	}
}

// countChecked tells how many readings have others to check them.
func countChecked(checks []zonal.Check) (read, checked int) {
	for _, k := range checks {
		if k.Checkable {
			checked++
		}
	}
	return len(checks), checked
}

// noteLoneFan notes a fan flow that alone says how large the leakage of the house is.
func noteLoneFan(c *survey.Case, e *zonal.Estimate, out *slips, s *zonal.Suspicion) {
	k := survey.LoneFan(c, e, s)
	if k < 0 || out.said(c.Held[k].Hold.Fan.Pos) {
		return
	}
	out.say(Remarks, c.Held[k].Hold.Fan.Pos, c.Model.Holds[k].Name+", door fan", survey.LoneText, survey.ReadAgain(c, k))
}

// clearlyMisfits tells whether a suspicion is one that a good sheet hardly ever raises.
func clearlyMisfits(s *zonal.Suspicion) bool {
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

// worstMisfit places a suspicion that names no single reading at the one furthest
// off. Two fan flows of one state that are told apart already explain it better.
func worstMisfit(c *survey.Case, e *zonal.Estimate, out *slips, level Level, s *zonal.Suspicion) {
	if out.unlike == Warns || out.unlike == level {
		return
	}
	most, at := 0.0, -1
	for _, k := range s.Checks {
		if off := math.Abs(k.Off); off > most && k.Reading < len(e.Readings) {
			most, at = off, k.Reading
		}
	}
	if at < 0 {
		out.doubtful(level, sheet.Pos{}, "", "the readings do not fit each other, and no single one can be named", "the zones again, to house and to outside"+survey.AndFan(c))
		return
	}
	pos, about := placeOf(c, e.Readings[at])
	if !out.said(pos) {
		out.doubtful(level, pos, about, "the readings do not fit each other; this one is furthest off, but it need not be the one", "this reading and the other zones, to house and to outside"+survey.AndFan(c))
	}
}

// placeOf finds a reading of the model in the sheet.
func placeOf(c *survey.Case, e zonal.ReadingEstimate) (sheet.Pos, string) {
	h, name := c.HoldPlace(e.Hold)
	if e.Hold >= len(c.Held) && e.Kind != zonal.SourceReading {
		return c.BaselineAt(e.Hold, e.Of, e.To), name + ", " + c.Names[e.Of]
	}
	switch e.Kind {
	case zonal.HouseReading:
		return h.House.Pos, name + ", house"
	case zonal.FanReading:
		return h.Fan.Pos, name + ", door fan"
	case zonal.SourceReading:
		for _, f := range h.Fans {
			if c.Spaces[f.From.Name] == e.Of && c.Spaces[f.To.Name] == e.To || len(h.Fans) == 1 {
				return f.Flow.Pos, name + ", further fan"
			}
		}
		return h.Pos, name
	}
	for _, x := range h.Readings {
		same := c.Spaces[x.Of.Name] == e.Of && c.Spaces[x.To.Name] == e.To || c.Spaces[x.To.Name] == e.Of && c.Spaces[x.Of.Name] == e.To
		if same && x.Flow.Given == (e.Kind == zonal.PathReading) {
			pos := x.Pressure.Pos
			if x.Flow.Given {
				pos = x.Flow.Pos
			}
			return pos, name + ", " + c.Names[e.Of]
		}
	}
	return h.Pos, name
}
