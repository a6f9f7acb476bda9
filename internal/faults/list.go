package main

import (
	"bytes"
	"cmp"
	"crypto/sha256"
	"errors"
	"fmt"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"

	"github.com/pelletier/go-toml/v2"
)

// fault is one change of one line.
type fault struct {
	Name string `toml:"name"`
	// Kind is what is changed: constant, guard, end (of an interval), threshold,
	// formula or step (one left out).
	Kind string `toml:"kind"`
	File string `toml:"file"`
	// Old is found exactly once in the file and replaced by New.
	Old string `toml:"old"`
	New string `toml:"new"`
	// Tests are the packages whose tests run, the file's own where there is none
	// given; Run is the expression that go test takes, all tests where empty.
	Tests []string `toml:"tests"`
	Run   string   `toml:"run"`
	Note  string   `toml:"note"`
	// Survives is why no test notices, where that is known.
	Survives string `toml:"survives"`
}

var kinds = []string{"constant", "guard", "end", "threshold", "formula", "step"}

// packages are those whose tests run.
func (f fault) packages() []string {
	if len(f.Tests) > 0 {
		return f.Tests
	}
	return []string{"./" + path.Dir(f.File)}
}

// inText is the text of the file with the fault in it.
func (f fault) inText(text []byte) ([]byte, error) {
	if n := bytes.Count(text, []byte(f.Old)); n != 1 {
		return nil, fmt.Errorf("%s: its text is found %d times in %s, not once; who moves the code moves the fault", f.Name, n, f.File)
	}
	return bytes.Replace(text, []byte(f.Old), []byte(f.New), 1), nil
}

// check says what is wrong with an entry of the list.
func (f fault) check() error {
	switch {
	case f.Name == "" || f.File == "" || f.Note == "":
		return fmt.Errorf("%s %s: a fault needs a name, a file and a note of what it does", f.File, f.Name)
	case f.Old == "" || f.Old == f.New:
		return fmt.Errorf("%s: it changes nothing", f.Name)
	case strings.Count(f.Old, "\n") != 0 || strings.Count(f.New, "\n") != 0:
		return fmt.Errorf("%s: it is more than one line", f.Name)
	case !slices.Contains(kinds, f.Kind):
		return fmt.Errorf("%s: its kind is %q, not one of %s", f.Name, f.Kind, strings.Join(kinds, ", "))
	}
	return nil
}

// readList reads the faults of a module and holds each against its file.
func readList(root string) ([]fault, error) {
	files, err := filepath.Glob(filepath.Join(root, "internal", "faults", "list", "*.toml"))
	if err != nil {
		return nil, err
	}
	var all []fault
	var faulty []error
	for _, name := range files {
		list, err := readFile(name)
		if err != nil {
			faulty = append(faulty, fmt.Errorf("%s: %w", name, err))
		}
		all = append(all, list...)
	}
	names := map[string]bool{}
	for _, f := range all {
		if names[f.Name] {
			faulty = append(faulty, fmt.Errorf("%s: two faults have this name", f.Name))
		}
		names[f.Name] = true
		faulty = append(faulty, f.check())
		text, err := os.ReadFile(filepath.Join(root, filepath.FromSlash(f.File)))
		if err == nil {
			_, err = f.inText(text)
		}
		faulty = append(faulty, err)
	}
	return all, errors.Join(faulty...)
}

func readFile(name string) ([]fault, error) {
	data, err := os.ReadFile(name)
	if err != nil {
		return nil, err
	}
	var list struct {
		Fault []fault `toml:"fault"`
	}
	err = toml.NewDecoder(bytes.NewReader(data)).DisallowUnknownFields().Decode(&list)
	return list.Fault, err
}

// choose takes the faults that match, and of these a sample by seed: the first of
// them in the order of a hash of seed and name, so that another seed gives another
// sample and a new fault leaves most of it as it was.
func choose(all []fault, q request) []fault {
	var chosen []fault
	for _, f := range all {
		if q.match.MatchString(f.Name) || q.match.MatchString(f.File) || q.match.MatchString(f.Kind) {
			chosen = append(chosen, f)
		}
	}
	if q.sample == 0 || q.sample >= len(chosen) {
		return chosen
	}
	rank := func(f fault) string {
		sum := sha256.Sum256([]byte(q.seed + "\x00" + f.Name))
		return string(sum[:])
	}
	slices.SortFunc(chosen, func(a, b fault) int { return cmp.Compare(rank(a), rank(b)) })
	return chosen[:q.sample]
}
