package walk

import (
	"errors"
	"fmt"

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
}

// File is the Book of a file on disk.
type File struct{ sheet *sheet.Sheet }

// OpenFile reads the sheet in a file.
func OpenFile(path string) (*File, error) {
	s, err := sheet.Read(path)
	if err != nil {
		return nil, err
	}
	return &File{s}, nil
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
	if err == nil {
		f.sheet = s
	}
	return err
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
