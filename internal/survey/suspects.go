package survey

import (
	"cmp"
	"fmt"
	"slices"

	"holdbook/zonal"
)

// sortChoices puts the best order first and the direct leaks last.
func sortChoices(list []SealChoice) {
	slices.SortStableFunc(list, func(a, b SealChoice) int {
		if a.Direct != b.Direct {
			if a.Direct {
				return 1
			}
			return -1
		}
		return cmp.Compare(a.Step, b.Step)
	})
}

// SlipWords say what may have happened.
var SlipWords = map[zonal.Slip]string{
	zonal.NoSlip:      "read it again",
	zonal.SignSlip:    "the hoses may have been the other way round",
	zonal.TapSlip:     "it may have been read to the other reference (outside for house, or the reverse)",
	zonal.TenTimes:    "it may be ten times too large",
	zonal.TenthOf:     "it may be ten times too small",
	zonal.InchesSlip:  "it may be in inches of water",
	zonal.LitresSlip:  "it may be in L/s, not cfm",
	zonal.FeetSlip:    "it may be in cfm, not L/s",
	zonal.OpeningSlip: "the openings of this hold may not be as stated",
}

// judge has the readings held against each other; nil where that could not be done.
func judge(e *zonal.Estimate, log *Log, o Options) *zonal.Suspicion {
	s, err := e.Posterior.Suspect(o.inference())
	if err != nil {
		log.Notice(Note, "", "whether the readings fit each other could not be judged")
		return nil
	}
	return s
}

// suspectFindings are the readings that do not fit, and the house estimated without them.
func suspectFindings(c *Case, e *zonal.Estimate, s *zonal.Suspicion, log *Log) (list []Suspect, without *Q) {
	if s == nil {
		return nil, nil
	}
	if k := LoneFan(c, e, s); k >= 0 {
		log.Notice(Note, c.Model.Holds[k].Name+", door fan", "%s; read %s", LoneText, ReadAgain(c, k))
	}
	if !s.Suspect {
		return nil, nil
	}
	out := Suspect{Slip: SlipWords[s.Slip]}
	switch {
	case s.Reading >= 0 && s.Reading < len(e.Readings):
		x := e.Readings[s.Reading]
		out.Hold = c.Model.Holds[x.Hold].Name
		out.Of, out.To = readingOf(c, x)
		out.Text = fmt.Sprintf("this reading does not fit the others; %s", out.Slip)
	case s.Hold >= 0:
		out.Hold = c.Model.Holds[s.Hold].Name
		out.Text = fmt.Sprintf("this hold does not fit the others; %s", out.Slip)
	default:
		out.Slip, out.Text = "", "the readings do not fit each other, and no single one can be named; read the zones to house and to outside again"+AndFan(c)
	}
	if s.Without != nil {
		out.Without, without = pathsOf(c, s.Without), Flow(s.Without.Flow50)
	}
	log.Notice(Warning, suspectAbout(out), "%s", out.Text)
	return []Suspect{out}, without
}

// doubt says of the house that its readings do not fit; without is its leakage without what
// is to blame.
func (h *House) doubt(s Suspect, without *Q) {
	h.Doubt = joinedText(suspectAbout(s), s.Text)
	if h.Flow50 != nil {
		h.Without = without
	}
}

// AndFan adds the fan to what is to be read again: where no reading is named, one of the
// fan may be to blame as well as one of a zone.
func AndFan(c *Case) string {
	if !c.FanRead() {
		return ""
	}
	return ", and the fan"
}

// suspectAbout names what is suspect.
func suspectAbout(s Suspect) string {
	switch {
	case s.Of == "":
		return s.Hold
	case s.To == "":
		return s.Hold + ", " + s.Of
	}
	return fmt.Sprintf("%s, %s to %s", s.Hold, s.Of, s.To)
}

// pathsOf are the leaks of another estimate of the same model.
func pathsOf(c *Case, e *zonal.Estimate) []Path {
	var list []Path
	for i, p := range e.Paths {
		q := c.Model.Paths[i]
		if Untouched(q.Flow50, p.Flow50) {
			continue
		}
		list = append(list, Path{Between: c.Pair(q.A, q.B), Flow50: Flow(p.Flow50), Resolved: p.Resolved, MostlyPrior: p.MostlyPrior})
	}
	return list
}
