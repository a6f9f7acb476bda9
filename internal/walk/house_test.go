package walk

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The first space is read before the fan has waited for fourteen questions; what is asked
// of the house comes after it.
func TestFirstSpaceIsReadEarly(t *testing.T) {
	w := New(newMemory(t, "sheet = 1\n"), nil, clock())
	n := 0
	for _, a := range append(append([]string{}, upToHouse...), "-51.2", "2280") {
		answers(t, w, a)
		n++
	}
	assert.Contains(t, asked(t, w), "attic to house")
	assert.Less(t, n, 14)
}

// House and fan at 25 Pa are a hold of their own behind the one as found, whose baseline
// and flow range they take over.
func TestFanAt25(t *testing.T) {
	m := newMemory(t, "sheet = 1\n")
	w := New(m, nil, clock())
	answers(t, w, upToHouse[:8]...)
	for _, bad := range []string{"25", "1450 cfm", "25 x", "25 Pa 1450 open extra"} {
		assert.True(t, w.Answer(bad).Refused, bad)
	}
	answers(t, w, "-26.1 1450", "-51.2", "2280", "43.9", "47.5", "B")
	require.Len(t, m.sheet.Holds, 2, string(m.text))
	as, low := m.sheet.Holds[0], m.sheet.Holds[1]
	assert.Equal(t, "as found", as.Name.Value)
	assert.Equal(t, []string{"as found, 25 Pa", "-26.1 Pa", "1450 cfm", "B"}, []string{low.Name.Value, low.House.Text, low.Fan.Text, low.Range.Value})
	assert.Equal(t, "B", as.Range.Value)
	assert.Len(t, as.Readings, 2)

	m = newMemory(t, "sheet = 1\n") // without a baseline it stands first, and is not taken for the hold as found
	w = New(m, nil, clock())
	answers(t, w, append(append([]string{}, upToHouse[:6]...), "-", "yes", "25 1450 A", "-51.2", "2280", "43.9", "47.5", "B")...)
	require.Len(t, m.sheet.Holds, 2, string(m.text))
	assert.Equal(t, "A", m.sheet.Holds[0].Range.Value)
	assert.Equal(t, "-51.2 Pa", m.sheet.Holds[1].House.Text)
}

// A space that was corrected away leaves the sheet; one that was read stays.
func TestSpaceCorrectedAway(t *testing.T) {
	m := newMemory(t, "# mine\nsheet = 1\n")
	w := New(m, nil, clock())
	answers(t, w, "none", "", "yes", "yes", "", "attic, garage, side porch", "back", "attic, porch")
	assert.Equal(t, []string{"attic", "porch"}, w.visit.zoneNames())
	assert.Contains(t, string(m.text), "# mine\n")
	assert.Regexp(t, `(?m)^# 2026-03-14T\S+ left out: name = "garage"$`, string(m.text))
	answers(t, w, "-1.2", "yes", "skip", "-51.2", "2280", "43.9")
	for !strings.Contains(asked(t, w), "spaces beside") {
		require.False(t, answers(t, w, "back").Refused)
	}
	r := answers(t, w, "none")
	assert.Contains(t, strings.Join(r.Said, "\n"), "attic stays: the sheet has a reading of it")
	assert.Equal(t, []string{"attic"}, w.visit.zoneNames())
}

// After the house pressure stands what is left of it once the baseline is taken off.
func TestCorrectedPressureIsShown(t *testing.T) {
	for answer, want := range map[string]string{"-51.2": "50.0 Pa", "51.2": "50.0 Pa", "+51.2": "52.4 Pa"} {
		w := New(newMemory(t, "sheet = 1\n"), nil, clock())
		r := answers(t, w, append(append([]string{}, upToHouse...), answer)...)
		assert.Contains(t, strings.Join(r.Said, "\n"), "less the baseline of -1.2 Pa: "+want, answer)
	}
}

// Air below −40 °C or above 50 °C is doubted; what is no number of bedrooms is refused.
func TestOddAir(t *testing.T) {
	for answer, odd := range map[string]bool{"-44": true, "-40.1": true, "-40": false, "31": false, "122": false, "122.2": true, "-39.9 C": false, "51 C": true} {
		w := New(newMemory(t, "sheet = 1\n"), nil, clock())
		r := answers(t, w, append(append([]string{}, upToHouse...), "-51.2", "-", "43.9", "skip", "68", answer)...)
		assert.False(t, r.Refused, answer)
		assert.Equal(t, odd, strings.Contains(strings.Join(r.Said, "\n"), "hardly so"), answer)
	}
	m := newMemory(t, "sheet = 1\n")
	w := New(m, nil, clock())
	answers(t, w, append(append([]string{}, upToHouse...), "-51.2", "-", "43.9", "skip", "68", "31", "14400", "1800 ft2")...)
	for _, bad := range []string{"three", "-1", "101", "2.5"} {
		assert.True(t, w.Answer(bad).Refused, bad)
	}
	answers(t, w, "3", "back", "4")
	assert.InDelta(t, 4, float64(m.sheet.House.Bedrooms.Value), 0)
	assert.Equal(t, "1800 ft2", m.sheet.House.FloorArea.Text)
}
