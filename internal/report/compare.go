package report

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"holdbook/internal/advise"
	"holdbook/internal/survey"
)

// WriteCompare writes a comparison of two sheets as Text, Markdown or JSON.
func WriteCompare(w io.Writer, p *advise.ComparePlan, format Format, o Options) error {
	p, err := viewed(p, p.Before, func(p *advise.ComparePlan) *[]survey.Notice { return &p.Notices }, nil)
	if err != nil {
		return err
	}
	if format == JSON {
		return encode(w, p)
	}
	d := Document{Sections: []Section{compareHead(p), compareTable(p), comparePromise(p), compareNotices(p)}}
	return d.Write(w, format, o)
}

func compareHead(p *advise.ComparePlan) Section {
	s := Section{ID: "house", Heading: "Before and after"}
	if p.Before.Name != "" {
		s.Heading += ": " + p.Before.Name
	}
	lead := "Leaks at 50 Pa " + inline(p.House.Before) + " before, " + inline(p.House.After) + " after: "
	switch {
	case !p.House.Real:
		lead += "no change that the readings can tell."
	default:
		lead += p.House.Text + " by " + inline(size(p.House.Fall)) + "."
	}
	s.Lead = append(s.Lead, lead, "In brackets: 90 % intervals. Both tests are estimated together, so numbers differ a little from each sheet's own report, and from chance by up to a tenth of their intervals.")
	return s
}

// size is a change without its sign, which the words give.
func size(q *survey.Q) *survey.Q {
	if q == nil || q.Value >= 0 {
		return q
	}
	turned := *q
	turned.Value, turned.Low, turned.High = -q.Value, -q.High, -q.Low
	return &turned
}

func compareTable(p *advise.ComparePlan) Section {
	t := NewTable(Column{Head: "between"}, Column{Head: "before", Kind: Interval},
		Column{Head: "after", Kind: Interval}, Column{Head: "fall", Kind: Interval}, Column{Head: "change"})
	for _, l := range p.Paths {
		text := l.Text
		if !l.Real {
			text = "not told"
		}
		name := between(l.Between)
		if l.Covered {
			name += ", covered"
		}
		t.Add(Say(name), EstIf(l.Before, bounded(l.Before)), EstIf(l.After, bounded(l.After)), fallCell(l), Say(text))
	}
	s := Section{ID: "paths", Heading: "Leak by leak, at 50 Pa across each alone", Table: t}
	if p.House.Real && !slices.ContainsFunc(p.Paths, func(l advise.ChangeLine) bool { return l.Real }) {
		s.After = []string{"The house has changed; which of its leaks did is not told: a pressure read once after the work says how a space is joined, not how large its leaks are. For that the sheet after needs the holds that sized a leak before, such as the hatch opened again."}
	}
	return s
}

// fallCell is a change, of which nothing but the bounds is told where it may be
// none: its middle is then chance.
func fallCell(l advise.ChangeLine) Cell {
	c := Est(l.Fall)
	if !l.Real && c.interval != "" {
		return Cell{value: strings.ReplaceAll(c.interval, " ", noBreak), unit: c.unit, free: true}
	}
	return c
}

func comparePromise(p *advise.ComparePlan) Section {
	v := p.Promise
	if v == nil {
		return Section{}
	}
	extent := "if all of it was closed"
	if v.Fraction > 0 {
		extent = fmt.Sprintf("if %s %% of it was closed", number(100*v.Fraction))
	}
	s := Section{ID: "promise", Heading: "What was promised", Lead: []string{
		"Sealing " + v.Of + " was to save " + inline(v.Drop50) + " " + extent + "; the flow fell by " + inline(v.Came) + ": " + v.Verdict + "."}}
	if v.Over != nil {
		s.Lead = append(s.Lead, judged(v.Over))
	}
	return s
}

// judged says how what came stands to what was to come: house by house among those
// that both tests allow, which tells more than the two intervals do.
func judged(over *survey.Q) string {
	word, by := "More", over
	if over.Value < 0 {
		word, by = "Less", size(over)
	}
	text := word + " came than that by " + inline(by) + ", from both tests together and so not quite the difference of the two numbers"
	if over.Low <= 0 && over.High >= 0 {
		text += "; the interval holds zero: neither more nor less is shown"
	}
	return text + "."
}

func compareNotices(p *advise.ComparePlan) Section {
	return Section{ID: "notices", Heading: "Notices", Notices: unnumbered(p.Notices)}
}
