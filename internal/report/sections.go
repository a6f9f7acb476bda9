package report

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"unicode/utf8"

	"holdbook/internal/survey"
	"holdbook/units"
)

// findings puts the parts of a report in the order they are needed in beside
// the fan: what is dangerous, the house in a line, what does not fit, where the
// air goes, what to seal; the record comes last. f has been cleaned.
func findings(f *survey.Findings, o Options) *Document {
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

// heading names the job. It is never blank, so that a report has a title.
func heading(j survey.Job) Section {
	s := Section{ID: "job", Heading: title(j), Lead: recordLines(j)}
	if j.Invented {
		s.Lead = append([]string{"Invented for demonstration: not a real house."}, s.Lead...)
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

// airChanges says "9.4 air changes an hour (9.1–9.8)".
func airChanges(q *survey.Q) string {
	v, i := texts(q)
	v += " air changes an hour"
	if i != "" {
		v += " (" + i + ")"
	}
	return v
}

func sentence(s string) string {
	_, n := utf8.DecodeRuneInString(s)
	return strings.ToUpper(s[:n]) + s[n:]
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
	s := fmt.Sprintf("%d %s used", used, plural(used, "hold", "holds"))
	if used > 0 {
		p := fmt.Sprintf("%.1f", low)
		if high-low > 0.05 {
			p = span(p, fmt.Sprintf("%.1f", high))
		}
		s += fmt.Sprintf(", house %s Pa %s outdoors", p, map[bool]string{true: "above", false: "below"}[f.Job.Hold == "pressurised"])
	}
	if f.Method.Status != "" && f.Method.Status != "converged" {
		s += "; the estimate did not settle: " + f.Method.Status
	}
	return s + "."
}

func plural(n int, one, many string) string {
	if n == 1 {
		return one
	}
	return many
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

// joinWords joins what is not empty.
func joinWords(sep string, words ...string) string {
	return strings.Join(slices.DeleteFunc(slices.Clone(words), func(s string) bool { return s == "" }), sep)
}

func pressureName(of, to string) string {
	if to == "" {
		return of
	}
	return of + " to " + to
}

// zones says where the air goes.
func zones(f *survey.Findings, n *footnotes, o Options) Section {
	s := Section{ID: "zones", Heading: "Where the air goes, house at 50 Pa"}
	s.Table = NewTable(Column{Head: "zone"},
		Column{Head: "to house", Kind: Interval},
		Column{Head: "connection", Kind: Interval},
		Column{Head: "through-flow", Kind: Interval})
	if o.full {
		s.Table.Columns = append(s.Table.Columns, Column{Head: "house leak : outside leak", Kind: Interval}, Column{Head: "meant"})
	}
	for _, z := range f.Zones {
		s.Table.Add(Say(z.Name+n.mark(z.Name)), Est(z.ToHouse), Est(z.ConnectionFraction), EstIf(z.ThroughFlow50, z.Resolved))
		if o.full {
			last := len(s.Table.rows) - 1
			s.Table.rows[last] = append(s.Table.rows[last], EstIf(z.LeakRatio, z.Near == ""), sayIf(z.Meant))
		}
	}
	if s.Table.Rows() == 0 {
		return s
	}
	s.After = append(s.After, "To house: as estimated from all readings together, which moves a reading within its own error. Connection fraction: 0 the zone is outdoors, 1 it is indoors.")
	for _, z := range f.Zones {
		if z.Near != "" {
			s.After = append(s.After, fmt.Sprintf("%s reads within 2 Pa of %s: the ratio of its two leaks is only bounded.",
				z.Name, theSpace(z.Near)))
		}
	}
	return s
}

func theSpace(name string) string {
	if name == "house" {
		return "the house"
	}
	return name
}

// each is one estimate out of every element of a list.
func each[T any](list []T, pick func(T) *survey.Q) []*survey.Q {
	var out []*survey.Q
	for _, e := range list {
		out = append(out, pick(e))
	}
	return out
}

// bySize puts the paths that are resolved first, the largest on top. Those that
// need a note are no leaks to compare with (open registers) and stand last.
func bySize(list []survey.Path) []survey.Path {
	out := slices.Clone(list)
	slices.SortStableFunc(out, func(a, b survey.Path) int {
		for _, first := range [][2]bool{{a.Note == "", b.Note == ""}, {a.Resolved, b.Resolved}} {
			if first[0] != first[1] {
				return map[bool]int{true: -1, false: 1}[first[0]]
			}
		}
		return compareSize(b.Flow50, a.Flow50)
	})
	return out
}

func compareSize(a, b *survey.Q) int {
	size := func(q *survey.Q) float64 {
		if q == nil {
			return -1
		}
		return q.Value
	}
	switch x, y := size(a), size(b); {
	case x < y:
		return -1
	case x > y:
		return 1
	}
	return 0
}

// paths is the leaks by size.
func paths(f *survey.Findings, n *footnotes, o Options) Section {
	s := Section{ID: "paths", Heading: "Leaks by size"}
	all := bySize(f.Paths)
	list := all
	if !o.Working && !o.full {
		list = worthARow(f, all)
	}
	flows := each(list, func(p survey.Path) *survey.Q { return p.Flow50 })
	areas := each(list, func(p survey.Path) *survey.Q { return p.Area4 })
	s.Table = NewTable(Column{Head: "between"}, Column{Head: "size at 50 Pa", Kind: Interval},
		Column{Head: "area at 4 Pa", Kind: Interval}, Column{Head: "low ─●─ high", Kind: Picture})
	if o.Working || o.full {
		s.Table.Columns[3] = Column{Head: "exponent", Kind: Interval}
	}
	if o.full {
		s.Table.Columns = slices.Insert(s.Table.Columns, 2, Column{Head: "house at 50 Pa", Kind: Interval})
	}
	bars := newBars(flows)
	for i, p := range list {
		row := []Cell{Say(pathName(p) + n.mark(between(p.Between))), EstIf(p.Flow50, p.Resolved), EstIf(p.Area4, p.Resolved)}
		if !p.Resolved {
			row[2] = Cell{} // its size says it
		}
		if o.full {
			row = slices.Insert(row, 2, EstIf(flowNow(p), p.Resolved))
		}
		if o.Working || o.full {
			row = append(row, Est(p.Exponent))
		} else {
			row = append(row, Cell{value: bars.draw(flows[i], p.Resolved), free: true})
		}
		s.Table.Add(row...)
	}
	s.After = pathNotes(all, list, areas)
	return s
}

// openRegisters is the note of the path between ducts and house as found.
const openRegisters = "registers, open"

// worthARow leaves out the paths that a reader beside the fan has no use for:
// those without a number, open registers that are only known to be wide, and
// the one leak of a house that has no other, which is told as the house.
func worthARow(f *survey.Findings, list []survey.Path) []survey.Path {
	if len(list) == 1 && isBetween(list[0], "house", "outside") && f.House.Flow50 != nil {
		return nil
	}
	return slices.DeleteFunc(slices.Clone(list), func(p survey.Path) bool {
		return p.Flow50 == nil && p.Area4 == nil || p.Note == openRegisters && !p.Resolved
	})
}

func pathName(p survey.Path) string {
	if p.Note == "" {
		return between(p.Between)
	}
	return between(p.Between) + ", " + p.Note
}

// pathNotes explains the rows of list, and tells of all paths which of them the
// readings hardly touch: those have been left out of list, or are mostly prior.
func pathNotes(all, list []survey.Path, areas []*survey.Q) []string {
	if len(list) == 0 {
		return nil
	}
	if !slices.ContainsFunc(list, func(p survey.Path) bool { return p.Resolved }) {
		areas = nil // none is printed
	}
	notes := []string{"Size: what each leak alone passes with 50 Pa across it." + areaBasis(areas...)}
	var prior, absent []string
	for _, p := range all {
		switch {
		case p.MostlyPrior && slices.ContainsFunc(list, func(q survey.Path) bool { return pathName(q) == pathName(p) }):
			prior = append(prior, pathName(p))
		case p.MostlyPrior:
			absent = append(absent, pathName(p))
		}
	}
	if len(prior) > 0 {
		notes = append(notes, "Mostly prior, hardly touched by the readings: "+strings.Join(prior, "; ")+".")
	}
	if len(absent) > 0 {
		notes = append(notes, "Left out, for the readings say nothing of its size: "+strings.Join(absent, "; ")+".")
	}
	return notes
}

// areaBasis names the pressure and coefficient of areas, as every area must.
func areaBasis(areas ...*survey.Q) string {
	for _, a := range areas {
		if a != nil && a.Coefficient > 0 {
			at := ""
			if a.Pressure > 0 {
				at = " at " + number(a.Pressure) + " Pa"
			}
			return fmt.Sprintf(" Areas%s with discharge coefficient %s.", at, coefficient(a.Coefficient))
		}
	}
	return ""
}

// coefficient prints a discharge coefficient as the trade writes it: 1.0,
// 0.611, 0.60.
func coefficient(c float64) string {
	s := number(c)
	switch {
	case !strings.Contains(s, "."):
		return s + ".0"
	case len(s) == len("0.6"):
		return s + "0"
	}
	return s
}

// middleRests says what a reading to expect rests on where what is sealed is not resolved.
func middleRests(list []survey.SealChoice) string {
	if slices.ContainsFunc(list, func(c survey.SealChoice) bool { return !c.Direct && !bounded(c.Drop50) }) {
		return "; where the fall is not resolved only its interval counts, the middle rests on what houses usually are"
	}
	return ""
}

// seal is what to seal first.
func seal(f *survey.Findings, n *footnotes) Section {
	s := Section{ID: "seal", Heading: "Seal first"}
	hours := each(f.SealFirst, func(c survey.SealChoice) *survey.Q { return c.DropPerHour })
	perHour := strings.TrimSuffix(unitOf(hours...), "/h") // the header says the hour
	falls := fallsHead(n)
	s.Table = NewTable(Column{Head: "step", Kind: Numbers}, Column{Head: "seal"}, Column{Head: falls, Kind: Interval},
		Column{Head: "best", Unit: "%", Kind: Numbers}, Column{Head: "fan then", Kind: Interval}, Column{Head: "per hour of work", Unit: perHour, Kind: Interval})
	for _, c := range sealOrder(f.SealFirst) {
		step, chance, then := Num(fmt.Sprint(c.Step)), Num(units.Chance(c.ChanceFirst)), Est(fanThen(c))
		if c.Step == 0 {
			step = Cell{}
		}
		if c.Direct {
			chance, then = Cell{}, Cell{} // no step of the order, after which the fan could be read
		}
		s.Table.Add(step, Say(joinWords(": ", sealName(c), c.Note)), EstIf(c.Drop50, bounded(c.Drop50)), chance, then,
			EstIf(c.DropPerHour, bounded(c.DropPerHour)))
	}
	if len(f.SealFirst) > 0 {
		legend := sentence(falls) + ": at 50 Pa, this one alone sealed. Step: the largest further fall first, by the middle of its interval. Best: chance that it saves most."
		if slices.ContainsFunc(f.SealFirst, func(c survey.SealChoice) bool { return fanThen(c) != nil }) {
			legend += " Fan then: reading to expect after this step and those before it" + middleRests(f.SealFirst) + "."
		}
		if falls == flowFalls {
			legend += " The fall is of the flow, not of gauge readings: see the notice on fan readings."
		}
		s.After = []string{legend}
	}
	return s
}

// flowFalls heads falls of a flow that the fan's gauge does not show as it is.
const flowFalls = "flow falls by"

// fallsHead names the fall of the flow at 50 Pa: where the fan's gauge shows
// another number than the flow, it is not by that that the fan falls.
func fallsHead(n *footnotes) string {
	if n.find(survey.FanReadings) != "" {
		return flowFalls
	}
	return "fan falls by"
}

// bounded is whether an interval is narrow enough for its middle to be a size.
func bounded(q *survey.Q) bool { return q == nil || !units.FactorsApart(q.Low, q.High) }

func sealName(c survey.SealChoice) string {
	if c.What != "" {
		return c.What
	}
	if c.Direct {
		return between(c.Between) + ", not one job"
	}
	return between(c.Between)
}

func fanThen(c survey.SealChoice) *survey.Q {
	if c.FanAtStep != nil {
		return c.FanAtStep
	}
	return c.FanAfter
}

// sealOrder is the choices by step, then those outside the order.
func sealOrder(list []survey.SealChoice) []survey.SealChoice {
	out := slices.Clone(list)
	key := func(c survey.SealChoice) int {
		switch {
		case c.Direct:
			return math.MaxInt
		case c.Step == 0:
			return math.MaxInt - 1
		}
		return c.Step
	}
	slices.SortStableFunc(out, func(a, b survey.SealChoice) int {
		x, y := key(a), key(b)
		switch {
		case x < y:
			return -1
		case x > y:
			return 1
		}
		return 0
	})
	return out
}
