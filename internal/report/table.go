package report

import (
	"fmt"
	"strings"

	"holdbook/internal/survey"
)

// Kind is what a column of a table holds.
type Kind int

// The kinds of column.
const (
	Words    Kind = iota // text, to the left; wrapped when the table is too wide
	Numbers              // numbers, aligned on the decimal point
	Interval             // estimates: the value aligned on the decimal point, the interval on its dash
	Picture              // a small drawing in characters: text reports only
	Typed                // what is to be typed as it stands: never wrapped
)

// Column is one column of a table. Unit is printed in the header, in brackets; that of
// its cells is, where they share one and PerCell does not say that it stands beside each.
type Column struct {
	Head    string
	Unit    string
	Kind    Kind
	PerCell bool
}

// perCell is the column of results of many kinds, with their units in the column beside.
var perCell = Column{Kind: Interval, PerCell: true}

// Title is the column's header with its unit.
func (c Column) Title() string {
	switch {
	case c.Unit == "":
		return c.Head
	case c.Head == "":
		return "(" + c.Unit + ")"
	}
	return c.Head + " (" + c.Unit + ")"
}

// Cell is one cell of a table. The zero cell is empty and prints as "-".
type Cell struct {
	value    string // text, or the number
	interval string // "241–399", of an estimate
	unit     string // of an estimate
	free     bool   // words in a column of numbers: not aligned
}

// Say is a cell of words. Control characters are taken out; escaping is done
// by the format that prints it.
func Say(s string) Cell { return Cell{value: oneLine(s), free: true} }

// Num is a cell with a number that has been printed already.
func Num(s string) Cell { return Cell{value: oneLine(s)} }

// Value is a cell with a number that carries no interval, such as a reading.
func Value(v float64) Cell { return Cell{value: number(v)} }

// Est is a cell with an estimate and its interval, in the digits the interval
// carries. A nil estimate leaves the cell empty.
func Est(q *survey.Q) Cell {
	if q == nil {
		return Cell{}
	}
	v, i := texts(q)
	return Cell{value: v, interval: i, unit: q.Unit.Pretty()}
}

// EstIf is Est for a result that may not be resolved: then the cell says
// "not resolved (40–900 cfm)".
func EstIf(q *survey.Q, resolved bool) Cell { return EstWithin(q, resolved, "") }

// EstWithin is EstIf for a result that may be bounded on one side alone: then the cell
// says "at least 40 cfm".
func EstWithin(q *survey.Q, resolved bool, b survey.Bound) Cell {
	if q == nil || resolved {
		return Est(q)
	}
	words, bounds, found := strings.Cut(unresolved(q, b), " (")
	switch {
	case found:
		words += " (" + strings.ReplaceAll(bounds, " ", noBreak)
	case b != "":
		words = strings.ReplaceAll(words, " ", noBreak)
	}
	return Cell{value: words, unit: q.Unit.Pretty(), free: true}
}

// noBreak holds the bounds of an unresolved result together where it is wrapped;
// it is printed as a plain space.
const noBreak = "\u00a0"

// String is the cell in one piece, as Markdown prints it.
func (c Cell) String() string {
	switch {
	case c.value == "":
		return empty
	case c.interval == "":
		return c.value
	}
	return c.value + " (" + c.interval + ")"
}

// Table is a table of findings, to be printed as text or Markdown.
type Table struct {
	Columns []Column
	rows    [][]Cell
}

// NewTable is a table without rows.
func NewTable(columns ...Column) *Table { return &Table{Columns: columns} }

// Add appends a row. Cells that are missing at its end are empty.
func (t *Table) Add(cells ...Cell) { t.rows = append(t.rows, cells) }

// Rows is the number of rows.
func (t *Table) Rows() int { return len(t.rows) }

// cells is the table as a rectangle; it is an error if a row is too long, for
// the table library would drop the surplus silently.
func (t *Table) cells() ([][]Cell, error) {
	out := make([][]Cell, len(t.rows))
	for i, r := range t.rows {
		if len(r) > len(t.Columns) {
			return nil, fmt.Errorf("row %d of the table %q has %d cells for %d columns",
				i+1, t.heads(), len(r), len(t.Columns))
		}
		out[i] = append(append([]Cell(nil), r...), make([]Cell, len(t.Columns)-len(r))...)
	}
	return out, nil
}

func (t *Table) heads() string {
	var h []string
	for _, c := range t.Columns {
		h = append(h, c.Title())
	}
	return strings.Join(h, ", ")
}

// withoutBlank drops the columns, after the first, in which no row says
// anything, and the pictures where those are not wanted.
func (t *Table) withoutBlank(pictures bool) (*Table, error) {
	rows, err := t.cells()
	if err != nil {
		return nil, err
	}
	out := &Table{rows: make([][]Cell, len(rows))}
	for c, col := range t.Columns {
		blank := c > 0
		for _, r := range rows {
			blank = blank && r[c].value == ""
		}
		if blank || col.Kind == Picture && !pictures {
			continue
		}
		for i, r := range rows {
			out.rows[i] = append(out.rows[i], r[c])
		}
		if col.Unit == "" && !col.PerCell {
			col.Unit = common(rows, c)
		}
		out.Columns = append(out.Columns, col)
	}
	return out, nil
}

// common is the unit that all estimates of a column share, "" where they do not.
func common(rows [][]Cell, c int) string {
	unit := ""
	for _, r := range rows {
		switch u := r[c].unit; {
		case u == "" || u == unit:
		case unit == "":
			unit = u
		default:
			return ""
		}
	}
	return unit
}

// Markdown is the table in Markdown, every cell escaped.
func (t *Table) Markdown() (string, error) {
	s, err := t.withoutBlank(false)
	if err != nil || len(s.Columns) == 0 {
		return "", err
	}
	var head []string
	var right []bool
	for _, c := range s.Columns {
		head = append(head, escapeMarkdown(c.Title()))
		right = append(right, c.Kind == Numbers || c.Kind == Interval)
	}
	var rows [][]string
	for _, r := range s.rows {
		var line []string
		for _, c := range r {
			line = append(line, escapeMarkdown(c.String()))
		}
		rows = append(rows, line)
	}
	return drawMarkdown(head, rows, right)
}

// Text is the table for a terminal of a width in columns: borderless, no line
// longer than width, no trailing spaces. Words are wrapped where the table
// would be too wide; where even that does not help the rows are stacked.
func (t *Table) Text(width int) (string, error) {
	s, err := t.withoutBlank(true)
	if err != nil || len(s.Columns) == 0 {
		return "", err
	}
	l := newLayout(s)
	if !l.fit(width) {
		if fewer := s.withoutPictures(); len(fewer.Columns) < len(s.Columns) {
			return fewer.Text(width)
		}
		return s.stacked(width), nil
	}
	return l.draw()
}

func (t *Table) withoutPictures() *Table {
	s, err := t.withoutBlank(false)
	if err != nil {
		return t
	}
	return s
}

// stacked prints each row as a list of "head: value", for narrow terminals.
func (t *Table) stacked(width int) string {
	var b strings.Builder
	for _, r := range t.rows {
		for i, c := range r {
			line := c.String()
			if h := t.Columns[i].Title(); h != "" {
				line = h + ": " + line
			}
			indent := "  "
			if i == 0 {
				indent = ""
			}
			b.WriteString(wrapIndented(line, indent, width))
		}
	}
	return b.String()
}
