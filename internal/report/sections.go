package report

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"holdbook/internal/survey"
	"holdbook/units"
)

// compose puts the parts of a report in the order they are wanted in: the answer, what
// does not fit, where the air goes, what to seal, the ducts, the rest. What only shows how
// the answer came about is left to the working. f has been cleaned.
func compose(f *survey.Findings, o Options) *Document {
	notes := newFootnotes(beside(f, o))
	d := &Document{}
	add := func(s ...Section) { d.Sections = append(d.Sections, s...) }
	add(heading(f.Job), summary(f), dangers(notes), suspects(f), zones(f, notes, o), paths(f, notes, o), seal(f, notes))
	add(caz(f))
	add(ducts(f, o)...)
	add(openings(f, o), ventilation(f))
	if o.record() || len(f.Zones) == 0 { // the house by itself is what there is to tell
		add(house(f), multiPoint(f.House.MultiPoint, "multi-point"), multiPoint(f.House.Opposite, "multi-point-opposite"))
	} else {
		add(multiPointLine(f))
	}
	if o.record() {
		add(hand(f), limits(f))
	}
	add(directions(f), standards(namedStandards(f, o)), notices(notes))
	if o.Working {
		add(working(f), samples(f), readings(f, notes))
	}
	if o.Priors {
		add(priors(f))
	}
	if o.record() {
		add(record(f, notes))
	}
	if o.Record || o.full {
		add(testRecord(f)...)
	}
	return d
}

// record tells whether the record of the holds and of the methods is printed.
func (o Options) record() bool { return o.Working || o.full || o.Record }

// foreground is the notices that a reader acts on; with the working it is all of them.
func foreground(list []survey.Notice, o Options) []survey.Notice {
	if o.record() {
		return list
	}
	return slices.DeleteFunc(slices.Clone(list), func(n survey.Notice) bool { return n.Background })
}

// beside are the notices that say more than the answer on top does.
func beside(f *survey.Findings, o Options) []survey.Notice {
	return slices.DeleteFunc(slices.Clone(foreground(f.Notices, o)), func(n survey.Notice) bool {
		return f.House.Doubt != "" && n.Level == survey.Warning && strings.HasSuffix(f.House.Doubt, n.Text)
	})
}

// invented marks a sheet whose readings nobody took.
const invented = "Invented for demonstration: not a real house."

// heading names the job. It is never blank, so that a report has a title.
func heading(j survey.Job) Section {
	s := Section{ID: "job", Heading: title(j)}
	if j.Note != "" {
		s.Lead = append(s.Lead, j.Note)
	}
	if j.Invented {
		s.Lead = append([]string{invented}, s.Lead...)
	}
	return s
}

// summary is the answer: the leakage, whether it meets what it should, and through
// where it goes.
func summary(f *survey.Findings) Section {
	s := Section{ID: "summary"}
	if len(f.Holds) == 0 && f.House.Flow50 == nil {
		return s // a duct test by itself: there is no house to tell of
	}
	s.Lead = []string{houseLine(f.House, holdsUsed(f))}
	if f.InState != nil {
		s.Lead = append(s.Lead, stateLine(f.InState))
	}
	if f.House.Doubt != "" {
		s.Lead = append(s.Lead, doubtLine(f.House))
	}
	if line := sharesLine(f); line != "" {
		s.Lead = append(s.Lead, line)
	}
	s.Lead = append(append(s.Lead, verdictLines(f)...), holdLine(f))
	return s
}

// verdictLines say of the target and of each limit whether it is met.
func verdictLines(f *survey.Findings) (list []string) {
	if t := f.Target; t != nil {
		aim := inline(&t.Flow50)
		if t.AirChanges50 != nil {
			aim = airChanges(t.AirChanges50)
		}
		list = append(list, fmt.Sprintf("Target %s: %s.", aim, verdictWords(t.Verdict, t.Chance)))
	}
	for _, l := range f.Limits {
		list = append(list, fmt.Sprintf("%s: %s, %s; wanted %s (%s).", sentence(limited(l)), inline(l.Result),
			verdictWords(l.Verdict, l.Chance), l.Limit, joinWords(" ", l.Document, l.Edition)))
	}
	if len(f.Limits) > 0 {
		list[len(list)-1] += " No certificate."
	}
	return list
}

