package report

import (
	"cmp"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"

	"holdbook/ductleak"
	"holdbook/internal/check"
	"holdbook/internal/sheet"
	"holdbook/internal/survey"
	"holdbook/units"
)

// Quick is what somebody beside the fan is answered: what the readings say, what looks
// like a slip in them, and what to do next.
type Quick struct {
	Findings *survey.Findings
	Check    *check.Report
	Next     *Step  // nil where nothing would tell more
	Enough   string // what is said in its place
	After    string // what to mind afterwards
	Ducts    bool   // it was asked about the ducts, which come first
}

// Step is what resolves what is left open.
type Step struct {
	Minutes float64 // 0 where it takes no further hold
	What    string
	Caution string
	Line    string // to type, with a "…" for each number to be read
}

// How many of them fit on a screen of 24 lines.
const (
	mostSlips     = 2
	mostRemarks   = 2
	mostRegisters = 8
)

// WriteQuick writes the answer as Text, Markdown or Parts, followed by the report where its
// working or its priors are asked for; in another format the report alone.
func WriteQuick(w io.Writer, q Quick, format Format, o Options) error {
	if format != Text && format != Markdown && format != Parts {
		return Write(w, q.Findings, format, o)
	}
	f, err := printed(q.Findings)
	if err != nil {
		return err
	}
	q.Findings = f
	d := &Document{Sections: []Section{q.first(), q.answer(), q.next()}}
	if o.Working {
		d.Sections = append(d.Sections, verdictTable())
	}
	if o.Working || o.Priors {
		d.Sections = append(d.Sections, compose(f, o).Sections...)
	}
	return d.Write(w, format, o)
}

// first is what is dangerous, in one line, and what looks like a slip.
func (q Quick) first() Section {
	s := Section{ID: "first"}
	if slices.ContainsFunc(q.Findings.Notices, func(n survey.Notice) bool { return n.Level == survey.Danger }) {
		line := "Danger: combustion appliances off in every hold; local code comes first."
		if slices.ContainsFunc(q.Findings.Zones, func(z survey.Zone) bool { return z.Kind == string(sheet.Garage) }) {
			line = "Danger: combustion appliances off, garage without engines; local code first."
		}
		s.Lead = append(s.Lead, q.dangers(line)...)
	}
	left := 0
	for _, i := range q.Check.Items {
		switch {
		case i.Level == check.Remarks && !i.Doubt:
		case len(s.After) == mostSlips:
			left++
		default:
			s.After = append(s.After, "Look first: "+joinWords("; ", q.about(i), "look at "+cmp.Or(i.Look, "it again"))+".")
		}
	}
	if left > 0 {
		s.After = append(s.After, fmt.Sprintf("Look first: %d more, which holdbook check lists.", left))
	}
	return s
}

// about is what an item is about and what it says; the one hold there is needs no name.
func (q Quick) about(i check.Item) string {
	about := i.About
	if rest, found := strings.CutPrefix(about, "as found"); found && len(q.Findings.Holds) == 1 {
		about = strings.TrimPrefix(rest, ", ")
	}
	return joinWords(": ", about, i.Text)
}

// answer is a row for the ducts, the house and each space that was read.
func (q Quick) answer() Section {
	s := Section{ID: "answer", Table: NewTable(Column{}, Column{})}
	rows := q.worstCases()
	if h := q.house(); h != "" {
		rows = append(rows, []Cell{Say("house"), Say(h)})
	}
	open, told := 0, 0
	for _, z := range q.Findings.Zones {
		if line := q.zone(z); line != "" {
			rows = append(rows, []Cell{Say(z.Name), Say(line)})
			if z.ThroughFlow50 != nil && z.Resolved {
				told++
			} else {
				open++
			}
		}
	}
	ducts := q.ducts()
	if q.Ducts {
		rows = append(ducts, rows...)
	} else {
		rows = append(rows, ducts...)
	}
	s.Table.rows = rows
	if line := q.howMuch(open, told); line != "" {
		s.After = append(s.After, line)
	}
	s.After = append(s.After, q.remarks()...)
	if len(rows) > 0 {
		s.After = append(s.After, "In brackets: 90 % intervals. The whole report: --working.")
	}
	return s
}

// house is the house in a line, as far as a fan was read.
func (q Quick) house() string {
	h := q.Findings.House
	if h.Flow50 == nil {
		return ""
	}
	parts := []string{"leaks " + inline(h.Flow50) + " at 50 Pa"}
	if h.ExteriorOnly != nil {
		parts = []string{"to outdoors alone " + inline(h.ExteriorOnly) + " at 50 Pa, neighbours held level"}
	}
	if h.AirChanges50 != nil {
		parts = append(parts, airChanges(h.AirChanges50))
	}
	if h.LeakArea4 != nil && !q.Ducts && len(q.Findings.Zones) == 0 {
		parts = append(parts, "leak area "+inline(h.LeakArea4)+" at 4 Pa", q.exponent())
	}
	line := strings.Join(parts, "; ")
	if h.Doubt != "" {
		line += "; not to be relied on, for the readings do not fit each other"
	}
	return line
}

// exponent is that of the house, which a hold at one pressure does not tell.
func (q Quick) exponent() string {
	if h := q.Findings.House; h.ExponentAssumed {
		return "exponent assumed: " + inline(h.Exponent)
	}
	return "exponent " + inline(q.Findings.House.Exponent)
}

