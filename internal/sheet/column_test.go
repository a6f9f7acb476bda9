package sheet

import (
	"crypto/sha256"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbook/units"
)

const gaugeLog = `job 7, garden side
second;covered;house;fan
0;-1.2;-50.1;2280
1;-1.4;-50.3;2290

2;-1.0;-49.9;2285
3;;-49.7;2270
`

// parseBeside reads a hold of a sheet that lies in a folder with a log.
func parseBeside(t *testing.T, log, hold string) (*Sheet, error) {
	t.Helper()
	dir := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(dir, "log.csv"), []byte(log), 0o644))
	name := filepath.Join(dir, "sheet.toml")
	text := "sheet = 1\n[[zone]]\nname = \"attic\"\n[[hold]]\n" + hold
	require.NoError(t, os.WriteFile(name, []byte(text), 0o644))
	return Read(name)
}

func TestColumnOfALog(t *testing.T) {
	_, err := parseBeside(t, gaugeLog, `
baseline = { file = "log.csv", column = "Covered", unit = "Pa", rows = [1, 3] }
samples  = { file = "log.csv", column = "house", unit = "Pa" }
fan      = { file = "log.csv", column = "4", unit = "cfm", rows = [2, 3], note = "steady" }
readings = [
  { of = "attic", to = "house", samples = { file = "log.csv", column = 3, unit = "Pa", rows = [4, 4] } },
  { of = "attic", to = "outside", samples = { file = "log.csv", column = "fan", unit = "cfm" } },
]
`)
	require.Error(t, err, "the number of a column is written in quotes")
	assert.Contains(t, err.Error(), `column is text; write it in quotes: "3"`)

	s, err := parseBeside(t, gaugeLog, `
baseline = { file = "log.csv", column = "Covered", unit = "Pa", rows = [1, 3] }
samples  = { file = "log.csv", column = "house", unit = "Pa" }
fan      = { file = "log.csv", column = "4", unit = "cfm", rows = [2, 3], note = "steady" }
readings = [
  { of = "attic", to = "house", samples = { file = "log.csv", column = "3", unit = "Pa", rows = [4, 4] } },
  { of = "attic", to = "outside", samples = { file = "log.csv", column = "fan", unit = "cfm" } },
]
`)
	require.NoError(t, err)
	h := s.Holds[0]
	assert.Equal(t, []units.Pressure{-1.2, -1.4, -1.0}, h.Baseline.Samples)
	assert.Equal(t, []units.Pressure{-50.1, -50.3, -49.9, -49.7}, h.House.Samples)
	assert.InDelta(t, -50, float64(h.House.Value), 1e-12)
	assert.Len(t, h.Fan.Samples, 2)
	assert.InDelta(t, 2287.5, h.Fan.Value.In(units.CFM), 1e-9)
	assert.Equal(t, []units.Pressure{-49.7}, h.Readings[0].Pressure.Samples)
	assert.Len(t, h.Readings[1].Flow.Samples, 4)
}

