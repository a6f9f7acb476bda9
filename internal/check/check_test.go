package check

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbook/internal/sheet"
	"holdbook/internal/survey"
	"holdbook/internal/testkit"
)

// checkDay is when the checks of these tests are made.
var checkDay = time.Date(2026, 11, 1, 12, 0, 0, 0, time.UTC)

func checked(t *testing.T, text string) *Report {
	t.Helper()
	s, err := sheet.Parse([]byte(text), "house.toml")
	var list sheet.Problems
	if errors.As(err, &list) {
		t.Fatalf("%v\n%s", err, text)
	}
	require.NoError(t, err)
	return Sheet(s, survey.Options{}, checkDay)
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
	testkit.Long(t, "many random sheets")
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

// A blocked hold does not hide what is wrong with the others.
func TestBlockedHoldsAreSetAside(t *testing.T) {
	c := checked(t, `sheet = 1
[[hold]]
baseline = "-1 Pa"
house = "-51.0 Pa"
fan = "2000 cfm"
to_house = { attic = "43.1 Pa" }
to_outside = { attic = "-27.9 Pa" }
[[hold]]
house = "-26.0 Pa"
fan = "1275 cfm"
to_house = { attic = "21.6 Pa" }
[[hold]]
house = "-51.0 Pa"
fan = "944 cfm"
to_house = { attic = "43.4 Pa" }
[[hold]]
baseline = "-60 Pa"
house = "-51.0 Pa"
`)
	assert.False(t, c.Usable)
	at := map[int]Item{}
	for _, i := range c.Items {
		if i.Level != Remarks {
			at[i.Line] = i
		}
	}
	assert.Equal(t, Blocks, at[7].Level, "the attic of hold 1")
	assert.Equal(t, Blocks, at[18].Level, "the house pressure of hold 4")
	assert.Equal(t, "hold 3", at[14].About, "numbered as in the sheet")
	assert.Contains(t, at[14].Text, "L/s, not cfm")
	require.NotEmpty(t, c.Answers)
}

// Doubts that no other reading can settle are notes: they leave the sheet usable.
func TestNotesOfCheck(t *testing.T) {
	const zones, hold = "[[zone]]\nname = \"garage\"\n[[zone]]\nname = \"cellar\"\nkind = \"basement\"\n", "[[hold]]\nhouse = \"-50 Pa\"\n"
	for text, note := range map[string]string{
		hold + "to_house = { garage = \"4.75 Pa\" }\n":                                                     "almost as the house does",
		hold + "to_outside = { garage = \"-47 Pa\" }\n":                                                    "almost as the house does",
		hold + "to_house = { garage = \"47.5 Pa\", cellar = \"4.75 Pa\" }\n":                               "",
		hold + "opened = [ { between = [\"house\", \"garage\"] } ]\nto_house = { garage = \"4.75 Pa\" }\n": "",
		"[job]\nhold = \"depressurised\"\n" + hold + "[[hold]]\nhouse = \"50.4 Pa\"\n":                     "taken as -50.4 Pa",
		hold + "[[hold]]\nhouse = \"-50.4 Pa\"\n":                                                          "",
	} {
		c := checked(t, "sheet = 1\n"+zones+text)
		said := ""
		for _, i := range c.Items {
			require.Equal(t, Remarks, i.Level, i.Text)
			said += i.Text
		}
		if note == "" {
			assert.NotContains(t, said, "almost as", text)
			assert.NotContains(t, said, "without a sign", text)
			continue
		}
		assert.Contains(t, said, note, text)
	}
}

// A zone near outdoors whose opened hold repeats the reading of before is noticed
// by the fan, which moved; a zone that did move, or of which the fan tells
// nothing, is let be.
func TestOldNumberInAnOpenedHold(t *testing.T) {
	sheetWith := func(fan, attic string) string {
		return "sheet = 1\n[[zone]]\nname = \"attic\"\n[[hold]]\nhouse = \"-50 Pa\"\nfan = \"2280 cfm\"\nto_house = { attic = \"44 Pa\" }\n" +
			"[[hold]]\nhouse = \"-50 Pa\"\nfan = \"" + fan + "\"\nopened = [ { between = [\"house\", \"attic\"] } ]\nto_house = { attic = \"" + attic + "\" }\n"
	}
	for _, c := range []struct {
		fan, attic string
		warned     bool
	}{{"2650 cfm", "44 Pa", true}, {"2650 cfm", "43.8 Pa", true}, {"2650 cfm", "24 Pa", false}, {"2650 cfm", "39 Pa", false}} {
		said := ""
		for _, i := range checked(t, sheetWith(c.fan, c.attic)).Items {
			if i.Level == Warns && i.Line == 12 {
				said += i.Text
			}
		}
		assert.Equal(t, c.warned, strings.Contains(said, "moved"), "%s %s: %s", c.fan, c.attic, said)
	}
}

// A hold after the work may say that it is sealed: that is how the house is found
// then. Of the house before, the name alone would hide a change.
func TestAsSealedIsAsFound(t *testing.T) {
	for name, clean := range map[string]bool{"as sealed": true, "after sealing, sealed attic": true, "attic sealed": false, "registers covered": false} {
		c := checked(t, "sheet = 1\n[[zone]]\nname = \"attic\"\n[[hold]]\nname = \""+name+"\"\nhouse = \"-50 Pa\"\nfan = \"2000 cfm\"\nto_house = { attic = \"44 Pa\" }\n")
		assert.Equal(t, clean, c.Count(Warns) == 0, name)
	}
}

// A flow range does not carry over: a hold that is silent of it is noted where another
// is not.
func TestRangeUnsaid(t *testing.T) {
	const two = "[[hold]]\nhouse = \"-50 Pa\"\nfan = \"2000 cfm\"\nrange = \"B\"\n[[hold]]\nhouse = \"-30 Pa\"\nfan = \"1435 cfm\"\n"
	said := func(text string) (n int) {
		for _, i := range checked(t, "sheet = 1\n"+text).Items {
			if strings.Contains(i.Text, "no flow range stands here, B in hold 1") {
				assert.Equal(t, Remarks, i.Level)
				assert.Equal(t, "hold 2", i.About)
				n++
			}
		}
		return n
	}
	assert.Equal(t, 1, said(two))
	assert.Zero(t, said(two+"range = \"B\"\n"))
	assert.Zero(t, said(strings.Replace(two, "range = \"B\"\n", "", 1)))
}
