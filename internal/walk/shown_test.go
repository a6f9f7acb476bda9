package walk

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// What the gauge shows is asked once, where the fan was read at one pressure well below
// 50 Pa; at 50 Pa, or where another pressure tells, it is not asked.
func TestWhatTheGaugeShowsIsAskedOnce(t *testing.T) {
	for house, asks := range map[string]bool{"-32": true, "-46.9": true, "-47": false, "-50": false} {
		m := newMemory(t, "sheet = 1\n")
		w := New(m, nil, clock())
		answers(t, w, append(append([]string{}, upToHouse...), house, "1700", "28", "30", "B")...)
		require.Equal(t, asks, asked(t, w) == shownRow.ask, "%s: %s", house, asked(t, w))
		if !asks {
			continue
		}
		assert.True(t, w.Answer("cfm").Refused)
		answers(t, w, "at 50 Pa")
		assert.True(t, m.sheet.DoorFan.CarriesTo50())
		assert.NotEqual(t, shownRow.ask, asked(t, w))
		answers(t, w, "back", "flow")
		assert.False(t, m.sheet.DoorFan.CarriesTo50())
		assert.True(t, m.sheet.DoorFan.Shows.Given())
	}
	m := newMemory(t, "sheet = 1\n") // read at 25 Pa too
	w := New(m, nil, clock())
	answers(t, w, append(append([]string{}, upToHouse[:8]...), "-20 1300", "-32", "1700", "28", "30", "B")...)
	assert.NotEqual(t, shownRow.ask, asked(t, w))
}