// A log that cannot serve is named, with what to do, at the place in the sheet.
func TestColumnRefused(t *testing.T) {
	cases := map[string]struct{ log, table, want string }{
		"gap":                        {gaugeLog, `{ file = "log.csv", column = "covered", unit = "Pa" }`, `"log.csv", line 7: nothing stands in the column "covered"; choose rows without gaps`},
		"no such file":               {gaugeLog, `{ file = "other.csv", column = "house", unit = "Pa" }`, `there is no file "other.csv" beside the sheet; check its name`},
		"no such column":             {gaugeLog, `{ file = "log.csv", column = "attic", unit = "Pa" }`, `"log.csv" has no column "attic"; write a heading`},
		"column 9":                   {gaugeLog, `{ file = "log.csv", column = "9", unit = "Pa" }`, `has no column "9"`},
		"rows beyond":                {gaugeLog, `{ file = "log.csv", column = "house", unit = "Pa", rows = [2, 9] }`, `"log.csv" ends before row 9; check the rows`},
		"rows after":                 {gaugeLog, `{ file = "log.csv", column = "house", unit = "Pa", rows = [8, 9] }`, `has no samples in the column "house" from row 8 to row 9; check the rows`},
		"rows backwards":             {gaugeLog, `{ file = "log.csv", column = "house", unit = "Pa", rows = [3, 2] }`, "rows is the first and the last row below the headings; write rows = [1, 120]"},
		"rows of one":                {gaugeLog, `{ file = "log.csv", column = "house", unit = "Pa", rows = [3] }`, "rows is the first"},
		"other unit":                 {gaugeLog, `{ file = "log.csv", column = "house", unit = "cfm" }`, `"log.csv", line 3: "-50.1 cfm": cfm is a flow; write a pressure`},
		"no unit":                    {gaugeLog, `{ file = "log.csv", column = "house" }`, `this column has no unit; write unit = "Pa"`},
		"up":                         {gaugeLog, `{ file = "../log.csv", column = "house", unit = "Pa" }`, `must lie in the sheet's folder or below it`},
		"absolute":                   {gaugeLog, `{ file = "/etc/passwd", column = "house", unit = "Pa" }`, `must lie in the sheet's folder`},
		"folder":                     {gaugeLog, `{ file = ".", column = "house", unit = "Pa" }`, `is no plain file`},
		"text in it":                 {"house\n-50\nhalt\n", `{ file = "log.csv", column = "house", unit = "Pa" }`, `"log.csv", line 3: "halt Pa"`},
		"not a number":               {"house\n-50\nNaN\n", `{ file = "log.csv", column = "house", unit = "Pa" }`, `line 3`},
		"beyond any":                 {"house\n-50\n1e308\n", `{ file = "log.csv", column = "house", unit = "Pa" }`, `line 3`},
		"no text":                    {"house\n\x00\x00\n", `{ file = "log.csv", column = "house", unit = "Pa" }`, `NUL`},
		"empty":                      {"", `{ file = "log.csv", column = "house", unit = "Pa" }`, `empty`},
		"quote open":                 {"house\n\"-50\n", `{ file = "log.csv", column = "house", unit = "Pa" }`, `"log.csv", line 2: a quote stands where none may`},
		"too many":                   {"house\n" + strings.Repeat("-50\n", MaxSamples+1), `{ file = "log.csv", column = "house", unit = "Pa" }`, `more than 10000 samples; choose a stretch`},
		"decimal comma":              {"t;house\n0,00;-49,95\n0,25;-50,05\n", `{ file = "log.csv", column = "house", unit = "Pa" }`, `line 2: "-49,95" is no number with a decimal point; save the log with decimal points`},
		"by number, too":             {"t;p\n1;-49,9\n2;-50,1\n", `{ file = "log.csv", column = "2", unit = "Pa" }`, `line 2: "-49,9" is no number with a decimal point`},
		"column 0":                   {gaugeLog, `{ file = "log.csv", column = "0", unit = "Pa" }`, `has no column "0"`},
		"same heading":               {"house,house\n-50,-49\n", `{ file = "log.csv", column = "house", unit = "Pa" }`, `two columns are headed "house"; write the column's number`},
		"gap, by number":             {"t,p\n1,\n2,-50\n", `{ file = "log.csv", column = "2", unit = "Pa" }`, `line 2: nothing stands in the column "2"`},
		"decimal comma among commas": {"second,house\n1,-50,2\n2,-49,8\n", `{ file = "log.csv", column = "house", unit = "Pa" }`, `"log.csv", line 2: more values than headings, as decimal commas make them`},
		"a value more":               {"t;house\n1;-50;-2\n", `{ file = "log.csv", column = "house", unit = "Pa" }`, `line 2: more values than headings`},
		"the same, by number":        {"second,house\n1,-50,2\n2,-49,8\n", `{ file = "log.csv", column = "2", unit = "Pa" }`, `line 2: more values than headings`},
		"the same, in a later row":   {"second,house\n1,-50\n2,-49,8\n", `{ file = "log.csv", column = "2", unit = "Pa" }`, `line 3: more values than headings`},
		"the same, no headings":      {"1,-50\n2,-49,8\n", `{ file = "log.csv", column = "2", unit = "Pa" }`, `line 2: more values than headings`},
		"the same, under a title":    {"garden side\n1,-50\n2,-49,8\n", `{ file = "log.csv", column = "2", unit = "Pa" }`, `line 3: more values than headings`},
		"the same, nothing noted":    {"second,house,note\n1,-50,2,\n", `{ file = "log.csv", column = "house", unit = "Pa" }`, `line 2: more values than headings`},
		"the same, in the time":      {"second,house,note\n0,25,-50,\n", `{ file = "log.csv", column = "house", unit = "Pa" }`, `line 2: more values than headings`},
		"one column":                 {"house\n-50,2\n", `{ file = "log.csv", column = "house", unit = "Pa" }`, `line 2: more values than headings`},
		"one column, a blank row":    {"house\n-50\n-51\n\n-49\n", `{ file = "log.csv", column = "house", unit = "Pa" }`, `"log.csv": an empty line stands before row 3`},
		"the same before the rows":   {"house\n-50\r\n\r\n-51\n-49\n", `{ file = "log.csv", column = "1", unit = "Pa", rows = [2, 3] }`, `an empty line stands before row 2`},
		"blanks in one column":       {"house\n-50\n  \n-49\n", `{ file = "log.csv", column = "house", unit = "Pa" }`, `line 3: nothing stands in the column`},
		"no heading, long line":      {strings.Repeat("x", MaxSize+1) + "\n-50\n", `{ file = "log.csv", column = "house", unit = "Pa" }`, `has no column "house"`},
		"other key":                  {gaugeLog, `{ file = "log.csv", columm = "house", unit = "Pa" }`, `unknown key "columm" in samples; did you mean column?`},
	}
	for name, c := range cases {
		t.Run(name, func(t *testing.T) {
			_, err := parseBeside(t, c.log, "house = "+c.table+"\n")
			require.Error(t, err)
			assert.Contains(t, err.Error(), c.want)
			assert.Contains(t, err.Error(), "sheet.toml:5:")
			assert.NotContains(t, err.Error(), "\x1b")
		})
	}
}

