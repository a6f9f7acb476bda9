package files

import (
	"errors"
	"fmt"
	"hash/fnv"
	"os"
	"path/filepath"
	"strings"
	"time"

	"github.com/gofrs/flock"
)

// Lock keeps a second process away from a file. It is a file beside it that the
// system holds locked for this process, so that the lock of one that was killed,
// or whose computer lost its power, is void by itself; the file that such a one
// leaves behind does no harm. Systems without locks keep nobody away.
type Lock struct {
	lock *flock.Flock
	name string
}

// HeldError says that another process holds the lock.
type HeldError struct{ By string } // what it wrote down, "" when that cannot be read

// Error names the holder.
func (e *HeldError) Error() string { return strings.TrimSpace("held by another process " + e.By) }

// TakeLock locks the file that a path leads to. The lock's own file is hidden
// beside it and ends in kind.
func TakeLock(path, kind string) (*Lock, error) {
	name, err := lockName(path, kind)
	if err != nil {
		return nil, err
	}
	for range 10 { // another may be taking its lock file away just now
		if l, err := tryLock(name); l != nil || err != nil {
			return l, err
		}
	}
	return nil, &HeldError{"(it is just ending)"}
}

// tryLock gives nil and no error when the lock's file was taken away meanwhile.
func tryLock(name string) (*Lock, error) {
	l := &Lock{flock.New(name, flock.SetFlag(os.O_CREATE|os.O_RDONLY|NoWait), flock.SetPermissions(0o666)), name}
	mine, err := l.lock.TryLock()
	switch {
	case errors.Is(err, errors.ErrUnsupported):
		return l, nil
	case err != nil:
		return nil, err
	case !mine:
		return nil, &HeldError{holder(name)}
	case !named(l.lock, name):
		return nil, l.lock.Unlock()
	}
	l.sign()
	return l, nil
}

// lockName is one name whatever way leads to the file. Names may have 255 bytes,
// four a character; of a longer one the start and a sum are taken.
func lockName(path, kind string) (string, error) {
	path, err := filepath.Abs(Target(path))
	base := filepath.Base(path)
	if long := []rune(base); len(long) > 50 {
		sum := fnv.New64a()
		sum.Write([]byte(base))
		base = fmt.Sprintf("%s~%x", string(long[:50]), sum.Sum64())
	}
	return filepath.Join(filepath.Dir(path), "."+base+kind), err
}

// signFrom is where the holder's name stands, in a field of one length: Windows
// lets nobody else read or write the first byte of a locked file.
const signFrom = 1

// sign writes down who holds the lock, for the message that a second gets. It is a
// courtesy: a full disk does not undo the lock.
func (l *Lock) sign() {
	f, err := os.OpenFile(l.name, os.O_WRONLY|NoWait, 0)
	if err != nil {
		return
	}
	defer f.Close()
	text := fmt.Sprintf("process %d since %s", os.Getpid(), time.Now().Format("15:04"))
	_, _ = f.WriteAt(fmt.Appendf(nil, "%-48s\n", text), signFrom)
}

// holder is what the holder of a lock wrote, where it can be read.
func holder(name string) string {
	f, err := Open(name, 0)
	if err != nil {
		return ""
	}
	defer f.Close()
	b := make([]byte, 60)
	n, _ := f.ReadAt(b, signFrom)
	if text := strings.TrimSpace(string(b[:n])); text != "" {
		return "(" + text + ")"
	}
	return ""
}

// Release gives the lock up. Its file is taken away while it is still locked, so
// that whoever locks it afterwards sees that it has no name any more; Windows does
// not remove an open file.
func (l *Lock) Release() {
	os.Remove(l.name)
	l.lock.Unlock()
	if removedOnlyClosed {
		os.Remove(l.name)
	}
}
