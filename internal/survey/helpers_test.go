package survey

import (
	"encoding/json"
	"errors"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbook/internal/sheet"
	"holdbook/internal/testkit"
	"holdbook/units"
	"holdbook/zonal"
)

// laid is the case made of a sheet, and what was said while it was made.
func laid(t *testing.T, text string) (*Case, *Log) {
	t.Helper()
	log := NewLog(false)
	c, err := NewCase(testkit.Sheet(t, text), Options{}, log)
	require.NoError(t, err)
	return c, log
}

// modelled is the case made of a sheet.
func modelled(t *testing.T, text string) *Case {
	t.Helper()
	c, _ := laid(t, text)
	return c
}

// found is what a sheet's readings allow.
func found(t *testing.T, text string, o Options) *Findings {
	t.Helper()
	s := testkit.Sheet(t, text)
	if strings.Contains(text, errorless) {
		return still(t, s, o)
	}
	f, err := Run(s, o)
	require.NoError(t, err)
	return testkit.Shown(t, f, f.Job.Units)
}

// errorless is of the gauge of a sheet whose readings closed forms made.
const errorless = "pressure = \"0.001 % or 0.0001 Pa\""

// still is Run in the limit in which closed forms hold: without weather and without a zero
// of the gauge, and with sharp openings that open nothing besides.
func still(t *testing.T, s *sheet.Sheet, o Options) *Findings {
	t.Helper()
	log := NewLog(o.Working)
	c, err := NewCase(s, o, log)
	require.NoError(t, err)
	m := *c.Model
	m.Openings = slices.Clone(m.Openings)
	for i := range m.Openings {
		m.Openings[i].Exponent, m.Openings[i].Second = zonal.Normal{}, zonal.LogNormal{}
	}
	c.Estimated = &m
	e, err := Solve(c, o)
	require.NoError(t, err)
	f := assemble(c, e, log, o)
	return testkit.Shown(t, f, f.Job.Units)
}

// refused is the problem a sheet is refused for.
func refused(t *testing.T, text string) sheet.Problem {
	t.Helper()
	_, err := Run(testkit.Sheet(t, text), Options{CurvatureOnly: true})
	var p sheet.Problems
	require.Truef(t, errors.As(err, &p), "a refusal with a place, not %v", err)
	require.Len(t, p, 1)
	assert.Equal(t, "test.toml", p[0].File)
	return p[0]
}

// fromFile is what a sheet of testdata allows.
func fromFile(t *testing.T, name string, o Options) *Findings {
	t.Helper()
	s, err := sheet.Read(filepath.Join("..", "..", "testdata", "sheets", name))
	require.NoError(t, err)
	f, err := Run(s, o)
	require.NoError(t, err)
	return testkit.Shown(t, f, f.Job.Units)
}

// demo is the demonstration house.
func demo(t *testing.T) *sheet.Sheet {
	t.Helper()
	text, err := os.ReadFile(filepath.Join("..", "..", "testdata", "demo.toml"))
	require.NoError(t, err)
	s, err := sheet.Parse(text, "demo.toml")
	require.NoError(t, err)
	return s
}

// noticesWith counts the notices whose text has a part in it.
func noticesWith(list []Notice, part string) int {
	n := 0
	for _, x := range list {
		if strings.Contains(x.Text, part) {
			n++
		}
	}
	return n
}

func cfm(v float64) units.Flow { return units.Flow(units.CFM.ToSI(v)) }

// pathOf is the model's path between two spaces by their names.
func pathOf(t *testing.T, c *Case, a, b string, covered bool) zonal.Path {
	t.Helper()
	i := slices.IndexFunc(c.Model.Paths, func(p zonal.Path) bool { return p.Covered == covered && p.Joins(c.Spaces[a], c.Spaces[b]) })
	require.GreaterOrEqual(t, i, 0, "no path %s–%s", a, b)
	return c.Model.Paths[i]
}

// within asserts a relative agreement; NaN never passes.
func within(t *testing.T, want, got, share float64, what string) {
	t.Helper()
	assert.Truef(t, math.Abs(got-want) <= share*math.Abs(want), "%s: got %v, want %v to %v", what, got, want, share)
}

// finite asserts that findings can be written as JSON, which knows no NaN and no
// infinity.
func finite(t *testing.T, f *Findings) {
	t.Helper()
	_, err := json.Marshal(f)
	assert.NoError(t, err)
}

func answersBy(f *Findings, method string) map[string]HandAnswer {
	m := map[string]HandAnswer{}
	for _, h := range f.Hand {
		if strings.HasPrefix(h.Method, method) {
			m[h.Quantity] = h
		}
	}
	return m
}
