//go:build linux

package main

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"golang.org/x/sys/unix"
)

// terminal is a new terminal: what is written to tty comes out of screen.
func terminal(t *testing.T) (screen, tty *os.File) {
	t.Helper()
	screen, err := os.OpenFile("/dev/ptmx", os.O_RDWR, 0)
	if err != nil {
		t.Skip(err)
	}
	t.Cleanup(func() { screen.Close() })
	if err := unix.IoctlSetPointerInt(int(screen.Fd()), unix.TIOCSPTLCK, 0); err != nil {
		t.Skip(err)
	}
	n, err := unix.IoctlGetInt(int(screen.Fd()), unix.TIOCGPTN)
	if err != nil {
		t.Skip(err)
	}
	if tty, err = os.OpenFile(fmt.Sprintf("/dev/pts/%d", n), os.O_RDWR|unix.O_NOCTTY, 0); err != nil {
		t.Skip(err)
	}
	t.Cleanup(func() { tty.Close() })
	return screen, tty
}

// large is a sheet that takes minutes.
func large() string {
	const zones = 24
	var b strings.Builder
	b.WriteString("sheet = 1\n")
	for z := range zones {
		fmt.Fprintf(&b, "[[zone]]\nname = \"z%d\"\n", z)
	}
	for h := range 6 {
		fmt.Fprintf(&b, "[[hold]]\nname = \"h%d\"\nhouse = \"-50 Pa\"\nfan = \"%d cfm\"\nopened = [ { between = [\"house\", \"z%d\"], name = \"door %d\" } ]\nto_house = { ", h, 2000+100*h, h, h)
		for z := range zones {
			fmt.Fprintf(&b, "z%d = \"%d Pa\", ", z, 20+z)
		}
		b.WriteString("z99 = \"9 Pa\" }\n")
	}
	return strings.Replace(b.String(), "[[hold]]", "[[zone]]\nname = \"z99\"\n[[hold]]", 1)
}

// Work that takes long is told of on a terminal, and nowhere else.
func TestLongWorkIsToldOf(t *testing.T) {
	path := filepath.Join(t.TempDir(), "large.toml")
	if err := os.WriteFile(path, []byte(large()), 0o600); err != nil {
		t.Fatal(err)
	}
	for command, want := range map[string]string{"check": "checking, ", "report": "estimating, ", "walk": "estimating, ", "next": "predicting readings, ", "compare": "comparing, "} {
		t.Run(command, func(t *testing.T) {
			t.Parallel()
			screen, tty := terminal(t)
			shown, silent := exec.Command("holdbook", command, path), exec.Command("holdbook", command, path)
			switch command {
			case "compare": // two sheets
				shown.Args, silent.Args = append(shown.Args, path), append(silent.Args, path)
			case "walk":
				silent = exec.Command("holdbook", "report", path)
			}
			shown.Stderr = tty
			var messages bytes.Buffer
			silent.Stderr = &messages
			for _, cmd := range []*exec.Cmd{shown, silent} {
				if err := cmd.Start(); err != nil {
					t.Fatal(err)
				}
			}
			timer := time.AfterFunc(patience, func() { shown.Process.Kill(); tty.Close(); screen.Close() })
			defer timer.Stop()
			text, b := "", make([]byte, 1000)
			for !strings.Contains(text, want) {
				n, err := screen.Read(b)
				if text += string(b[:n]); err != nil {
					t.Errorf("%v: it ended, and the terminal shows %q", err, text)
					break
				}
			}
			for _, cmd := range []*exec.Cmd{shown, silent} {
				cmd.Process.Kill()
				cmd.Wait()
			}
			if messages.Len() > 0 {
				t.Errorf("not to a terminal: %q", messages.String())
			}
		})
	}
}
