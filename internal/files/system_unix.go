//go:build unix

package files

import (
	"io/fs"
	"os"
	"syscall"
)

// NoWait is the flag that opens a pipe without waiting for its other end.
const NoWait = syscall.O_NONBLOCK

const removedOnlyClosed = false

// Links is how many names a file has.
func Links(info fs.FileInfo) int {
	if s, ok := info.Sys().(*syscall.Stat_t); ok {
		return int(s.Nlink)
	}
	return 1
}

// keepOwner gives a file to the owner of another. Only root may give to anybody;
// others may at least keep the group, where they belong to it.
func keepOwner(f *os.File, of fs.FileInfo) {
	s, ok := of.Sys().(*syscall.Stat_t)
	if !ok {
		return
	}
	if f.Chown(int(s.Uid), int(s.Gid)) != nil {
		_ = f.Chown(-1, int(s.Gid))
	}
}
