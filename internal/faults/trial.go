package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"time"
)

// verdict is what became of a fault.
type verdict string

const (
	killed     verdict = "killed"
	survived   verdict = "survived"
	notBuilt   verdict = "did not compile"
	notTested  verdict = "no test runs"
	notTried   verdict = "could not be tried"
	knownAlive verdict = "survived, as known"
	wronglyOut verdict = "killed, though marked as a survivor"
)

// good tells whether a verdict is as it should be.
func (v verdict) good() bool { return v == killed || v == knownAlive }

// runAll tries the faults one after the other in a copy of the module.
func runAll(ctx context.Context, root string, faults []fault, limit time.Duration, out io.Writer) error {
	copied, err := os.MkdirTemp("", "faults-")
	if err != nil {
		return err
	}
	defer os.RemoveAll(copied)
	if err := copyModule(copied, root); err != nil {
		return err
	}
	t := trial{folder: copied, limit: limit}
	if err := t.withoutFaults(ctx, faults); err != nil {
		return err
	}
	count, bad := map[verdict]int{}, 0
	for _, f := range faults {
		began := time.Now()
		v, said, err := t.try(ctx, f)
		if err != nil {
			return err
		}
		fmt.Fprintf(out, "%-16s %4.0f s  %s: %s%s\n", v, time.Since(began).Seconds(), f.File, f.Name, said)
		count[v]++
		if !v.good() {
			bad++
		}
	}
	fmt.Fprintf(out, "%d faults", len(faults))
	for _, v := range []verdict{killed, survived, knownAlive, wronglyOut, notBuilt, notTested, notTried} {
		if count[v] > 0 {
			fmt.Fprintf(out, "; %d %s", count[v], v)
		}
	}
	fmt.Fprintln(out)
	if bad > 0 {
		return fmt.Errorf("%d of %d faults not as they should be", bad, len(faults))
	}
	return nil
}

// copyModule copies all that a test may read.
func copyModule(to, from string) error {
	entries, err := os.ReadDir(from)
	if err != nil {
		return err
	}
	for _, e := range entries {
		source, target := filepath.Join(from, e.Name()), filepath.Join(to, e.Name())
		switch {
		case e.Name() == ".git" || e.Name() == "dist":
		case e.IsDir():
			err = os.CopyFS(target, os.DirFS(source))
		case e.Type().IsRegular():
			var data []byte
			if data, err = os.ReadFile(source); err == nil {
				err = os.WriteFile(target, data, 0o666)
			}
		}
		if err != nil {
			return err
		}
	}
	return nil
}

// trial runs tests in a copy of the module.
type trial struct {
	folder string
	limit  time.Duration
}

// withoutFaults runs the same tests on the code as it is: one that fails anyway
// notices nothing.
func (t trial) withoutFaults(ctx context.Context, faults []fault) error {
	runs := map[string][]string{}
	for _, f := range faults {
		for _, p := range f.packages() {
			runs[p] = append(runs[p], f.Run)
		}
	}
	for p, list := range runs {
		expression := ""
		if !slices.Contains(list, "") {
			slices.Sort(list)
			expression = strings.Join(slices.Compact(list), "|")
		}
		passed, said, err := t.test(ctx, []string{p}, expression)
		if err != nil {
			return err
		}
		if !passed {
			return fmt.Errorf("the tests of %s fail without any fault:\n%s", p, said)
		}
	}
	return nil
}

var (
	buildFailed = regexp.MustCompile(`(?m)^FAIL\t\S+ \[(build|setup) failed\]$`)
	noTests     = regexp.MustCompile(`(?m)^(ok  \t.*\[no tests to run\]|\?   \t.*\[no test files\])$`)
	hung        = regexp.MustCompile(`(?m)^panic: test timed out after`)
	crashed     = regexp.MustCompile(`(?m)^(panic|fatal error|runtime): `)
	testFailed  = regexp.MustCompile(`(?m)^ *--- FAIL: (\S+)`)
)

// try puts a fault in, runs its tests and takes it out again. said is what there
// is to add to the verdict.
func (t trial) try(ctx context.Context, f fault) (v verdict, said string, err error) {
	name := filepath.Join(t.folder, filepath.FromSlash(f.File))
	whole, err := os.ReadFile(name)
	if err != nil {
		return "", "", err
	}
	faulty, err := f.inText(whole)
	if err != nil {
		return "", "", err
	}
	if err := os.WriteFile(name, faulty, 0o666); err != nil {
		return "", "", err
	}
	passed, output, err := t.test(ctx, f.packages(), f.Run)
	if err = errors.Join(err, os.WriteFile(name, whole, 0o666)); err != nil {
		return "", "", err
	}
	v, said = judge(passed, output, f.Survives)
	return v, said, nil
}

// judge reads the output of go test.
func judge(passed bool, output, survives string) (v verdict, said string) {
	switch {
	case buildFailed.MatchString(output):
		return notBuilt, "\n" + output
	case passed && noTests.MatchString(output):
		return notTested, ""
	case passed && survives != "":
		return knownAlive, " (" + survives + ")"
	case passed:
		return survived, ""
	}
	failed := testFailed.FindStringSubmatch(output)
	switch {
	case failed == nil && !crashed.MatchString(output):
		return notTried, "\n" + output
	case survives != "":
		return wronglyOut, ""
	case hung.MatchString(output):
		return killed, " (hung)"
	case failed != nil:
		return killed, " (" + failed[1] + ")"
	}
	return killed, " (crashed)"
}

// test runs go test. Paths are left out of what is compiled, so that every copy
// shares the cache of the compiler.
func (t trial) test(ctx context.Context, packages []string, expression string) (passed bool, output string, err error) {
	const toCompile = 5 * time.Minute
	limited, cancel := context.WithTimeout(ctx, t.limit+toCompile)
	defer cancel()
	args := []string{"test", "-trimpath", "-vet=off", "-count=1", "-timeout=" + t.limit.String(), "-run=" + expression}
	cmd := exec.CommandContext(limited, "go", append(args, packages...)...)
	cmd.Dir = t.folder
	cmd.WaitDelay = 10 * time.Second // for what a test has started and left behind
	var text bytes.Buffer
	cmd.Stdout, cmd.Stderr = &text, &text
	err = cmd.Run()
	if ctx.Err() != nil {
		return false, "", ctx.Err()
	}
	if errors.Is(err, exec.ErrNotFound) || errors.Is(err, fs.ErrNotExist) {
		return false, "", err
	}
	return err == nil, text.String(), nil
}
