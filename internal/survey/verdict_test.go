package survey

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"holdbook/internal/sheet"
)

// A word holds up to its bound, the bound with it; an interval that reaches over one has
// two words. The bounds are judgement; the outer ones are the 2 Pa of 50.
func TestVerdictWords(t *testing.T) {
	for _, c := range []struct {
		low, high float64
		want      string
	}{
		{0, 0.04, "outdoors"}, {0.0401, 0.25, "nearly outdoors"}, {0.2501, 0.75, "between"}, {0.7501, 0.96, "nearly indoors"}, {0.9601, 1, "indoors"},
		{0.03, 0.05, "outdoors or nearly outdoors"}, {0.2, 0.8, "anything from nearly outdoors to nearly indoors"},
	} {
		assert.Equal(t, c.want, verdictOf(sheet.Attic, &Q{Value: (c.low + c.high) / 2, Low: c.low, High: c.high}), "%v", c)
	}
	assert.Empty(t, verdictOf(sheet.Attic, nil))
	for value, want := range map[float64]string{0.82: "joined to outdoors, registers open", 0.96: "joined to outdoors, registers open", 0.961: "as the house, registers open"} {
		assert.Equal(t, want, verdictOf(sheet.DuctsKind, &Q{Value: value, Low: value - 0.05, High: 1}), "%v", value)
	}
}
