package walk

import (
	"math"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"

	"holdbook/units"
)

// A safety list holds good for twelve hours (judgement) and no longer.
func TestSafetyListGrowsOld(t *testing.T) {
	m := newMemory(t, "sheet = 1\n")
	answers(t, New(m, nil, func() time.Time { return time.Date(2026, 3, 14, 8, 0, 0, 0, time.UTC) }), "none", "", "yes", "yes")
	for after, asks := range map[time.Duration]string{time.Hour: "units", 12 * time.Hour: "units", 12*time.Hour + time.Second: "which of these are there"} {
		later := func() time.Time { return time.Date(2026, 3, 14, 8, 0, 0, 0, time.UTC).Add(after) }
		assert.Contains(t, asked(t, New(m, nil, later)), asks, after)
	}
}

// Below 45 Pa a hold is said to be carried up to 50, whatever its sign. Common
// practice, no source.
func TestHoldBelowItsTarget(t *testing.T) {
	for p, said := range map[string]bool{"-44.9": true, "44.9": true, "-45": false, "45": false, "-50": false} {
		w := New(newMemory(t, "sheet = 1\n"), nil, clock())
		r := answers(t, w, append(append([]string{}, upToHouse...), p)...)
		assert.False(t, r.Refused, p)
		assert.Equal(t, said, strings.Contains(strings.Join(r.Said, "\n"), "carried up from there"), p)
	}
}

// An answer is told anew where 2 % of its interval's width in the logarithm went,
// the one that narrowed most first, two at most.
func TestWhatBecameNarrower(t *testing.T) {
	ends := func(of string, width float64) Known {
		return Known{Of: of, Value: 100, Low: 100 * math.Exp(-width/2), High: 100 * math.Exp(width/2), Unit: units.CFM.Symbol(), Resolved: true}
	}
	before := []Known{ends("a", 1), ends("b", 1), ends("c", 1)}
	for share, told := range map[float64]bool{0.0199: false, 0.0201: true, 0.5: true, -0.5: false} {
		got := strings.Join(compared(before[:1], []Known{ends("a", 1-share)}), "\n")
		assert.Equal(t, told, strings.HasPrefix(got, "known now: a "), got)
		assert.Equal(t, !told, strings.HasPrefix(got, "nothing became narrower"), got)
	}
	got := compared(before, []Known{ends("a", 0.9), ends("b", 0.7), ends("c", 0.8), ends("d", 2)})
	assert.Len(t, got, 2)
	assert.Contains(t, got[0], "known now: d ", "what is new comes first")
	assert.Contains(t, got[1], "known now: b ")
	assert.Contains(t, got[1], "30 % narrower")
}
