package check

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"holdbook/internal/report/view"
	"holdbook/internal/sheet"
	"holdbook/internal/survey"
	"holdbook/units"
)

// parsed is a sheet without its first line.
func parsed(t *testing.T, text string) *sheet.Sheet {
	t.Helper()
	s, err := sheet.Parse([]byte("sheet = 1\n"+text), "test.toml")
	require.NoError(t, err)
	return s
}

// modelled is the case made of a sheet.
func modelled(t *testing.T, text string) *survey.Case {
	t.Helper()
	c, err := survey.NewCase(parsed(t, text), survey.Options{}, survey.NewLog(false))
	require.NoError(t, err)
	return c
}

// noticesWith counts the notices whose text has a part in it.
func noticesWith(list []survey.Notice, part string) int {
	n := 0
	for _, x := range list {
		if strings.Contains(x.Text, part) {
			n++
		}
	}
	return n
}

// long marks a test that takes long: -short leaves it out.
func long(t *testing.T) {
	t.Helper()
	if testing.Short() {
		t.Skip("many random sheets: left out with -short")
	}
}

// found is what a sheet's readings allow.
func found(t *testing.T, text string, o survey.Options) *survey.Findings {
	t.Helper()
	f, err := survey.Run(parsed(t, text), o)
	require.NoError(t, err)
	return shown(t, f, f.Job)
}

const aloneFound = "[[zone]]\nname = \"attic\"\n[[hold]]\nname = \"first\"\nbaseline = \"0 Pa\"\nhouse = \"-50 Pa\"\nfan = \"2000 cfm\"\nto_house = { attic = \"44 Pa\" }\n"

const exactGauge = `
[gauge]
pressure = "0.001 % or 0.0001 Pa"
flow = "0.001 %"
repeat = "0.001 %"
wobble = "0.0001 Pa"
`

const aloneOpened = "[[hold]]\nname = \"hatch\"\nhouse = \"-50 Pa\"\nfan = \"2300 cfm\"\nto_house = { attic = \"30 Pa\" }\nopened = [ { between = [\"house\", \"attic\"] } ]\n"

// shown is a result in the units that a reader of the job is shown.
func shown[T any](t *testing.T, result T, j survey.Job) T {
	t.Helper()
	system := units.IP
	if j.Units == units.SI.String() {
		system = units.SI
	}
	v, leftOut, err := view.Of(result, system, nil)
	require.NoError(t, err)
	require.Zero(t, leftOut)
	return v
}
