package command

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/pelletier/go-toml/v2"
)

// slip is a slip of testdata/slips/slips.toml.
type slip struct {
	Name  string
	Sheet string // base.toml when empty
	From  string
	To    string
	At    string // what its place points to; To when empty
	Says  string
	By    string `toml:"seen_by"`
}

func slips(t *testing.T) []slip {
	t.Helper()
	text, err := os.ReadFile("../../testdata/slips/slips.toml")
	if err != nil {
		t.Fatal(err)
	}
	var list struct{ Slip []slip }
	if err := toml.Unmarshal(text, &list); err != nil {
		t.Fatal(err)
	}
	return list.Slip
}

func (s slip) base(t *testing.T) string {
	t.Helper()
	if s.Sheet == "" {
		s.Sheet = "base.toml"
	}
	text, err := os.ReadFile(filepath.Join("../../testdata/slips", s.Sheet))
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

// places are where a text begins in a sheet, as "line:column".
func places(sheet, part string) (list []string) {
	for i, line := range strings.Split(sheet, "\n") {
		if k := strings.Index(line, part); k >= 0 {
			list = append(list, fmt.Sprintf("%d:%d", i+1, 1+len([]rune(line[:k]))))
		}
	}
	return list
}

// strict runs the check as a crew would and gives its lines, each item in one.
func strict(t *testing.T, text string) (int, []string) {
	t.Helper()
	const name = "house.toml"
	if err := os.WriteFile(name, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
	r := run("", "check", name, "--strict")
	var items []string
	for _, line := range strings.Split(strings.ReplaceAll(r.out+r.errors, "\n  ", " "), "\n") {
		line = strings.TrimPrefix(line, "holdbook: error: ")
		if place, found := strings.CutPrefix(line, name+":"); found {
			items = append(items, place)
		}
	}
	return r.status, items
}

// Realistic slips, each planted in a good sheet: each is named at its place, as
// more than a note, and the status is 1.
func TestSlips(t *testing.T) {
	list := slips(t)
	if len(list) < 30 {
		t.Fatalf("only %d slips", len(list))
	}
	bases := map[string]string{}
	for _, s := range list {
		bases[s.Sheet] = s.base(t)
	}
	demoForTests() // read from where it lies
	t.Chdir(t.TempDir())
	for _, s := range list {
		t.Run(s.Name, func(t *testing.T) {
			good := bases[s.Sheet]
			if n := strings.Count(good, s.From); n != 1 || s.By == "" {
				t.Fatalf("%d places to plant it; seen by %q", n, s.By)
			}
			text := strings.Replace(good, s.From, s.To, 1)
			if s.At == "" {
				s.At = s.To
			}
			status, items := strict(t, text)
			for _, place := range places(text, s.At) {
				for _, i := range items {
					if status == 1 && strings.HasPrefix(i, place+": ") && !strings.HasPrefix(i, place+": note") && strings.Contains(i, s.Says) {
						return
					}
				}
			}
			t.Errorf("status %d; %s makes it visible at %v, but the check says\n%s", status, s.By, places(text, s.At), strings.Join(items, "\n"))
		})
	}
}

// The sheets that slips are planted in are good.
func TestSlipsNeedAGoodSheet(t *testing.T) {
	bases := map[string]string{}
	for _, s := range slips(t) {
		bases[s.Sheet] = s.base(t)
	}
	demoForTests() // read from where it lies
	t.Chdir(t.TempDir())
	for name, text := range bases {
		if status, items := strict(t, text); status != 0 {
			t.Errorf("%s: status %d: %v", name, status, items)
		}
	}
}
