package hmc

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
)

// autoregressive makes chains x' = r·x + noise, whose integrated autocorrelation time
// is (1 + r)/(1 − r).
func autoregressive(chains, n int, r float64) [][]float64 {
	rng := rand.New(rand.NewPCG(7, 7))
	out := make([][]float64, chains)
	for k := range out {
		x := rng.NormFloat64()
		for range n {
			x = r*x + math.Sqrt(1-r*r)*rng.NormFloat64()
			out[k] = append(out[k], x)
		}
	}
	return out
}

func TestESSOfKnownChains(t *testing.T) {
	const n = 20000
	for _, r := range []float64{0, 0.3, 0.8, 0.95, -0.3} {
		c := autoregressive(4, n, r)
		want := 4 * n * (1 - r) / (1 + r)
		require.InEpsilon(t, want, ESS(c), 0.12, "r %v", r)
		require.InDelta(t, 1, RHat(c), 0.01)
	}
}

// The variance of the mean over many short runs must be what the ESS promises.
func TestESSPromisesTheErrorOfTheMean(t *testing.T) {
	var square float64
	const runs = 200
	all := autoregressive(4*runs, 300, 0.6)
	for k := range runs {
		c := all[4*k : 4*k+4]
		var mean float64
		for _, chain := range c {
			m, _ := meanAndVariance(chain)
			mean += m / 4
		}
		square += mean * mean * ESS(c) / runs
	}
	require.InDelta(t, 1, square, 0.3)
}

func TestRHatSeesChainsApartAndDrift(t *testing.T) {
	c := autoregressive(4, 500, 0)
	require.Less(t, RHat(c), 1.02)
	for i := range c[0] {
		c[0][i] += 2
	}
	require.Greater(t, RHat(c), 1.2)
	require.Less(t, ESS(c), 40.0)
	d := autoregressive(1, 500, 0)
	for i := range d[0] {
		d[0][i] += 4 * float64(i) / 500
	}
	require.Greater(t, RHat(d), 1.2, "one chain that drifts disagrees with itself")
}

func TestDiagnosticsOfNothing(t *testing.T) {
	for _, c := range [][][]float64{nil, {{}}, {{1, 2, 3}}, {{1, 1, 1, 1, 1, 1}}, {{1, 2, 3, 4}, {1, 2, 3}}, {{1, 2, math.NaN(), 4}}, {{1, 2, math.Inf(1), 4}}} {
		require.True(t, math.IsNaN(RHat(c)) && math.IsNaN(ESS(c)), "%v", c)
		TailESS(c)
	}
}

func TestTailESS(t *testing.T) {
	c := autoregressive(4, 5000, 0)
	require.InEpsilon(t, 20000, TailESS(c), 0.15)
	require.InEpsilon(t, 20000, QuantileESS(c, 0), 0.15)
	// Draws that rarely reach the tail, and then stay, have a poor tail and a good middle.
	for _, chain := range c {
		for i := range 250 {
			chain[2000+i] = 3 + 0.01*chain[2000+i]
		}
	}
	require.Less(t, TailESS(c), 300.0)
}
