package survey

import (
	"fmt"

	"holdbook/internal/sheet"
	"holdbook/units"
	"holdbook/zonal"
)

// Suspect is a reading that does not fit, with the likely slip.
type Suspect struct {
	Hold    string `json:"hold,omitempty"`
	Of      string `json:"of,omitempty"`
	To      string `json:"to,omitempty"`
	Slip    string `json:"slip,omitempty"`
	Text    string `json:"text"`
	Without []Path `json:"without,omitempty"` // the paths estimated without it
	// Boundary is between two spaces that nobody said to touch, where a leak there
	// explains the readings; With are the paths estimated with it.
	Boundary []string `json:"boundary,omitempty"`
	With     []Path   `json:"with,omitempty"`
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
	if readings, sizes := Unchecked(c, e, s); len(readings) > 0 {
		log.Notice(Note, "", "%s: read again", UncheckedText(readings, sizes))
	}
	if !s.Suspect {
		return nil, nil
	}
	out := suspectOf(c, e, s)
	if s.Without != nil {
		out.Without, without = pathsOf(c, c.Estimated, s.Without), Flow(s.Without.Flow50)
	}
	log.Notice(Warning, suspectAbout(out), "%s", out.Text)
	return []Suspect{out}, without
}

// Doubt says which readings do not fit each other, and what to read again; "" where they
// fit, or where that could not be judged.
func Doubt(c *Case, post *zonal.Posterior, o Options) string {
	s, err := post.Suspect(o.inference())
	if err != nil || !s.Suspect {
		return ""
	}
	e, err := post.Estimate()
	if err != nil {
		return ""
	}
	out := suspectOf(c, e, s)
	return joinedText(suspectAbout(out), out.Text)
}

// suspectOf names what is suspect, and what may be the matter with it.
func suspectOf(c *Case, e *zonal.Estimate, s *zonal.Suspicion) Suspect {
	out := Suspect{Slip: SlipWords[s.Slip]}
	switch {
	case s.Reading >= 0 && s.Reading < len(e.Readings):
		x := e.Readings[s.Reading]
		out.Hold = c.Estimated.Holds[x.Hold].Name
		out.Of, out.To = readingOf(c, x)
		out.Text = fmt.Sprintf("this reading does not fit the others; %s", out.Slip)
	case s.Hold >= 0:
		out.Hold = c.Estimated.Holds[s.Hold].Name
		out.Text = fmt.Sprintf("this hold does not fit the others; %s", out.Slip)
	case s.Missing != nil:
		pair := c.Pair(s.Missing.A, s.Missing.B)
		out.Slip, out.Text, out.Boundary, out.With = "", MissingText(c, s.Missing), pair[:], pathsOf(c, s.Missing.Model, s.Missing.With)
	default:
		out.Slip, out.Text = "", "the readings do not fit each other, and no single one can be named; read the zones to house and to outside again"+AndFan(c)
	}
	return out
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

// MissingText names a boundary that nobody spoke of and that explains the readings.
func MissingText(c *Case, b *zonal.Boundary) string {
	from, to := b.A, b.B
	if from <= zonal.Outside { // a zone leaks to the house or to outdoors, not they to it
		from, to = to, from
	}
	return fmt.Sprintf("the readings do not fit each other as the sheet has the house; they fit if %s also leaks to %s: look there, and say so in `touches`", TheName(c, from), TheName(c, to))
}

// TheName is the name of a space with its article, as a reader sees it.
func TheName(c *Case, id zonal.SpaceID) string {
	if id == zonal.Outside {
		return sheet.OutsideName
	}
	return "the " + units.Sanitize(c.Names[id])
}

// pathsOf are the leaks of another estimate of the house, by a model of it.
func pathsOf(c *Case, m *zonal.Model, e *zonal.Estimate) []Path {
	var list []Path
	for i, p := range e.Paths {
		q := m.Paths[i]
		if Untouched(q.Flow50, p.Flow50) {
			continue
		}
		list = append(list, Path{Between: c.Pair(q.A, q.B), Flow50: Flow(p.Flow50), Resolved: p.Resolved, MostlyPrior: p.MostlyPrior})
	}
	return list
}
