package learned

import (
	"math"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbook/units"
	"holdbook/zonal"
)

const good = `stock = 1
houses = 150
[[leak]]
between = ["house", "attic"]
houses = 143
flow_50 = "335 cfm"
spread = 3
[[leak]]
between = ["attic", "outside"]
exponent = 0.57
exponent_sd = 0.03
`

// A factor of 3 either side of the median holds nine in ten: ln 3 is 1.645 standard
// deviations. A cfm is 1.699011 m3/h (NIST SP 811, 2008, B.8).
func TestParse(t *testing.T) {
	s, err := Parse([]byte(good), "stock.toml")
	require.NoError(t, err)
	assert.Equal(t, 150, s.Houses)
	l := s.Leak(zonal.Attic, zonal.HouseKind)
	require.NotNil(t, l)
	assert.Equal(t, 143, l.Houses)
	assert.InEpsilon(t, 335*1.699011/3600, float64(l.Flow50.Median), 1e-6)
	assert.InEpsilon(t, math.Log(3)/1.644854, l.Flow50.SDLn, 1e-6)
	assert.Nil(t, l.Exponent)
	l = s.Leak(zonal.Attic, zonal.OutsideKind)
	require.NotNil(t, l)
	assert.Nil(t, l.Flow50)
	assert.Equal(t, zonal.Normal{Mean: 0.57, SD: 0.03}, *l.Exponent)
	assert.Nil(t, s.Leak(zonal.Garage, zonal.HouseKind))
	assert.Nil(t, (*Stock)(nil).Leak(zonal.Attic, zonal.HouseKind))
}

// What is written reads back, in either system, to the digits that are kept.
func TestTextReadsBack(t *testing.T) {
	s, err := Parse([]byte(good), "stock.toml")
	require.NoError(t, err)
	for _, system := range []units.System{units.IP, units.SI} {
		text, err := s.Text(system)
		require.NoError(t, err)
		name := filepath.Join(t.TempDir(), "stock.toml")
		require.NoError(t, os.WriteFile(name, text, 0o666))
		again, err := Read(name)
		require.NoError(t, err, string(text))
		require.Len(t, again.Leaks, 2)
		assert.InEpsilon(t, float64(s.Leaks[0].Flow50.Median), float64(again.Leaks[0].Flow50.Median), 5e-4)
		assert.InEpsilon(t, s.Leaks[0].Flow50.SDLn, again.Leaks[0].Flow50.SDLn, 1e-4)
		assert.Equal(t, s.Leaks[1].Exponent, again.Leaks[1].Exponent)
	}
}

// What is no stock is refused with its place and what to do.
func TestParseRefuses(t *testing.T) {
	const start = "stock = 1\nhouses = 150\n[[leak]]\n"
	pair := start + "between = [\"house\", \"attic\"]\n"
	for text, want := range map[string]string{
		"stock = 2\nhouses = 3\n":                   "s:1: 2 as its version",
		"sheet = 1\n":                               "s:1:1: no stock has the key sheet",
		"stock = 1\nhouses = 0\n":                   "s:2: write how many houses",
		"stock = 1\nhouses = 9\n":                   "no [[leak]]",
		"stock = 1\nhouses = \n":                    "s:2:",
		"stock = \"1\"\n":                           "s:1:",
		start + "between = [\"house\"]\n":           "s:4: a leak joins two kinds",
		start + "between = [\"house\", \"loft\"]\n": "s:4: a leak joins two kinds",
		pair: "s:4: it says nothing of this leak",
		pair + "flow_50 = \"3 parsecs\"\nspread = 3\n":                                     "s:5: ",
		pair + "flow_50 = \"-3 cfm\"\nspread = 3\n":                                        "s:5: write a flow above zero",
		pair + "flow_50 = \"3 cfm\"\nspread = 1\n":                                         "s:5: write a flow above zero",
		pair + "flow_50 = \"3 cfm\"\nspread = nan\n":                                       "s:5: write a flow above zero",
		pair + "flow_50 = \"3 cfm\"\nspread = 1001\n":                                      "s:5: write a flow above zero",
		pair + "exponent = 0.49\nexponent_sd = 0.1\n":                                      "s:5: write an exponent from 0.5 to 1",
		pair + "exponent = 1.01\nexponent_sd = 0.1\n":                                      "s:5: write an exponent from 0.5 to 1",
		pair + "exponent = 0.6\nexponent_sd = 0\n":                                         "s:5: write an exponent from 0.5 to 1",
		pair + "exponent = 0.6\nexponent_sd = 0.51\n":                                      "s:5: write an exponent from 0.5 to 1",
		good + "[[leak]]\nbetween = [\"attic\", \"house\"]\nexponent=0.6\nexponent_sd=0.1": "s:13: the leak between attic and house stands there already",
	} {
		_, err := Parse([]byte(text), "s")
		if assert.Error(t, err, text) {
			assert.Contains(t, err.Error(), want)
		}
	}
	for _, text := range []string{pair + "flow_50 = \"3 cfm\"\nspread = 1000\n", pair + "exponent = 0.5\nexponent_sd = 0.5\n", pair + "exponent = 1\nexponent_sd = 0.5\n"} {
		_, err := Parse([]byte(text), "s")
		assert.NoError(t, err, text)
	}
	_, err := Read(filepath.Join(t.TempDir(), "none.toml"))
	assert.ErrorContains(t, err, "batch --learn")
}
