package sheet

import (
	"os"
	"path/filepath"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// What a sheet says is listed key by key, as it was typed.
func TestStated(t *testing.T) {
	text, err := os.ReadFile(filepath.Join("..", "..", "testdata", "sheets", "full.toml"))
	require.NoError(t, err)
	s, err := Parse(text, "full.toml")
	require.NoError(t, err)
	list := s.Stated()
	for _, want := range []Stated{
		{"job", 0, "wind", "light, from the west"},
		{"house", 0, "volume", "14400 ft3"},
		{"hold", 1, "house", "-51.3 Pa"},
		{"hold", 1, "baseline_after", "-1.0 Pa, -1.4 Pa"},
		{"hold", 5, "house", "-50.0 Pa, -50.2 Pa, -49.8 Pa"},
		{"duct_test", 2, "residual", "0.1 Pa"},
		{"path", 1, "spread", "3.0"},
		{"running", 0, "efficiency", "92 %"},
		{"zone", 1, "touches", "house, outside"},
		{"path", 2, "note", "vents of the boiler"},
		{"walk", 1, "time", "2026-03-14T10:30:00"},
	} {
		assert.True(t, slices.Contains(list, want), "%+v", want)
	}
	assert.Equal(t, "-50.0 Pa, -50.2 Pa, -49.8 Pa", s.Holds[4].House.AsTyped())
	assert.Equal(t, "-51.3 Pa", s.Holds[0].House.AsTyped())
}

// Every key that a sheet may have is among what it says.
func TestEveryKeyIsStated(t *testing.T) {
	eachKey(root(), "", func(path string, tab *table, k *Key) {
		text := around(path, tab, k)
		if path == "register.hold" {
			text += "[[hold]]\nname = \"as found\"\n"
		}
		s, err := Parse([]byte(text), path)
		require.NoError(t, err, text)
		all := ""
		for _, x := range s.Stated() {
			all += x.Table + "." + x.Key + " = " + x.Text + "\n"
		}
		if path == "sheet" {
			return
		}
		assert.Contains(t, all, unquoted(k.Sample), text)
	})
}

func TestUnquoted(t *testing.T) {
	assert.Equal(t, `a "b" \ c`, unquoted(`"a \"b\" \\ c"`))
	assert.Equal(t, "[ { of = attic }, { of = garage }, ]", unquoted("[\n  { of = \"attic\" },\n  { of = \"garage\" },\n]"))
}
