//go:build unix

package main

import (
	"bufio"
	"bytes"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"syscall"
	"testing"
	"time"
)

// TestBatchInterrupted ends a batch by a signal in the middle: the output ends
// with a whole row, and the same line goes on to the bytes of a run in one piece.
func TestBatchInterrupted(t *testing.T) {
	long(t, "three batches that are killed")
	for _, signal := range []syscall.Signal{syscall.SIGINT, syscall.SIGTERM, syscall.SIGKILL} {
		t.Run(signal.String(), func(t *testing.T) { interrupt(t, signal) })
	}
}

func interrupt(t *testing.T, signal syscall.Signal) {
	folder := t.TempDir()
	var paths []string
	for i := range 40 {
		name := filepath.Join(folder, fmt.Sprintf("%02d.toml", i))
		text := fmt.Sprintf("sheet = 1\n[[hold]]\nhouse = \"-50 Pa\"\nfan = \"%d cfm\"\nto_house = { attic = \"%d Pa\" }\n", 900+50*i, 10+i)
		if err := os.WriteFile(name, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		paths = append(paths, name)
	}
	whole, err := exec.Command("holdbook", append([]string{"batch", "--curvature"}, paths...)...).Output()
	if err != nil {
		t.Fatal(err)
	}
	out := filepath.Join(folder, "out.jsonl")
	half(t, out, signal, paths)
	if cut, err := os.ReadFile(out); err != nil || len(cut) >= len(whole) || signal != syscall.SIGKILL && cut[len(cut)-1] != '\n' {
		t.Fatalf("%v: %d of %d bytes, the last %q", err, len(cut), len(whole), cut[max(0, len(cut)-1):])
	}
	if err := exec.Command("holdbook", append([]string{"batch", "--curvature", "--resume", out}, paths...)...).Run(); err != nil {
		t.Fatal(err)
	}
	if got, err := os.ReadFile(out); err != nil || !bytes.Equal(got, whole) {
		t.Errorf("%v: not the bytes of a run in one piece", err)
	}
}

// half runs a batch whose list of sheets comes slowly, and signals it when the
// third row has been written: the rest of the list never comes.
func half(t *testing.T, out string, signal syscall.Signal, paths []string) {
	cmd := exec.Command("holdbook", "batch", "--curvature", "-", "--resume", out)
	list, err := cmd.StdinPipe()
	if err != nil {
		t.Fatal(err)
	}
	defer list.Close()
	var messages bytes.Buffer
	cmd.Stderr = &messages
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	w := bufio.NewWriter(list)
	for _, p := range paths[:9] {
		fmt.Fprintln(w, p)
	}
	if err := w.Flush(); err != nil {
		t.Fatal(err)
	}
	for tries := 0; ; tries++ {
		if text, err := os.ReadFile(out); err == nil && bytes.Count(text, []byte("\n")) >= 3 {
			break
		}
		if tries > 12_000 {
			t.Fatalf("no row comes: %s", messages.String())
		}
		time.Sleep(5 * time.Millisecond)
	}
	if err := cmd.Process.Signal(signal); err != nil {
		t.Fatal(err)
	}
	err = cmd.Wait()
	if ee := (*exec.ExitError)(nil); !errors.As(err, &ee) {
		t.Fatalf("%v: it should have been interrupted", err)
	} else if signal != syscall.SIGKILL && (ee.ExitCode() != 1 || !bytes.Contains(messages.Bytes(), []byte("--resume"))) {
		t.Fatalf("status %d, %s", ee.ExitCode(), messages.String())
	}
}
