package sheet

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
)

// column is where the samples of a reading stand in the log of a gauge: a CSV
// file beside the sheet.
//
//	samples = { file = "log.csv", column = "house", unit = "Pa", rows = [1, 120] }
type column struct {
	Pos         Pos
	File        Text
	Column      Text // its heading, or its number from 1
	Unit        Text
	first, last int // rows below the headings, from 1; 0 for all
}

var columnTable = table[column]{
	name: "samples", each: "this column", pos: func(c *column) *Pos { return &c.Pos },
	keys: []key[column]{
		text("file", MaxNote, func(c *column) *Text { return &c.File }).must(`"log.csv"`),
		text("column", MaxName, func(c *column) *Text { return &c.Column }).must(`"house"`),
		text("unit", MaxName, func(c *column) *Text { return &c.Unit }).must(`"Pa"`),
		rowsKey(),
		note(func(*column) *Text { return new(Text) }),
	},
}

// isLog says whether a table in place of a quantity names a log.
func (n *node) isLog() bool { return n.isTable() && n.child("file") != nil }

// rowsKey is the key that picks a stretch of a log.
func rowsKey() key[column] {
	return key[column]{name: "rows", read: func(d *decoder, n *node, c *column) {
		const such = "rows is the first and the last row below the headings; write rows = [1, 120]"
		if n.form != listForm || len(n.items) != 2 {
			d.fault(n.at, such)
			return
		}
		first, err1 := strconv.Atoi(n.items[0].raw)
		last, err2 := strconv.Atoi(n.items[1].raw)
		if err1 != nil || err2 != nil || first < 1 || last < first {
			d.fault(n.at, such)
			return
		}
		c.first, c.last = first, last
	}}
}

// maxLog is how many bytes of a log are read.
const maxLog = 16 << 20

