// Package files reads and writes files so that none is ever half written, taken
// for another, or waited for: it reads plain files only, replaces a file in one
// step and with its owner and permissions, makes a new one whole or not at all,
// and locks a file against a second process.
//
// Errors are those of the system; what they mean to a reader is said by the
// packages that know what the file is.
package files

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"math/rand/v2"
	"os"
	"path/filepath"
	"runtime"
	"strconv"
	"strings"
	"syscall"

	"github.com/gofrs/flock"
)

var (
	// ErrNotPlain says that a path leads to a pipe, a device or another thing that
	// is read once, or never ends.
	ErrNotPlain = errors.New("this is no plain file")
	// ErrIsFolder says that a path leads to a folder.
	ErrIsFolder = errors.New("this is a folder")
	// ErrFolder says that the folder of a file cannot be written to.
	ErrFolder = errors.New("the folder may not be written to")
)

// Open opens a plain file to read; flags such as os.O_RDWR may be added. It does
// not wait for what writes to a pipe.
func Open(path string, flags int) (*os.File, error) {
	info, err := os.Stat(path)
	if err == nil {
		err = plain(info)
	}
	if err != nil {
		return nil, err
	}
	f, err := os.OpenFile(path, os.O_RDONLY|flags|NoWait, 0)
	if err != nil {
		return nil, err
	}
	if info, err = f.Stat(); err == nil { // it may have become another since
		err = plain(info)
	}
	if err != nil {
		return nil, errors.Join(err, f.Close())
	}
	return f, nil
}

// Read is the content of a plain file, or its first limit bytes.
func Read(path string, limit int64) ([]byte, error) {
	f, err := Open(path, 0)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return io.ReadAll(io.LimitReader(f, limit))
}

func plain(info fs.FileInfo) error {
	switch {
	case info.IsDir():
		return ErrIsFolder
	case !info.Mode().IsRegular():
		return ErrNotPlain
	}
	return nil
}

// Target is the file that writing to a path writes to: links are followed to their
// end, also where nothing is there yet.
func Target(path string) string {
	for range 40 { // as many links as a system follows
		if real, err := filepath.EvalSymlinks(path); err == nil {
			return real
		}
		to, err := os.Readlink(path)
		if err != nil {
			break
		}
		if !filepath.IsAbs(to) {
			folder, err := filepath.EvalSymlinks(filepath.Dir(path))
			if err != nil {
				break
			}
			to = filepath.Join(folder, to)
		}
		path = to
	}
	return path
}

// Replace puts data in the place of the file that a path leads to, or makes that
// file, in one step: it writes beside it, has that on disk, and renames. An old
// file's permissions are kept, and its owner where the system lets us. last, when
// not nil, is asked just before the old file goes; its error stops that.
func Replace(path string, data []byte, last func() error) error {
	path = Target(path)
	old, err := os.Stat(path)
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	t, err := newTemporary(path, old)
	if err != nil {
		return err
	}
	defer t.drop()
	if err := t.fill(data); err != nil {
		return err
	}
	if last != nil {
		if err := last(); err != nil {
			return err
		}
	}
	if err := os.Rename(t.name, path); err != nil {
		return err
	}
	return syncFolder(filepath.Dir(path))
}

// Create makes a new file, whole or not at all; one of its name must not be there
// (fs.ErrExist). It writes beside it and gives what is then on disk the name.
func Create(path string, data []byte) error {
	if _, err := os.Lstat(path); err == nil {
		return &fs.PathError{Op: "create", Path: path, Err: fs.ErrExist}
	}
	Sweep(path)
	t, err := newTemporary(path, nil)
	if err != nil {
		return err
	}
	defer t.drop()
	if err := t.fill(data); err != nil {
		return err
	}
	err = os.Link(t.name, path)
	if err != nil && !errors.Is(err, fs.ErrExist) { // a file system without links
		if _, there := os.Lstat(path); errors.Is(there, fs.ErrNotExist) {
			err = os.Rename(t.name, path)
		}
	}
	if err != nil {
		return err
	}
	t.drop()
	return syncFolder(filepath.Dir(path))
}

