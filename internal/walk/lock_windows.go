package walk

import (
	"errors"
	"os"
	"syscall"
)

// errSharing is ERROR_SHARING_VIOLATION: another process has the file open.
const errSharing = syscall.Errno(32)

// lockFile opens a file that no other process may write to meanwhile; the
// system closes it when the process ends, whatever ends it.
func lockFile(name string) (*os.File, error) {
	path, err := syscall.UTF16PtrFromString(name)
	if err != nil {
		return nil, err
	}
	h, err := syscall.CreateFile(path, syscall.GENERIC_READ|syscall.GENERIC_WRITE, syscall.FILE_SHARE_READ,
		nil, syscall.OPEN_ALWAYS, syscall.FILE_ATTRIBUTE_NORMAL, 0)
	switch {
	case errors.Is(err, errSharing):
		return nil, errHeld
	case err != nil:
		return nil, &os.PathError{Op: "open", Path: name, Err: err}
	}
	return os.NewFile(uintptr(h), name), nil
}

// removeLock closes the file first: an open one cannot be removed here.
func removeLock(l *Lock) {
	l.file.Close()
	os.Remove(l.path)
}
