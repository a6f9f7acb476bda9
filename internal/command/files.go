package command

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"holdbook/internal/files"
	"holdbook/internal/sheet"
)

// standardInput is the file name that stands for standard input.
const standardInput = "-"

// claimStdin refuses a second claim on standard input, which can be read only
// once.
func (p *program) claimStdin(what string) error {
	if p.stdinFor != "" {
		return &usageError{text: fmt.Sprintf("standard input cannot be both %s and %s", p.stdinFor, what)}
	}
	p.stdinFor = what
	return nil
}

// cannot is the error for a file that cannot be used, in plain words.
func cannot(verb, name string, err error) error {
	why := err
	switch pe := (*fs.PathError)(nil); {
	case errors.Is(err, fs.ErrNotExist):
		why = errors.New("there is no such file or folder")
	case errors.Is(err, fs.ErrPermission):
		why = errors.New("permission denied")
	case errors.As(err, &pe):
		why = pe.Err
	}
	return dataErrorf("cannot %s %s: %w", verb, safe(name), why)
}

// sameFile says whether two names lead to one file.
func sameFile(a, b string) bool {
	if filepath.Clean(a) == filepath.Clean(b) {
		return true
	}
	ia, errA := os.Stat(a)
	ib, errB := os.Stat(b)
	return errA == nil && errB == nil && os.SameFile(ia, ib)
}

// guardLogs refuses an output that would overwrite a gauge's log from which a sheet
// takes its readings.
func guardLogs(output string, s *sheet.Sheet) error {
	for _, l := range s.Logs {
		if output != "" && output != standardInput && sameFile(output, l.Path) {
			return &usageError{text: fmt.Sprintf("the output would overwrite the log %s, which the sheet reads; name another file", safe(l.Path))}
		}
	}
	return nil
}

// writeResult writes a finished result to standard output, or to the file
// named. Nothing is opened before the result is complete, so that an error
// never leaves half a file or an empty one.
func (p *program) writeResult(result []byte, name string) error {
	if name == "" || name == standardInput {
		_, err := p.out.Write(result)
		return wrapWrite(err)
	}
	return p.writeFile(name, result)
}

func wrapWrite(err error) error {
	if err == nil {
		return nil
	}
	return dataErrorf("cannot write the result: %w", err)
}

// writeFile replaces a file as a whole. What is no regular file (a pipe, a device)
// is written as it is, and so is a file that is open already: standard output by
// whatever name, or what a name of the system's for an open file leads to.
func (p *program) writeFile(name string, content []byte) error {
	for _, w := range []io.Writer{p.out.w, p.Stderr} {
		if open, ok := w.(*os.File); ok && leadsTo(name, open) {
			_, err := w.Write(content)
			return wrapWrite(err)
		}
	}
	info, err := os.Stat(name)
	if err == nil && !info.Mode().IsRegular() || isOfSystem(name) {
		return writeDirect(name, content)
	}
	files.Sweep(name)
	if err := files.Replace(name, content, nil); err != nil {
		if errors.Is(err, fs.ErrNotExist) {
			err = fmt.Errorf("there is no folder %s; make it first", safe(filepath.Dir(name)))
		}
		return cannot("write", name, err)
	}
	return nil
}

// leadsTo says whether a name is that of an open file.
func leadsTo(name string, open *os.File) bool {
	there, err := os.Stat(name)
	if err != nil {
		return false
	}
	mine, err := open.Stat()
	return err == nil && os.SameFile(there, mine)
}

// isOfSystem says whether a name is one that the system has for an open file, such
// as /dev/fd/3.
func isOfSystem(name string) bool {
	name = filepath.ToSlash(filepath.Clean(name))
	return strings.HasPrefix(name, "/dev/fd/") || strings.HasPrefix(name, "/proc/")
}

func writeDirect(name string, content []byte) error {
	f, err := os.OpenFile(name, os.O_WRONLY, 0)
	if err != nil {
		return cannot("write", name, err)
	}
	_, err = f.Write(content)
	if err = errors.Join(err, f.Close()); err != nil {
		return cannot("write", name, err)
	}
	return nil
}
