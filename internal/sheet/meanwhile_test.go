package sheet

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Another program writes to the sheet after Edit has read it and before the new text
// takes its place: nothing of what it wrote is lost, and Edit says so.
func TestChangedBetweenReadingAndReplacing(t *testing.T) {
	path := filepath.Join(t.TempDir(), "house.toml")
	require.NoError(t, os.WriteFile(path, []byte("sheet = 1\n"), 0o644))
	s, err := Read(path)
	require.NoError(t, err)
	const theirs = "sheet = 1\n[[hold]]\nhouse = \"-50 Pa\"\n"
	_, err = s.Edit(func(old []byte) []byte {
		require.NoError(t, os.WriteFile(path, []byte(theirs), 0o644))
		return append(old, "# ours\n"...)
	})
	require.ErrorIs(t, err, ErrChanged)
	got, err := os.ReadFile(path)
	require.NoError(t, err)
	assert.Equal(t, theirs, string(got))
	assertAlone(t, path)
}

// The same where the sheet is taken away meanwhile: it does not come back.
func TestGoneBetweenReadingAndReplacing(t *testing.T) {
	path := filepath.Join(t.TempDir(), "house.toml")
	require.NoError(t, os.WriteFile(path, []byte("sheet = 1\n"), 0o644))
	s, err := Read(path)
	require.NoError(t, err)
	_, err = s.Edit(func(old []byte) []byte {
		require.NoError(t, os.Remove(path))
		return append(old, "# ours\n"...)
	})
	require.ErrorIs(t, err, os.ErrNotExist)
	assert.NoFileExists(t, path)
}

// A sheet may have a mebibyte and no more.
func TestLargestSheet(t *testing.T) {
	const head, mebibyte = "sheet = 1\n#", 1024 * 1024
	_, err := Parse([]byte(head+strings.Repeat("x", mebibyte-len(head))), "largest")
	assert.NoError(t, err)
	_, err = Parse([]byte(head+strings.Repeat("x", mebibyte-len(head)+1)), "larger")
	assert.Error(t, err)
}

// Quantities just within their bounds are readings, those just beyond are slips:
// judgement of what a house can show. Below 1e-9 in SI a number other than zero is a
// slip too.
func TestBoundsOfQuantities(t *testing.T) {
	for _, c := range []struct{ text, in, out string }{
		{"[[hold]]\nhouse = \"%s\"\n", "-5000 Pa", "-5000.1 Pa"},
		{"[[hold]]\nhouse = \"%s\"\n", "5000 Pa", "5000.1 Pa"},
		{"[[hold]]\nhouse = \"50 Pa\"\nfan = \"%s\"\n", "360000 m3/h", "360001 m3/h"},
		{"[[hold]]\nhouse = \"50 Pa\"\nfan = \"%s\"\n", "0.00001 m3/h", "0.000003 m3/h"},
		{"[house]\nvolume = \"%s\"\n", "1 m3", "0.99 m3"},
		{"[house]\nvolume = \"%s\"\n", "1000000 m3", "1000001 m3"},
		{"[house]\nfloor_area = \"%s\"\n", "100000 m2", "100001 m2"},
		{"[house]\nindoor = \"%s\"\n", "-69.9 C", "-70.1 C"},
		{"[house]\nindoor = \"%s\"\n", "150 C", "150.1 C"},
		{"[house]\nheight = \"%s\"\n", "200 m", "200.1 m"},
		{"[[path]]\nbetween = [\"house\", \"attic\"]\nflow_50 = \"100 cfm\"\nspread = %s\n", "1.001", "1"},
		{"[[path]]\nbetween = [\"house\", \"attic\"]\nflow_50 = \"100 cfm\"\nspread = %s\n", "1000", "1000.1"},
	} {
		_, err := Parse([]byte("sheet = 1\n"+fmt.Sprintf(c.text, c.in)), c.in)
		assert.NoError(t, err, c.text+c.in)
		_, err = Parse([]byte("sheet = 1\n"+fmt.Sprintf(c.text, c.out)), c.out)
		assert.Error(t, err, c.text+c.out)
	}
}

// A word of three letters may be one edit from another, a longer one two.
func TestNearestWords(t *testing.T) {
	for _, c := range []struct {
		word, candidate string
		near            bool
	}{{"fan", "fun", true}, {"fan", "fin", true}, {"fan", "fits", false}, {"fan", "son", false}, {"fans", "sons", true}, {"range", "rings", true}, {"range", "runts", false}} {
		_, near := Nearest(c.word, []string{c.candidate})
		assert.Equal(t, c.near, near, "%s %s", c.word, c.candidate)
	}
}
