package fit

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/floats/scalar"
	"gonum.org/v1/gonum/stat"
)

// NIST StRD "Norris" (linear, lower difficulty), as cited by the test suite of SciPy.
var (
	norrisX = []float64{0.2, 337.4, 118.2, 884.6, 10.1, 226.5, 666.3, 996.3, 448.6, 777.0, 558.2, 0.4, 0.6, 775.5,
		666.9, 338.0, 447.5, 11.6, 556.0, 228.1, 995.8, 887.6, 120.2, 0.3, 0.3, 556.8, 339.1, 887.2, 999.0, 779.0,
		11.1, 118.3, 229.2, 669.1, 448.9, 0.5}
	norrisY = []float64{0.1, 338.8, 118.1, 888.0, 9.2, 228.1, 668.5, 998.5, 449.1, 778.9, 559.2, 0.3, 0.1, 778.1,
		668.8, 339.3, 448.9, 10.8, 557.7, 228.3, 998.0, 888.8, 119.6, 0.3, 0.6, 557.6, 339.3, 888.0, 998.5, 778.9,
		10.2, 117.6, 228.9, 668.4, 449.2, 0.2}
	// Anscombe 1973, set I, as in the R data sets.
	anscombeX = []float64{10, 8, 13, 9, 11, 14, 6, 4, 12, 7, 5}
	anscombeY = []float64{8.04, 6.95, 7.58, 8.81, 8.33, 9.96, 7.24, 4.26, 10.84, 4.82, 5.68}
)

func TestLineNorris(t *testing.T) {
	f, err := Line(norrisX, norrisY, nil)
	require.NoError(t, err)
	for _, c := range []struct {
		name           string
		got, want, tol float64
	}{
		{"slope", f.Slope, 1.00211681802045, 1e-12},
		{"intercept", f.Intercept, -0.262323073774029, 1e-9},
		{"slope SE", f.SlopeSE, 0.429796848199937e-3, 1e-9},
		{"intercept SE", f.InterceptSE, 0.232818234301152, 1e-9},
		{"r2", f.R2, 0.999993745883712, 1e-12},
	} {
		require.True(t, scalar.EqualWithinRel(c.got, c.want, c.tol), "%s: %v, not %v", c.name, c.got, c.want)
	}
	require.Equal(t, 34, f.Dof)
}

func TestLineAnscombe(t *testing.T) {
	f, err := Line(anscombeX, anscombeY, nil)
	require.NoError(t, err)
	// Anscombe 1973: y = 3.00 + 0.500 x, r2 0.67, mean of y 7.50.
	require.InDelta(t, 0.500, f.Slope, 0.005)
	require.InDelta(t, 3.00, f.Intercept, 0.005)
	require.InDelta(t, 0.67, f.R2, 0.005)
	require.InDelta(t, 7.50, f.MeanY, 0.005)
	// The further digits are a calculation of the same set.
	require.InDelta(t, 0.1179055, f.SlopeSE, 1e-7)
	require.InDelta(t, 1.1247468, f.InterceptSE, 1e-7)
	require.InDelta(t, 0.266721, StudentT(0.95, 9)*f.SlopeSE, 1e-6)
	require.InDelta(t, 2.544354, StudentT(0.95, 9)*f.InterceptSE, 1e-6)
	require.InDelta(t, f.ResidualSD/math.Sqrt(11), f.SE(f.MeanX), 1e-12)
	require.InDelta(t, f.InterceptSE, f.SE(0), 1e-12)
	require.InDelta(t, f.Intercept, f.At(0), 1e-12)
}

// A point of weight three is three points.
func TestLineWeightsCount(t *testing.T) {
	x, y := []float64{0, 1, 2, 4}, []float64{1, 2.2, 2.9, 5.3}
	w := []float64{1, 3, 1, 2}
	f, err := Line(x, y, w)
	require.NoError(t, err)
	g, err := Line([]float64{0, 1, 1, 1, 2, 4, 4}, []float64{1, 2.2, 2.2, 2.2, 2.9, 5.3, 5.3}, nil)
	require.NoError(t, err)
	require.InDelta(t, g.Slope, f.Slope, 1e-14)
	require.InDelta(t, g.Intercept, f.Intercept, 1e-14)
	require.InDelta(t, g.R2, f.R2, 1e-14)
	// The normal equations give the stated covariance.
	require.InDelta(t, g.Stated().SlopeSE, f.Stated().SlopeSE, 1e-14)
	require.InDelta(t, g.Stated().Covariance, f.Stated().Covariance, 1e-14)
	a, b := stat.LinearRegression(x, y, w, false)
	require.InDelta(t, a, f.Intercept, 1e-12)
	require.InDelta(t, b, f.Slope, 1e-12)
}

// Scaling all weights changes no scatter-based error and shrinks the stated ones.
func TestLineWeightScale(t *testing.T) {
	x, y := []float64{0, 1, 2, 4}, []float64{1, 2.2, 2.9, 5.3}
	f, err := Line(x, y, []float64{1, 2, 3, 4})
	require.NoError(t, err)
	g, err := Line(x, y, []float64{4, 8, 12, 16})
	require.NoError(t, err)
	require.InDelta(t, f.SlopeSE, g.SlopeSE, 1e-14)
	require.InDelta(t, f.Stated().SlopeSE/2, g.Stated().SlopeSE, 1e-14)
	require.InDelta(t, f.PredictionSE(3, 1), g.PredictionSE(3, 4), 1e-14)
}

func TestLineExactAndOffset(t *testing.T) {
	x, y := make([]float64, 9), make([]float64, 9)
	for i := range x {
		x[i] = 1e8 + 0.1*float64(i)
		y[i] = 55 + 0.65*(x[i]-1e8)
	}
	f, err := Line(x, y, nil)
	require.NoError(t, err)
	require.InDelta(t, 0.65, f.Slope, 1e-12)
	require.GreaterOrEqual(t, f.ResidualSD, 0.0)
	require.Less(t, f.ResidualSD, 1.5e-8, "x has no finer steps than this")
	require.LessOrEqual(t, f.R2, 1.0)
}

func TestLineTwoPoints(t *testing.T) {
	f, err := Line([]float64{1, 3}, []float64{2, 8}, nil)
	require.NoError(t, err)
	require.InDelta(t, 3, f.Slope, 1e-15)
	require.InDelta(t, -1, f.Intercept, 1e-14)
	require.True(t, math.IsNaN(f.SlopeSE), "two points show no scatter")
	require.False(t, math.IsNaN(f.Stated().SlopeSE))
}

func TestLineRefuses(t *testing.T) {
	for name, c := range map[string][3][]float64{
		"the same x":   {{1, 1, 1}, {1, 2, 3}, nil},
		"too few":      {{1}, {1}, nil},
		"not match":    {{1, 2}, {1, 2, 3}, nil},
		"not a finite": {{1, math.NaN()}, {1, 2}, nil},
		"weight 2":     {{1, 2}, {1, 2}, {1, 0}},
		"weight 1":     {{1, 2}, {1, 2}, {math.Inf(1), 1}},
	} {
		_, err := Line(c[0], c[1], c[2])
		require.ErrorContains(t, err, name)
	}
}
