package command

import (
	"bytes"
	"os"
	"slices"
	"strconv"
	"syscall"

	"golang.org/x/sys/unix"
)

// closers are the programs whose >&- closes the standard output of what they start.
var closers = []string{"sh", "bash", "dash", "zsh", "ksh", "mksh", "ash", "fish", "busybox"}

// isClosed says whether a file is standard output that a shell has closed. The
// runtime then has /dev/null there, open to read and write, into which a result
// would vanish. Other programs mean it when they start one with such an output, and
// so does a shell that has it itself.
func isClosed(f *os.File) bool {
	flags, err := unix.FcntlInt(f.Fd(), unix.F_GETFL, 0)
	if err != nil || f.Fd() != uintptr(syscall.Stdout) || flags&unix.O_ACCMODE != unix.O_RDWR || !leadsTo(os.DevNull, f) {
		return false
	}
	parent := "/proc/" + strconv.Itoa(os.Getppid())
	name, err := os.ReadFile(parent + "/comm")
	return err == nil && slices.Contains(closers, string(bytes.TrimSpace(name))) && !leadsTo(parent+"/fd/1", f)
}
