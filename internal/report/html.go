package report

import (
	"bytes"
	_ "embed"
	"html/template"
	"slices"
	"strings"
	"sync"

	"holdbook/internal/survey"
)

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
	Figures  []figure
	Dangers  []htmlNotice
	Parts    []htmlSection
	Appendix []htmlSection
}

// figure is one large number at the top.
type figure struct{ Value, Unit, Name, Interval string }

// htmlSection is a section with its chart, if it has one.
type htmlSection struct {
	ID, Heading string
	Lead        []string
	Chart       template.HTML
	Caption     string
	Table       *htmlTable
	After       []string
	Notices     []htmlNotice
	Wide        bool // takes the whole width of a screen
}

type htmlNotice struct {
	ID           int
	Level, Class string
	About, Text  string
}

type htmlTable struct {
	Caption string
	Heads   []htmlCell
	Rows    [][]htmlCell
	Wide    bool // too wide for a phone: its rows are stacked there
}

// htmlCell is one cell; Head repeats its column's header for stacked rows.
type htmlCell struct {
	Head, Value, Interval, Class string
	First                        bool
}

// appendix are the sections that go to the end of the page.
var appendix = []string{"duct-tests", "hand", "openings", "house", "working", "readings", "priors", "record"}

// writeHTML writes one page that needs no script and asks the network for
// nothing. It always carries the whole record: readings, priors and whatever
// working the findings hold.
func writeHTML(b *bytes.Buffer, f *survey.Findings, _ Options) error {
	f, err := printed(f)
	if err != nil {
		return err
	}
	t, err := pageTemplate()
	if err != nil {
		return err
	}
	p, err := newPage(f)
	if err != nil {
		return err
	}
	return t.Execute(b, p)
}

func newPage(f *survey.Findings) (*page, error) {
	p := &page{Title: title(f.Job), Figures: headline(f.House)}
	drawings := charts(f)
	for _, s := range findings(f, Options{Working: true, Priors: true, full: true}).Sections {
		switch {
		case s.ID == "job":
			p.Lead = append(p.Lead, s.Lead...)
			continue
		case s.ID == "summary":
			p.Lead = append(p.Lead, s.Lead[min(1, len(s.Lead)):]...) // the figures say the first
			continue
		case s.ID == "danger":
			p.Dangers = htmlNotices(s.Notices)
			continue
		}
		h, err := newHTMLSection(s, drawings[s.ID])
		if err != nil {
			return nil, err
		}
		if s.blank() && h.Chart == "" {
			continue
		}
		if slices.Contains(appendix, s.ID) {
			p.Appendix = append(p.Appendix, h)
		} else {
			p.Parts = append(p.Parts, h)
		}
	}
	return p, nil
}

// chart is a drawing with its caption.
type chart struct {
	drawing template.HTML
	caption string
}

// charts are the drawings by the section they belong to. A new chart is one
// file and one line here.
func charts(f *survey.Findings) map[string]chart {
	return map[string]chart{
		"zones": {chartMap(f), "Arrows: air flow with the house at 50 Pa, as wide as the flow, number and 90 % interval; " +
			"dashed where the readings do not resolve it. Zones are shaded the more, the more they are indoors. The same numbers stand in the tables."},
		"paths":       {chartIntervals(f), "Dot: median. Bar: 90 % interval, dashed where not resolved. Logarithmic scale."},
		"registers":   {chartRegisters(f.Ducts), "Thin line: 90 % interval."},
		"multi-point": {chartFit(f.House.MultiPoint), "Both scales are logarithmic: a power law is straight."},
		"on-off":      {chartOnOff(f.Ducts), "Dots: as measured. Line: fitted."},
	}
}