// temporary is a file that is to take another's place. Where the system has locks
// it is held locked, which tells it from what a writer that was killed has left;
// Windows does not remove an open file.
type temporary struct {
	file *os.File
	name string
	lock *flock.Flock
}

// newTemporary makes a file beside path, with the permissions and the owner of the
// file it is to replace, old, or as any new file.
func newTemporary(path string, old fs.FileInfo) (*temporary, error) {
	perm := fs.FileMode(0o666)
	if old != nil {
		perm = 0o600 // until it is whole, nobody else's
	}
	for range 100 {
		name := prefix(path) + strconv.FormatUint(rand.Uint64N(1e10), 10)
		f, err := os.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, perm)
		switch {
		case errors.Is(err, fs.ErrExist):
			continue
		case errors.Is(err, fs.ErrPermission):
			return nil, fmt.Errorf("%w: %w", ErrFolder, err)
		case err != nil:
			return nil, err
		}
		t := &temporary{file: f, name: name}
		if !t.hold() { // swept before it was locked
			t.drop()
			continue
		}
		if old != nil {
			keepOwner(f, old)
			if err := f.Chmod(old.Mode().Perm()); err != nil && !errors.Is(err, errors.ErrUnsupported) {
				t.drop()
				return nil, err
			}
		}
		return t, nil
	}
	return nil, &fs.PathError{Op: "create", Path: prefix(path), Err: fs.ErrExist}
}

// hold locks the file; false when it has lost its name meanwhile.
func (t *temporary) hold() bool {
	if runtime.GOOS == "windows" {
		return true
	}
	t.lock = flock.New(t.name, flock.SetFlag(os.O_RDONLY))
	mine, err := t.lock.TryLock()
	if !mine {
		return err != nil && !errors.Is(err, fs.ErrNotExist) // no locks here: none sweeps
	}
	return named(t.lock, t.name)
}

// named says whether a locked file still has its name.
func named(l *flock.Flock, name string) bool {
	mine, err := l.Stat()
	if err != nil {
		return false
	}
	there, err := os.Stat(name)
	return err == nil && os.SameFile(mine, there)
}

// fill writes the file and closes it; its bytes are then on disk.
func (t *temporary) fill(data []byte) error {
	_, err := t.file.Write(data)
	if err == nil {
		err = t.file.Sync()
	}
	return errors.Join(err, t.file.Close())
}

// drop takes away what has not taken another's place. It may be called twice.
func (t *temporary) drop() {
	t.file.Close()
	os.Remove(t.name)
	if t.lock != nil {
		t.lock.Unlock()
	}
}

// prefix begins the paths of the files that are to take a file's place. Names may
// have 255 bytes, four a character.
func prefix(path string) string {
	base := []rune(filepath.Base(path))
	return filepath.Join(filepath.Dir(path), ".holdbook-"+string(base[:min(len(base), 50)])+"-")
}

// Sweep removes what writers of a file that were killed have left beside it, and
// nothing that a writer still has in hand.
func Sweep(path string) {
	path = Target(path)
	entries, err := os.ReadDir(filepath.Dir(path))
	if err != nil {
		return // nothing depends on it
	}
	for _, e := range entries {
		rest, ok := strings.CutPrefix(e.Name(), filepath.Base(prefix(path)))
		if !ok || strings.Trim(rest, "0123456789") != "" || !e.Type().IsRegular() {
			continue
		}
		name := filepath.Join(filepath.Dir(path), e.Name())
		if runtime.GOOS == "windows" {
			os.Remove(name) // refused while it is open
			continue
		}
		l := flock.New(name, flock.SetFlag(os.O_RDONLY))
		if mine, _ := l.TryLock(); mine {
			os.Remove(name)
			l.Unlock()
		}
	}
}

// syncFolder makes a new name in a folder last. Windows has no such call, and does
// not need it; some file systems do not know it.
func syncFolder(path string) error {
	if runtime.GOOS == "windows" {
		return nil
	}
	f, err := os.Open(path)
	if err != nil {
		return err
	}
	err = f.Sync()
	if errors.Is(err, syscall.EINVAL) || errors.Is(err, errors.ErrUnsupported) {
		err = nil
	}
	return errors.Join(err, f.Close())
}
