package advise

import (
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

// found is what a sheet's readings allow.
func found(t *testing.T, text string) *survey.Findings {
	t.Helper()
	f, err := survey.Run(parsed(t, text), survey.Options{})
	require.NoError(t, err)
	return shown(t, f, f.Job)
}

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
