package survey

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbook/internal/fit"
)

// gusts is a list of n samples of a pressure in wind: a first-order
// autoregressive series of the given spread about the middle.
func gusts(rng *rand.Rand, n int, middle, spread, memory float64) string {
	x := spread * rng.NormFloat64()
	list := make([]string, n)
	for i := range list {
		list[i] = fmt.Sprintf(`"%+.3f Pa"`, middle+x)
		x = memory*x + math.Sqrt(1-memory*memory)*spread*rng.NormFloat64()
	}
	return "[" + strings.Join(list, ", ") + "]"
}

// The house pressure of a sampled hold less a sampled baseline is off by less
// than 1.645 of its standard deviations nine times in ten. The gauge's own error
// is taken out, so that only what comes from the samples counts.
func TestSampledReadingsCover(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 9))
	const tests = 400
	for _, memory := range []float64{0, 0.6, 0.9} {
		within := 0
		for range tests {
			c := modelled(t, fmt.Sprintf("[gauge]\npressure = \"0.0001 Pa\"\n[[hold]]\nbaseline = %s\nhouse = %s\n",
				gusts(rng, 120, -2, 0.8, memory), gusts(rng, 120, -52, 0.8, memory)))
			h := c.Model.Holds[0]
			if math.Abs(float64(h.House+50)) <= fit.Z90*float64(h.HouseSD) {
				within++
			}
		}
		share := float64(within) / tests
		t.Logf("memory %.1f: %.1f %% within", memory, 100*share)
		// Three standard errors of a share of 400, and the few independent samples
		// that a long memory leaves.
		assert.InDelta(t, 0.90, share, 0.06, "memory %.1f", memory)
	}
}

// The wobble of a hold without samples of its own is that of the baseline in
// force, unless the sheet states one.
func TestWobbleOfBaseline(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	baseline := "baseline = " + gusts(rng, 200, -1, 3, 0.5)
	const rest = "\nhouse = \"-51 Pa\"\n[[hold]]\nhouse = \"-26 Pa\"\n"
	own := modelled(t, "[[hold]]\n"+baseline+rest)
	stated := modelled(t, "[gauge]\nwobble = \"0.4 Pa\"\n[[hold]]\n"+baseline+rest)
	// Theory of such a series: noise of the mean of 200 with memory 0.5 is
	// 3·√((1+0.5)/(1−0.5)/200) = 0.37 Pa; it counts as wobble and as the baseline's own.
	theory := 3 * math.Sqrt(3.0/200)
	for k := range own.Model.Holds {
		assert.InEpsilon(t, theory, float64(own.Held[k].Gauge.Wobble), 0.3)
		assert.InDelta(t, 0.4, float64(stated.Held[k].Gauge.Wobble), 1e-12)
	}
	require.Len(t, own.Samples, 1)
	s := own.Samples[0]
	assert.Equal(t, "baseline", s.Reading)
	assert.Equal(t, 200, s.Count)
	assert.InEpsilon(t, 200.0/3, s.Effective, 0.4)
}

// What is stated of a reading goes before what its samples show; few samples
// leave the stated wobble as a bound; a flow's samples can only widen its error.
func TestSamplesAgainstPromises(t *testing.T) {
	c := modelled(t, `
[[zone]]
name = "attic"
[gauge]
pressure = "0.0001 Pa"
wobble = "0.5 Pa"
[[hold]]
house = "-50 Pa"
fan = ["2000 cfm", "2400 cfm", "2200 cfm"]
readings = [
  { of = "attic", to = "house", samples = ["44 Pa", "44 Pa", "44 Pa", "44 Pa"] },
  { of = "attic", to = "outside", samples = ["-6 Pa", "-4 Pa"], sd = "2 Pa" },
]
[[hold]]
house = "-50 Pa"
fan = ["2200 cfm", "2201 cfm", "2202 cfm"]
`)
	h := c.Model.Holds[0]
	assert.InEpsilon(t, 0.5/2, float64(h.Read[0].SD), 1e-3)
	assert.InEpsilon(t, 2.0, float64(h.Read[1].SD), 1e-6)
	assert.InEpsilon(t, 200/math.Sqrt(3)/2200, h.Fan.SDLn, 1e-6)
	assert.InEpsilon(t, 0.01, c.Model.Holds[1].Fan.SDLn, 1e-9)
}
