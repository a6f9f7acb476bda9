package command

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/txtar"
	"github.com/stretchr/testify/require"
)

// UPDATE=1 rewrites the golden answers; read the difference.
var update = os.Getenv("UPDATE") != ""

// testdata is the folder of sheets and golden answers.
var testdata = filepath.Join("..", "..", "testdata")

// goldenSheets are the sheets whose answers are kept, under testdata: every
// table of a sheet and every duct test is in one of them. The last two are
// those of the tour, which its script makes.
var goldenSheets = []string{
	"demo.toml", "sheets/full.toml", "sheets/coupled.toml", "sheets/shortest.toml",
	"good/house02.toml", "good/house04.toml", "good/house05.toml", "good/house06.toml", "good/house08.toml",
	"good/house09.toml", "good/house12.toml", "good/house17.toml", "good/house18.toml",
	"tour/house.toml", "tour/after.toml",
}

// goldenTexts are the sheets whose report in text is kept too.
var goldenTexts = []string{"demo.toml", "sheets/full.toml", "tour/house.toml"}

// TestGoldenAnswers holds what the program answers to the sheets to what is
// kept in testdata/golden: each number within one unit of its fourth digit, all
// else to the letter.
func TestGoldenAnswers(t *testing.T) {
	for _, name := range goldenSheets {
		t.Run(name, func(t *testing.T) {
			golden(t, goldenName(name)+".json", fourDigits(reported(t, name, "json")), unlike)
		})
	}
}

// TestNoGoldenIsLeftOver: every golden file belongs to a sheet of the lists.
func TestNoGoldenIsLeftOver(t *testing.T) {
	files, err := filepath.Glob(filepath.Join(testdata, "golden", "*"))
	require.NoError(t, err)
	require.Len(t, files, len(goldenSheets)+len(goldenTexts)+len(quickScreens))
}

// TestGoldenTexts holds whole reports in text to those kept, to the letter.
func TestGoldenTexts(t *testing.T) {
	for _, name := range goldenTexts {
		t.Run(name, func(t *testing.T) {
			golden(t, goldenName(name)+".txt", strings.Split(reported(t, name, "text"), "\n"), differs)
		})
	}
}

// mostLines is how long a report is at most of a sheet of two zones and three holds.
const mostLines = 60

// TestReportFitsItsLines: the report of a house with two zones and three or four holds
// takes no more lines than a reader looks through, and the answer stands in the first fourteen.
func TestReportFitsItsLines(t *testing.T) {
	for _, name := range []string{"good/house06.toml", "good/house13.toml", "good/house19.toml", "good/house20.toml", "sheets/coupled.toml"} {
		lines := strings.Split(strings.TrimSpace(reported(t, name, "text")), "\n")
		require.LessOrEqual(t, len(lines), mostLines, name)
		top := strings.Join(lines[:14], "\n")
		require.Regexp(t, `(?m)^Leaks \d`, top, name)
		require.Regexp(t, `(?m)^Of it `, top, name)
	}
}

// goldenName is the name of a sheet's golden answers, without an ending.
func goldenName(sheet string) string {
	return strings.ReplaceAll(strings.TrimSuffix(sheet, ".toml"), "/", "-")
}

// golden compares lines with those kept in a file, and tells the first that
// differs.
func golden(t *testing.T, file string, got []string, unlike func(want, got string) string) {
	t.Helper()
	path := filepath.Join(testdata, "golden", file)
	if update {
		require.NoError(t, os.WriteFile(path, []byte(strings.Join(got, "\n")), 0o644))
	}
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	want := strings.Split(string(text), "\n")
	for i := range min(len(want), len(got)) {
		if why := unlike(want[i], got[i]); why != "" {
			t.Fatalf("%s, line %d: %s; if that is right, set UPDATE=1 and read the difference", file, i+1, why)
		}
	}
	require.Len(t, got, len(want), "lines of %s; if that is right, set UPDATE=1 and read the difference", file)
}

// reported is the report of a sheet, as the command prints it.
func reported(t *testing.T, name, format string) string {
	t.Helper()
	r := run("", "report", sheetFile(t, name), "--format", format)
	require.Equal(t, 0, r.status, r.errors)
	return r.out
}

// sheetFile is the path of one of testdata's sheets, those of the tour among them.
func sheetFile(t *testing.T, name string) string {
	t.Helper()
	path := filepath.Join(testdata, filepath.FromSlash(name))
	if strings.HasPrefix(name, "tour/") {
		path = tourSheet(t, filepath.Base(path))
	}
	return path
}

