package survey

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbook/internal/sheet"
)

// checkDay is when the checks of these tests are made.
var checkDay = time.Date(2026, 11, 1, 12, 0, 0, 0, time.UTC)

func checked(t *testing.T, text string) *CheckReport {
	t.Helper()
	s, err := sheet.Parse([]byte(text), "house.toml")
	var list sheet.Problems
	if errors.As(err, &list) {
		t.Fatalf("%v\n%s", err, text)
	}
	require.NoError(t, err)
	return Check(s, Options{}, checkDay)
}

const goodFolder = "../../testdata/good"

// Good sheets give no warning; UPDATE_SHEETS writes the simulated ones anew.
func TestGoodSheetsPass(t *testing.T) {
	if os.Getenv("UPDATE_SHEETS") != "" {
		for i := 1; i <= 20; i++ {
			name := filepath.Join(goodFolder, fmt.Sprintf("house%02d.toml", i))
			require.NoError(t, os.WriteFile(name, []byte(newGoodHouse(uint64(i)).sheet(i)), 0o644))
		}
	}
	files, err := filepath.Glob(goodFolder + "/*.toml")
	require.NoError(t, err)
	require.GreaterOrEqual(t, len(files), 20)
	for _, f := range append(files, "../../testdata/demo.toml", "../../testdata/sheets/full.toml", "../../testdata/sheets/coupled.toml") {
		text, err := os.ReadFile(f)
		require.NoError(t, err)
		for _, i := range checked(t, string(text)).Items {
			assert.Equal(t, Remarks, i.Level, "%s: %v", f, i)
		}
	}
}

// Of other simulated good sheets hardly any gives a warning. HOLDBOOK_HOUSES
// tries more.
func TestFalseAlarms(t *testing.T) {
	n := 12
	if more, err := strconv.Atoi(os.Getenv("HOLDBOOK_HOUSES")); err == nil && more > 0 {
		n = more
	}
	wrong := 0
	for i := range n {
		c := checked(t, newGoodHouse(uint64(1000+i)).sheet(i))
		for _, x := range c.Items {
			if x.Level != Remarks {
				t.Logf("house %d: %v", 1000+i, x)
			}
		}
		if c.Count(Warns)+c.Count(Blocks) > 0 {
			wrong++
		}
	}
	t.Logf("%d of %d good sheets give a warning", wrong, n)
	assert.LessOrEqual(t, wrong, n/50, "more than one in fifty")
}
