package report

import (
	"bytes"
	"fmt"
	"io"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"holdbook/internal/survey"
)

// Document is a report in parts, to be printed as text or Markdown. Screens
// with findings of their own (what to read next, comparisons) build one too.
type Document struct {
	Title    string    // of a page
	Owner    *Owner    // the first part of a page
	Order    []Section // the work order
	Sections []Section
}

// Section is one part of a document: a heading in sentence case, paragraphs,
// a table, and more paragraphs after it. All of it may be absent; a section
// with nothing but a heading is not printed.
type Section struct {
	ID      string // a short key, for anchors
	Heading string
	Lead    []string
	Table   *Table
	After   []string
	Block   string // lines to be copied as they stand, never wrapped
	Shell   bool   // they are commands to type, not lines of a sheet
	Fill    []Fill // what is written in by hand
	// Notices are printed as a list, each with its level.
	Notices []Footnote
	Drawing Drawing // on a page
}

// Fill is a place to write something in by hand.
type Fill struct {
	Label, Unit string
}

// blankLine is what a text has to write on.
const blankLine = "__________"

func (f Fill) String() string { return joinWords(" ", f.Label+":", blankLine, f.Unit) }

// fills are the places to write in on one line.
func fills(list []Fill) string {
	var parts []string
	for _, f := range list {
		parts = append(parts, f.String())
	}
	return strings.Join(parts, "   ")
}

// Footnote is a notice with the number it is referred to by; equal notices
// about several things share one.
type Footnote struct {
	Number int
	survey.Notice
}

// String is the footnote on one line: "[2] warning, attic: …".
func (n Footnote) String() string {
	s := n.Heading()
	if n.About != "" {
		s += ", " + n.About
	}
	s += ": " + n.Text
	if n.Number > 0 {
		s = fmt.Sprintf("[%d] %s", n.Number, s)
	}
	return s
}

// Heading is the level of the notice as a heading has it.
func (n Footnote) Heading() string { return sentence(string(n.Level)) }

// Blank tells whether there is nothing in the section but a heading or a drawing.
func (s Section) Blank() bool {
	return len(s.Lead) == 0 && len(s.After) == 0 && s.Block == "" && len(s.Fill) == 0 && len(s.Notices) == 0 && (s.Table == nil || s.Table.Rows() == 0)
}

// Write prints the document to w as Text, Markdown, HTML or Parts; other formats are an
// error. Nothing is written unless all of it can be.
func (d *Document) Write(w io.Writer, format Format, o Options) error {
	var b bytes.Buffer
	var err error
	switch {
	case format == Text:
		err = d.text(&b, o)
	case format == Markdown:
		err = d.markdown(&b)
	case format == Parts:
		err = d.inParts(&b)
	case format == HTML && page != nil:
		err = page(&b, d.safe())
	default:
		err = fmt.Errorf("this is printed as text, Markdown or HTML, not as %s", format)
	}
	if err != nil {
		return err
	}
	return flush(w, b.Bytes())
}

// safe is the document with its texts made safe for a page, and with a title.
func (d *Document) safe() *Document {
	out := *d
	for _, part := range []*[]Section{&out.Order, &out.Sections} {
		*part = slices.Clone(*part)
		for i := range *part {
			s := &(*part)[i]
			s.Heading, s.Lead, s.After = oneLine(s.Heading), linesOf(s.Lead), linesOf(s.After)
			s.Notices = slices.Clone(s.Notices)
			for k := range s.Notices {
				s.Notices[k].About, s.Notices[k].Text = oneLine(s.Notices[k].About), oneLine(s.Notices[k].Text)
			}
		}
	}
	if out.Title = oneLine(out.Title); out.Title == "" && len(out.parts()) > 0 {
		out.Title = out.parts()[0].Heading
	}
	return &out
}

// Colours of a text report; tables carry none, for the table library would
// count them as width.
const (
	bold   = "\x1b[1m"
	red    = "\x1b[1;31m"
	yellow = "\x1b[33m"
	reset  = "\x1b[0m"
)