// readColumn reads the samples of a reading from a column of a log.
func readColumn[Q ~float64](d *decoder, n *node, dim *dimension[Q], rules []rule[Q]) (Quantity[Q], bool) {
	var c column
	before := len(d.problems)
	columnTable.decode(d, n, &c)
	if len(d.problems) > before || d.broken {
		return Quantity[Q]{}, false
	}
	cells, err := c.cells(d.src.folder)
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
		for _, r := range rules {
			if wrong := r(v); err == nil && wrong != "" {
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

// cells are the values of the column in the log beside a sheet.
func (c *column) cells(folder string) ([]cell, error) {
	data, err := c.read(folder)
	if err != nil {
		return nil, err
	}
	data = bytes.TrimPrefix(data, []byte("\ufeff")) // spreadsheets write it
	about := quoted(c.File.Value)
	if why, _ := unreadable(head(data, MaxSize)); why != "" {
		return nil, fmt.Errorf("%s: %s", about, strings.Replace(why, "; begin with the line sheet = 1", "", 1))
	}
	r := csv.NewReader(bytes.NewReader(data))
	r.Comma, r.FieldsPerRecord, r.ReuseRecord = separator(data), -1, true
	r.TrimLeadingSpace = r.Comma != '\t' // else empty cells would go with the space
	at, row := -1, 0
	var list []cell
	for {
		fields, err := r.Read()
		switch {
		case errors.Is(err, io.EOF):
			return c.checked(list, at)
		case err != nil:
			return nil, notCSV(about, err)
		case at < 0:
			var begins bool
			if at, begins, err = c.find(fields); err != nil {
				return nil, fmt.Errorf("%s: %w", about, err)
			} else if !begins {
				continue
			}
		}
		if row++; row < c.first || c.last > 0 && row > c.last {
			continue
		}
		line, _ := r.FieldPos(0)
		if at >= len(fields) || strings.TrimSpace(fields[at]) == "" {
			return nil, fmt.Errorf("%s, line %d: nothing stands in the column %s; choose rows without gaps: rows = [1, 120]", about, line, quoted(c.Column.Value))
		}
		if list = append(list, cell{strings.TrimSpace(fields[at]), line}); len(list) > MaxSamples {
			return nil, fmt.Errorf("%s: more than %d samples; choose a stretch of them: rows = [1, 120]", about, MaxSamples)
		}
	}
}

// checked refuses a column that is not there or has nothing in it.
func (c *column) checked(list []cell, at int) ([]cell, error) {
	switch {
	case at < 0:
		return nil, fmt.Errorf("%s has no column %s; write a heading as it stands there, or the column's number", quoted(c.File.Value), quoted(c.Column.Value))
	case len(list) == 0:
		return nil, fmt.Errorf("%s has no samples in the column %s%s; check the rows", quoted(c.File.Value), quoted(c.Column.Value), c.stretch())
	case c.last > 0 && len(list) < c.last-c.first+1:
		return nil, fmt.Errorf("%s ends before row %d; check the rows", quoted(c.File.Value), c.last)
	}
	return list, nil
}

func (c *column) stretch() string {
	if c.first == 0 {
		return ""
	}
	return fmt.Sprintf(" from row %d to row %d", c.first, c.last)
}

// unreachable says why a log cannot be read.
func unreachable(about string, err error) error {
	return fmt.Errorf("%s cannot be read: %s; put the file itself beside the sheet, as one you may read", about, opening("", err).(*FileError).Why)
}

// notCSV says where a file stops being one of separated values.
func notCSV(about string, err error) error {
	var at *csv.ParseError
	if !errors.As(err, &at) {
		return fmt.Errorf("%s cannot be read: %w", about, err)
	}
	return fmt.Errorf("%s, line %d: a quote stands where none may, or is not closed; save the log as plain CSV", about, at.StartLine)
}

// head is the first n bytes or a little less, cut at the end of a line.
func head(data []byte, n int) []byte {
	if len(data) <= n {
		return data
	}
	return data[:bytes.LastIndexByte(data[:n], '\n')+1]
}

// read gets the log's bytes. It must be a plain file in the sheet's folder or
// below it, so that a sheet from somebody else cannot point anywhere.
func (c *column) read(folder string) ([]byte, error) {
	about := quoted(c.File.Value)
	if folder == "" {
		return nil, fmt.Errorf("%s lies beside the sheet, but this sheet is no file; write the samples as a list", about)
	}
	name := filepath.FromSlash(c.File.Value)
	if !filepath.IsLocal(name) {
		return nil, fmt.Errorf("%s must lie in the sheet's folder or below it; put it there and write its name alone", about)
	}
	root, err := os.OpenRoot(folder)
	if err != nil {
		return nil, unreachable(about, err)
	}
	defer root.Close()
	info, err := root.Stat(name)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, fmt.Errorf("there is no file %s beside the sheet; check its name", about)
	case err != nil:
		return nil, unreachable(about, err)
	case !info.Mode().IsRegular():
		return nil, fmt.Errorf("%s is no plain file", about)
	case info.Size() > maxLog:
		return nil, fmt.Errorf("%s is over 16 MiB; cut the stretch out that belongs to this reading", about)
	}
	f, err := root.Open(name)
	if err != nil {
		return nil, unreachable(about, err)
	}
	defer f.Close()
	return io.ReadAll(io.LimitReader(f, maxLog))
}

// separator is what parts a log's columns: a tab or a semicolon where most lines
// have one, else a comma, which may be a decimal one beside the others.
func separator(data []byte) rune {
	lines := bytes.Split(bytes.TrimSpace(head(data, 4096)), []byte("\n"))
	for _, r := range "\t;" {
		with := 0
		for _, line := range lines {
			if bytes.ContainsRune(line, r) {
				with++
			}
		}
		if 2*with > len(lines) {
			return r
		}
	}
	return ','
}

// find is the place of the column, −1 where this row does not tell it, and
// whether its values begin with this very row: a column named by its heading is
// found in the row of headings, one by its number in the first row of values.
func (c *column) find(fields []string) (at int, begins bool, err error) {
	if n, err := strconv.Atoi(c.Column.Value); err == nil {
		if n < 1 || n > len(fields) || !isValue(fields[n-1]) && (!isEmpty(fields[n-1]) || !slices.ContainsFunc(fields, isValue)) {
			return -1, false, nil
		}
		return n - 1, true, nil
	}
	at = -1
	for i, f := range fields {
		if fold(f) != fold(c.Column.Value) {
			continue
		}
		if at >= 0 {
			return -1, false, fmt.Errorf("two columns are headed %s; write the column's number, counted from 1", quoted(c.Column.Value))
		}
		at = i
	}
	return at, false, nil
}

func isEmpty(cell string) bool { return strings.TrimSpace(cell) == "" }

// isValue tells a number, well written or not, from a heading.
func isValue(cell string) bool {
	return strings.IndexAny(strings.TrimLeft(strings.TrimSpace(cell), "+-−"), "0123456789.,") == 0
}