// zone is a space in a sentence or two; "" where it was not read as found.
func (q Quick) zone(z survey.Zone) string {
	read := q.asRead(z)
	if read == "" || z.Verdict == "" {
		return ""
	}
	line := read + ": " + z.Verdict + "."
	switch {
	case z.Kind == string(sheet.DuctsKind):
	case z.LeakRatio != nil:
		_, interval := texts(z.LeakRatio)
		line += " Its leaks to the house are " + times(z.LeakRatio) + " its leaks to outdoors (" + interval + ")."
	default:
		line += q.boundedRatio(z)
	}
	if z.Resolved && z.ThroughFlow50 != nil {
		line += " Through it come " + inline(z.ThroughFlow50) + "."
	}
	return line
}

// boundedRatio is what a reading near either end says of the ratio: its far end, by hand.
func (q Quick) boundedRatio(z survey.Zone) string {
	for _, h := range q.Findings.Hand {
		switch {
		case h.About != z.Name || h.Quantity != "leak ratio":
		case h.Result == nil:
			return " Its leaks to the house over its leaks to outdoors: " + h.Note + "."
		case z.ConnectionFraction != nil && z.ConnectionFraction.Value < 0.5:
			return " Its leaks to the house are at most " + units.Significant(h.Result.High, 2) + " times its leaks to outdoors."
		default:
			return " Its leaks to the house are at least " + units.Significant(h.Result.Low, 2) + " times its leaks to outdoors."
		}
	}
	return " How its leaks to either side compare is not told so near the end of the hold."
}

// asRead is "44 of 50 Pa": a space as it was read to the house, or to outside, in the
// first hold as found that has it.
func (q Quick) asRead(z survey.Zone) string {
	for _, to := range []string{sheet.HouseName, sheet.OutsideName} {
		for _, h := range q.Findings.Holds {
			for _, r := range q.Findings.Readings {
				if len(h.Changes) > 0 || r.Hold != h.Name || !(r.Of == z.Name && r.To == to || r.To == z.Name && r.Of == to) {
					continue
				}
				line := fmt.Sprintf("%s of %s Pa", tenths(r.Read), tenths(h.House))
				if to == sheet.OutsideName {
					line += " to outdoors"
				}
				return line
			}
		}
	}
	return ""
}

// tenths is the size of a pressure as a gauge shows it.
func tenths(p float64) string {
	return units.Number(math.Round(10*math.Abs(p))/10, 4)
}

// howMuch says what the readings leave open of the air that comes through.
func (q Quick) howMuch(open, told int) string {
	switch {
	case open == 0:
		return ""
	case told > 0:
		return "How much air comes through the rest: the readings do not tell."
	case holdsUsed(q.Findings) == 1:
		return "How much air: one pressure does not tell."
	}
	return "How much air comes through: the readings do not tell."
}

// againstLimit is a verdict with its object: what is met or failed, or whatever else.
func againstLimit(verdict string) string {
	if verdict == string(ductleak.Meets) || verdict == string(ductleak.Fails) {
		return verdict + " the limit"
	}
	return verdict + " against the limit"
}

// remarks are warnings about a result, and what a limit makes of it.
func (q Quick) remarks() (list []string) {
	said := map[string]bool{}
	for _, l := range q.Findings.Limits {
		list = append(list, sentence(limited(l))+": "+inline(l.Result)+", "+l.Verdict+"; wanted "+l.Limit+" ("+joinWords(" ", l.Document, l.Edition)+").")
	}
	for _, n := range q.Findings.Notices {
		if n.Level == survey.Warning && !n.Caution() && q.Findings.House.Doubt == "" {
			list = append(list, sentence(joinWords(": ", n.About, n.Text))+".")
		}
	}
	for _, i := range q.Check.Items {
		what, _, _ := strings.Cut(i.Text, ";")
		if i.Level == check.Remarks && !i.Doubt && i.Text != survey.LoneText && !said[what] {
			said[what] = true // once, not for every hold
			list = append(list, sentence(q.about(i))+".")
		}
	}
	if more := len(list) - mostRemarks; more > 0 {
		list = append(list[:mostRemarks], count(more, "more remark")+": holdbook check on a sheet, or --working.")
	}
	return list
}

// next is what to do, and the line to type.
func (q Quick) next() Section {
	s := Section{ID: "next"}
	if q.Next == nil {
		if q.Enough != "" {
			s.After = append(s.After, sentence(q.Enough)+".")
		}
		return s
	}
	head := "Next"
	if q.Next.Minutes > 0 {
		head += ", " + number(q.Next.Minutes) + " min"
	}
	end := "."
	if q.Next.Line != "" {
		end, s.Block, s.Shell = ":", "  "+q.Next.Line, true
	}
	if q.Next.Caution != "" { // before what it is about, for who reads it is on the ladder next
		s.After = append(s.After, "Warning: "+q.Next.Caution+".")
	}
	s.After = append(s.After, head+": "+q.Next.What+end)
	if q.After != "" {
		s.Notices = append(s.Notices, Footnote{Notice: survey.Notice{Level: survey.Warning, Text: q.After}})
	}
	return s
}

// verdictTable is where the words begin and end.
func verdictTable() Section {
	s := Section{ID: "verdicts", Heading: "How a space is joined, in a word", Table: NewTable(Column{Head: "word"}, Column{Head: "connection fraction, at most", Kind: Numbers})}
	for _, list := range [][]survey.Verdict{survey.Verdicts, survey.DuctVerdicts} {
		for _, v := range list {
			s.Table.Add(Say(v.Word), Num(units.Number(v.Upto, 3)))
		}
	}
	s.After = []string{"Connection fraction: the pressure between the space and outdoors over that of the hold; 0 outdoors, 1 indoors. Two words where the interval reaches from one to the other. Bounds: judgement."}
	return s
}