// Logs as programs write them.
func TestColumnOfOtherLogs(t *testing.T) {
	for name, log := range map[string]string{
		"tabs, with empty cells": "t\tnote\thouse\tattic\n1\t\t-50\t-44\n2\t\t-51\t-44\n",
		"with a mark, and CRLF":  "\ufefft,note,House\r\n1,,-50\r\n2,\"a, b\",-51\r\n",
		"quotes, blanks, minus":  "\"t\"; \"note\"; \"house\"\n\"1\"; ; \"−50\"\n\"2\"; ; \"−51\"\n",
		"a title above":          "Site visit, a title with; signs\nt,note,house\n1,,-50\n2,,-51\n",
		"a long first line":      "t,note,house," + strings.Repeat("é", MaxSize) + "\n1,,-50\n2,,-51\n",
		"an unnamed column":      ",note,house\n1,,-50\n2,,-51\n",
		"a comma at the end":     "t,note,house\n1,,-50,\n2,,-51,\n",
		"blank lines":            "\n\nt,note,house\n\n1,,-50\n\n2,,-51\n\n\n",
		"long":                   "t,note,house\n" + strings.Repeat("1,"+strings.Repeat("x", 2000)+",-50\n1,,-51\n", 1000),
	} {
		for _, column := range []string{"house", "3"} {
			s, err := parseBeside(t, log, `house = { file = "log.csv", column = "`+column+`", unit = "Pa" }`+"\n")
			require.NoError(t, err, name)
			assert.InDelta(t, -50.5, float64(s.Holds[0].House.Value), 1e-9, name)
		}
	}
}

// A link does not lead out of the folder.
func TestColumnThroughALink(t *testing.T) {
	dir := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(dir, "secret.csv"), []byte("house\n-50\n"), 0o644))
	inner := filepath.Join(dir, "sheets")
	require.NoError(t, os.Mkdir(inner, 0o755))
	if err := os.Symlink("../secret.csv", filepath.Join(inner, "log.csv")); err != nil {
		t.Skip(err)
	}
	name := filepath.Join(inner, "s.toml")
	require.NoError(t, os.WriteFile(name, []byte("sheet = 1\n[[hold]]\nhouse = { file = \"log.csv\", column = \"house\", unit = \"Pa\" }\n"), 0o644))
	_, err := Read(name)
	require.Error(t, err)
	assert.Contains(t, err.Error(), "put the file itself beside the sheet")
}

// A sheet that is no file has no folder in which a log could lie.
func TestColumnWithoutAFile(t *testing.T) {
	dir := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(dir, "log.csv"), []byte("house\n-50\n"), 0o644))
	require.NoError(t, os.WriteFile(filepath.Join(dir, "s.toml"), nil, 0o644))
	// A name that came with the text is no place to look in.
	_, err := Parse([]byte("sheet = 1\n[[hold]]\nhouse = { file = \"log.csv\", column = \"house\", unit = \"Pa\" }\n"), filepath.Join(dir, "s.toml"))
	require.Error(t, err)
	assert.Contains(t, err.Error(), "this sheet is no file; write the samples as a list")
}

