package survey

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A house whose height is not given is a storey of 2.5 m high for each of its
// storeys, one where those are not given either: the height at which the term of
// the normalised leakage, (H/2.5 m)^0.4, is one (HoF 2021 ch.16 eq 46). A height
// that is given counts whatever the storeys.
func TestHeightFromStoreys(t *testing.T) {
	credit := func(house string) float64 {
		text := strings.Replace(ventilated(1000, ""), "height = \"16 ft\"", house, 1)
		require.NotEqual(t, ventilated(1000, ""), text)
		v := surveyed(t, text).Ventilation
		require.NotNil(t, v)
		return v.Infiltration.Value
	}
	one := credit(`height = "2.5 m"`)
	within(t, one, credit(""), 1e-9, "nothing given")
	for storeys := 1; storeys <= 3; storeys++ {
		within(t, one*math.Pow(float64(storeys), 0.4), credit(fmt.Sprintf("storeys = %d", storeys)), 1e-6, "storeys")
	}
	assert.InEpsilon(t, one*math.Pow(4/2.5, 0.4), credit("height = \"4 m\"\nstoreys = 2"), 1e-6)
}