// verdictWords say whether a target or limit is met, and with which chance.
func verdictWords(verdict string, chance float64) string {
	words := cmp.Or(map[string]string{"meets": "met", "fails": "not met"}[verdict], verdict)
	return fmt.Sprintf("%s (chance %s %%)", words, units.Chance(chance))
}

// limited is what a limit is of; a space of the plain name of its kind is not named again.
func limited(l survey.LimitCheck) string { return strings.TrimSuffix(quantity(l.Quantity), ", garage") }

// sharesLine tells through where the leakage goes, the largest share first.
func sharesLine(f *survey.Findings) string {
	var known, bounds []string
	for _, x := range shares(f) {
		if x.resolved {
			known = append(known, inline(x.share)+" "+x.name)
			continue
		}
		_, i := texts(x.share)
		bounds = append(bounds, units.Put(i, x.share.Unit)+" "+x.name)
	}
	line := joinWords("; ", strings.Join(known, ", "), prefixed("not resolved: ", strings.Join(bounds, ", ")))
	if line == "" {
		return ""
	}
	return "Of it " + line + "."
}

// portion is the share of the leakage that takes one way into the house.
type portion struct {
	name     string
	share    *survey.Q
	resolved bool
}

// shares are the ways into the house with their shares of the leakage, those that are
// resolved first, the largest first.
func shares(f *survey.Findings) (list []portion) {
	for _, z := range f.Zones {
		if z.Share != nil {
			list = append(list, portion{"through the " + z.Name, z.Share, z.Resolved})
		}
	}
	if d := f.House.DirectShare; d != nil && len(list) > 0 {
		list = append(list, portion{"straight from outside", d, bounded(d)})
	}
	slices.SortStableFunc(list, func(a, b portion) int {
		if a.resolved != b.resolved {
			return map[bool]int{true: -1, false: 1}[a.resolved]
		}
		return cmp.Compare(b.share.Value, a.share.Value)
	})
	return list
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
	if h.ExteriorOnly != nil {
		parts = append(parts, "to outdoors alone "+inline(h.ExteriorOnly)+" at 50 Pa, neighbours held level")
	}
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
	return sentence(strings.Join(parts, "; ")) + "."
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
	return s + "; in brackets 90 % intervals."
}

// dangers have no heading: each says what it is.
func dangers(n *footnotes) Section {
	return Section{ID: "danger", Notices: n.level(survey.Danger)}
}

func notices(n *footnotes) Section {
	return Section{ID: "notices", Heading: "Notices",
		Notices: append(n.level(survey.Warning), n.level(survey.Note)...)}
}

// suspects are the readings that do not fit, but for what the answer on top says of them.
func suspects(f *survey.Findings) Section {
	s := Section{ID: "suspects", Heading: "A reading that does not fit"}
	for _, x := range f.Suspects {
		about := joinWords(", ", x.Hold, pressureName(x.Of, x.To))
		if about == "" {
			x.Text = sentence(x.Text)
		}
		if !strings.HasSuffix(f.House.Doubt, x.Text) {
			s.Lead = append(s.Lead, joinWords(": ", about, x.Text))
		}
		for _, p := range x.Without {
			s.Lead = append(s.Lead, "Without it: "+between(p.Between)+" "+inlineIf(p.Flow50, p.Resolved, p.Bound)+" at 50 Pa.")
		}
		for _, p := range x.With {
			s.Lead = append(s.Lead, "With it: "+between(p.Between)+" "+inlineIf(p.Flow50, p.Resolved, p.Bound)+" at 50 Pa.")
		}
	}
	return s
}
