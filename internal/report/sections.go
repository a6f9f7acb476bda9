package report

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"holdbook/internal/survey"
	"holdbook/units"
)

// compose puts the parts of a report in the order they are needed in beside
// the fan: what is dangerous, the house in a line, what does not fit, where the
// air goes, what to seal; the record comes last. f has been cleaned.
func compose(f *survey.Findings, o Options) *Document {
	notes := newFootnotes(f.Notices)
	d := &Document{}
	add := func(s ...Section) { d.Sections = append(d.Sections, s...) }
	add(heading(f.Job), dangers(notes), summary(f), suspects(f), zones(f, notes, o), paths(f, notes, o), seal(f, notes))
	add(ducts(f, o)...)
	add(openings(f), house(f), multiPoint(f))
	if o.Working || len(f.Hand) <= shortList {
		add(hand(f))
	} else {
		add(Section{ID: "hand", Lead: []string{fmt.Sprintf("By hand: %d answers of the usual methods stand beside the estimate in --working.", len(f.Hand))}})
	}
	add(limits(f), ventilation(f), notices(notes))
	if o.Working {
		add(working(f), samples(f), readings(f, notes))
	}
	if o.Priors {
		add(priors(f))
	}
	add(record(f, notes))
	return d
}

// shortList is how many hand answers are shown without being asked for.
const shortList = 6

// invented marks a sheet whose readings nobody took.
const invented = "Invented for demonstration: not a real house."

// heading names the job. It is never blank, so that a report has a title.
func heading(j survey.Job) Section {
	s := Section{ID: "job", Heading: title(j), Lead: recordLines(j)}
	if j.Invented {
		s.Lead = append([]string{invented}, s.Lead...)
	}
	return s
}

// summary is the house and the hold in a few lines.
func summary(f *survey.Findings) Section {
	s := Section{ID: "summary"}
	if len(f.Holds) == 0 && f.House.Flow50 == nil {
		return s // a duct test by itself: there is no house to tell of
	}
	s.Lead = []string{houseLine(f.House, holdsUsed(f)), holdLine(f)}
	if f.House.Doubt != "" {
		s.Lead = slices.Insert(s.Lead, 1, doubtLine(f.House))
	}
	return s
}

func title(j survey.Job) string {
	name := j.Name
	if name == "" {
		name = "House"
	}
	if j.Date != "" {
		name += ", " + j.Date
	}
	return name
}

// noFlow is the house line where no fan flow was read.
func noFlow(used int) string {
	if used == 0 {
		return "Nothing has been read yet that an answer could rest on."
	}
	return "No door-fan flow was read: pressures and ratios only."
}

func houseLine(h survey.House, used int) string {
	var parts []string
	if h.Flow50 != nil {
		parts = append(parts, "leaks "+inline(h.Flow50)+" at 50 Pa")
	}
	if h.AirChanges50 != nil {
		parts = append(parts, airChanges(h.AirChanges50))
	}
	if h.LeakArea4 != nil {
		parts = append(parts, "leak area "+inline(h.LeakArea4)+" at 4 Pa")
	}
	if len(parts) == 0 {
		return noFlow(used)
	}
	return sentence(strings.Join(parts, "; ")) + ". In brackets: 90 % intervals."
}

// doubtLine stands beside a leakage that cannot be relied on.
func doubtLine(h survey.House) string {
	if h.Without == nil {
		return "Not to be relied on, nor are the areas: " + h.Doubt + "."
	}
	return "Not to be relied on, nor are the areas: " + h.Doubt + ". Without it: " + inline(h.Without) + " at 50 Pa."
}

// holdsUsed counts the holds that the answer rests on.
func holdsUsed(f *survey.Findings) (n int) {
	for _, h := range f.Holds {
		if h.Used {
			n++
		}
	}
	return n
}

// holdLine says how the house was held.
func holdLine(f *survey.Findings) string {
	used := holdsUsed(f)
	low, high := math.Inf(1), 0.0
	for _, h := range f.Holds {
		if h.Used {
			low, high = min(low, math.Abs(h.House)), max(high, math.Abs(h.House))
		}
	}
	s := count(used, "hold") + " used"
	if used > 0 {
		p := units.Fixed(low, 1)
		if high-low > 0.05 {
			p = span(p, units.Fixed(high, 1))
		}
		s += fmt.Sprintf(", house %s Pa %s outdoors", p, map[bool]string{true: "above", false: "below"}[f.Job.Hold == "pressurised"])
	}
	if f.Method.Status != "" && f.Method.Status != "converged" {
		s += "; the estimate did not settle: " + f.Method.Status
	}
	return s + "."
}

// dangers have no heading: each says what it is.
func dangers(n *footnotes) Section {
	return Section{ID: "danger", Notices: n.level(survey.Danger)}
}

func notices(n *footnotes) Section {
	return Section{ID: "notices", Heading: "Notices",
		Notices: append(n.level(survey.Warning), n.level(survey.Note)...)}
}

func suspects(f *survey.Findings) Section {
	s := Section{ID: "suspects", Heading: "A reading that does not fit"}
	for _, x := range f.Suspects {
		about := joinWords(", ", x.Hold, pressureName(x.Of, x.To))
		if about == "" {
			x.Text = sentence(x.Text)
		}
		s.Lead = append(s.Lead, joinWords(": ", about, x.Text))
		for _, p := range x.Without {
			s.Lead = append(s.Lead, "Without it: "+between(p.Between)+" "+inlineIf(p.Flow50, p.Resolved)+" at 50 Pa.")
		}
	}
	return s
}
