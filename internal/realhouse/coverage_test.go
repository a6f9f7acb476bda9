package realhouse_test

import (
	"bytes"
	"encoding/json"
	"fmt"
	"maps"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbook/internal/realhouse"
	"holdbook/internal/report"
	"holdbook/internal/sheet"
	"holdbook/internal/survey"
)

// tally is how often intervals held the truth, and the mean interval score of the
// logarithms of flows.
type tally struct {
	in, all map[string]int
	score   float64
	scored  int
	refused int
}

func (c *tally) put(what string, e *estimate, truth float64) {
	if e == nil {
		return
	}
	c.all[what]++
	if e.Low <= truth && truth <= e.High {
		c.in[what]++
	}
	if strings.HasSuffix(what, "flow") && e.Low > 0 {
		c.score += score(math.Log(e.Low), math.Log(e.High), math.Log(truth))
		c.scored++
	}
}

// score is the interval score of a 90 % interval: its width, and twenty times by how much
// it misses (Gneiting and Raftery 2007, equation 43).
func score(low, high, truth float64) float64 {
	return high - low + 20*math.Max(0, math.Max(low-truth, truth-high))
}

// estimate and printed are what of a report in JSON is held to the truth.
type estimate struct{ Value, Low, High float64 }

type printed struct {
	House struct {
		Flow50 *estimate `json:"flow_50"`
	} `json:"house"`
	Paths []struct {
		Between  [2]string
		Flow50   *estimate `json:"flow_50"`
		Exponent *estimate
	} `json:"paths"`
	Zones []struct {
		Name     string
		Fraction *estimate `json:"connection_fraction"`
		Through  *estimate `json:"through_flow_50"`
	} `json:"zones"`
	Openings []struct {
		Name   string
		Flow50 *estimate `json:"flow_50"`
	} `json:"openings"`
}

// judge has one house estimated from what its crew wrote down.
func (c *tally) judge(t *testing.T, f realhouse.Family, r *rand.Rand) {
	h := realhouse.New(f, r)
	text, err := h.Sheet()
	require.NoError(t, err)
	truth, err := h.Truth()
	require.NoError(t, err)
	s, err := sheet.Parse([]byte(text), "house.toml")
	require.NoError(t, err, text)
	found, err := survey.Run(s, survey.Options{})
	if err != nil {
		c.refused++
		return
	}
	var b bytes.Buffer
	require.NoError(t, report.Write(&b, found, report.JSON, report.Options{}))
	var p printed
	require.NoError(t, json.Unmarshal(b.Bytes(), &p))
	c.put("house flow", p.House.Flow50, truth.Flow50)
	for _, q := range p.Paths {
		k := q.Between[0] + " – " + q.Between[1]
		if size, there := truth.Paths[k]; there {
			c.put("path flow", q.Flow50, size)
			c.put("exponent", q.Exponent, truth.Exponents[k])
		}
	}
	for _, z := range p.Zones {
		c.put("connection fraction", z.Fraction, truth.Fractions[z.Name])
		c.put("through-flow", z.Through, truth.Through[z.Name])
	}
	for _, o := range p.Openings {
		c.put("opening flow", o.Flow50, truth.Openings[o.Name])
	}
}

func (c *tally) pooled() float64 {
	in, all := 0, 0
	for k := range c.all {
		in, all = in+c.in[k], all+c.all[k]
	}
	return 100 * float64(in) / float64(all)
}

func (c *tally) String() string {
	var b strings.Builder
	fmt.Fprintf(&b, "pooled %.1f %%, score %.3f, refused %d;", c.pooled(), c.score/float64(c.scored), c.refused)
	for _, k := range slices.Sorted(maps.Keys(c.all)) {
		fmt.Fprintf(&b, " %s %.1f", k, 100*float64(c.in[k])/float64(c.all[k]))
	}
	return b.String()
}

func houses(fallback int) int {
	if n, err := strconv.Atoi(os.Getenv("HOLDBOOK_HOUSES")); err == nil && n > 0 {
		return n
	}
	return fallback
}

// limit is what a family is held to: the least coverage of all quantities together and of
// each, in %, and the score before there was weather in the estimate (100 houses) with how
// much of it there may be.
type limit struct{ pooled, each, before, most float64 }

// limits are those of families that differ from the first; nothing holds those without a
// floor, which a warning on the sheet speaks of.
var limits = map[string]limit{
	"calm":                                          {86, 82, 0.695, 1.10},
	"one storey in winter, zone baselines":          {86, 82, 0.732, 1.20},
	"one storey in winter, house baseline":          {86, 82, 1.227, 0.80},
	"one storey in winter, no baseline":             {86, 82, 1.364, 0.80},
	"two storeys in frost, zone baselines":          {86, 82, 1.020, 1.20},
	"two storeys in frost, house baseline":          {86, 82, 4.476, 0.80},
	"two storeys in frost, no baseline":             {86, 82, 4.748, 0.80},
	"two storeys in frost, temperatures not stated": {},
	"fresh wind, said to be light":                  {},
	"exponents ±0.12":                               {80, 76, 0, 0},
	"hatch that opens a chase":                      {80, 76, 0, 0},
}

// few is by how many points so few houses may fall short by chance.
func few(n int) float64 {
	if n >= 1000 {
		return 0
	}
	return 4 * math.Sqrt(100/float64(n))
}

// holds asserts that a family keeps its limits.
func (c *tally) holds(t *testing.T, name string, n int) {
	t.Helper()
	l, own := limits[name]
	if !own {
		l = limit{pooled: 86, each: 82}
	}
	assert.GreaterOrEqual(t, c.pooled(), l.pooled-few(n), "pooled")
	for k, all := range c.all {
		assert.GreaterOrEqual(t, 100*float64(c.in[k])/float64(all), l.each-few(n), k)
	}
	if n == 100 && l.most > 0 {
		assert.LessOrEqual(t, c.score/float64(c.scored), l.most*l.before, "score")
	}
	assert.Zero(t, c.refused)
}

// Right nine times in ten in simulated real houses, whatever the weather, as far as the
// sheet speaks of it.
func TestRealHouses(t *testing.T) {
	if testing.Short() {
		t.Skip("a long simulation")
	}
	n := houses(25) // a hundred in the coverage stage: a package has ten minutes, on any machine
	for k, f := range realhouse.Families {
		t.Run(f.Name, func(t *testing.T) {
			c := tally{in: map[string]int{}, all: map[string]int{}}
			r := rand.New(rand.NewPCG(91, uint64(k)))
			for range n {
				c.judge(t, f, r)
			}
			t.Log(&c)
			c.holds(t, f.Name, n)
		})
	}
}
