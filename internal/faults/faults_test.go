package main

import (
	"bytes"
	"context"
	"errors"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var root = filepath.Join("..", "..")

// Whoever moves the code moves the fault: each text stands once in its file.
func TestListFitsTheCode(t *testing.T) {
	all, err := readList(root)
	require.NoError(t, err)
	alive, edges := 0, 0
	for _, f := range all {
		if f.Survives != "" {
			alive++
		}
		if slices.Contains([]string{"constant", "guard", "end", "threshold"}, f.Kind) {
			edges++
		}
	}
	assert.GreaterOrEqual(t, len(all), 60, "faults")
	assert.LessOrEqual(t, 10*alive, len(all), "one in ten at most may survive")
	assert.GreaterOrEqual(t, 2*edges, len(all), "half of them in constants, guards, interval ends and thresholds")
	for _, p := range []string{"units", "pressure", "zonal", "ductleak", "internal/fit", "internal/sheet", "internal/survey", "internal/check", "internal/advise",
		"internal/walk", "internal/report", "internal/command", "internal/batch"} {
		assert.True(t, slices.ContainsFunc(all, func(f fault) bool { return filepath.ToSlash(filepath.Dir(f.File)) == p }), "no fault in %s", p)
	}
}

const (
	doubleGo   = "package tiny\n\nfunc Double(x int) int { return 2 * x }\n\nfunc Half(x int) int { return x / 2 }\n"
	doubleTest = "package tiny\n\nimport \"testing\"\n\nfunc TestDouble(t *testing.T) {\n\tif Double(3) != 6 {\n\t\tt.Fatal(Double(3))\n\t}\n}\n"
	entry      = "[[fault]]\nkind = \"formula\"\nfile = \"tiny.go\"\nnote = \"n\"\n"
)

// tinyModule is a module with a list of faults.
func tinyModule(t *testing.T, list string) string {
	t.Helper()
	folder := t.TempDir()
	for name, text := range map[string]string{"go.mod": "module tiny\n\ngo 1.26\n", "tiny.go": doubleGo, "tiny_test.go": doubleTest, "internal/faults/list/tiny.toml": list} {
		require.NoError(t, os.MkdirAll(filepath.Dir(filepath.Join(folder, name)), 0o777))
		require.NoError(t, os.WriteFile(filepath.Join(folder, name), []byte(text), 0o666))
	}
	return folder
}

func TestVerdicts(t *testing.T) {
	if testing.Short() {
		t.Skip("runs the compiler")
	}
	list := ""
	for _, f := range []string{
		"name = 'dies'\nold = '2 * x'\nnew = '3 * x'\n",
		"name = 'lives'\nold = 'x / 2'\nnew = 'x / 3'\n",
		"name = 'known'\nold = 'x / 2'\nnew = 'x / 4'\nsurvives = 'none asks'\n",
		"name = 'dead'\nold = '2 * x'\nnew = '4 * x'\nsurvives = 'none asks'\n",
		"name = 'no code'\nold = '2 * x'\nnew = '2 * y'\n",
		"name = 'hangs'\nold = 'return 2 * x'\nnew = 'for {}'\n",
		"name = 'untested'\nold = '2 * x'\nnew = '5 * x'\nrun = 'TestNothing'\n",
	} {
		list += entry + f
	}
	folder := tinyModule(t, list)
	var out bytes.Buffer
	err := run(context.Background(), folder, []string{"-limit", "2s"}, &out)
	assert.EqualError(t, err, "4 of 7 faults not as they should be")
	want := []string{"killed", "survived", "survived, as known", "killed, though marked as a survivor", "did not compile", "killed", "no test runs"}
	var got []string
	for line := range strings.Lines(out.String()) {
		if before, _, ok := strings.Cut(line, " s  tiny.go"); ok {
			got = append(got, strings.TrimRight(before, " 0123456789"))
		}
	}
	assert.Equal(t, want, got, out.String())
	assert.Contains(t, out.String(), "tiny.go: dies (TestDouble)")
	assert.Contains(t, out.String(), "tiny.go: hangs (hung)")
	text, err := os.ReadFile(filepath.Join(folder, "tiny.go"))
	require.NoError(t, err)
	assert.Equal(t, doubleGo, string(text), "the module itself is not touched")
}

// Tests that fail without a fault notice nothing, and it says so.
func TestFailingTestsAreNoWitness(t *testing.T) {
	if testing.Short() {
		t.Skip("runs the compiler")
	}
	folder := tinyModule(t, entry+"name = 'dies'\nold = 'x / 2'\nnew = '3 * x'\n")
	require.NoError(t, os.WriteFile(filepath.Join(folder, "tiny.go"), []byte(strings.Replace(doubleGo, "2 * x", "3 * x", 1)), 0o666))
	err := run(context.Background(), folder, nil, new(bytes.Buffer))
	assert.ErrorContains(t, err, "the tests of ./. fail without any fault")
}

func TestListIsChecked(t *testing.T) {
	for _, c := range []struct{ list, want string }{
		{entry + "name = 'a'\nold = 'y * 7'\nnew = ''\n", "a: its text is found 0 times in tiny.go, not once"},
		{entry + "name = 'a'\nold = 'int'\nnew = 'uint'\n", "a: its text is found 4 times in tiny.go, not once"},
		{entry + "name = 'a'\nold = 'x / 2'\nnew = 'x / 2'\n", "a: it changes nothing"},
		{entry + "name = 'a'\nold = \"x int\\n\"\nnew = ''\n", "a: it is more than one line"},
		{entry + "name = 'a'\nold = 'x / 2'\nnew = '1'\n" + entry + "name = 'a'\nold = '2 * x'\nnew = '1'\n", "a: two faults have this name"},
		{entry + "old = 'x / 2'\nnew = '1'\n", "a fault needs a name, a file and a note"},
		{strings.Replace(entry, "formula", "typo", 1) + "name = 'a'\nold = 'x / 2'\nnew = '1'\n", `its kind is "typo", not one of`},
		{strings.Replace(entry, "tiny.go", "gone.go", 1) + "name = 'a'\nold = 'x / 2'\nnew = '1'\n", "gone.go"},
		{entry + "nmae = 'a'\n", "tiny.toml"},
	} {
		err := run(context.Background(), tinyModule(t, c.list), nil, new(bytes.Buffer))
		assert.ErrorContains(t, err, c.want)
		assert.False(t, errors.As(err, new(usageError)))
	}
}

// A sample has its size, follows from its seed, and differs between seeds.
func TestSample(t *testing.T) {
	all, err := readList(root)
	require.NoError(t, err)
	names := func(args ...string) (list []string) {
		q, err := parse(args)
		require.NoError(t, err)
		for _, f := range choose(slices.Clone(all), q) {
			list = append(list, f.Name)
		}
		return list
	}
	assert.Len(t, names(), len(all))
	assert.Len(t, names("-sample", "5", "-seed", "a"), 5)
	assert.Equal(t, names("-sample", "5", "-seed", "a"), names("-sample", "5", "-seed", "a"))
	assert.NotEqual(t, names("-sample", "5", "-seed", "a"), names("-sample", "5", "-seed", "b"))
	assert.Len(t, names("-sample", "100000"), len(all))
	assert.NotEmpty(t, names("^zonal/"))
	for _, args := range [][]string{{"("}, {"a", "b"}, {"-sample", "-1"}, {"-limit", "0s"}, {"-nothing"}} {
		_, err := parse(args)
		assert.ErrorAs(t, err, new(usageError), args)
	}
}
