//go:build unix

package main

import (
	"errors"
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
		if err != nil || !strings.Contains(string(text), "house  leaks") {
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

// A walk under whose hands the sheet is emptied, removed or put back to an older one
// says so, and gives all that it held back.
func TestWalkWhoseSheetIsLost(t *testing.T) {
	for what, lose := range map[string]func(path string) error{
		"emptied":  func(path string) error { return os.WriteFile(path, nil, 0o600) },
		"removed":  os.Remove,
		"no sheet": func(path string) error { return os.WriteFile(path, []byte("my diary\n"), 0o600) },
	} {
		t.Run(what, func(t *testing.T) {
			folder := t.TempDir()
			path := filepath.Join(folder, "v.toml")
			w := startWalk(t, path)
			w.question()
			w.answer("none")
			w.question()
			held, err := os.ReadFile(path)
			if err != nil || lose(path) != nil {
				t.Fatal(err)
			}
			w.answer("depressurised")
			w.question()
			if screen := w.screen.String(); !strings.Contains(screen, "NOT WRITTEN: your answer depressurised") || !strings.Contains(screen, "Write keep") || strings.Contains(screen, "Everything before it is in the sheet") {
				t.Errorf("printed:\n%s", screen)
			}
			w.answer("keep")
			w.question()
			kept, err := os.ReadFile(filepath.Join(folder, "v-kept.toml"))
			if err != nil || string(kept) != string(held) {
				t.Fatalf("%v, kept:\n%s\nheld:\n%s", err, kept, held)
			}
			w.answer("") // the answer that was not written goes there now
			if q := w.question(); !strings.Contains(q, "all of that is done") {
				t.Errorf("then asks %q:\n%s", q, w.screen.String())
			}
			w.answer("stop")
			w.end()
			if !strings.Contains(strings.Join(strings.Fields(w.screen.String()), " "), "Go on with: holdbook walk "+filepath.Join(folder, "v-kept.toml")) {
				t.Errorf("printed:\n%s", w.screen.String())
			}
			kept, _ = os.ReadFile(filepath.Join(folder, "v-kept.toml"))
			if !strings.HasPrefix(string(kept), string(held)[:20]) || !strings.Contains(string(kept), `hold = "depressurised"`) {
				t.Errorf("kept:\n%s", kept)
			}
			nothingLeft(t, folder, what)
		})
	}
}

// Whoever leaves a walk whose sheet is lost, by any way out, finds it in another
// file, and the status says that something was wrong.
func TestWalkLeftWithoutItsSheet(t *testing.T) {
	for _, out := range []string{"stop\n", "", "no good answer\nstop\n"} {
		folder := t.TempDir()
		path := filepath.Join(folder, "v.toml")
		w := startWalk(t, path)
		w.question()
		w.answer("none")
		w.question()
		if err := os.Remove(path); err != nil {
			t.Fatal(err)
		}
		if _, err := w.in.Write([]byte(out)); err != nil {
			t.Fatal(err)
		}
		if err := w.in.Close(); err != nil {
			t.Fatal(err)
		}
		for c := range w.bytes {
			w.screen.WriteByte(c)
		}
		if err := w.cmd.Wait(); err == nil {
			t.Errorf("%q: status 0", out)
		}
		if kept, err := os.ReadFile(filepath.Join(folder, "v-kept.toml")); err != nil || !strings.Contains(string(kept), `answer = "none"`) || strings.Contains(w.screen.String(), "everything is kept") {
			t.Errorf("%q: %v\n%s\n%s", out, err, kept, w.screen.String())
		}
		nothingLeft(t, folder, out)
	}
}

// A sheet put back to an older one is read again, and the walk says what is gone.
func TestWalkWhoseSheetIsPutBack(t *testing.T) {
	folder := t.TempDir()
	path := filepath.Join(folder, "v.toml")
	w := startWalk(t, path)
	w.question()
	older, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	w.answer("none")
	w.question()
	held, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(path, older, 0o600); err != nil {
		t.Fatal(err)
	}
	w.answer("depressurised")
	w.question()
	if !strings.Contains(strings.Join(strings.Fields(w.screen.String()), " "), "of the lines that stood in it are not there any more") {
		t.Errorf("printed:\n%s", w.screen.String())
	}
	w.answer("keep")
	w.question()
	if kept, err := os.ReadFile(filepath.Join(folder, "v-kept.toml")); err != nil || string(kept) != string(held) {
		t.Errorf("%v, kept:\n%s\nheld:\n%s", err, kept, held)
	}
	w.answer("stop")
	w.end()
}

// An interrupted walk says how to go on, and leaves nothing beside the sheet.
func TestWalkInterrupted(t *testing.T) {
	for _, signal := range []syscall.Signal{syscall.SIGINT, syscall.SIGTERM} {
		folder := t.TempDir()
		w := startWalk(t, filepath.Join(folder, "v.toml"))
		w.question()
		w.answer("none")
		w.question()
		if err := w.cmd.Process.Signal(signal); err != nil {
			t.Fatal(err)
		}
		for c := range w.bytes {
			w.screen.WriteByte(c)
		}
		err := w.cmd.Wait()
		if ee := (*exec.ExitError)(nil); !errors.As(err, &ee) || ee.ExitCode() != 1 || !strings.Contains(w.screen.String(), "Go on with: holdbook walk") {
			t.Errorf("%v: %v\n%s", signal, err, w.screen.String())
		}
		nothingLeft(t, folder, signal.String())
	}
}

// A sheet with a second name is not walked on: the two would have a lock each, and
// part at the first answer.
func TestWalkRefusesASecondName(t *testing.T) {
	folder := t.TempDir()
	out := shell(t, folder, `printf 'sheet = 1\n' > a.toml; ln a.toml b.toml
printf 'none\n' | holdbook walk a.toml; echo status $?
printf 'none\n' | holdbook walk b.toml; echo status $?
cmp a.toml b.toml && rm b.toml && printf 'none\n' | holdbook walk a.toml > /dev/null; echo status $?`)
	if strings.Count(out, "second name (a hard link)") != 2 || strings.Count(out, "status 1") != 2 || strings.Count(out, "status 0") != 1 {
		t.Errorf("printed:\n%s", out)
	}
	nothingLeft(t, folder, "at the end")
}

// nothingLeft wants no hidden file in a folder.
func nothingLeft(t *testing.T, folder, at string) {
	t.Helper()
	entries, err := os.ReadDir(folder)
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range entries {
		if strings.HasPrefix(e.Name(), ".") {
			t.Errorf("%s: %s is left", at, e.Name())
		}
	}
}
