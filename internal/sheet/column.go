package sheet

import (
	"errors"
	"fmt"
	"io"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"sync"
)

// column is where the samples of a reading stand in the log of a gauge: a CSV
// file beside the sheet.
//
//	samples = { file = "log.csv", column = "house", unit = "Pa", rows = [1, 120] }
type column struct {
	Pos    Pos
	File   Text   `key:"file" is:"note" must:"log.csv" help:"the log, in the sheet's folder or below it"`
	Column Text   `key:"column" must:"house" help:"its heading, or its number from 1"`
	Unit   Text   `key:"unit" must:"Pa" help:"of its values"`
	Rows   [2]int `key:"rows" is:"rows" help:"the first and the last row below the headings, from 1"` // zero for all
	Note   Text   `key:"note" is:"note" help:"anything"`
}

var columnTable = sync.OnceValue(func() *table { return tableOf(reflect.TypeFor[column](), "samples", "this column") })

// isLog says whether a table in place of a quantity names a log.
func (n *node) isLog() bool { return n.isTable() && n.child("file") != nil }

// readRows reads which stretch of a log is meant.
func readRows(d *decoder, n *node, _ *Key) (rows [2]int, ok bool) {
	if n.form == listForm && len(n.items) == 2 {
		first, err1 := strconv.Atoi(n.items[0].raw)
		last, err2 := strconv.Atoi(n.items[1].raw)
		if err1 == nil && err2 == nil && first >= 1 && last >= first {
			return [2]int{first, last}, true
		}
	}
	d.fault(n.at, "rows is the first and the last row below the headings; write rows = [1, 120]")
	return rows, false
}

// readColumn reads the samples of a reading from a column of a log.
func readColumn[Q ~float64](d *decoder, n *node, dim *dimension[Q], rules []rule) (Quantity[Q], bool) {
	var c column
	before := len(d.problems)
	columnTable().decode(d, n, reflect.ValueOf(&c).Elem())
	if len(d.problems) > before || d.broken {
		return Quantity[Q]{}, false
	}
	cells, err := c.cells(&d.src.logs)
	if err != nil {
		d.fault(n.at, err.Error())
		return Quantity[Q]{}, false
	}
	q := Quantity[Q]{Pos: d.src.pos(n.at), Given: true}
	for _, cell := range cells {
		v, err := dim.check(cell.text + " " + c.Unit.Value)
		if err != nil && strings.Contains(cell.text, ",") {
			err = fmt.Errorf("%s is no number with a decimal point; save the log with decimal points", quoted(cell.text))
		}
		if err == nil {
			if wrong := breaks(rules, float64(v)); wrong != "" {
				err = errors.New("the sample " + wrong)
			}
		}
		if err != nil {
			d.fault(n.at, fmt.Sprintf("%s, line %d: %s", quoted(c.File.Value), cell.line, err))
			return Quantity[Q]{}, false
		}
		q.Samples = append(q.Samples, v)
		q.Value += v / Q(len(cells))
	}
	q.Text = fmt.Sprintf("%d samples of %s", len(cells), c.File.Value)
	return q, true
}

// cell is one value of a column.
type cell struct {
	text string
	line int
}

// cells are the values of the column in the log beside a sheet. Nothing is read
// after the last of them.
func (c *column) cells(ls *logs) ([]cell, error) {
	l, err := ls.get(c)
	if err != nil {
		return nil, err
	}
	p, err := l.find(c)
	if err != nil {
		return nil, err
	}
	var list []cell
	first := p.values + max(c.Rows[0], 1) - 1
	for r := l.from(first); c.Rows[1] == 0 || r.row < p.values+c.Rows[1]; {
		row := r.row
		fields, line, err := r.next()
		switch {
		case errors.Is(err, io.EOF):
			return c.checked(list)
		case err != nil:
			return nil, err
		case row < first:
			continue
		}
		if err := p.fits(l, row, line, fields); err != nil {
			return nil, err
		}
		if isEmpty(p.cell(fields)) {
			return nil, fmt.Errorf("%s, line %d: nothing stands in the column %s; choose rows without gaps: rows = [1, 120]", l.about, line, quoted(c.Column.Value))
		}
		if list = append(list, cell{strings.TrimSpace(p.cell(fields)), line}); len(list) > MaxSamples {
			return nil, fmt.Errorf("%s: more than %d samples; choose a stretch of them: rows = [1, 120]", l.about, MaxSamples)
		}
	}
	return c.checked(list)
}

