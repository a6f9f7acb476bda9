package walk

import (
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// What each hazard allows, by a word of its own. Sources: asbestos, exposed
// vermiculite and carbon monoxide above 35 ppm, Building Performance Institute,
// Building Analyst standard (2005) and note (2016); people at risk, RESNET interim
// guidelines (2010); fires, appliances and engines, common practice, no source: where
// something burns or has burned nobody holds the house, in either direction.
func TestWhatEachHazardAllows(t *testing.T) {
	allows := map[string]string{
		"asbestos": "nothing", "vermiculite exposed": "nothing", "vermiculite elsewhere": "pressurising",
		"animal waste": "pressurising", "embers": "nothing", "combustion appliance": "nothing",
		"engine": "nothing", "carbon monoxide": "nothing", "asthma": "both",
	}
	require.Len(t, hazards, len(allows))
	for i, h := range hazards {
		w := New(newMemory(t, "sheet = 1\n"), nil, clock())
		answers(t, w, strconv.Itoa(i+1))
		q, ok := w.Next()
		require.True(t, ok)
		lines, got := strings.Join(q.Lines, "\n"), "both"
		switch {
		case strings.Contains(lines, "may not be held"):
			got = "nothing"
		case strings.Contains(lines, "pressurising only"):
			got = "pressurising"
		}
		for word, want := range allows {
			if strings.Contains(h.what, word) {
				assert.Equal(t, want, got, h.what)
				delete(allows, word)
			}
		}
	}
	assert.Empty(t, allows, "hazards that the list does not have")
}
