package report

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"holdbook/internal/advise"
	"holdbook/internal/survey"
)

// WriteCompare writes comparisons of sheets in turn as Text, Markdown or JSON.
func WriteCompare(w io.Writer, visits []*advise.ComparePlan, format Format, o Options) error {
	d, shown := Document{}, visitsInTurn{Compare: 1}
	for k, p := range visits {
		p, err := viewed(p, p.Before, func(p *advise.ComparePlan) *[]survey.Notice { return &p.Notices }, nil)
		if err != nil {
			return err
		}
		shown.Visits = append(shown.Visits, p)
		head := compareHead(p)
		if len(visits) > 1 {
			head.Heading = fmt.Sprintf("Visit %d to visit %d", k+1, k+2) + strings.TrimPrefix(head.Heading, beforeAndAfter)
		}
		d.Sections = append(d.Sections, head, compareTable(p), comparePromise(p), compareNotices(p))
	}
	switch {
	case format == JSON && len(visits) == 1:
		return encode(w, shown.Visits[0])
	case format == JSON:
		return encode(w, shown)
	}
	return d.Write(w, format, o)
}

// visitsInTurn is the JSON of more than two visits.
type visitsInTurn struct {
	Compare int                   `json:"compare"` // version of this format: 1
	Visits  []*advise.ComparePlan `json:"visits_in_turn"`
}

const beforeAndAfter = "Before and after"

func compareHead(p *advise.ComparePlan) Section {
	s := Section{ID: "house", Heading: beforeAndAfter}
	if p.Before.Name != "" {
		s.Heading += ": " + p.Before.Name
	}
	if p.Asks != "" {
		s.Lead = append(s.Lead, sentence(p.Asks)+".")
	}
	lead := "Leaks at 50 Pa " + inline(p.House.Before) + " before, " + inline(p.House.After) + " after: "
	switch {
	case !p.House.Real:
		lead += "no change that the readings can tell."
	default:
		lead += p.House.Text + " by " + inline(size(p.House.Fall)) + "."
	}
	s.Lead = append(s.Lead, lead)
	if t := p.Target; t != nil {
		s.Lead = append(s.Lead, "Target "+targetFlow(&advise.SealTarget{Flow: t.Flow, FanReads: t.FanReads})+" at 50 Pa: "+t.Verdict+".")
	}
	if len(p.Sealed) > 0 {
		s.Lead = append(s.Lead, comparedSealed(p))
	}
	if a := p.Agreement; a != nil {
		s.Lead = append(s.Lead, agreement(a))
	}
	s.Lead = append(s.Lead, "In brackets: 90 % intervals. Both tests are estimated together, so numbers differ a little from each sheet's own report, and from chance by up to a tenth of their intervals.")
	return s
}

// comparedSealed says what was sealed and what is taken of the rest.
func comparedSealed(p *advise.ComparePlan) string {
	text := "Sealed: " + strings.Join(p.Sealed, ", ") + "; "
	if p.Unchanged > 0 {
		return text + "all other leaks are taken as unchanged within ±" + number(100*p.Unchanged) + " % (--free leaves them free)."
	}
	return text + "all other leaks are free to change, and keep their exponents."
}

// agreement sets what pressures tell beside what the fan tells.
func agreement(a *advise.Agreement) string {
	text := "By the pressures alone the flow fell by " + inline(a.Pressures) + ", by the fan " + inline(a.Fan) + ": "
	if a.Contradicts {
		return text + "the fan contradicts it. Something was sealed, or opened, that was not named, or a reading is wrong: read the fan and the pressures again."
	}
	return text + "they agree."
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
		if l.Covered || l.Open { // no leaks
			continue
		}
		text := l.Text
		if !l.Real && !l.Tied {
			text = "not told"
		}
		name := between(l.Between)
		if l.Tied {
			if !l.Real {
				text = "as before"
			}
			t.Add(Say(name), EstIf(l.Before, bounded(l.Before)), Say(""), Say(""), Say(text))
			continue
		}
		t.Add(Say(name), EstIf(l.Before, bounded(l.Before)), EstIf(l.After, bounded(l.After)), fallCell(l), Say(text))
	}
	s := Section{ID: "paths", Heading: "Leak by leak, at 50 Pa across each alone", Table: t}
	if p.House.Real && !slices.ContainsFunc(p.Paths, func(l advise.ChangeLine) bool { return l.Real }) {
		s.After = []string{"The house has changed; which of its leaks did is not told: a pressure read once after the work says how a space is joined, not how large its leaks are. For that name what was sealed (--sealed), or let the sheet after have the holds that sized a leak before, such as the hatch opened again."}
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
