package report

import (
	"fmt"
	"slices"
	"strings"

	"holdbook/internal/survey"
)

// footnotes are the notices of a report: equal texts are said once, about
// everything they concern, and numbered in the order they are printed.
type footnotes struct{ list []Footnote }

// levels is the order notices are printed in.
var levels = []survey.Level{survey.Danger, survey.Warning, survey.Note}

func newFootnotes(notices []survey.Notice) *footnotes {
	n := &footnotes{}
	for _, level := range levels {
		for _, x := range notices {
			if x.Level == level || level == survey.Note && !slices.Contains(levels, x.Level) {
				n.add(x)
			}
		}
	}
	return n
}

// unnumbered are the notices of a screen that has no marks to them, the gravest
// first.
func unnumbered(notices []survey.Notice) []Footnote {
	list := newFootnotes(notices).list
	for i := range list {
		list[i] = Footnote{Notice: list[i].Notice}
	}
	return list
}

func (n *footnotes) add(x survey.Notice) {
	for i := range n.list {
		if have := &n.list[i]; have.Level == x.Level && have.Text == x.Text {
			if x.About != "" && !slices.Contains(strings.Split(have.About, "; "), x.About) {
				have.About = joinWords("; ", have.About, x.About)
			}
			return
		}
	}
	n.list = append(n.list, Footnote{Number: len(n.list) + 1, Notice: x})
}

func (n *footnotes) level(l survey.Level) []Footnote {
	var out []Footnote
	for _, x := range n.list {
		if x.Level == l {
			out = append(out, x)
		}
	}
	return out
}

// mark is " [2]" for every warning or danger about all of the things named.
func (n *footnotes) mark(names ...string) string {
	s := ""
	for _, x := range n.list {
		if x.Level != survey.Note && x.concerns(names) {
			s += fmt.Sprintf(" [%d]", x.Number)
		}
	}
	return s
}

func (x Footnote) concerns(names []string) bool {
	for _, about := range strings.Split(x.About, ";") {
		parts := strings.Split(strings.ToLower(about), ",")
		all := len(names) > 0
		for _, name := range names {
			all = all && slices.ContainsFunc(parts, func(p string) bool {
				return strings.TrimSpace(p) == strings.ToLower(name)
			})
		}
		if all {
			return true
		}
	}
	return false
}

// NoticeLines are the notices of f, one a line, for formats that have no place
// for them (CSV): the command prints them beside it.
func NoticeLines(f *survey.Findings) []string {
	f, err := printed(f)
	if err != nil {
		return nil
	}
	var lines []string
	for _, x := range newFootnotes(f.Notices).list {
		x.Number = 0
		lines = append(lines, x.String())
	}
	return lines
}

// find is the text of the notice about something; empty when there is none.
func (n *footnotes) find(about string) string {
	for _, x := range n.list {
		if x.About == about {
			return x.Text
		}
	}
	return ""
}
