package report

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbook/internal/advise"
	"holdbook/internal/sheet"
	"holdbook/internal/survey"
	"holdbook/units"
)

// oneHold is a house with a garage and an attic, held once with asFoundHold.
const (
	oneHold     = "[[zone]]\nname = \"attic\"\nkind = \"attic\"\n[[zone]]\nname = \"garage\"\nkind = \"garage\"\n"
	asFoundHold = "[[hold]]\nhouse = \"-50 Pa\"\nfan = \"2200 cfm\"\nrange = \"large\"\nto_house = { attic = \"43 Pa\", garage = \"46 Pa\" }\n"
)

// readSheet is a sheet without its first line.
func readSheet(t *testing.T, text string) *sheet.Sheet {
	t.Helper()
	s, err := sheet.Parse([]byte("sheet = 1\n"+text), "test.toml")
	require.NoError(t, err)
	return s
}

func planned(t *testing.T, text string) *advise.NextPlan {
	t.Helper()
	p, err := advise.Next(readSheet(t, text), advise.NextOptions{})
	require.NoError(t, err)
	return p
}

// Every block can be filled in and read: it stands as a finished hold, in the
// words of the sheet.
func TestNextBlocksCanBeFilledIn(t *testing.T) {
	text, err := os.ReadFile(filepath.Join("..", "..", "testdata", "demo.toml"))
	require.NoError(t, err)
	ducts := oneHold + "[[zone]]\nname = \"ducts, 2 \\\"main\\\"\"\nkind = \"ducts\"\ntouches = [\"house\", \"attic\"]\n"
	for name, s := range map[string]string{"no hold": ducts, "one hold": oneHold + asFoundHold, "demonstration": strings.Replace(string(text), "sheet = 1", "", 1),
		"pressurised": "[job]\nhold = \"pressurised\"\n" + ducts} {
		p := planned(t, s)
		require.NotEmpty(t, p.Actions, name)
		for _, a := range p.Actions {
			filled := strings.NewReplacer(`baseline = "… Pa"`, `baseline = "-1 Pa"`, "… Pa", "30 Pa", "… cfm", "500 cfm").Replace(blank(a.Hold))
			require.NotContains(t, filled, "…", a.What)
			if a.Outdoor || a.Rest { // no hold of its own: keys of tables that the sheet has
				standsInTheSheet(t, strings.Split(s, "[[hold]]")[0], filled, a)
				continue
			}
			got := readSheet(t, s+filled)
			h := got.Holds[len(got.Holds)-1]
			assert.True(t, h.Finished(), a.What)
			assert.Equal(t, strings.HasPrefix(a.What, "read the"), !h.Fan.Given, a.What)
			_, err := survey.NewCase(got, survey.Options{}, survey.NewLog(false))
			assert.NoError(t, err, a.What)
		}
	}
}

// standsInTheSheet reads what is typed in place of a table of the sheet: the temperatures,
// or the baselines of a hold.
func standsInTheSheet(t *testing.T, spaces, filled string, a advise.NextAction) {
	t.Helper()
	if a.Outdoor {
		typed := readSheet(t, strings.ReplaceAll(temperatures(units.Fahrenheit), "…", "40")).House
		assert.True(t, typed.Indoor.Given && typed.Outdoor.Given)
		return
	}
	h := readSheet(t, spaces+"\n"+filled).Holds[0]
	assert.True(t, h.Baseline.Given || len(h.ZoneBaselines) > 0, filled)
	assert.Equal(t, a.Hold.Name.Value, h.Name.Value)
	assert.Len(t, h.ZoneBaselines, len(a.Hold.ZoneBaselines), filled)
}

// The plan of a visit starts with the hold that the sheet has begun, in its name and
// with its baseline.
func TestNextFillsTheHoldBegun(t *testing.T) {
	first := planned(t, oneHold).Actions[0]
	assert.Contains(t, blank(first.Hold), "name     = \"as found\"\nbaseline = \"… Pa\"\nhouse")
	assert.NotContains(t, first.How, "begun")
	first = planned(t, oneHold+"[[hold]]\nname = \"as found\"\n").Actions[0]
	assert.Contains(t, blank(first.Hold), "name     = \"as found\"\nbaseline")
	assert.Contains(t, first.How, "fill in the hold that the sheet has begun")
}
