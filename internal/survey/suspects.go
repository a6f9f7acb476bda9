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

// slipWords say what may have happened.
var slipWords = map[zonal.Slip]string{
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

// suspects reports whether the sheet holds together.
func (r *run) suspects() {
	s, err := r.estimate.Posterior.Suspect(zonal.Options{Workers: r.o.Workers})
	if err != nil {
		r.notice(Note, "", "whether the readings fit each other could not be judged")
		return
	}
	for i := range r.f.Readings {
		if i < len(s.Checks) {
			r.f.Readings[i].Checkable = s.Checks[i].Checkable
		}
	}
	if k := r.loneFan(s); k >= 0 {
		r.notice(Note, r.model.Holds[k].Name+", door fan", "%s; read %s", loneText, r.again(k))
	}
	if !s.Suspect {
		return
	}
	out := Suspect{Slip: slipWords[s.Slip]}
	switch {
	case s.Reading >= 0 && s.Reading < len(r.f.Readings):
		x := r.f.Readings[s.Reading]
		out.Hold, out.Of, out.To = x.Hold, x.Of, x.To
		out.Text = fmt.Sprintf("this reading does not fit the others; %s", out.Slip)
	case s.Hold >= 0:
		out.Hold = r.model.Holds[s.Hold].Name
		out.Text = fmt.Sprintf("this hold does not fit the others; %s", out.Slip)
	default:
		out.Slip, out.Text = "", "the readings do not fit each other, and no single one can be named; read the zones to house and to outside again"+r.andFan()
	}
	if s.Without != nil {
		out.Without = r.pathsOf(s.Without)
		if r.f.House.Flow50 != nil {
			r.f.House.Without = r.flow(s.Without.Flow50)
		}
	}
	r.f.House.Doubt = joined(suspectAbout(out), out.Text)
	r.f.Suspects = append(r.f.Suspects, out)
	r.notice(Warning, suspectAbout(out), "%s", out.Text)
}

// andFan adds the fan to what is to be read again: where no reading is named, one of the
// fan may be to blame as well as one of a zone.
func (r *run) andFan() string {
	if r.fans() == 0 {
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
func (r *run) pathsOf(e *zonal.Estimate) []Path {
	var list []Path
	for i, p := range e.Paths {
		q := r.model.Paths[i]
		if untouched(q.Flow50, p.Flow50) {
			continue
		}
		list = append(list, Path{Between: r.pair(q.A, q.B), Flow50: r.flow(p.Flow50), Resolved: p.Resolved, MostlyPrior: p.MostlyPrior})
	}
	return list
}
