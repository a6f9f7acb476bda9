package walk

import (
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Whoever names a hazard is told at once what to do about it, for every hazard of
// the list: people at risk have to agree in writing (RESNET interim guidelines,
// 2010), and none of the others may pass in silence either.
func TestEveryHazardIsSpokenTo(t *testing.T) {
	told := func(answer string) string {
		w := New(newMemory(t, "sheet = 1\n"), nil, clock())
		r := answers(t, w, answer)
		require.False(t, r.Refused, answer)
		next, ok := w.Next()
		require.True(t, ok)
		return strings.Join(append(r.Said, next.Lines...), "\n")
	}
	for i, h := range hazards {
		assert.Contains(t, told(strconv.Itoa(i+1)), h.do, h.what)
	}
	both := told("9 4")
	assert.Contains(t, both, "told in writing")
	assert.Contains(t, both, "pressurise instead")
	assert.NotContains(t, told("none"), "told in writing")
}
