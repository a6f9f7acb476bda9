package command

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
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

// writeResult writes a finished result to standard output, or to the file
// named. Nothing is opened before the result is complete, so that an error
// never leaves half a file or an empty one.
func (p *program) writeResult(result []byte, name string) error {
	if name == "" || name == standardInput {
		_, err := p.out.Write(result)
		return wrapWrite(err)
	}
	return writeFile(name, result)
}

func wrapWrite(err error) error {
	if err == nil {
		return nil
	}
	return dataErrorf("cannot write the result: %w", err)
}

// writeFile replaces a file as a whole: it writes beside it, flushes to disk
// and renames. What is no regular file (a pipe, a device) is written as it is.
func writeFile(name string, content []byte) error {
	if target, err := filepath.EvalSymlinks(name); err == nil {
		name = target
	}
	info, err := os.Stat(name)
	if err == nil && !info.Mode().IsRegular() {
		return writeDirect(name, content)
	}
	beside := filepath.Join(filepath.Dir(name), fmt.Sprintf(".holdbook-%d-%s", os.Getpid(), filepath.Base(name)))
	err = fill(beside, content, info)
	if err == nil {
		err = os.Rename(beside, name)
	}
	if err != nil {
		os.Remove(beside)
		return cannot("write", name, err)
	}
	return nil
}

// fill writes a fresh file and flushes it to disk. It gets the permissions of
// the file it is to replace, old, or those that any new file gets.
func fill(name string, content []byte, old fs.FileInfo) error {
	f, err := os.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
	if err != nil {
		return err
	}
	if old != nil {
		err = f.Chmod(old.Mode().Perm())
	}
	if err == nil {
		_, err = f.Write(content)
	}
	if err == nil {
		err = f.Sync()
	}
	return errors.Join(err, f.Close())
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
