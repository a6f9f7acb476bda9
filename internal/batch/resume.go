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
	"sync"

	"holdbook/internal/files"
)

// Resumed is an output of JSON Lines that a run goes on with. Nobody else may until
// it is closed.
type Resumed struct {
	Done   int // whole rows that it held
	Failed int // rows among them that are errors, less those that Rest has done anew
	Anew   int // rows that Rest has done anew, for their sheet or the options are not what they were made of

	lock *files.Lock
	file *os.File
	end  int64 // of the last whole row

	mu      sync.Mutex // for what follows, and for cutting the file
	aside   *os.File   // the rows from the first one done anew on; nil for none
	written int        // rows written since those were put aside
	closed  bool
}

// Resume opens an output, new or cut short, to go on where it ends. A last line
// without its end is cut off. What is no output of a batch is an error, and is
// left as it is.
func Resume(name string) (*Resumed, error) {
	if info, err := os.Stat(name); err == nil && !info.Mode().IsRegular() {
		return nil, fileFault(name, files.ErrNotPlain)
	}
	lock, err := files.TakeLock(name, ".batch")
	if held := (*files.HeldError)(nil); errors.As(err, &held) {
		return nil, fmt.Errorf("%s: another batch writes to this file %s; let it end, or name another file", name, held.By)
	}
	if err != nil {
		return nil, fileFault(name, err)
	}
	r := &Resumed{lock: lock}
	if err := r.openFile(name); err != nil {
		return nil, errors.Join(err, r.Close())
	}
	return r, nil
}

func (r *Resumed) openFile(name string) (err error) {
	if r.file, err = os.OpenFile(name, os.O_RDWR|os.O_CREATE, 0o666); err != nil {
		return fileFault(name, err)
	}
	for row := range rows(r.file, &err) {
		r.Done++
		r.end += int64(len(row.text))
		if row.failed {
			r.Failed++
		}
	}
	if err == nil {
		err = r.cut(r.end)
	}
	if err != nil {
		return fmt.Errorf("%s: %w", name, err)
	}
	return nil
}

// cut ends the file at an offset, and has the next row written there.
func (r *Resumed) cut(at int64) error {
	if err := r.file.Truncate(at); err != nil {
		return err
	}
	_, err := r.file.Seek(at, io.SeekStart)
	return err
}

// Write implements io.Writer: a row goes behind those that were there.
func (r *Resumed) Write(row []byte) (int, error) {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.written++
	return r.file.Write(row)
}

// Close puts rows that were put aside, and have not come again, behind the others,
// flushes the output to disk and closes it.
func (r *Resumed) Close() error {
	r.mu.Lock()
	defer r.mu.Unlock()
	defer r.lock.Release()
	r.closed = true
	if r.file == nil {
		return nil
	}
	var err error
	if r.aside != nil {
		n := 0
		if _, err = r.aside.Seek(0, io.SeekStart); err == nil {
			for row := range rows(r.aside, &err) {
				if n++; n > r.written && err == nil {
					_, err = r.file.Write(row.text)
				}
			}
		}
		err = errors.Join(err, r.aside.Close(), os.Remove(r.aside.Name()))
	}
	return errors.Join(err, r.file.Sync(), r.file.Close())
}

// putAside takes the rows from an offset on out of the output, which goes on there.
func (r *Resumed) putAside(from int64) (*os.File, error) {
	r.mu.Lock()
	defer r.mu.Unlock()
	if r.closed {
		return nil, os.ErrClosed
	}
	f, err := os.CreateTemp("", "holdbook-rows-*")
	if err != nil {
		return nil, err
	}
	_, err = io.Copy(f, io.NewSectionReader(r.file, from, r.end-from))
	if err == nil {
		err = r.cut(from)
	}
	if err != nil {
		return nil, errors.Join(err, f.Close(), os.Remove(f.Name()))
	}
	r.aside, r.written = f, 0
	return f, nil
}

// Rest leaves out the items that have their row already. A row whose sheet has been
// edited since, or that was made with other options, is done anew in its place.
// Where the rows are of other sheets than the items, in this order, it sets fault
// and ends.
func (r *Resumed) Rest(items iter.Seq[Item], o Options, fault *error) iter.Seq[Item] {
	return func(yield func(Item) bool) {
		next, stop := iter.Pull(rows(io.NewSectionReader(r.file, 0, r.end), fault))
		defer func() { stop() }()
		n, at, anew := 0, int64(0), false
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
			if stale := row.madeOf != i.madeOf(o); stale {
				if !anew {
					stop()
					if next, stop = r.again(at, fault); *fault != nil {
						return
					}
					anew = true
				}
				r.Anew++
				if row.failed {
					r.Failed--
				}
			} else if anew {
				i = Item{Name: i.Name, Raw: row.text}
			}
			if at += int64(len(row.text)); anew && !yield(i) {
				return
			}
		}
		if _, more := next(); more && *fault == nil {
			*fault = fmt.Errorf("%s: it has %d rows, more than there are sheets now; resume with the same sheets in the same order", r.file.Name(), r.Done)
		}
	}
}

// again puts the rows from an offset on aside and reads them from there, after the
// first.
func (r *Resumed) again(from int64, fault *error) (next func() (oldRow, bool), stop func()) {
	f, err := r.putAside(from)
	if err != nil {
		*fault = err
		return nil, func() {}
	}
	next, stop = iter.Pull(rows(io.NewSectionReader(f, 0, r.end-from), fault))
	next()
	return next, stop
}

// oldRow is what matters of a row that was written before.
type oldRow struct {
	sheet  string
	failed bool
	madeOf string
	text   []byte // with its line break
}

const rowHead = `{"sheet":`

// rows reads an output row by row up to its end or to a last line that is torn.
func rows(in io.Reader, fault *error) iter.Seq[oldRow] {
	return func(yield func(oldRow) bool) {
		lines := bufio.NewReaderSize(in, 64<<10)
		for n := 1; ; n++ {
			line, err := lines.ReadBytes('\n')
			if err != nil && !errors.Is(err, io.EOF) {
				*fault = err
				return
			}
			row, ok := oldRowOf(line)
			if torn := err != nil; torn && bytes.Equal(line[:min(len(line), len(rowHead))], []byte(rowHead)[:min(len(line), len(rowHead))]) {
				return
			}
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

// oldRowOf reads the ends of a row, as this program writes it: its sheet comes
// first, in an error row the errors second, and what it was made of last.
func oldRowOf(line []byte) (oldRow, bool) {
	rest, found := bytes.CutPrefix(line, []byte(rowHead))
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
	madeOf := ""
	if _, sum, found := bytes.Cut(rest[max(0, len(rest)-2*sumLength-20):], []byte(`,"made_of":"`)); found && ok {
		madeOf = string(bytes.TrimSuffix(sum, []byte("\"}\n")))
	}
	return oldRow{name, failed, madeOf, line}, ok
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
