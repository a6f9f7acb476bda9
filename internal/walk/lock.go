package walk

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"time"

	"holdbook/internal/sheet"
	"holdbook/units"
)

// Lock keeps a second walk away from a sheet. It is a file beside the sheet
// that the system holds locked for this process, so that the lock of one that
// was killed, or whose computer lost its power, is void by itself; the file
// that such a one leaves behind does no harm.
type Lock struct {
	file *os.File
	path string
}

// errHeld says that another process holds the lock.
var errHeld = errors.New("held by another process")

// TakeLock locks the sheet in a file.
func TakeLock(path string) (*Lock, error) {
	name, err := lockName(path)
	if err != nil {
		return nil, &sheet.FileError{File: path, Why: "it cannot be locked: " + err.Error(), Err: err}
	}
	for range 10 { // another walk may be taking its lock file away just now
		l, err := tryLock(name)
		switch {
		case errors.Is(err, errHeld):
			return nil, &sheet.FileError{File: path, Why: "another walk has this sheet open" + holder(name) + "; go on there, or stop it first", Err: err}
		case errors.Is(err, os.ErrPermission):
			return nil, &sheet.FileError{File: path, Why: "its folder may not be written to, so nothing could be kept; check the folder's permissions, or copy the sheet elsewhere", Err: err}
		case err != nil:
			return nil, &sheet.FileError{File: path, Why: "it cannot be locked against a second walk: " + plain(err), Err: err}
		case l != nil:
			l.sign()
			return l, nil
		}
	}
	return nil, &sheet.FileError{File: path, Why: "another walk is just ending; try again", Err: errHeld}
}

// plain is an error of the system without the path it names.
func plain(err error) string {
	if pe := (*os.PathError)(nil); errors.As(err, &pe) {
		err = pe.Err
	}
	return err.Error()
}

// lockName is one name whatever way leads to the sheet.
func lockName(path string) (string, error) {
	if real, err := filepath.EvalSymlinks(path); err == nil {
		path = real
	}
	path, err := filepath.Abs(path)
	base := []rune(filepath.Base(path))
	return filepath.Join(filepath.Dir(path), "."+string(base[:min(len(base), 60)])+".walk"), err
}

// tryLock gives nil and no error when the file was taken away meanwhile.
func tryLock(name string) (*Lock, error) {
	f, err := lockFile(name)
	if err != nil {
		return nil, err
	}
	mine, err := f.Stat()
	if err == nil {
		var there os.FileInfo
		if there, err = os.Stat(name); err == nil && os.SameFile(mine, there) {
			return &Lock{f, name}, nil
		}
	}
	f.Close()
	if err != nil && !errors.Is(err, os.ErrNotExist) {
		return nil, err
	}
	return nil, nil
}

// sign writes down who holds the lock, for the message that a second gets. It
// is a courtesy: a full disk does not undo the lock.
func (l *Lock) sign() {
	if l.file.Truncate(0) == nil {
		fmt.Fprintf(l.file, "process %d since %s\n", os.Getpid(), time.Now().Format("15:04"))
	}
}

// holder is what the holder of a lock wrote, where it can be read.
func holder(name string) string {
	text, err := os.ReadFile(name)
	if err != nil || len(strings.TrimSpace(string(text))) == 0 {
		return ""
	}
	return " (" + units.SanitizeTo(string(text), 60) + ")"
}

// Release gives the lock up.
func (l *Lock) Release() {
	removeLock(l)
}
