package sheet

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const badSheets = "../../testdata/bad-sheets"

// UPDATE=1 rewrites the expected messages; look at the difference.
var update = os.Getenv("UPDATE") != ""

// TestBadSheets holds the reader to the messages written down in
// testdata/bad-sheets/messages.txt: a heading a file, then its messages.
func TestBadSheets(t *testing.T) {
	files, err := filepath.Glob(filepath.Join(badSheets, "*.toml"))
	require.NoError(t, err)
	require.GreaterOrEqual(t, len(files), 40)
	var got bytes.Buffer
	for _, f := range files {
		data, err := os.ReadFile(f)
		require.NoError(t, err)
		_, err = Parse(data, filepath.Base(f))
		var problems Problems
		require.True(t, errors.As(err, &problems), "%s was read without complaint", f)
		fmt.Fprintln(&got, problems.Error())
	}
	golden := filepath.Join(badSheets, "messages.txt")
	if update {
		require.NoError(t, os.WriteFile(golden, got.Bytes(), 0o644))
	}
	want, err := os.ReadFile(golden)
	require.NoError(t, err)
	assert.Equal(t, string(want), got.String())
}

// Every message names a place and a remedy, keeps to one line, and says
// nothing of the language or libraries that the program is made of.
func TestMessagesAreOurs(t *testing.T) {
	data, err := os.ReadFile(filepath.Join(badSheets, "messages.txt"))
	require.NoError(t, err)
	form := regexp.MustCompile(`^[a-z0-9-]+\.toml:\d+:\d+: .*(write|did you mean|correct|keep|check|take it out|save|give|known are|end |too|leave|begin|declare|choose|take the|add )`)
	foreign := regexp.MustCompile(`(?i)strconv|struct|go-toml|U\+[0-9A-F]{4}|unmarshal|float64|golang|%!|\x1b|<nil>|parser`)
	for _, line := range strings.Split(strings.TrimSpace(string(data)), "\n") {
		assert.Regexp(t, form, line)
		assert.NotRegexp(t, foreign, line)
	}
}

// A table in braces may go over several lines and have a comma behind its last
// entry, in a list in a list too; every value keeps its place.
func TestBracesOverLines(t *testing.T) {
	s := mustParse(t, `sheet = 1
[[hold]]
house = "50 Pa"
to_house = { # those [that were read]
  attic = "44 Pa",
  garage = "47 Pa", # the side one
}
`)
	require.Len(t, s.Holds[0].Readings, 2)
	assert.Equal(t, Pos{6, 12}, s.Holds[0].Readings[1].Pressure.Pos)
	_, err := Parse([]byte("sheet = 1\n[[zone]]\nname = \"den\"\ntouches = [\n  \"house\",\n  [[\"attic\"], []],\n  {\n  a = [1] },\n]\n"), "a.toml")
	require.EqualError(t, err, "a.toml:6:3: this is one text; write it in quotes\na.toml:7:3: this is one text; write it in quotes")
}
