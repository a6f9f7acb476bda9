//go:build !(darwin || dragonfly || freebsd || linux || netbsd || openbsd || windows)

package walk

import (
	"errors"
	"os"
	"time"
)

// staleAfter is when a lock file that nobody removed no longer counts: longer
// than a visit lasts. Systems without locks of their own have nothing better.
const staleAfter = 12 * time.Hour

// lockFile makes a file that must not exist yet.
func lockFile(name string) (*os.File, error) {
	if info, err := os.Stat(name); err == nil && time.Since(info.ModTime()) > staleAfter {
		os.Remove(name)
	}
	f, err := os.OpenFile(name, os.O_RDWR|os.O_CREATE|os.O_EXCL, 0o666)
	if errors.Is(err, os.ErrExist) {
		return nil, errHeld
	}
	return f, err
}

func removeLock(l *Lock) {
	l.file.Close()
	os.Remove(l.path)
}
