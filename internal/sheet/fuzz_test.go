package sheet

import (
	"errors"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	toml "github.com/pelletier/go-toml/v2"
)

// FuzzParse: whatever a file holds, it is read or refused with places that
// lie in it; what is read is TOML to the library too, has finite numbers, and
// can be written and read again.
func FuzzParse(f *testing.F) {
	for _, pattern := range []string{sheets, badSheets} {
		files, err := filepath.Glob(filepath.Join(pattern, "*.toml"))
		if err != nil {
			f.Fatal(err)
		}
		for _, name := range files {
			data, err := os.ReadFile(name)
			if err != nil {
				f.Fatal(err)
			}
			f.Add(data)
		}
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		s, err := Parse(data, "f.toml")
		if err != nil {
			checkRefusal(t, data, err)
			return
		}
		var whole map[string]any
		if err := toml.Unmarshal(data, &whole); err != nil {
			t.Fatalf("read what is no TOML: %v", err)
		}
		for _, h := range s.Holds {
			if v := float64(h.House.Value); math.IsNaN(v) || math.IsInf(v, 0) {
				t.Fatal("a house pressure that is not finite")
			}
		}
		if _, err := Encode(s); err != nil {
			t.Fatalf("cannot be written again: %v", err)
		}
	})
}

func checkRefusal(t *testing.T, data []byte, err error) {
	var problems Problems
	if !errors.As(err, &problems) || len(problems) == 0 {
		t.Fatalf("no problems: %v", err)
	}
	lines := strings.Count(string(data), "\n") + 1
	for _, p := range problems {
		if p.Pos.Line < 1 || p.Pos.Line > lines || p.Pos.Column < 1 {
			t.Fatalf("a place outside the file: %v", p)
		}
		if strings.ContainsAny(p.Error(), "\n\x1b\x00\u202e") || !strings.Contains(string(data), "%") && strings.Contains(p.Error(), "%!") {
			t.Fatalf("a message that is not fit to print: %q", p.Error())
		}
	}
}
