package hmc

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"

	"holdbook/internal/fit"
)

// judged is what two chains of one coordinate come to, their means apart by so many
// standard deviations. Their halves are shuffled points of the normal distribution,
// so that means and variances are exact.
func judged(apart, target float64, divergences int) error {
	rng := rand.New(rand.NewPCG(3, 4))
	const half = 500
	r := &run{n: 1, o: Options{TargetESS: target}, rhat: make([]float64, 1), ess: make([]float64, 1), tail: make([]float64, 1)}
	for k := range 2 {
		c := &chain{tally: tally{transitions: 100, divergences: divergences}}
		for range 2 {
			for _, i := range rng.Perm(half) {
				c.draws = append(c.draws, fit.NormalQuantile((float64(i)+0.5)/half)+apart*float64(k))
			}
		}
		r.chains = append(r.chains, c)
	}
	_, fault := r.judge()
	return fault
}

// Chains agree up to a split R-hat of 1.05: of two whose means are d standard
// deviations apart it is √(1 + d²/3), four halves with means of ±d/2. Up to 2 % of
// the transitions may diverge, and the effective draws must be those asked for.
func TestWhatChainsMustKeep(t *testing.T) {
	at := func(rhat float64) float64 { return math.Sqrt(3 * (rhat*rhat - 1)) }
	assert.NoError(t, judged(at(1.045), 1, 0))
	assert.Equal(t, errDisagree, judged(at(1.055), 1, 0))
	assert.NoError(t, judged(0, 1000, 0))
	assert.Equal(t, errTooFew, judged(0, 4000, 0), "of 2,000 draws")
	assert.NoError(t, judged(0, 1, 2))
	assert.Equal(t, errDivergent, judged(0, 1, 3))
}