// headline is the numbers at the top of the page.
func headline(h survey.House) []figure {
	var out []figure
	add := func(name string, q *survey.Q, unit string) {
		if q != nil {
			v, i := texts(q)
			out = append(out, figure{v, unit, name, i})
		}
	}
	if h.Flow50 != nil {
		add("leakage at 50 Pa", h.Flow50, h.Flow50.Unit.Pretty())
	}
	add("air changes an hour at 50 Pa", h.AirChanges50, "")
	if h.LeakArea4 != nil {
		add("leak area at 4 Pa, coefficient "+coefficient(h.LeakArea4.Coefficient), h.LeakArea4, h.LeakArea4.Unit.Pretty())
	}
	return out
}

func newHTMLSection(s Section, c chart) (htmlSection, error) {
	bare := s.Table == nil && c.drawing == ""
	h := htmlSection{Wide: bare, ID: s.ID, Heading: s.Heading, Lead: s.Lead, Chart: c.drawing, After: s.After, Notices: htmlNotices(s.Notices)}
	if c.drawing != "" {
		h.Caption = c.caption
	}
	if s.Table == nil || s.Table.Rows() == 0 {
		return h, nil
	}
	t, err := s.Table.withoutBlank(false)
	if err != nil {
		return h, err
	}
	h.Table = newHTMLTable(t, s.Heading)
	h.Wide = len(t.Columns) > 5 || h.Table.Wide && c.drawing != ""
	return h, nil
}

func newHTMLTable(t *Table, caption string) *htmlTable {
	h := &htmlTable{Caption: caption, Wide: len(t.Columns) > 4}
	classes := make([]string, len(t.Columns))
	for c, col := range t.Columns {
		switch col.Kind {
		case Numbers:
			classes[c] = "n r"
		case Interval:
			classes[c] = "n"
		}
		h.Heads = append(h.Heads, htmlCell{Value: headOf(col), Class: classes[c], First: c == 0})
	}
	h.Rows = make([][]htmlCell, len(t.rows))
	for c, col := range t.Columns {
		for i, cell := range htmlColumn(t, c) {
			cell.Head, cell.First = headOf(col), c == 0
			if cell.Class == "" || cell.Class == none {
				cell.Class = strings.TrimSpace(classes[c] + " " + cell.Class)
			}
			h.Rows[i] = append(h.Rows[i], cell)
		}
	}
	return h
}

// headOf is a column's header; none is left empty, for a reader who hears the
// page has nothing else to tell columns apart.
func headOf(col Column) string {
	switch h := col.title(); {
	case h != "":
		return h
	case col.Kind == Words:
		return "finding"
	}
	return "value"
}

// none is the class of an empty cell, which a stacked row leaves out.
const none = "none"

func noneIf(c Cell) string {
	if c.value == "" {
		return none
	}
	return ""
}

// longWord is the length of a word from which it may be broken anywhere.
const longWord = 16

// htmlColumn is one column of cells. Numbers are aligned with spaces as wide as
// a digit and as a decimal point.
func htmlColumn(t *Table, c int) []htmlCell {
	var cells []Cell
	for _, r := range t.rows {
		cells = append(cells, r[c])
	}
	out := make([]htmlCell, len(cells))
	if k := t.Columns[c].Kind; k == Numbers || k == Interval {
		for i, p := range alignParts(cells, "\u2007", "\u2008") {
			out[i] = htmlCell{Value: p.value, Interval: p.interval, Class: noneIf(cells[i])}
			if words, bounds, ok := strings.Cut(cells[i].value, " ("); cells[i].free {
				out[i] = htmlCell{Value: words, Class: "said"}
				if ok {
					out[i].Interval = "(" + bounds
				}
			}
		}
		return out
	}
	for i, cell := range cells {
		out[i].Value, out[i].Class = cell.String0(), noneIf(cell)
		if longestWord(cell.value) > longWord {
			out[i].Class = "long"
		}
	}
	return out
}

func htmlNotices(list []Footnote) []htmlNotice {
	var out []htmlNotice
	for _, n := range list {
		out = append(out, htmlNotice{n.Number, sentence(string(n.Level)), string(n.Level), n.About, n.Text})
	}
	return out
}
