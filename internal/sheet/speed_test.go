package sheet

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Factors to m/s: NIST Special Publication 811 (2008), appendix B.8: knot
// 5.144 444 E−01, mile per hour 4.4704 E−01, kilometre per hour 2.777 778 E−01.
func TestSpeedsByTheirUnit(t *testing.T) {
	for text, want := range map[string]float64{
		"10 kn": 5.144444, "10 mph": 4.4704, "10 km/h": 2.777778, "10 m/s": 10,
	} {
		v, err := parseSpeed(text)
		require.NoError(t, err, text)
		assert.InEpsilon(t, want, float64(v), 2e-7, text)
	}
}
