package walk

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"holdbook/internal/files"
	"holdbook/internal/sheet"
)

// Book is the sheet that a walk writes to.
type Book interface {
	// Sheet is the sheet as it was last read or written.
	Sheet() *sheet.Sheet
	// Edit changes the sheet's text, and has it safe on disk when it returns. An
	// error leaves the sheet as it was; sheet.Problems when the text would be no
	// sheet, sheet.ErrChanged when somebody else has written to it.
	Edit(change func(old []byte) []byte) error
	// Reload reads the sheet anew.
	Reload() error
	// Missing counts the lines that the sheet had when it was last read or written,
	// and has no more. The error says why it is no good sheet now.
	Missing() (lines int, err error)
	// Keep writes the sheet as it was before another program changed it to a new
	// file, and names that. Where the sheet itself is no good one now, the book is
	// that new file from then on.
	Keep() (name string, err error)
}

// File is the Book of a file on disk.
type File struct {
	sheet  *sheet.Sheet
	before *sheet.Sheet // as it was before Reload found lines missing; nil for none
	lock   *files.Lock  // of the file that Keep made
}

// OpenFile reads the sheet in a file.
func OpenFile(path string) (*File, error) {
	s, err := sheet.Read(path)
	if err != nil {
		return nil, err
	}
	return &File{sheet: s}, nil
}

// Close gives up what the book has taken besides the file it was opened on.
func (f *File) Close() {
	if f.lock != nil {
		f.lock.Release()
	}
}

// Sheet implements Book.
func (f *File) Sheet() *sheet.Sheet { return f.sheet }

// Edit implements Book.
func (f *File) Edit(change func(old []byte) []byte) error {
	after, err := f.sheet.Edit(change)
	if err == nil {
		f.sheet = after
	}
	return err
}

// Reload implements Book.
func (f *File) Reload() error {
	s, err := sheet.Read(f.sheet.File)
	if err != nil {
		return err
	}
	if lines, err := f.sheet.Missing(); err == nil && lines > 0 {
		f.before = f.sheet
	}
	f.sheet = s
	return nil
}

// Missing implements Book.
func (f *File) Missing() (int, error) { return f.sheet.Missing() }

// Keep implements Book. The new file lies beside the sheet; where that cannot be, in
// the present folder or that of temporary files.
func (f *File) Keep() (string, error) {
	_, broken := f.sheet.Missing()
	from := f.sheet
	if broken == nil && f.before != nil {
		from = f.before
	}
	name, err := writeBeside(from)
	if err != nil || broken == nil {
		return name, err
	}
	if s, err := sheet.Read(name); err == nil {
		if lock, err := TakeLock(name); err == nil {
			f.Close()
			f.sheet, f.before, f.lock = s, nil, lock
		}
	}
	return name, nil
}

// writeBeside writes a sheet to a new file in the first folder that takes it.
func writeBeside(s *sheet.Sheet) (name string, err error) {
	base := strings.TrimSuffix(filepath.Base(s.File), filepath.Ext(s.File))
	for _, folder := range []string{filepath.Dir(s.File), ".", os.TempDir()} {
		for n := 1; n < 100; n++ {
			name = filepath.Join(folder, base+"-kept.toml")
			if n > 1 {
				name = filepath.Join(folder, fmt.Sprintf("%s-kept-%d.toml", base, n))
			}
			if err = s.WriteCopy(name); !errors.Is(err, fs.ErrExist) {
				break
			}
		}
		if err == nil {
			return name, nil
		}
	}
	return "", err
}

// errRefused marks an answer that the sheet does not take: it is asked again.
type errRefused struct{ text string }

func (e errRefused) Error() string { return e.text }

func refusef(format string, args ...any) error { return errRefused{fmt.Sprintf(format, args...)} }

// write makes the first of several changes that leaves a good sheet.
func write(b Book, changes []change) error {
	var first error
	for _, c := range changes {
		err := b.Edit(c)
		if err == nil {
			return nil
		}
		if problems := (sheet.Problems)(nil); !errors.As(err, &problems) {
			return err
		}
		if first == nil {
			first = err
		}
	}
	return first
}
