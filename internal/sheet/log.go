package sheet

import (
	"bytes"
	"crypto/sha256"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"unicode/utf8"

	"holdbook/internal/files"
)

// Limits on what the logs of a sheet may cost. They are far above any visit: a
// reading of ten thousand samples in every hold takes three quarters of the work.
const (
	maxLog     = 16 << 20  // bytes that are read of one log
	maxKept    = 64 << 20  // bytes of logs that are kept while a sheet is read
	maxLogWork = 384 << 20 // bytes that are gone through, and rowWork a row
	rowWork    = 64
	maxHead    = 1000 // rows in which headings are looked for
	markEvery  = 256  // rows from one place to the next from which a log is read on
)

// logs are the gauges' logs beside a sheet, each read once.
type logs struct {
	folder string // that they lie in, "" for none
	open   map[string]*logFile
	kept   int // bytes
	work   int
	used   []Log
}

// Log is the log of a gauge from which readings were taken.
type Log struct {
	Path string
	Sum  [sha256.Size]byte // of its bytes, SHA-256
}

// logFile is one log. Rows are counted from 0 at the first line of the file.
type logFile struct {
	about  string // for messages
	data   []byte
	comma  rune
	marks  []mark
	blanks []int // rows that a blank line stands before, the first ones
	places map[string]place
	work   *int
}

// mark is where a row begins.
type mark struct{ at, line int }

// get is the log of a column.
func (ls *logs) get(c *column) (*logFile, error) {
	about := quoted(c.File.Value)
	if ls.folder == "" {
		return nil, fmt.Errorf("%s lies beside the sheet, but this sheet is no file; write the samples as a list", about)
	}
	name := filepath.FromSlash(c.File.Value)
	if !filepath.IsLocal(name) {
		return nil, fmt.Errorf("%s must lie in the sheet's folder or below it; put it there and write its name alone", about)
	}
	name = filepath.Clean(name)
	if l := ls.open[name]; l != nil {
		return l, nil
	}
	data, err := readLog(ls.folder, name, about)
	if err != nil {
		return nil, err
	}
	if err := spend(&ls.work, len(data)); err != nil {
		return nil, err
	}
	if ls.kept += len(data); ls.kept > maxKept || ls.open == nil {
		ls.open, ls.kept = map[string]*logFile{}, len(data)
	}
	l, err := newLog(about, data, &ls.work)
	if err != nil {
		return nil, err
	}
	ls.open[name] = l
	ls.note(Log{filepath.Join(ls.folder, name), sha256.Sum256(data)})
	return l, nil
}

// note keeps a log that was used, once.
func (ls *logs) note(l Log) {
	for _, have := range ls.used {
		if have == l {
			return
		}
	}
	ls.used = append(ls.used, l)
}

func newLog(about string, data []byte, work *int) (*logFile, error) {
	data = bytes.TrimPrefix(data, []byte("\ufeff")) // spreadsheets write it
	if why, _ := unreadable(head(data, MaxSize)); why != "" {
		return nil, fmt.Errorf("%s: %s", about, strings.Replace(why, "; begin with the line sheet = 1", "", 1))
	}
	return &logFile{about: about, data: data, comma: separator(data), marks: []mark{{0, 1}}, places: map[string]place{}, work: work}, nil
}

var errLogWork = errors.New("this sheet's readings take too much out of their logs; cut the stretches out that belong to them, and leave out what is read twice")

// spend counts work, and says when it is too much.
func spend(work *int, n int) error {
	if *work += n; *work > maxLogWork {
		return errLogWork
	}
	return nil
}

// readLog gets a log's bytes. It must be a plain file in the sheet's folder or
// below it, so that a sheet from somebody else cannot point anywhere.
func readLog(folder, name, about string) ([]byte, error) {
	root, err := os.OpenRoot(folder)
	if err != nil {
		return nil, unreachable(about, err)
	}
	defer root.Close()
	f, err := root.OpenFile(name, os.O_RDONLY|files.NoWait, 0)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, fmt.Errorf("there is no file %s beside the sheet; check its name", about)
	}
	if err != nil {
		return nil, unreachable(about, err)
	}
	defer f.Close()
	info, err := f.Stat()
	switch {
	case err != nil:
		return nil, unreachable(about, err)
	case !info.Mode().IsRegular():
		return nil, fmt.Errorf("%s is no plain file", about)
	case info.Size() > maxLog:
		return nil, fmt.Errorf("%s is over 16 MiB; cut the stretch out that belongs to this reading", about)
	}
	return io.ReadAll(io.LimitReader(f, maxLog))
}

// unreachable says why a log cannot be read.
func unreachable(about string, err error) error {
	return fmt.Errorf("%s cannot be read: %s; put the file itself beside the sheet, as one you may read", about, opening("", err).(*FileError).Why)
}

// head is the first n bytes or a little less, cut at the end of a line, or of a
// character where the first line is longer.
func head(data []byte, n int) []byte {
	if len(data) <= n {
		return data
	}
	if end := bytes.LastIndexByte(data[:n], '\n'); end >= 0 {
		return data[:end+1]
	}
	for n > 0 && !utf8.RuneStart(data[n]) {
		n--
	}
	return data[:n]
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

// rows reads a log row by row.
type rows struct {
	*logFile
	csv        *csv.Reader
	start      mark // where csv began
	end, lines int  // bytes and line ends from there to the end of the last row
	row        int  // that comes next
}

// from reads on from a row, or from a little before it.
func (l *logFile) from(row int) *rows {
	k := min(row/markEvery, len(l.marks)-1)
	m := l.marks[k]
	r := csv.NewReader(bytes.NewReader(l.data[m.at:]))
	r.Comma, r.FieldsPerRecord, r.ReuseRecord = l.comma, -1, true
	r.TrimLeadingSpace = r.Comma != '\t' // else empty cells would go with the space
	return &rows{logFile: l, csv: r, start: m, row: k * markEvery}
}

// next is the next row, and its line in the file. The fields hold until the row
// after it is read.
func (r *rows) next() (fields []string, line int, err error) {
	fields, err = r.csv.Read()
	switch {
	case errors.Is(err, io.EOF):
		return nil, 0, io.EOF
	case err != nil:
		return nil, 0, r.notCSV(err)
	}
	text := r.data[r.start.at:][r.end:r.csv.InputOffset()]
	if err := spend(r.work, len(text)+rowWork); err != nil {
		return nil, 0, err
	}
	fresh := r.row+1 > (len(r.marks)-1)*markEvery // not gone through before
	if blank := bytes.HasPrefix(text, []byte("\n")) || bytes.HasPrefix(text, []byte("\r\n")); fresh && blank && len(r.blanks) < maxHead {
		r.blanks = append(r.blanks, r.row)
	}
	line, _ = r.csv.FieldPos(0)
	line += r.start.line - 1
	r.row++
	r.end += len(text)
	r.lines += bytes.Count(text, []byte("\n"))
	if r.row == len(r.marks)*markEvery {
		r.marks = append(r.marks, mark{r.start.at + r.end, r.start.line + r.lines})
	}
	return fields, line, nil
}

// notCSV says where a file stops being one of separated values.
func (r *rows) notCSV(err error) error {
	var at *csv.ParseError
	if !errors.As(err, &at) {
		return fmt.Errorf("%s cannot be read: %w", r.about, err)
	}
	return fmt.Errorf("%s, line %d: a quote stands where none may, or is not closed; save the log as plain CSV", r.about, r.start.line-1+at.StartLine)
}
