package report

import (
	"bytes"
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"holdbook/internal/survey"
)

var update = flag.Bool("update", false, "rewrite the golden files")

var everything = Options{Working: true, Priors: true}

func written(t testing.TB, f *survey.Findings, format Format, o Options) string {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, Write(&b, f, format, o))
	return b.String()
}

// linked are the formats that this package writes by itself.
var linked = []Format{Text, Markdown, JSON, CSV}

// houses are the fixtures by name.
var houses = map[string]func(testing.TB) *survey.Findings{"demo": demoHouse, "stress": stressHouse}

func TestGolden(t *testing.T) {
	for house, make := range houses {
		for _, format := range linked {
			file := house + "." + format.String() + ".golden"
			t.Run(file, func(t *testing.T) {
				golden(t, file, written(t, make(t), format, everything))
			})
		}
		t.Run(house+" short", func(t *testing.T) {
			golden(t, house+".short.golden", written(t, make(t), Text, Options{}))
		})
	}
}

func golden(t *testing.T, file, got string) {
	t.Helper()
	path := filepath.Join("..", "..", "testdata", "report", file)
	if *update {
		require.NoError(t, os.MkdirAll(filepath.Dir(path), 0o755))
		require.NoError(t, os.WriteFile(path, []byte(got), 0o644))
	}
	want, err := os.ReadFile(path)
	require.NoError(t, err)
	if got != string(want) {
		t.Errorf("%s is not as written last: run go test with -update and look at the difference\n%s", file, firstDifference(string(want), got))
	}
}

func firstDifference(want, got string) string {
	w, g := strings.Split(want, "\n"), strings.Split(got, "\n")
	for i := range min(len(w), len(g)) {
		if w[i] != g[i] {
			return "want " + w[i] + "\ngot  " + g[i]
		}
	}
	return "one is longer than the other"
}
