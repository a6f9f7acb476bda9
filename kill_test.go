//go:build linux

package main

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"holdbook/internal/sheet"
)

// calls are the system calls that change what stands on disk, and those around
// them.
var calls = strings.Fields("openat write pwrite64 fsync fchmod fchown linkat renameat unlinkat close flock ftruncate")

// killedAtEach runs the program again and again, in a folder that before makes, and
// kills it when one of its threads makes its first, second, … of each of the calls,
// until it comes to its end.
func killedAtEach(t *testing.T, before func() (folder string), stdin string, words []string, after func(folder, at string)) {
	t.Helper()
	kills := 0
	if exec.Command("strace", "-qq", "-o", os.DevNull, "-e", "inject=getpid:signal=KILL:when=9", "true").Run() != nil {
		t.Skip("no strace here")
	}
	for _, call := range calls {
		for n := 1; ; n++ {
			folder := before()
			cmd := exec.Command("strace", append([]string{"-f", "-qq", "-o", os.DevNull, "-e", "trace=" + call,
				"-e", fmt.Sprintf("inject=%s:signal=KILL:when=%d", call, n), "holdbook"}, words...)...)
			cmd.Dir, cmd.Stdin = folder, strings.NewReader(stdin)
			out, err := cmd.CombinedOutput()
			if err == nil {
				break
			}
			if ee := (*exec.ExitError)(nil); !errors.As(err, &ee) || ee.Exited() && ee.ExitCode() != 128+9 {
				t.Fatalf("%v: %s", err, out)
			}
			kills++
			after(folder, fmt.Sprintf("%v, killed at %s %d", words, call, n))
		}
	}
	if kills < 15 {
		t.Errorf("%v: only %d kills", words, kills)
	}
	t.Logf("%v: %d kills", words, kills)
}

// A new sheet of a process killed at any system call is whole or is not there, and
// the same line then makes it, or says that it stands there.
func TestNewKilledAtEachCall(t *testing.T) {
	for _, words := range [][]string{{"new", "a.toml", "--zone", "attic"}, {"zone", "attic=44", "--house", "50", "--save", "a.toml"}} {
		killedAtEach(t, t.TempDir, "", words, func(folder, at string) {
			there := wholeSheet(t, filepath.Join(folder, "a.toml"), at)
			cmd := exec.Command("holdbook", words...)
			cmd.Dir = folder
			if out, err := cmd.CombinedOutput(); (err != nil) != there {
				t.Fatalf("%s, then again: %v\n%s", at, err, out)
			}
			if !there {
				nothingLeft(t, folder, at)
			}
		})
	}
}

// wholeSheet says whether a sheet is there, and wants it whole.
func wholeSheet(t *testing.T, name, at string) bool {
	t.Helper()
	if _, err := os.Stat(name); err != nil {
		return false
	}
	if _, err := sheet.Read(name); err != nil {
		t.Fatalf("%s: %v", at, err)
	}
	return true
}

// A report that replaces another is the old one or the new one, and what a killed
// run has left goes with the next.
func TestOutputKilledAtEachCall(t *testing.T) {
	line := []string{"house", "--house", "50", "--fan", "2280", "-o", "r.txt"}
	folder := t.TempDir()
	name := filepath.Join(folder, "r.txt")
	again := func() []byte {
		cmd := exec.Command("holdbook", line...)
		cmd.Dir = folder
		if out, err := cmd.CombinedOutput(); err != nil {
			t.Fatalf("%v: %s", err, out)
		}
		text, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		return text
	}
	want := again()
	before := func() string {
		if err := os.WriteFile(name, []byte("old"), 0o600); err != nil {
			t.Fatal(err)
		}
		return folder
	}
	killedAtEach(t, before, "", line, func(_, at string) {
		if got, err := os.ReadFile(name); err != nil || string(got) != "old" && !bytes.Equal(got, want) {
			t.Fatalf("%s: %v, %q", at, err, got)
		}
	})
	again()
	nothingLeft(t, folder, "after the next run")
}

// A walk killed at any system call leaves a whole sheet, that the next goes on with.
func TestWalkKilledAtEachCall(t *testing.T) {
	killedAtEach(t, t.TempDir, "none\ndepressurised\nyes\nyes\n\nattic\n", []string{"walk", "v.toml"}, func(folder, at string) {
		wholeSheet(t, filepath.Join(folder, "v.toml"), at)
		cmd := exec.Command("holdbook", "walk", "v.toml")
		cmd.Dir, cmd.Stdin = folder, strings.NewReader("stop\n")
		if out, err := cmd.CombinedOutput(); err != nil {
			t.Fatalf("%s, then again: %v\n%s", at, err, out)
		}
		nothingLeft(t, folder, at)
	})
}

// A result for a standard output that a shell has closed is an error; one that
// another program has sent to nowhere is not.
func TestClosedOutput(t *testing.T) {
	folder := t.TempDir()
	for line, want := range map[string]string{
		"holdbook house --house 50 --fan 2280 >&-":           "standard output is closed\nstatus 1",
		"holdbook --version >&-":                             "standard output is closed\nstatus 1",
		"holdbook house --house 50 --fan 2280 -o r.txt >&-":  "status 0",
		"holdbook house --house 50 --fan 2280 > /dev/null":   "status 0",
		"holdbook house --house 50 --fan 2280 > /dev/full":   "no space left on device\nstatus 1",
		"(exec >&-; holdbook --version; echo status $? >&2)": "standard output is closed\nstatus 1",
	} {
		if out := shell(t, folder, line+"; echo status $? >&2"); !strings.Contains(out, want) {
			t.Errorf("%s: %q", line, out)
		}
	}
	null, err := os.OpenFile(os.DevNull, os.O_RDWR, 0)
	if err != nil {
		t.Fatal(err)
	}
	defer null.Close()
	for _, words := range [][]string{{"holdbook", "--version"}, {"bash", "-c", "holdbook --version; true && holdbook --version"}} {
		cmd := exec.Command(words[0], words[1:]...)
		cmd.Stdout = null
		if err := cmd.Run(); err != nil {
			t.Errorf("%q, its output sent to nowhere: %v", words, err)
		}
	}
}
