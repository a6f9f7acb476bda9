package advise

import (
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

// found is what a sheet's readings allow.
func found(t *testing.T, text string) *survey.Findings {
	t.Helper()
	f, err := survey.Run(testkit.Sheet(t, text), survey.Options{})
	require.NoError(t, err)
	return testkit.Shown(t, f, f.Job.Units)
}
