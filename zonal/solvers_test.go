package zonal

import (
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"
)

// outsideFile is a file of testdata/outside, or of the folder that
// HOLDBOOK_OUTSIDE names, where the scripts have just made them anew.
func outsideFile(name string) string {
	if folder := os.Getenv("HOLDBOOK_OUTSIDE"); folder != "" {
		return filepath.Join(folder, name)
	}
	return filepath.Join("..", "testdata", "outside", name)
}

func loadOutside(t *testing.T, name string, v any) {
	t.Helper()
	text, err := os.ReadFile(outsideFile(name))
	require.NoError(t, err)
	require.NoError(t, json.Unmarshal(text, v))
}

// TestNetworksOfOutsideSolvers: zone pressures and fan flow of random networks
// as scipy.optimize and ngspice find them (testdata/outside).
func TestNetworksOfOutsideSolvers(t *testing.T) {
	type answer struct {
		Pressures []float64
		Fan       float64
	}
	var file struct {
		Networks []struct {
			Name  string
			Model Model
			answer
			Ngspice *answer
		}
	}
	loadOutside(t, "networks.json", &file)
	require.GreaterOrEqual(t, len(file.Networks), 20)
	circuits := 0
	for _, n := range file.Networks {
		p, fan := solvedOnce(t, &n.Model)
		assert.InDeltaSlice(t, n.Pressures, p, 1e-8, n.Name)
		assert.InEpsilon(t, n.Fan, fan, 1e-9, n.Name)
		if n.Ngspice != nil {
			circuits++
			assert.InDeltaSlice(t, n.Ngspice.Pressures, p, 1e-7, n.Name)
			assert.InEpsilon(t, n.Ngspice.Fan, fan, 1e-8, n.Name)
		}
	}
	assert.GreaterOrEqual(t, circuits, 10)
}

// solvedOnce solves a model's first hold at its medians.
func solvedOnce(t *testing.T, m *Model) (pressures []float64, fan float64) {
	t.Helper()
	// a prior and a reading's error are needed to compile, not to solve
	m.Holds[0].HouseSD = 1
	for i := range m.Holds[0].Fans {
		m.Holds[0].Fans[i].SDLn = 0.01
	}
	p, err := compile(m)
	require.NoError(t, err)
	x := make([]float64, len(p.unknowns))
	for i, u := range p.unknowns {
		x[i] = u.mean
	}
	e := newEvaluator(p)
	require.True(t, e.solve(0, x))
	return e.nets[0].p, e.nets[0].fanFlow()
}

// TestModesOfOutsideSolvers: at the mode that scipy.optimize.least_squares finds
// for a simulated sheet (testdata/outside), the residuals here have the same sum
// of squares, and no direction that the bounds allow improves it.
func TestModesOfOutsideSolvers(t *testing.T) {
	var file struct {
		Sheets []struct {
			Name  string
			Model Model
			Mode  struct {
				SumSquares float64 `json:"sum_squares"`
				Starts     int     `json:"starts_at_mode"`
				Unknowns   []outsideUnknown
			}
		}
	}
	loadOutside(t, "sheets.json", &file)
	require.GreaterOrEqual(t, len(file.Sheets), 10)
	for _, s := range file.Sheets {
		p, err := compile(&s.Model)
		require.NoError(t, err, s.Name)
		require.Len(t, s.Mode.Unknowns, len(p.unknowns), s.Name)
		assert.Greater(t, s.Mode.Starts, 1, s.Name)
		x := make([]float64, len(p.unknowns))
		for i, u := range p.unknowns {
			x[i] = valueOf(t, u, s.Mode.Unknowns)
		}
		e := inUnknowns(p)
		r, jac := make([]float64, e.Terms()), mat.NewDense(e.Terms(), e.Dim(), nil)
		require.NoError(t, e.Evaluate(x, r, jac), s.Name)
		res := mat.NewVecDense(len(r), r)
		assert.InDelta(t, s.Mode.SumSquares, mat.Dot(res, res), 1e-8, s.Name)
		for i, u := range p.unknowns {
			slope := mat.Dot(jac.ColView(i), res) / mat.Norm(jac.ColView(i), 2)
			if u.kind == pathExponent && (x[i] < 0.5+1e-6 && slope > 0 || x[i] > 1-1e-6 && slope < 0) {
				continue
			}
			assert.InDelta(t, 0, slope, 1e-5, "%s, unknown %d", s.Name, i)
		}
		post, err := Infer(&s.Model, Options{CurvatureOnly: true})
		require.NoError(t, err, s.Name)
		assert.False(t, post.mode.Status.Early(), s.Name)
		for i, v := range post.mode.X { // sizes are logarithms: an absolute difference is a share
			assert.InDelta(t, x[i], v, 1e-3, "%s, unknown %d of the mode found here", s.Name, i)
		}
	}
}

type outsideUnknown struct {
	Kind  string
	Index any // a number, or hold and fan
	Value float64
}

func (u outsideUnknown) at() (index, sub int) {
	if pair, ok := u.Index.([]any); ok {
		return int(pair[0].(float64)), int(pair[1].(float64))
	}
	return int(u.Index.(float64)), 0
}

func valueOf(t *testing.T, u unknown, list []outsideUnknown) float64 {
	t.Helper()
	kinds := map[string]unknownKind{"path": pathSize, "exponent": pathExponent, "opening": openingSize, "area": holeArea,
		"coefficient": coefficient, "calibration": calibration, "house": housePressure, "fan": fanTrueFlow}
	for _, v := range list {
		if index, sub := v.at(); kinds[v.Kind] == u.kind && index == u.index && sub == u.sub {
			return v.Value
		}
	}
	require.Fail(t, "unknown not in the file", "%+v", u)
	return math.NaN()
}
