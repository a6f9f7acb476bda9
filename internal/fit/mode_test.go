package fit

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"
)

// problem is a Problem of functions, for tests.
type problem struct {
	n, m int
	f    func(x, r []float64, j *mat.Dense) error
}

func (p problem) Dim() int                                    { return p.n }
func (p problem) Terms() int                                  { return p.m }
func (p problem) Evaluate(x, r []float64, j *mat.Dense) error { return p.f(x, r, j) }

// rosenbrock is the function of Rosenbrock (1960) as two residuals.
var rosenbrock = problem{2, 2, func(x, r []float64, j *mat.Dense) error {
	r[0], r[1] = 10*(x[1]-x[0]*x[0]), 1-x[0]
	if j != nil {
		j.Set(0, 0, -20*x[0])
		j.Set(0, 1, 10)
		j.Set(1, 0, -1)
		j.Set(1, 1, 0)
	}
	return nil
}}

func TestModeRosenbrock(t *testing.T) {
	res, err := Mode(rosenbrock, []float64{-1.2, 1}, nil, ModeOptions{})
	require.NoError(t, err)
	require.NoError(t, res.Status.Err(), res.Status)
	require.InDeltaSlice(t, []float64{1, 1}, res.X, 1e-9)
	t.Log(res.Status, res.Iterations, math.Sqrt(res.SumSquares))
}
