package report

import (
	"fmt"
	"io"
	"math"
	"strconv"

	"holdbook/internal/advise"
	"holdbook/internal/survey"
	"holdbook/units"
)

// mostActions is how many actions the screen says how to do.
const mostActions = 3

// WriteNext writes a plan of what to read next as Text, Markdown or JSON.
func WriteNext(w io.Writer, p *advise.NextPlan, format Format, o Options) error {
	p, err := viewed(p, p.Job, func(p *advise.NextPlan) *[]survey.Notice { return &p.Notices }, nil)
	if err != nil {
		return err
	}
	for i := range p.Actions {
		a := &p.Actions[i]
		if a.Outdoor {
			a.Block = temperatures(systemOf(p.Job).Temperature())
			continue
		}
		a.Block = blank(a.Hold)
		if p.Sheet != "" && p.Sheet != "-" && !a.Rest {
			a.Line = AddLine(p.Sheet, a.Hold)
		}
	}
	if format == JSON {
		return encode(w, p)
	}
	if p.Settled {
		d := Document{Sections: []Section{nextHead(p)}}
		return d.Write(w, format, o)
	}
	d := Document{Sections: []Section{nextHead(p), nextNotices(p), nextTable(p)}}
	for i, a := range p.Actions {
		if p.Visit || i < mostActions && !p.Enough {
			d.Sections = append(d.Sections, nextHow(i, a), nextLine(i, a))
		}
	}
	return d.Write(w, format, o)
}

func nextHead(p *advise.NextPlan) Section {
	s := Section{ID: "next", Heading: "What to read next"}
	if p.Visit {
		s.Heading = "Plan of the visit"
	}
	if p.Job.Name != "" {
		s.Heading += ": " + p.Job.Name
	}
	s.Lead = append(s.Lead, sentence(p.Text)+".")
	if !p.Settled {
		s.Lead = append(s.Lead, "To settle: "+p.About+".")
	}
	return s
}

func nextNotices(p *advise.NextPlan) Section {
	return Section{ID: "notices", Notices: unnumbered(p.Notices)}
}

// nextTable ranks the actions by what each is expected to do.
func nextTable(p *advise.NextPlan) Section {
	order, gone := "rank", "doubt gone"
	s := Section{ID: "actions", Heading: "Actions, the most useful first", After: []string{
		"Doubt gone: how much of the intervals' width the reading is expected to take away."}}
	if p.Visit {
		order, gone = "step", "doubt gone so far"
		s.Heading, s.After[0] = "Steps, in this order", "Doubt gone so far: how much of the intervals' width this step and those before it are expected to take away."
	}
	t := NewTable(Column{Head: order}, Column{Head: "action"}, Column{Head: "minutes", Kind: Numbers},
		Column{Head: gone, Unit: "%", Kind: Numbers}, Column{Head: "right first", Unit: "%", Kind: Numbers},
		Column{Head: "narrows most"})
	whole := p.About == advise.AboutAll
	for i, a := range p.Actions {
		right := Cell{} // of one space's leaks it would mislead: another's may be better to seal
		if whole {
			right = Num(units.Chance(a.FirstThen))
		}
		t.Add(Say(strconv.Itoa(i+1)), Say(a.What), Num(number(a.Minutes)), Num(percent(math.Max(a.Gain, 0))), right, Say(mostNarrowed(a)))
	}
	s.Table = t
	if !p.Visit {
		s.After[0] += " Rank: by the doubt gone"
		if whole {
			s.After[0] += ", and what is added to right first,"
		}
		s.After[0] += " for each minute."
	}
	if whole {
		s.After[0] += " Right first: chance that what then looks best to seal first is the best; now " + units.Chance(p.FirstNow) + " %."
	}
	s.After[0] += " Narrows most: the answer whose 90 % interval shrinks most, now and as wide as expected then."
	return s
}

// mostNarrowed is the answer that an action narrows most.
func mostNarrowed(a advise.NextAction) string {
	best, text := 0.02, empty
	for _, n := range a.Narrows {
		if gain := math.Log(n.Now) - math.Log(n.Then); n.Then > 0 && gain > best && n.Interval != nil && n.Narrowing != nil && ends(n.Interval) != ends(n.Narrowing) {
			best, text = gain, n.Of+": "+ends(n.Interval)+" to about "+units.Put(ends(n.Narrowing), n.Interval.Unit)
		}
	}
	return text
}

// ends is an interval without its value, each end with two figures: it is what
// is expected, not what was found.
func ends(q *survey.Q) string { return span(units.Significant(q.Low, 2), units.Significant(q.High, 2)) }

// nextLine is the command that adds the reading to the sheet, in place of the block.
func nextLine(i int, a advise.NextAction) Section {
	s := Section{ID: "line" + strconv.Itoa(i+1), Shell: true}
	if a.Line != "" {
		s.Block = "# or, with the numbers in place of …\n" + a.Line
	}
	return s
}

// nextHow says how an action is done, with the block to fill in.
func nextHow(i int, a advise.NextAction) Section {
	s := Section{ID: "how" + strconv.Itoa(i+1), Heading: fmt.Sprintf("%d. %s", i+1, sentence(a.What)), Lead: []string{sentence(a.How) + "."}, Block: a.Block}
	if a.Caution != "" {
		s.Lead = append(s.Lead, "Caution: "+a.Caution+".")
	}
	return s
}