// One column: blank lines before the values and after them mean nothing, and nor
// does one after the rows asked for.
func TestColumnAlone(t *testing.T) {
	for _, rows := range []string{"", ", rows = [1, 2]"} {
		s, err := parseBeside(t, "\nhouse\n\n-50\n-51\n\n\n", `house = { file = "log.csv", column = "house", unit = "Pa"`+rows+" }\n")
		require.NoError(t, err)
		assert.Equal(t, []units.Pressure{-50, -51}, s.Holds[0].House.Samples)
	}
	_, err := parseBeside(t, "house\n-50\n-51\n\n-49\n", `house = { file = "log.csv", column = "house", unit = "Pa", rows = [1, 2] }`+"\n")
	require.NoError(t, err)
}

// longLog has rows whose values tell their number: −(50 + n/1000) Pa.
func longLog(rows int) string {
	var b strings.Builder
	b.WriteString("row,house,note\n")
	for i := range rows {
		fmt.Fprintf(&b, "%d,-%.3f,\"a, b\nc\"\n", i+1, 50+float64(i+1)/1000)
	}
	return b.String()
}

// Whatever stretches are read, and in whatever order, each is the one asked for, and
// a fault in one is told with its line.
func TestStretchesOfALongLog(t *testing.T) {
	log := longLog(2000) + "2001,-52.001,\"open\n"
	var text strings.Builder
	stretches := [][2]int{{1999, 2000}, {1, 3}, {255, 258}, {256, 256}, {257, 257}, {1000, 1300}, {512, 513}, {1, 2000}}
	for i, s := range stretches {
		fmt.Fprintf(&text, "[[hold]]\nname = \"%d\"\nhouse = { file = \"%slog.csv\", column = \"%s\", unit = \"Pa\", rows = [%d, %d] }\n", i, strings.Repeat("./", i%3), []string{"house", "2"}[i%2], s[0], s[1])
	}
	s, err := parseBeside(t, log, strings.TrimPrefix(text.String(), "[[hold]]\n"))
	require.NoError(t, err, "nothing after the last row is read")
	for i, want := range stretches {
		got := s.Holds[i].House.Samples
		require.Len(t, got, want[1]-want[0]+1)
		assert.InDelta(t, -50-float64(want[0])/1000, float64(got[0]), 1e-9, want)
		assert.InDelta(t, -50-float64(want[1])/1000, float64(got[len(got)-1]), 1e-9, want)
	}
	require.Len(t, s.Logs, 1)
	assert.Equal(t, "log.csv", filepath.Base(s.Logs[0].Path))
	assert.Equal(t, sha256.Sum256([]byte(log)), s.Logs[0].Sum)
	_, err = parseBeside(t, log, "house = { file = \"log.csv\", column = \"house\", unit = \"Pa\", rows = [300, 2001] }\n")
	require.ErrorContains(t, err, `"log.csv", line 4002: a quote stands where none may`)
	_, err = parseBeside(t, strings.Replace(log, "-51.999", "halt", 1), "house = { file = \"log.csv\", column = \"house\", unit = \"Pa\", rows = [1990, 2000] }\n")
	require.ErrorContains(t, err, `"log.csv", line 3998: "halt Pa"`)
}

// A log is gone through once, whatever the number of readings from it: the work of
// a hostile sheet is bounded, and that of a large visit far below the bound.
func TestWorkOfLogs(t *testing.T) {
	folder := t.TempDir()
	log := strings.Repeat("-50.25,x\n", 1_800_000)
	require.NoError(t, os.WriteFile(filepath.Join(folder, "log.csv"), []byte("house,note\n"+log), 0o600))
	work := func(readings, first, last int) (int, error) {
		ls := logs{folder: folder}
		for range readings {
			c := column{File: Word("log.csv"), Column: Word("house"), Rows: [2]int{first, last}}
			if _, err := c.cells(&ls); err != nil {
				return ls.work, err
			}
		}
		return ls.work, nil
	}
	one, err := work(1, 1_700_000, 1_700_099)
	require.NoError(t, err)
	many, err := work(201, 1_700_000, 1_700_099)
	require.NoError(t, err)
	assert.Less(t, many-one, one, "two hundred more readings cost less than the first")
	little, err := work(1, 1, 100)
	require.NoError(t, err)
	assert.Less(t, little, len(log)+100_000, "nothing after the last row is read")
	_, err = work(2000, 1_700_000, 1_709_999)
	assert.ErrorIs(t, err, errLogWork)
	most, err := work(200, 1_700_000, 1_709_999)
	require.NoError(t, err, "as many readings as there may be holds, of as many samples as there may be")
	assert.Less(t, most, maxLogWork)
}
