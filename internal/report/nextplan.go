package report

import (
	"bytes"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"

	"holdbook/internal/survey"
)

// mostActions is how many actions the screen says how to do.
const mostActions = 3

// WriteNext writes a plan of what to read next as Text, Markdown or JSON.
func WriteNext(w io.Writer, p *survey.NextPlan, format Format, o Options) error {
	if format == JSON {
		var b bytes.Buffer
		if err := EncodeJSON(&b, p); err != nil {
			return err
		}
		return flush(w, b.Bytes())
	}
	d := Document{Sections: []Section{nextHead(p), nextNotices(p), nextTable(p)}}
	for i, a := range p.Actions {
		if i < mostActions && !p.Enough {
			d.Sections = append(d.Sections, nextHow(i, a))
		}
	}
	return d.Write(w, format, o)
}

func nextHead(p *survey.NextPlan) Section {
	s := Section{ID: "next", Heading: "What to read next"}
	if p.Visit {
		s.Heading = "Plan of the visit"
	}
	if p.Job.Name != "" {
		s.Heading += ": " + p.Job.Name
	}
	s.Lead = append(s.Lead, sentence(p.Text)+".", "To settle: "+p.About+".")
	return s
}

func nextNotices(p *survey.NextPlan) Section {
	s := Section{ID: "notices"}
	for _, n := range p.Notices {
		s.Notices = append(s.Notices, Footnote{Notice: n})
	}
	return s
}

// nextTable ranks the actions by what each is expected to do.
func nextTable(p *survey.NextPlan) Section {
	t := NewTable(Column{Head: "rank", Kind: Words}, Column{Head: "action", Kind: Words}, Column{Head: "minutes", Kind: Numbers},
		Column{Head: "doubt gone", Unit: "%", Kind: Numbers}, Column{Head: "right first", Unit: "%", Kind: Numbers},
		Column{Head: "narrows most", Kind: Words})
	for i, a := range p.Actions {
		t.Add(Say(strconv.Itoa(i+1)), Say(a.What), Num(number(a.Minutes)), Num(percent(math.Max(a.Gain, 0))), Num(percent(a.FirstThen)), Say(mostNarrowed(a)))
	}
	return Section{ID: "actions", Heading: "Actions, the most useful first", Table: t, After: []string{
		"Doubt gone: how much of the intervals' width the reading is expected to take away. Right first: chance that what then looks best to seal first is the best; now " + percent(p.FirstNow) + " %. Narrows most: from one end of the 90 % interval to the other, as a factor, now and then.",
	}}
}

// mostNarrowed is the answer that an action narrows most.
func mostNarrowed(a survey.NextAction) string {
	best, text := 0.02, "-"
	for _, n := range a.Narrows {
		if gain := math.Log(n.Now) - math.Log(n.Then); n.Then > 0 && gain > best {
			best, text = gain, fmt.Sprintf("%s: %s to %s", n.Of, factor(n.Now), factor(n.Then))
		}
	}
	return text
}

// factor prints a ratio with two figures.
func factor(v float64) string {
	if v >= 1000 {
		return ">1000"
	}
	prec := 0
	if v < 9.95 {
		prec = 1
	}
	return strconv.FormatFloat(v, 'f', prec, 64) + "×"
}

// nextHow says how an action is done, with the block to fill in.
func nextHow(i int, a survey.NextAction) Section {
	s := Section{ID: "how" + strconv.Itoa(i+1), Heading: fmt.Sprintf("%d. %s", i+1, sentence(a.What)), Lead: []string{sentence(a.How) + "."}}
	if a.Caution != "" {
		s.Lead = append(s.Lead, "Caution: "+a.Caution+".")
	}
	s.After = strings.Split(strings.TrimRight(a.Block, "\n"), "\n")
	return s
}
