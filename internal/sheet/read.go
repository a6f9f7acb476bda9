package sheet

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"path/filepath"
	"reflect"

	"holdbook/internal/files"
	"holdbook/units"
)

// Read reads a readings file, which must be a plain one. The error is Problems
// when the file itself is at fault, and otherwise says why it could not be opened.
func Read(path string) (*Sheet, error) {
	data, err := files.Read(path, MaxSize+1)
	if err != nil {
		return nil, opening(path, err)
	}
	return parse(data, path, filepath.Dir(path))
}

// opening says in our words why a file could not be opened; an error that says it
// already stays as it is.
func opening(path string, err error) error {
	why := err.Error()
	var perr *fs.PathError
	switch said := (*FileError)(nil); {
	case errors.As(err, &said):
		return err
	case errors.Is(err, files.ErrIsFolder):
		why = "this is a folder; name the readings file in it"
	case errors.Is(err, fs.ErrNotExist):
		why = "there is no such file; check its name and folder"
	case errors.Is(err, fs.ErrPermission):
		why = "you may not read or write this file; check its permissions"
	case errors.As(err, &perr):
		why = perr.Err.Error()
	}
	return &FileError{path, why, err}
}

// FileError is a file that could not be read or written.
type FileError struct {
	File string
	Why  string
	Err  error
}

// Error gives "file: why".
func (e *FileError) Error() string { return units.SanitizeTo(e.File, 1000) + ": " + e.Why }

// Unwrap gives the error of the system.
func (e *FileError) Unwrap() error { return e.Err }

// ReadFrom reads a sheet from anywhere; name stands for it in messages. Such a
// sheet has no folder, so that no reading of it can be taken from a file.
func ReadFrom(r io.Reader, name string) (*Sheet, error) {
	return readFrom(r, name, "")
}

func readFrom(r io.Reader, name, folder string) (*Sheet, error) {
	data, err := io.ReadAll(io.LimitReader(r, MaxSize+1))
	if err != nil {
		return nil, opening(name, err)
	}
	return parse(data, name, folder)
}

// Parse reads a sheet from its text; name stands for it in messages, and is no
// place where anything is looked for. The error is Problems.
func Parse(data []byte, name string) (*Sheet, error) { return parse(data, name, "") }

// ParseFile reads the text of the file at a path, beside which the logs of its
// readings lie. The error is Problems.
func ParseFile(data []byte, path string) (*Sheet, error) {
	return parse(data, path, filepath.Dir(path))
}

// parse reads the text of a sheet that lies in a folder, "" for none.
func parse(data []byte, name, folder string) (*Sheet, error) {
	if why, at := unreadable(data); why != "" {
		return nil, Problems{{name, newSource(name, data).pos(at), why}}
	}
	b := builder{src: newSource(name, data)}
	b.src.logs.folder = folder
	b.build()
	d := decoder{src: b.src, broken: b.broken, problems: b.problems}
	s := &Sheet{File: name, folder: folder, text: data}
	root().decode(&d, b.root, reflect.ValueOf(s).Elem())
	s.Logs = b.src.logs.used
	if !b.broken {
		s.check(func(p Pos, format string, args ...any) {
			d.problems = append(d.problems, Problem{name, p, fmt.Sprintf(format, args...)})
		})
	}
	if len(d.problems) > 0 {
		return nil, d.problems.sorted()
	}
	return s, nil
}

// Check completes a sheet built in memory as reading a file does: it declares
// the zones that kind words name, and sets the canonical names of all spaces.
// The error is Problems.
func (s *Sheet) Check() error {
	var problems Problems
	s.check(func(p Pos, format string, args ...any) {
		problems = append(problems, Problem{s.File, p, fmt.Sprintf(format, args...)})
	})
	if len(problems) > 0 {
		return problems.sorted()
	}
	return nil
}
