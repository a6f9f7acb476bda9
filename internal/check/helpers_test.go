package check

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"holdbook/internal/survey"
	"holdbook/internal/testkit"
)

// modelled is the case made of a sheet.
func modelled(t *testing.T, text string) *survey.Case {
	t.Helper()
	c, err := survey.NewCase(testkit.Sheet(t, text), survey.Options{}, survey.NewLog(false))
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

// found is what a sheet's readings allow.
func found(t *testing.T, text string, o survey.Options) *survey.Findings {
	t.Helper()
	f, err := survey.Run(testkit.Sheet(t, text), o)
	require.NoError(t, err)
	return testkit.Shown(t, f, f.Job.Units)
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
