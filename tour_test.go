package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
)

// TestTour runs the tour as a script that looks at what each command shows.
func TestTour(t *testing.T) {
	p := scriptParams()
	p.Dir = filepath.Join("testdata", "tour")
	p.Cmds["append"] = appendFile
	testscript.Run(t, p)
}

// appendFile adds a file to the end of another: append TO FROM
func appendFile(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 2 {
		ts.Fatalf("usage: append TO FROM")
	}
	whole := ts.ReadFile(args[0]) + ts.ReadFile(args[1])
	ts.Check(os.WriteFile(ts.MkAbs(args[0]), []byte(whole), 0o666))
}

// TestTourPage runs the commands of the page as a newcomer would type them, and
// holds the script to the very same commands in the same order.
func TestTourPage(t *testing.T) {
	page, err := os.ReadFile(filepath.Join("testdata", "tour", "TOUR.md"))
	if err != nil {
		t.Fatal(err)
	}
	var typed, told []string
	var all strings.Builder
	for _, b := range blocks(strings.Split(string(page), "\n")) {
		if b.language != "sh" {
			t.Fatalf("line %d: a block of %q", b.start, b.language)
		}
		for _, line := range runnable(t, b.text) {
			all.WriteString(line + "\n")
			if strings.HasPrefix(line, "holdbook ") {
				line, _, _ = strings.Cut(line, " < ")
				typed = append(typed, strings.ReplaceAll(line, `"`, "'"))
			}
		}
	}
	runShell(t, t.TempDir(), all.String())
	script, err := os.ReadFile(filepath.Join("testdata", "tour", "tour.txtar"))
	if err != nil {
		t.Fatal(err)
	}
	for _, m := range regexp.MustCompile(`(?m)^exec (holdbook .*)$`).FindAllStringSubmatch(string(script), -1) {
		told = append(told, m[1])
	}
	if a, b := strings.Join(typed, "\n"), strings.Join(told, "\n"); a != b || len(typed) < 9 {
		t.Errorf("the page has\n%s\nand the script\n%s", a, b)
	}
}

// TestBatchPage runs the commands of the page about many houses on a few.
func TestBatchPage(t *testing.T) {
	if _, err := exec.LookPath("parallel"); err != nil {
		t.Skip("GNU parallel is not here")
	}
	page, err := os.ReadFile(filepath.Join("testdata", "tour", "BATCH.md"))
	if err != nil {
		t.Fatal(err)
	}
	folder := t.TempDir()
	lines := "export PARALLEL_HOME=$PWD/parallel SHELL=/bin/sh\nmkdir sheets parallel\n"
	for name, attic := range map[string]string{"a": "44", "b": "42", "c": "41"} {
		lines += "holdbook zone attic=" + attic + " --house 50 --fan 2000 --save sheets/" + name + ".toml >unseen\n"
	}
	for _, b := range blocks(strings.Split(string(page), "\n")) {
		lines += b.text + "\n"
	}
	if out := runShell(t, folder, lines); !strings.Contains(out, "3 sheets") {
		t.Errorf("no summary of 3 sheets:\n%s", out)
	}
}
