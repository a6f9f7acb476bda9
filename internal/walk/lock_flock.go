//go:build darwin || dragonfly || freebsd || linux || netbsd || openbsd

package walk

import (
	"errors"
	"os"
	"syscall"
)

// lockFile opens and locks a file; the system unlocks it when it is closed,
// whatever closes it.
func lockFile(name string) (*os.File, error) {
	f, err := os.OpenFile(name, os.O_RDWR|os.O_CREATE, 0o666)
	if err != nil {
		return nil, err
	}
	for {
		err = syscall.Flock(int(f.Fd()), syscall.LOCK_EX|syscall.LOCK_NB)
		if !errors.Is(err, syscall.EINTR) {
			break
		}
	}
	if err != nil {
		f.Close()
	}
	if errors.Is(err, syscall.EWOULDBLOCK) {
		return nil, errHeld
	}
	return f, err
}

// removeLock takes the file away while it is still locked: whoever locks it
// afterwards sees that it has no name any more.
func removeLock(l *Lock) {
	os.Remove(l.path)
	l.file.Close()
}
