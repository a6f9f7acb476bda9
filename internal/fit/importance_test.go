package fit

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"
)

func TestImportanceOfTheExactNormal(t *testing.T) {
	d, cov := gaussian(8, 1e4, 5)
	w, err := Importance(d, make([]float64, 8), cov, ImportanceOptions{Seed: 1})
	require.NoError(t, err)
	require.InDelta(t, 1, w.Effective, 1e-9)
	var sum float64
	for _, v := range w.Weights() {
		require.InDelta(t, 1.0/200, v, 1e-10)
		sum += v
	}
	require.InDelta(t, 1, sum, 1e-12)
	again, err := Importance(d, make([]float64, 8), cov, ImportanceOptions{Seed: 1})
	require.NoError(t, err)
	require.Equal(t, w, again)
}

// For a standard normal drawn from one with variance s² the mean square of the weights is s²/√(2s²−1) per coordinate.
func TestImportanceOfAWrongScale(t *testing.T) {
	d, _ := gaussian(2, 1, 5)
	for _, s2 := range []float64{0.8, 1.5, 3} {
		want := math.Pow(math.Sqrt(2*s2-1)/s2, 2)
		w, err := Importance(d, []float64{0, 0}, scaledCovariance(unitCovariance(2), s2), ImportanceOptions{Seed: 3, Draws: 20000})
		require.NoError(t, err)
		require.InEpsilon(t, want, w.Effective, 0.05, "variance %v", s2)
		x0 := make([]float64, len(w.X))
		for i, x := range w.X {
			x0[i] = x[0]
		}
		got := WeightedIntervalOf(x0, w.Weights())
		require.InDelta(t, -1.645, got.Low, 0.08)
		require.InDelta(t, 0, got.Median, 0.05)
		require.InDelta(t, 1.645, got.High, 0.08)
	}
}

func TestImportanceByStudentT(t *testing.T) {
	d := student(2, 5)
	w, err := Importance(d, []float64{0, 0}, unitCovariance(2), ImportanceOptions{Seed: 3, Draws: 20000, Dof: 5})
	require.NoError(t, err)
	x0 := make([]float64, len(w.X))
	for i, x := range w.X {
		x0[i] = x[0]
	}
	got := WeightedIntervalOf(x0, w.Weights())
	require.InDelta(t, StudentT(0.9, 5), got.High, 0.08)
	require.InDelta(t, -StudentT(0.9, 5), got.Low, 0.08)
	one, err := Importance(student(1, 5), []float64{0}, unitCovariance(1), ImportanceOptions{Seed: 3, Dof: 5})
	require.NoError(t, err)
	require.InDelta(t, 1, one.Effective, 1e-9, "a t density by its own approximation")
}

func TestImportanceEdges(t *testing.T) {
	nowhere := target{1, func(x, g []float64) float64 { return math.NaN() }}
	w, err := Importance(nowhere, []float64{0}, unitCovariance(1), ImportanceOptions{})
	require.NoError(t, err)
	require.Zero(t, w.Effective)
	require.Zero(t, w.Weights()[0])
	_, err = Importance(nowhere, nil, unitCovariance(1), ImportanceOptions{})
	require.Error(t, err)
	_, err = Importance(nowhere, []float64{0}, mat.NewSymDense(1, []float64{-1}), ImportanceOptions{})
	require.Error(t, err)
	_, err = Importance(nowhere, []float64{0}, unitCovariance(1), ImportanceOptions{Dof: -1})
	require.Error(t, err)
}
