package report

import (
	"strings"
)

// gap is the space between two columns.
const gap = 2

// minWords is the narrowest that a column of words is made.
const minWords = 9

// layout is a table on its way to a terminal: numbers lined up on their points and
// intervals on their dashes, and a width for each column to break lines at. The table
// library does the rest; see draw.go.
type layout struct {
	heads   []string
	rows    [][]string
	right   []bool // columns of numbers, which stand on the right
	inner   []int  // how wide the cells of a column are
	widths  []int  // what each column is given
	content []int  // what its widest cell needs
	least   []int  // what it cannot do without
}

func newLayout(t *Table) *layout {
	l := &layout{rows: make([][]string, len(t.rows))}
	for c, col := range t.Columns {
		texts, least := alignColumn(col.Kind, t.column(c))
		content := 0
		for i, s := range texts {
			l.rows[i] = append(l.rows[i], s)
			content = max(content, width(s))
		}
		head := col.Title()
		l.heads = append(l.heads, head)
		l.right = append(l.right, col.Kind == Numbers && c > 0)
		l.inner = append(l.inner, content)
		l.content = append(l.content, max(content, longestWord(head)))
		l.least = append(l.least, max(least, longestWord(head)))
		l.widths = append(l.widths, max(content, width(head)))
	}
	return l
}

// alignColumn pads the cells of one column so that they line up, and returns
// with them the least width the column can be given.
func alignColumn(kind Kind, cells []Cell) (texts []string, least int) {
	switch kind {
	case Numbers, Interval:
		return alignEstimates(cells)
	case Picture, Typed:
		for _, c := range cells {
			texts = append(texts, c.value)
			least = max(least, width(c.value))
		}
		return texts, least
	}
	for _, c := range cells {
		texts = append(texts, c.String())
		least = max(least, min(width(c.String()), minWords))
	}
	return texts, least
}

// alignEstimates lines values up on the decimal point and intervals on their
// dash. Free words stand on the left and may be wrapped.
func alignEstimates(cells []Cell) (texts []string, least int) {
	for i, a := range alignParts(cells, " ", " ") {
		s := strings.TrimRight(a.value+pad(0, gap)+a.interval, " ")
		texts = append(texts, s)
		if cells[i].free {
			least = max(least, longestWord(s))
		} else {
			least = max(least, width(s))
		}
	}
	return texts, least
}

// Aligned is a cell padded so that it lines up with the others of its column.
type Aligned struct {
	Value, Interval string
	Words           bool // it says something in words, and is not aligned
	Blank           bool
	Longest         int // the width of its longest word
}

// Aligned is the table without its blank columns and pictures, the numbers of a column
// padded with spaces as wide as a digit and as a decimal point.
func (t *Table) Aligned(digit, point string) ([]Column, [][]Aligned, error) {
	s, err := t.withoutBlank(false)
	if err != nil {
		return nil, nil, err
	}
	rows := make([][]Aligned, len(s.rows))
	for c, col := range s.Columns {
		cells := s.column(c)
		padded := alignParts(cells, digit, point)
		for i, cell := range cells {
			a := Aligned{Value: cell.withoutInterval(), Words: cell.free, Blank: cell.value == "", Longest: longestWord(cell.value)}
			if col.Kind == Numbers || col.Kind == Interval {
				a.Value, a.Interval = padded[i].value, padded[i].interval
			}
			rows[i] = append(rows[i], a)
		}
	}
	return s.Columns, rows, nil
}

// column is the cells of one column.
func (t *Table) column(c int) []Cell {
	cells := make([]Cell, len(t.rows))
	for i, r := range t.rows {
		cells[i] = r[c]
	}
	return cells
}

// parts is the number and the interval of a cell, padded.
type parts struct{ value, interval string }

// alignParts pads the cells of a column; digit and point are the spaces as
// wide as a digit and as a decimal point. Free words are left alone.
func alignParts(cells []Cell, digit, point string) []parts {
	var whole, part, left, right int
	for _, c := range cells {
		if c.free {
			continue
		}
		w, p := splitPoint(c.withoutInterval())
		whole, part = max(whole, width(w)), max(part, width(p))
		low, high := splitSpan(c.interval)
		left, right = max(left, width(low)), max(right, width(high))
	}
	out := make([]parts, len(cells))
	for i, c := range cells {
		if c.free {
			out[i].value = c.value
			continue
		}
		w, p := splitPoint(c.withoutInterval())
		out[i].value = strings.Repeat(digit, whole-width(w)) + w + p
		if p == "" && part > 0 {
			out[i].value += point + strings.Repeat(digit, part-1)
		} else {
			out[i].value += strings.Repeat(digit, part-width(p))
		}
		if c.interval != "" {
			low, high := splitSpan(c.interval)
			out[i].interval = strings.Repeat(digit, left-width(low)) + low + high + strings.Repeat(digit, right-width(high))
		}
	}
	return out
}

// withoutInterval is the number of a cell alone.
func (c Cell) withoutInterval() string {
	if c.value == "" {
		return empty
	}
	return c.value
}

// splitPoint cuts a number before its decimal point.
func splitPoint(s string) (whole, part string) {
	if i := strings.IndexByte(s, '.'); i >= 0 {
		return s[:i], s[i:]
	}
	return s, ""
}

// splitSpan cuts an interval before its dash or "to".
func splitSpan(s string) (low, high string) {
	for _, sep := range []string{"–", " to "} {
		if i := strings.Index(s, sep); i > 0 {
			return s[:i], s[i:]
		}
	}
	return s, ""
}

// fit narrows columns until the table is no wider than limit: first headers
// are wrapped, then words. It reports whether that was possible.
func (l *layout) fit(limit int) bool {
	for l.total() > limit {
		c := widest(l.widths, l.content)
		if c < 0 {
			c = widest(l.widths, l.least)
		}
		if c < 0 {
			return false
		}
		l.widths[c]--
	}
	return true
}

func (l *layout) total() int {
	sum := gap * (len(l.widths) - 1)
	for _, w := range l.widths {
		sum += w
	}
	return sum
}

// widest is the widest column that is wider than its floor, -1 if there is none.
func widest(widths, floor []int) int {
	at := -1
	for c, w := range widths {
		if w > floor[c] && (at < 0 || w > widths[at]) {
			at = c
		}
	}
	return at
}

// draw wraps cells to their columns and prints the lines. The header is given
// to the table library as rows, for it stands at the foot of its lines.
func (l *layout) draw() (string, error) {
	var lines [][]string
	if strings.Join(l.heads, "") != "" {
		lines = l.wrapRow(l.heads, true)
	}
	for _, r := range l.rows {
		lines = append(lines, l.wrapRow(r, false)...)
	}
	return drawText(lines, l.right)
}

// wrapRow is one row of the table as the lines it takes.
func (l *layout) wrapRow(row []string, head bool) [][]string {
	parts := make([][]string, len(row))
	height := 1
	for c, s := range row {
		parts[c] = wrap(s, l.widths[c])
		height = max(height, len(parts[c]))
	}
	lines := make([][]string, height)
	for i := range lines {
		lines[i] = make([]string, len(row))
		for c, p := range parts {
			at := i
			if head {
				at = i - (height - len(p))
			}
			if at >= 0 && at < len(p) {
				lines[i][c] = p[at]
			}
			if !head && l.right[c] { // the numbers stay under one another
				lines[i][c] += pad(width(lines[i][c]), min(l.inner[c], l.widths[c]))
			}
		}
	}
	return lines
}

// pad is the spaces that bring a text of width have to want.
func pad(have, want int) string { return strings.Repeat(" ", max(0, want-have)) }