func paint(s, colour string, on bool) string {
	if !on || s == "" {
		return s
	}
	return colour + strings.TrimSuffix(s, "\n") + reset + s[len(strings.TrimSuffix(s, "\n")):]
}

// parts are the sections as they are printed, one after the other.
func (d *Document) parts() []Section { return slices.Concat(d.Order, d.Sections) }

func (d *Document) text(b *bytes.Buffer, o Options) error {
	first := true
	for _, s := range d.parts() {
		if s.Blank() {
			continue
		}
		if !first {
			b.WriteString("\n")
		}
		first = false
		if err := s.text(b, o); err != nil {
			return err
		}
	}
	return nil
}

func (s Section) text(b *bytes.Buffer, o Options) error {
	limit := o.width()
	if s.Heading != "" {
		b.WriteString(paint(paragraph(oneLine(s.Heading), limit), bold, o.Colour))
	}
	for _, p := range s.Lead {
		b.WriteString(paragraph(oneLine(p), limit))
	}
	if s.Table != nil && s.Table.Rows() > 0 {
		t, err := s.Table.Text(limit)
		if err != nil {
			return err
		}
		b.WriteString(t)
	}
	for _, p := range s.After {
		b.WriteString(wrapIndented(oneLine(p), "", limit))
	}
	for line := range strings.Lines(s.Block) {
		b.WriteString(printable(line) + "\n")
	}
	if line := fills(s.Fill); utf8.RuneCountInString(line) <= limit && line != "" {
		b.WriteString(line + "\n")
	} else {
		for _, f := range s.Fill { // a label and its blank stay together
			b.WriteString(wrapIndented(f.String(), "", limit))
		}
	}
	for _, n := range s.Notices {
		colour := map[survey.Level]string{survey.Danger: red, survey.Warning: yellow}[n.Level]
		line := wrapIndented(oneLine(n.String()), "", limit)
		b.WriteString(paint(line, colour, o.Colour && colour != ""))
	}
	return nil
}

// printable is a line as it stands, without what a terminal might obey.
func printable(line string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsPrint(r) {
			return r
		}
		return -1
	}, line)
}

func (d *Document) markdown(b *bytes.Buffer) error {
	level := "# "
	for _, s := range d.parts() {
		if s.Blank() {
			continue
		}
		if s.Heading != "" {
			fmt.Fprintf(b, "%s%s\n\n", level, escapeBlock(s.Heading))
			level = "## "
		}
		if err := s.markdown(b); err != nil {
			return err
		}
	}
	trimmed := bytes.TrimRight(b.Bytes(), "\n")
	b.Truncate(len(trimmed))
	b.WriteString("\n")
	return nil
}

func (s Section) markdown(b *bytes.Buffer) error {
	for _, p := range s.Lead {
		fmt.Fprintf(b, "%s\n\n", escapeBlock(p))
	}
	if s.Table != nil && s.Table.Rows() > 0 {
		t, err := s.Table.Markdown()
		if err != nil {
			return err
		}
		b.WriteString(t + "\n")
	}
	for _, p := range s.After {
		fmt.Fprintf(b, "%s\n\n", escapeBlock(p))
	}
	if s.Block != "" {
		b.WriteString(map[bool]string{true: "```sh\n", false: "```toml\n"}[s.Shell])
		for line := range strings.Lines(s.Block) {
			b.WriteString(printable(line) + "\n")
		}
		b.WriteString("```\n\n")
	}
	if len(s.Fill) > 0 {
		fmt.Fprintf(b, "%s\n\n", escapeBlock(fills(s.Fill)))
	}
	for _, n := range s.Notices {
		fmt.Fprintf(b, "- %s\n", escapeMarkdown(n.String()))
	}
	if len(s.Notices) > 0 {
		b.WriteString("\n")
	}
	return nil
}