// tourSheet makes a sheet of the tour: house.toml by the first command of its
// script and the second hold, after.toml as the script has it.
func tourSheet(t *testing.T, name string) string {
	t.Helper()
	script, err := txtar.ParseFile(filepath.Join(testdata, "tour", "tour.txtar"))
	require.NoError(t, err)
	files := map[string]string{}
	for _, f := range script.Files {
		files[f.Name] = string(f.Data)
	}
	path := filepath.Join(t.TempDir(), name)
	if name == "house.toml" {
		first := regexp.MustCompile(`(?m)^exec holdbook (zone .*)--save house\.toml$`).FindStringSubmatch(string(script.Comment))
		require.NotNil(t, first, "the tour no longer begins with a sheet")
		require.Equal(t, 0, run("", append(strings.Fields(first[1]), "--save", path)...).status)
		made, err := os.ReadFile(path)
		require.NoError(t, err)
		files[name] = string(made) + files["second.toml"]
	}
	require.Contains(t, files, name)
	require.NoError(t, os.WriteFile(path, []byte(files[name]), 0o600))
	return path
}

// jsonNumber is a line of results whose value is a number.
var jsonNumber = regexp.MustCompile(`^(\s*(?:"[^"]*": )?)(-?\d[\d.eE+-]*)(,?)$`)

// fourDigits are the lines of results with every number rounded to four
// significant digits.
func fourDigits(results string) []string {
	lines := strings.Split(results, "\n")
	for i, line := range lines {
		if m := jsonNumber.FindStringSubmatch(line); m != nil {
			lines[i] = m[1] + rounded(m[2]) + m[3]
		}
	}
	return lines
}

func rounded(number string) string {
	v, err := strconv.ParseFloat(number, 64)
	if err != nil {
		return number
	}
	v, _ = strconv.ParseFloat(strconv.FormatFloat(v, 'e', 3, 64), 64)
	return strconv.FormatFloat(v, 'f', -1, 64)
}

// unlike says how a line of results differs from the one kept, "" where it does
// not: a number may be off by one unit of the fourth digit, because a last bit
// decides how a tie is rounded, and by a millionth where it is a difference of
// almost equal ones.
func unlike(want, got string) string {
	w, g := jsonNumber.FindStringSubmatch(want), jsonNumber.FindStringSubmatch(got)
	if w != nil && g != nil && w[1] == g[1] && w[3] == g[3] {
		a, errA := strconv.ParseFloat(w[2], 64)
		b, errB := strconv.ParseFloat(g[2], 64)
		unit := math.Pow(10, math.Floor(math.Log10(math.Max(math.Abs(a), 1e-3)))-3)
		if errA == nil && errB == nil && math.Abs(a-b) <= 1.001*unit {
			return ""
		}
	}
	return differs(want, got)
}

// differs says how one line differs from another, "" where it does not.
func differs(want, got string) string {
	if want == got {
		return ""
	}
	return fmt.Sprintf("want %q, got %q", want, got)
}

func TestUnlike(t *testing.T) {
	for _, c := range []struct {
		want, got string
		like      bool
	}{
		{`  "low": 1234,`, `  "low": 1235,`, true},
		{`  "low": 1234,`, `  "low": 1236,`, false},
		{`  "low": 999.9`, `  "low": 1000`, true},
		{`  "low": -0.01234`, `  "low": -0.01235`, true},
		{`  "low": -0.01234`, `  "low": 0.01234`, false},
		{`  "rank": 1`, `  "rank": 2`, false},
		{`  0.0000065`, `  0.0000066`, true},
		{`  0`, `  0.00001`, false},
		{`  "low": 1234,`, `  "high": 1234,`, false},
		{`  "low": 1234,`, `  "low": 1234`, false},
		{`  "name": "1234"`, `  "name": "1235"`, false},
		{`  "low": null`, `  "low": 0`, false},
	} {
		if why := unlike(c.want, c.got); (why == "") != c.like {
			t.Errorf("%s and %s: %q", c.want, c.got, why)
		}
	}
	for number, want := range map[string]string{
		"7529.773929946421": "7530", "0.00003426649206062238": "0.00003427", "-1": "-1", "123456": "123500", "0": "0", "1e-7": "0.0000001",
	} {
		if got := rounded(number); got != want {
			t.Errorf("%s rounded is %s, want %s", number, got, want)
		}
	}
}