// checked refuses a column that has nothing in it, or not as many values as asked
// for.
func (c *column) checked(list []cell) ([]cell, error) {
	switch {
	case len(list) == 0:
		return nil, fmt.Errorf("%s has no samples in the column %s%s; check the rows", quoted(c.File.Value), quoted(c.Column.Value), c.stretch())
	case c.Rows[1] > 0 && len(list) < c.Rows[1]-c.Rows[0]+1:
		return nil, fmt.Errorf("%s ends before row %d; check the rows", quoted(c.File.Value), c.Rows[1])
	}
	return list, nil
}

func (c *column) stretch() string {
	if c.Rows[0] == 0 {
		return ""
	}
	return fmt.Sprintf(" from row %d to row %d", c.Rows[0], c.Rows[1])
}

// place is where a column stands in a log.
type place struct {
	at     int // its index
	values int // the row in which its values begin
	width  int // how many columns there are
	err    error
}

// cell is the column's cell of a row, "" where the row is too short.
func (p place) cell(fields []string) string {
	if p.at < len(fields) {
		return fields[p.at]
	}
	return ""
}

// fits refuses a row that has more cells than there are columns, and in a log of
// one column a blank line, which may be a reading that is missing.
func (p place) fits(l *logFile, row, line int, fields []string) error {
	if filled(fields) > p.width || l.comma == ',' && len(fields) > p.width && isSplit(fields) {
		return fmt.Errorf("%s, line %d: more values than headings, as decimal commas make them in a log whose columns are parted by commas; save the log with decimal points, or give every column a heading", l.about, line)
	}
	if p.width > 1 {
		return nil
	}
	for _, blank := range l.blanks {
		if blank > p.values && blank <= row {
			return fmt.Errorf("%s: an empty line stands before row %d; choose rows before it, or write into the file what was read there", l.about, blank-p.values+1)
		}
	}
	return nil
}

// filled is how many cells a row has up to the last that is not empty.
func filled(fields []string) int {
	n := len(fields)
	for n > 0 && isEmpty(fields[n-1]) {
		n--
	}
	return n
}

// isSplit tells a row in which a decimal comma may have split a number: digits
// follow a whole number.
func isSplit(fields []string) bool {
	isDigits := func(s string) bool { return s != "" && strings.Trim(s, "0123456789") == "" }
	for i, f := range fields[1:] {
		if isDigits(strings.TrimSpace(f)) && isDigits(strings.TrimLeft(strings.TrimSpace(fields[i]), "+-−")) {
			return true
		}
	}
	return false
}

// find is the place of a column in the log.
func (l *logFile) find(c *column) (place, error) {
	p, known := l.places[c.Column.Value]
	if !known {
		p = l.search(c.Column.Value)
		l.places[c.Column.Value] = p
	}
	return p, p.err
}

// search looks for a column named by its heading in the row of headings, for one
// named by its number in the first row of values.
func (l *logFile) search(name string) place {
	n, err := strconv.Atoi(name)
	numbered, before := err == nil, 0 // columns of the row before
	for r := l.from(0); r.row < maxHead; {
		fields, _, err := r.next()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return place{err: err}
		}
		if numbered {
			if begins(fields, n) {
				if before < 2 { // no headings, or a title alone
					before = len(fields)
				}
				return place{at: n - 1, values: r.row - 1, width: before}
			}
			before = filled(fields)
			continue
		}
		at, err := heading(fields, name)
		if err != nil {
			return place{err: fmt.Errorf("%s: %w", l.about, err)}
		}
		if at >= 0 {
			return place{at: at, values: r.row, width: filled(fields)}
		}
	}
	return place{err: fmt.Errorf("%s has no column %s; write a heading as it stands there, or the column's number", l.about, quoted(name))}
}

// begins says whether the values of the n-th column begin in a row: a number stands
// there, or nothing beside numbers in others.
func begins(fields []string, n int) bool {
	return n >= 1 && n <= len(fields) && (isValue(fields[n-1]) || isEmpty(fields[n-1]) && slices.ContainsFunc(fields, isValue))
}

// heading is the index of a column by its heading, −1 where no such stands in a
// row.
func heading(fields []string, name string) (int, error) {
	at := -1
	for i, f := range fields {
		if fold(f) != fold(name) {
			continue
		}
		if at >= 0 {
			return -1, fmt.Errorf("two columns are headed %s; write the column's number, counted from 1", quoted(name))
		}
		at = i
	}
	return at, nil
}

func isEmpty(cell string) bool { return strings.TrimSpace(cell) == "" }

// isValue tells a number, well written or not, from a heading.
func isValue(cell string) bool {
	return strings.IndexAny(strings.TrimLeft(strings.TrimSpace(cell), "+-−"), "0123456789.,") == 0
}
