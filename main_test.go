package main

import (
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
)

// TestMain lets the scripts run this very test binary as the program.
func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){"holdbook": main})
}

// scriptParams are the settings of every script: goldens inside the scripts
// are rewritten when UPDATE_SCRIPTS is set, and reviewed as a diff.
func scriptParams() testscript.Params {
	return testscript.Params{
		RequireExplicitExec: true,
		RequireUniqueNames:  true,
		UpdateScripts:       os.Getenv("UPDATE_SCRIPTS") != "",
		Cmds:                map[string]func(*testscript.TestScript, bool, []string){"exits": exits},
	}
}

// long marks a test that takes long: -short leaves it out.
func long(t *testing.T, what string) {
	t.Helper()
	if testing.Short() {
		t.Skip(what + ": left out with -short")
	}
}

// exits runs a program and wants one exit status: exits 2 holdbook zne
func exits(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: exits STATUS PROGRAM [ARGUMENT...]")
	}
	err, got := ts.Exec(args[1], args[2:]...), 0
	if ee := (*exec.ExitError)(nil); errors.As(err, &ee) {
		got = ee.ExitCode()
	} else {
		ts.Check(err)
	}
	if strconv.Itoa(got) != args[0] {
		ts.Fatalf("exit status %d, want %s", got, args[0])
	}
}

func TestScripts(t *testing.T) {
	p := scriptParams()
	p.Dir = filepath.Join("testdata", "script")
	testscript.Run(t, p)
}

// TestHelpExamples runs every example of every help text, in the order in
// which the help shows them, in an empty folder a command.
func TestHelpExamples(t *testing.T) {
	long(t, "the examples of all commands")
	commands := helpTargets(t)
	if len(commands) < 13 {
		t.Fatalf("only %d commands found in the help: %q", len(commands), commands)
	}
	for _, c := range commands {
		t.Run(c, func(t *testing.T) {
			lines := section(helpOf(t, strings.Fields(c)...), "Examples")
			if len(lines) == 0 {
				t.Fatal("the help has no example")
			}
			runShell(t, t.TempDir(), strings.Join(lines, "\n"))
		})
	}
}

// helpTargets lists every command and subcommand, read from the help screens.
func helpTargets(t *testing.T) []string {
	var all []string
	for _, head := range []string{"Start here", "With a sheet of readings", "One question at a time, no sheet needed", "Set-up"} {
		names := entries(section(helpOf(t), head))
		if len(names) == 0 {
			t.Fatalf("the overview has nothing under %q", head)
		}
		for _, name := range names {
			all = append(all, name)
			for _, sub := range entries(section(helpOf(t, name), "Tests")) {
				all = append(all, name+" "+sub)
			}
		}
	}
	return all
}

// section is the indented lines under a heading of a help screen.
func section(screen, head string) []string {
	var lines []string
	inside := false
	for _, line := range strings.Split(screen, "\n") {
		switch {
		case line == head:
			inside = true
		case inside && !strings.HasPrefix(line, "  "):
			return lines
		case inside:
			lines = append(lines, strings.TrimPrefix(line, "  "))
		}
	}
	return lines
}

// entries are the first words of lines that start a list entry.
func entries(lines []string) []string {
	var words []string
	for _, line := range lines {
		if !strings.HasPrefix(line, " ") {
			words = append(words, strings.Fields(line)[0])
		}
	}
	return words
}

func helpOf(t *testing.T, command ...string) string {
	t.Helper()
	out, err := exec.Command("holdbook", append([]string{"help"}, command...)...).Output()
	if err != nil {
		t.Fatalf("help %v: %v", command, err)
	}
	return string(out)
}

// runShell runs command lines as a reader would type them, one failing line
// failing all, in the folder given, and returns standard output.
func runShell(t *testing.T, folder, lines string) string {
	t.Helper()
	bash, err := exec.LookPath("bash")
	if err != nil {
		t.Skip("no bash here to type the lines into")
	}
	cmd := exec.Command(bash, "-euo", "pipefail", "-c", lines)
	cmd.Dir = folder
	var messages strings.Builder
	cmd.Stderr = &messages
	out, err := cmd.Output()
	if err != nil {
		t.Errorf("%v\n%s\n%s%s", err, lines, out, messages.String())
	}
	return string(out)
}

// block is a fenced block of the README, by the lines it takes up.
type block struct {
	language   string
	text       string
	start, end int // lines of its text
}

func blocks(lines []string) []block {
	var all []block
	for i := 0; i < len(lines); i++ {
		if !strings.HasPrefix(lines[i], "```") {
			continue
		}
		b := block{language: strings.TrimPrefix(lines[i], "```"), start: i + 1}
		for i++; i < len(lines) && lines[i] != "```"; i++ {
		}
		b.end = i
		b.text = strings.Join(lines[b.start:b.end], "\n")
		all = append(all, b)
	}
	return all
}

// TestReadme runs every command block of the README in order, as one session
// of a newcomer in an empty folder. A block of text that follows commands is
// what they print, exactly; UPDATE_SCRIPTS rewrites it.
func TestReadme(t *testing.T) {
	text, err := os.ReadFile("README.md")
	if err != nil {
		t.Fatal(err)
	}
	lines := strings.Split(string(text), "\n")
	folder, run, printed := t.TempDir(), 0, ""
	var update []func()
	for _, b := range blocks(lines) {
		switch b.language {
		case "sh":
			commands := runnable(t, b.text)
			printed = runShell(t, folder, strings.Join(commands, "\n"))
			run += len(commands)
		case "text":
			got := strings.TrimRight(printed, "\n")
			if got == b.text {
				continue
			}
			update = append(update, func() { lines = slices.Replace(lines, b.start, b.end, strings.Split(got, "\n")...) })
			if os.Getenv("UPDATE_SCRIPTS") == "" {
				t.Errorf("README is stale at line %d; set UPDATE_SCRIPTS=1 and review. Printed:\n%s", b.start, got)
			}
		}
	}
	if run < 8 {
		t.Errorf("README has only %d command lines", run)
	}
	if os.Getenv("UPDATE_SCRIPTS") != "" && len(update) > 0 {
		slices.Reverse(update)
		for _, rewrite := range update {
			rewrite()
		}
		if err := os.WriteFile("README.md", []byte(strings.Join(lines, "\n")), 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

// runnable are the lines of a command block that a test can run: those that
// build, test or set up the reader's own shell are left out by name.
func runnable(t *testing.T, text string) []string {
	t.Helper()
	var lines []string
	until := ""
	for _, line := range strings.Split(text, "\n") {
		if until != "" { // inside a here document
			lines[len(lines)-1] += "\n" + line
			if line == until {
				until = ""
			}
			continue
		}
		line = strings.Replace(line, "go run . ", "holdbook ", 1)
		first, _, _ := strings.Cut(line, " ")
		switch first {
		case "holdbook", "cat", "echo":
			lines = append(lines, line)
			if _, word, found := strings.Cut(line, "<<'"); found {
				until = strings.TrimSuffix(word, "'")
			}
		case "go", "git", "cd", "source", "", "#":
		default:
			t.Errorf("README: a command that this test does not know: %s", line)
		}
	}
	return lines
}
