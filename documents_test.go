//go:build unix

package main

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"
)

// TestDocumentsInterrupted ends a batch of documents by a signal, the rest of whose list
// never comes: each document that is there is whole.
func TestDocumentsInterrupted(t *testing.T) {
	long(t, "batches that are killed")
	for _, signal := range []syscall.Signal{syscall.SIGTERM, syscall.SIGKILL} {
		t.Run(signal.String(), func(t *testing.T) { interruptDocuments(t, signal) })
	}
}

func interruptDocuments(t *testing.T, signal syscall.Signal) {
	folder := filepath.Join(t.TempDir(), "documents")
	cmd := exec.Command("holdbook", "batch", "--curvature", "-", "--format", "hpxml", "-o", folder)
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
	for i := range 9 {
		fmt.Fprintf(list, `{"sheet": "house%d", "toml": "sheet = 1\n[[hold]]\nhouse = \"-50 Pa\"\nfan = \"%d cfm\"\nto_house = { attic = \"44 Pa\" }\n"}`+"\n", i, 900+50*i)
	}
	var found []string
	for tries := 0; len(found) < 3; tries++ {
		if tries > 12_000 {
			t.Fatalf("no document comes: %s", messages.String())
		}
		time.Sleep(5 * time.Millisecond)
		found, _ = filepath.Glob(filepath.Join(folder, "*.xml"))
	}
	if err := cmd.Process.Signal(signal); err != nil {
		t.Fatal(err)
	}
	err = cmd.Wait()
	if said := messages.String(); err == nil || signal != syscall.SIGKILL && (!strings.Contains(said, "its whole document") || strings.Contains(said, "--resume")) {
		t.Fatalf("%v: %s", err, said)
	}
	found, _ = filepath.Glob(filepath.Join(folder, "*.xml"))
	for _, f := range found {
		if text, err := os.ReadFile(f); err != nil || !bytes.HasSuffix(text, []byte("</HPXML>\n")) {
			t.Errorf("%s: %v, not whole", f, err)
		}
	}
}
