//go:build unix

package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"
)

// shell runs lines in bash in a folder, and gives what they print on either output.
func shell(t *testing.T, folder, lines string) string {
	t.Helper()
	bash, err := exec.LookPath("bash")
	if err != nil {
		t.Skip("no bash here")
	}
	cmd := exec.Command("timeout", "60", bash, "-c", lines)
	cmd.Dir = folder
	out, err := cmd.CombinedOutput()
	if err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	return string(out)
}

// Standard output under another name is written to, and the file that a shell sends
// it to is not replaced by another.
func TestOutputToAnOpenFile(t *testing.T) {
	for _, c := range []struct{ name, before string }{{"/dev/stdout", ""}, {"/dev/fd/1", ""}, {"f", ""}, {"/dev/fd/3", "3>f"}} {
		if _, err := os.Stat(c.name); err != nil && c.before == "" && c.name != "f" {
			continue
		}
		folder := t.TempDir()
		out := shell(t, folder, "exec 1>f "+c.before+"; ls -i f >&2; printf 'before\\n'; holdbook house --house 50 --fan 2280 -o "+c.name+"; printf 'after\\n'; ls -i f >&2")
		lines := strings.Split(strings.TrimSpace(out), "\n")
		if len(lines) != 2 || lines[0] != lines[1] {
			t.Errorf("-o %s: not the same file any more, or a message: %q", c.name, out)
		}
		text, err := os.ReadFile(filepath.Join(folder, "f"))
		if err != nil || !strings.Contains(string(text), "whole house") {
			t.Errorf("-o %s: %v, %s", c.name, err, text)
		}
		if c.before == "" && (!strings.HasPrefix(string(text), "before\n") || !strings.HasSuffix(string(text), "after\n")) {
			t.Errorf("-o %s: what stood before and came after is gone:\n%s", c.name, text)
		}
	}
}

// A file of another process with the same number, as there are in containers, is
// neither in the way nor taken away.
func TestOutputBesideAnotherProcess(t *testing.T) {
	folder := t.TempDir()
	shell(t, folder, `bash -c 'echo theirs > ".holdbook-$$-r.txt"; exec holdbook house --house 50 --fan 2280 -o r.txt'; test -s r.txt; grep -q theirs .holdbook-*-r.txt`)
	shell(t, folder, "holdbook house --house 50 --fan 2280 -o "+strings.Repeat("long", 62)+".txt")
}

// A pipe where a sheet should be is not waited for.
func TestPipeInPlaceOfASheet(t *testing.T) {
	folder := t.TempDir()
	if err := os.WriteFile(filepath.Join(folder, "a.toml"), []byte("sheet = 1\n[[hold]]\nhouse = \"50 Pa\"\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	if err := syscall.Mkfifo(filepath.Join(folder, "b.toml"), 0o600); err != nil {
		t.Skip(err)
	}
	if err := os.Symlink("/dev/zero", filepath.Join(folder, "c.toml")); err != nil {
		t.Fatal(err)
	}
	out := shell(t, folder, "holdbook batch . ; echo status $?; holdbook batch b.toml; holdbook walk b.toml < /dev/null; echo status $?")
	if strings.Count(out, "this is no plain file") != 4 || strings.Count(out, "status 1") != 2 || !strings.Contains(out, `"sheet":"a.toml","results":1`) {
		t.Errorf("printed:\n%s", out)
	}
	// A pipe that the reader names is read: its other end is the reader's own doing.
	out = shell(t, folder, "holdbook report <(cat a.toml); echo status $?")
	if !strings.Contains(out, "status 0") {
		t.Errorf("printed:\n%s", out)
	}
}

// A sheet that becomes a pipe under a walk does not stop it.
func TestWalkOverASheetThatBecomesAPipe(t *testing.T) {
	folder := t.TempDir()
	path := filepath.Join(folder, "v.toml")
	w := startWalk(t, path)
	w.question()
	if err := os.Remove(path); err != nil {
		t.Fatal(err)
	}
	if err := syscall.Mkfifo(path, 0o600); err != nil {
		t.Skip(err)
	}
	w.answer("none")
	if q := w.question(); !strings.Contains(q, "which of these are there") || !strings.Contains(w.screen.String(), "NOT WRITTEN") {
		t.Errorf("asks %q; printed:\n%s", q, w.screen.String())
	}
	w.kill()
}

// Root writes to another's sheet, and it stays that other's.
func TestWalkByRootKeepsTheOwner(t *testing.T) {
	folder := t.TempDir()
	path := filepath.Join(folder, "v.toml")
	if err := os.WriteFile(path, []byte("sheet = 1\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	if os.Chown(path, 4321, 4321) != nil {
		t.Skip("only root gives files away")
	}
	shell(t, folder, "printf 'none\n' | holdbook walk v.toml > /dev/null; grep -q walk v.toml")
	info, err := os.Stat(path)
	if err != nil {
		t.Fatal(err)
	}
	if uid := info.Sys().(*syscall.Stat_t).Uid; uid != 4321 {
		t.Errorf("it is of user %s now", strconv.Itoa(int(uid)))
	}
}
