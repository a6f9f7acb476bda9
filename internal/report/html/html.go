// Package html writes a survey's findings as one page that needs no script and asks the
// network for nothing: report's document, its drawings among it, in a template. It
// stands apart from package report, whose other formats so link without html/template;
// a program that imports it can write report.HTML.
package html

import (
	"bytes"
	_ "embed"
	"html/template"
	"slices"
	"strings"
	"sync"

	"holdbook/internal/report"
)

func init() { report.RegisterPage(write) }

//go:embed page.html
var pageText string

// pageTemplate is read when a page is first asked for: no other command pays
// for it at start-up.
var pageTemplate = sync.OnceValues(func() (*template.Template, error) {
	return template.New("page").Parse(pageText)
})

// page is what the template is given.
type page struct {
	Title    string
	Lead     []string
	Owner    *owner
	Dangers  []notice
	Order    []section
	Parts    []section
	Appendix []section
}

// owner is the first part of a page.
type owner struct {
	Sentences []string
	Pictures  []picture
}

// picture is a drawing with its caption.
type picture struct {
	Chart   template.HTML
	Caption string
}

// section is a section with its chart, if it has one.
type section struct {
	ID, Heading string
	Lead        []string
	Chart       template.HTML
	Caption     string
	Table       *table
	After       []string
	Fill        []report.Fill
	Block       string
	Notices     []notice
	Step        bool // of a work order
	Wide        bool // takes the whole width of a screen
}

type notice struct {
	ID           int
	Level, Class string
	About, Text  string
}

type table struct {
	Caption string
	Heads   []cell
	Rows    [][]cell
	Wide    bool // too wide for a phone: its rows are stacked there
}

// cell is one cell; Head repeats its column's header for stacked rows.
type cell struct {
	Head, Value, Interval, Class string
	First                        bool
}

// appendix are the sections that go to the end of the page.
var appendix = []string{"duct-tests", "hand", "openings", "house", "working", "samples", "readings", "priors", "record",
	"multi-point-opposite", "directions", "standards", "test-record", "instruments", "building", "spaces", "as-read", "as-written", "signature"}

// write is the page of a document.
func write(b *bytes.Buffer, d *report.Document) error {
	t, err := pageTemplate()
	if err != nil {
		return err
	}
	p, err := newPage(d)
	if err != nil {
		return err
	}
	return t.Execute(b, p)
}

func newPage(d *report.Document) (*page, error) {
	p := &page{Title: d.Title}
	if d.Owner != nil {
		p.Owner = &owner{Sentences: d.Owner.Sentences}
		for _, x := range d.Owner.Pictures {
			p.Owner.Pictures = append(p.Owner.Pictures, picture{template.HTML(x.SVG), x.Caption})
		}
	}
	for _, s := range d.Order {
		if s.Blank() {
			continue
		}
		h, err := newSection(s, p.Title)
		if err != nil {
			return nil, err
		}
		h.Step = strings.HasPrefix(s.ID, "step-")
		p.Order = append(p.Order, h)
	}
	for _, s := range d.Sections {
		switch {
		case s.ID == "job":
			p.Lead = append(p.Lead, s.Lead...)
			continue
		case s.ID == "summary":
			s.Heading = "In short"
		case s.ID == "danger":
			p.Dangers = notices(s.Notices)
			continue
		}
		h, err := newSection(s, p.Title)
		if err != nil {
			return nil, err
		}
		switch {
		case s.Blank():
		case slices.Contains(appendix, s.ID):
			p.Appendix = append(p.Appendix, h)
		default:
			p.Parts = append(p.Parts, h)
		}
	}
	return p, nil
}

// newSection is a section of a page of that title, which it does not repeat as its heading.
func newSection(s report.Section, title string) (section, error) {
	h := section{ID: s.ID, Heading: s.Heading, Lead: s.Lead, After: s.After, Fill: s.Fill, Block: s.Block, Notices: notices(s.Notices)}
	if h.Heading == title {
		h.Heading = ""
	}
	if s.Drawing.SVG != "" {
		h.Chart, h.Caption = template.HTML(s.Drawing.SVG), s.Drawing.Caption // the drawing has its texts escaped
	}
	h.Wide = s.Table == nil && h.Chart == ""
	if s.Table == nil || s.Table.Rows() == 0 {
		return h, nil
	}
	columns, rows, err := s.Table.Aligned("\u2007", "\u2008") // spaces as wide as a digit and as a point
	if err != nil {
		return h, err
	}
	h.Table = newTable(columns, rows, s.Heading)
	h.Wide = len(columns) > 5 || h.Table.Wide && h.Chart != ""
	return h, nil
}

func newTable(columns []report.Column, rows [][]report.Aligned, caption string) *table {
	h := &table{Caption: caption, Wide: len(columns) > 4, Rows: make([][]cell, len(rows))}
	for c, col := range columns {
		class := map[report.Kind]string{report.Numbers: "n r", report.Interval: "n"}[col.Kind]
		h.Heads = append(h.Heads, cell{Value: headOf(col), Class: class, First: c == 0})
		for i, row := range rows {
			x := newCell(row[c], col.Kind == report.Words)
			x.Head, x.First = headOf(col), c == 0
			if x.Class == "" || x.Class == none {
				x.Class = strings.TrimSpace(class + " " + x.Class)
			}
			h.Rows[i] = append(h.Rows[i], x)
		}
	}
	return h
}

// headOf is a column's header; none is left empty, for a reader who hears the
// page has nothing else to tell columns apart.
func headOf(col report.Column) string {
	switch h := col.Title(); {
	case h != "":
		return h
	case col.Kind == report.Words:
		return "finding"
	}
	return "value"
}

// none is the class of an empty cell, which a stacked row leaves out.
const none = "none"

// longWord is the length of a word from which it may be broken anywhere.
const longWord = 16

func newCell(c report.Aligned, words bool) cell {
	out := cell{Value: c.Value, Interval: c.Interval}
	switch {
	case words && c.Longest > longWord:
		out.Class = "long"
	case c.Blank:
		out.Class = none
	case c.Words && !words: // in a column of numbers
		value, bounds, ok := strings.Cut(c.Value, " (")
		out.Value, out.Class = value, "said"
		if ok {
			out.Interval = "(" + bounds
		}
	}
	return out
}

func notices(list []report.Footnote) []notice {
	var out []notice
	for _, n := range list {
		out = append(out, notice{n.Number, n.Heading(), string(n.Level), n.About, n.Text})
	}
	return out
}
