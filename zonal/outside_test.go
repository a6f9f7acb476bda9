package zonal

import (
	"encoding/json"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// scipySheet is what testdata/speed/estimate.py finds of one sheet.
type scipySheet struct {
	Name     string
	Seconds  float64
	Unknowns []struct {
		outsideUnknown
		SD float64
	}
}

// TestBesideSciPy runs the mode and the curvature of the same sheets by SciPy
// and here, one after the other, and shows both times:
//
//	HOLDBOOK_SCIPY=/usr/bin/python3 go test -run BesideSciPy -v ./zonal
//
// Modes must agree to 0.1 % (sizes and calibrations are logarithms), curvature
// standard deviations to 2 %, SciPy's being from differences. Times are told, not
// judged.
func TestBesideSciPy(t *testing.T) {
	python := os.Getenv("HOLDBOOK_SCIPY")
	if python == "" {
		t.Skip("HOLDBOOK_SCIPY names no Python with SciPy")
	}
	var sheets struct{ Sheets []struct{ Model Model } }
	loadOutside(t, "sheets.json", &sheets)
	ratios := 0.0
	for k, s := range runSciPy(t, python) {
		m := &sheets.Sheets[k].Model
		post, mode := fastest(t, m, Options{CurvatureOnly: true})
		_, whole := fastest(t, m, Options{})
		t.Logf("%-60s SciPy %7.1f ms, here %5.2f ms (%.0f times as fast); with draws and all intervals %6.2f ms",
			s.Name, 1e3*s.Seconds, 1e3*mode, s.Seconds/mode, 1e3*whole)
		ratios += math.Log(s.Seconds / mode)
		var modes, sds []outsideUnknown
		for _, u := range s.Unknowns {
			modes = append(modes, u.outsideUnknown)
			u.Value = u.SD
			sds = append(sds, u.outsideUnknown)
		}
		for i, u := range post.problem.unknowns {
			want := valueOf(t, u, modes)
			assert.InDelta(t, want, post.mode.X[i], 1e-3*math.Max(1, math.Abs(want)), "%s, unknown %d", s.Name, i)
			assert.InEpsilon(t, valueOf(t, u, sds), math.Sqrt(post.mode.Covariance.At(i, i)), 0.02, "%s, sd of unknown %d", s.Name, i)
		}
	}
	t.Logf("on the geometric mean %.0f times as fast", math.Exp(ratios/float64(len(sheets.Sheets))))
}

func runSciPy(t *testing.T, python string) []scipySheet {
	t.Helper()
	in, err := os.Open(outsideFile("sheets.json"))
	require.NoError(t, err)
	defer func() { assert.NoError(t, in.Close()) }()
	run := exec.Command(python, "-B", filepath.Join("..", "testdata", "speed", "estimate.py"))
	run.Stdin, run.Stderr = in, os.Stderr
	text, err := run.Output()
	require.NoError(t, err)
	var out struct{ Sheets []scipySheet }
	require.NoError(t, json.Unmarshal(text, &out))
	return out.Sheets
}

// fastest is the posterior of a model and the least of five times it took, in
// seconds: mode and curvature alone, or everything that is reported.
func fastest(t *testing.T, m *Model, o Options) (*Posterior, float64) {
	t.Helper()
	var post *Posterior
	least := math.Inf(1)
	for range 5 {
		begin := time.Now()
		p, err := Infer(m, o)
		require.NoError(t, err)
		if !o.CurvatureOnly {
			_, err = p.Estimate()
			require.NoError(t, err)
		}
		least = math.Min(least, time.Since(begin).Seconds())
		post = p
	}
	return post, least
}
