package batch

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

const exponent = 0.65 // of every leak of a simulated house

// simulated is the sheet of house number i: an attic, a garage, or both, held as
// found and with the hatch of the first space open, read with the errors that a
// gauge and a fan have.
func simulated(i int) string {
	r := rand.New(rand.NewPCG(2026, uint64(i)))
	size := func(median float64) float64 { return median * math.Exp(0.7*r.NormFloat64()) }
	spaces := []string{"attic", "garage"}[r.IntN(2):]
	if r.IntN(2) == 0 {
		spaces = spaces[:1]
	}
	direct, hatch := size(1200), size(900)
	var inner, outer []float64
	for range spaces {
		inner, outer = append(inner, size(250)), append(outer, size(1500))
	}
	var b strings.Builder
	fmt.Fprintf(&b, "sheet = 1\n[job]\nname = \"simulated house %d\"\ninvented = true\n[house]\nvolume = \"%.0f ft3\"\n", i, size(14000))
	for hold, name := range []string{"as found", spaces[0] + " open to the house"} {
		fmt.Fprintf(&b, "[[hold]]\nname = %q\nbaseline = \"0 Pa\"\n", name)
		house := 50 + 0.3*r.NormFloat64()
		fan := direct
		var readings []string
		for k, s := range spaces {
			in := inner[k]
			if hold == 1 && k == 0 {
				in += hatch
			}
			share := between(in, outer[k])
			fan += in * math.Pow(share, exponent)
			readings = append(readings, fmt.Sprintf("%s = \"%.2f Pa\"", s, house*share*(1+0.005*r.NormFloat64())+0.2*r.NormFloat64()))
		}
		if hold == 1 {
			fmt.Fprintf(&b, "opened = [ { between = [\"house\", %q], name = \"hatch\" } ]\n", spaces[0])
		}
		fan *= math.Pow(house/50, exponent) * (1 + 0.01*r.NormFloat64())
		fmt.Fprintf(&b, "house = \"-%.2f Pa\"\nfan = \"%.0f cfm\"\nto_house = { %s }\n", house, fan, strings.Join(readings, ", "))
	}
	return b.String()
}

// between is the share of the house pressure that stands across the inner of two
// leaks in series.
func between(inner, outer float64) float64 {
	ratio := math.Pow(outer/inner, 1/exponent)
	return ratio / (1 + ratio)
}

// TestWriteStock writes simulated houses into a folder, for trying the program on
// many: HOLDBOOK_STOCK=folder HOLDBOOK_STOCK_SHEETS=10000.
func TestWriteStock(t *testing.T) {
	folder, n := os.Getenv("HOLDBOOK_STOCK"), 25
	if folder == "" {
		folder = t.TempDir()
	} else if v, err := strconv.Atoi(os.Getenv("HOLDBOOK_STOCK_SHEETS")); err == nil {
		n = v
	}
	for i := range n {
		name := filepath.Join(folder, fmt.Sprintf("%03d", i/100), fmt.Sprintf("house-%06d.toml", i))
		require.NoError(t, os.MkdirAll(filepath.Dir(name), 0o755))
		require.NoError(t, os.WriteFile(name, []byte(simulated(i)), 0o644))
	}
	items, known := Count([]string{folder})
	require.True(t, known)
	require.Equal(t, n, items)
	require.Contains(t, estimate(file(filepath.Join(folder, "000", "house-000007.toml")), Options{}).Findings.Job.Name, "simulated house 7")
}
