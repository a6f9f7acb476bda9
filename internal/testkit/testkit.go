// Package testkit is what the tests of several packages need of a sheet and of a result.
// It imports neither survey nor what is above it, so that their own tests can use it; no
// part of the program does.
package testkit

import (
	"testing"

	"github.com/stretchr/testify/require"

	"holdbook/internal/report/view"
	"holdbook/internal/sheet"
	"holdbook/units"
)

// Sheet is a sheet without its first line.
func Sheet(t *testing.T, text string) *sheet.Sheet {
	t.Helper()
	s, err := sheet.Parse([]byte("sheet = 1\n"+text), "test.toml")
	require.NoError(t, err)
	return s
}

// Shown is a result in the units that a reader is shown: "si", or any other word for ip.
// A number that would have to be left out fails the test.
func Shown[T any](t *testing.T, result T, of string) T {
	t.Helper()
	system := units.IP
	if of == units.SI.String() {
		system = units.SI
	}
	v, leftOut, err := view.Of(result, system, nil)
	require.NoError(t, err)
	require.Zero(t, leftOut)
	return v
}

// Long marks a test that takes long, for what it does: -short leaves it out.
func Long(t *testing.T, what string) {
	t.Helper()
	if testing.Short() {
		t.Skip(what + ": left out with -short")
	}
}
