package batch

import (
	"bufio"
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"iter"
	"os"
)

// Resumed is an output of JSON Lines that a run goes on with.
type Resumed struct {
	Done   int // whole rows that it held
	Failed int // rows among them that are errors

	file *os.File
	end  int64 // of the last whole row
}

// Resume opens an output, new or cut short, to go on where it ends. A last line
// without its end is cut off. What is no output of a batch is an error, and is
// left as it is.
func Resume(name string) (*Resumed, error) {
	f, err := os.OpenFile(name, os.O_RDWR|os.O_CREATE, 0o666)
	if err != nil {
		return nil, plain(name, err)
	}
	r := &Resumed{file: f}
	for row := range rows(f, &err) {
		r.Done++
		r.end += row.size
		if row.failed {
			r.Failed++
		}
	}
	if err == nil {
		err = f.Truncate(r.end)
	}
	if err == nil {
		_, err = f.Seek(r.end, io.SeekStart)
	}
	if err != nil {
		return nil, errors.Join(fmt.Errorf("%s: %w", name, err), f.Close())
	}
	return r, nil
}

// Write implements io.Writer: rows go behind those that were there.
func (r *Resumed) Write(b []byte) (int, error) { return r.file.Write(b) }

// Close flushes the output to disk and closes it.
func (r *Resumed) Close() error { return errors.Join(r.file.Sync(), r.file.Close()) }

// Rest leaves out the items that have their row already. Where the rows are of
// other sheets than the items, in this order, it sets fault and ends.
func (r *Resumed) Rest(items iter.Seq[Item], fault *error) iter.Seq[Item] {
	return func(yield func(Item) bool) {
		old, err := os.Open(r.file.Name())
		if err != nil {
			*fault = plain(r.file.Name(), err)
			return
		}
		defer old.Close()
		next, stop := iter.Pull(rows(io.LimitReader(old, r.end), fault))
		defer stop()
		n := 0
		for i := range items {
			row, more := next()
			switch {
			case *fault != nil:
				return
			case !more:
				if !yield(i) {
					return
				}
				continue
			}
			if n++; row.sheet != inJSON(i.Name) {
				*fault = fmt.Errorf("%s: row %d is of %s where the sheets now have %s; resume with the same sheets in the same order", r.file.Name(), n, row.sheet, i.Name)
				return
			}
		}
		if _, more := next(); more && *fault == nil {
			*fault = fmt.Errorf("%s: it has %d rows, more than there are sheets now; resume with the same sheets in the same order", r.file.Name(), r.Done)
		}
	}
}

// oldRow is what matters of a row that was written before.
type oldRow struct {
	sheet  string
	failed bool
	size   int64 // bytes with its line break
}

// rows reads an output row by row up to its end or to a last line that is torn.
func rows(in io.Reader, fault *error) iter.Seq[oldRow] {
	return func(yield func(oldRow) bool) {
		lines := bufio.NewReaderSize(in, 64<<10)
		for n := 1; ; n++ {
			line, err := lines.ReadBytes('\n')
			if err != nil {
				if !errors.Is(err, io.EOF) {
					*fault = err
				}
				return
			}
			row, ok := oldRowOf(line)
			if !ok {
				*fault = fmt.Errorf("line %d is no row of a batch; name an output of this command, or a new file", n)
				return
			}
			if !yield(row) {
				return
			}
		}
	}
}

// oldRowOf reads the start of a row, as this program writes it: its sheet comes
// first, and in an error row the errors second.
func oldRowOf(line []byte) (oldRow, bool) {
	rest, found := bytes.CutPrefix(line, []byte(`{"sheet":`))
	if !found {
		return oldRow{}, false
	}
	d := json.NewDecoder(bytes.NewReader(rest))
	var name string
	if d.Decode(&name) != nil {
		return oldRow{}, false
	}
	rest = rest[d.InputOffset():]
	failed := bytes.HasPrefix(rest, []byte(`,"error":`))
	ok := (failed || bytes.HasPrefix(rest, []byte(`,"results":`))) && bytes.HasSuffix(line, []byte("}\n"))
	return oldRow{name, failed, int64(len(line))}, ok
}

// inJSON is a name as it reads back from a row: what is no UTF-8 is replaced.
func inJSON(name string) string {
	b, err := json.Marshal(name)
	var back string
	if err != nil || json.Unmarshal(b, &back) != nil {
		return name
	}
	return back
}
