package walk

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The spaces are read at rest too where the house stands 1.5 Pa or more from outdoors, on
// either side; a house nearer to it costs no question.
func TestSpacesAreReadAtRest(t *testing.T) {
	for baseline, asks := range map[string]bool{"-1.4": false, "-1.49": false, "-1.5": true, "1.5": true, "2": true, "0.8": false, "0.007 inH2O": true, "-": false} {
		w := New(newMemory(t, "sheet = 1\n"), nil, clock())
		answers(t, w, append(append([]string{}, upToHouse[:6]...), baseline)...)
		assert.Equal(t, asks, strings.HasPrefix(asked(t, w), "baseline, attic to house"), "%s: %s", baseline, asked(t, w))
	}
}

// Baselines of spaces stand beside that of the house, in one table; each can be corrected,
// withdrawn and read again, and so can the house's.
func TestBaselinesStandTogether(t *testing.T) {
	m := newMemory(t, "sheet = 1\n")
	w := New(m, nil, clock())
	answers(t, w, append(append([]string{}, upToHouse[:6]...), "-2.3")...)
	assert.True(t, w.Answer("1450").Refused, "no baseline")
	answers(t, w, "1.1", "0.4")
	require.Contains(t, asked(t, w), "25 Pa held")
	assert.Contains(t, string(m.text), "\n"+`baseline = { house = "-2.3 Pa", attic = "1.1 Pa", garage = "0.4 Pa" }`+"\n")
	answers(t, w, "back", "back", "1.4")
	attic, _ := m.sheet.ZoneBaseline(0, "attic")
	assert.Equal(t, "1.4 Pa", attic.Text)
	assert.Contains(t, string(m.text), `corrected, was: baseline = {`)

	answers(t, w, "back", "back", "-") // garage, then attic: withdrawn
	_, has := m.sheet.ZoneBaseline(0, "attic")
	assert.False(t, has)
	answers(t, w, "back", "back", "back", "-") // and the house's
	require.Contains(t, asked(t, w), "25 Pa held")
	assert.False(t, m.sheet.Holds[0].Baseline.Given)
	garage, _ := m.sheet.ZoneBaseline(0, "garage")
	assert.Equal(t, "0.4 Pa", garage.Text)
	answers(t, w, "back", "back", "back", "-2.6")
	assert.Equal(t, "-2.6 Pa", m.sheet.Holds[0].Baseline.Text)
	assert.Len(t, m.sheet.Holds[0].ZoneBaselines, 1)
	answers(t, w, "yes", "skip", "-52.6")
	require.True(t, w.Go("baseline", "as found"))
	answers(t, w, "-0.4") // nearer to outdoors than was thought: what was read can still be corrected
	require.True(t, w.Go("baseline, garage", "as found"))
	answers(t, w, "0.3")
	garage, _ = m.sheet.ZoneBaseline(0, "garage")
	assert.Equal(t, "0.3 Pa", garage.Text)
	assert.Equal(t, "-0.4 Pa", m.sheet.Holds[0].Baseline.Text)
	assert.Equal(t, "-52.6 Pa", m.sheet.Holds[0].House.Text, string(m.text))
}

// A baseline laid out by hand takes those of the spaces as it is laid out.
func TestBaselinesByHand(t *testing.T) {
	for _, lay := range []string{
		`baseline = "-2.3 Pa" # fan covered`,
		`baseline = { house = "-2.3 Pa" } # fan covered`,
		`baseline.house = "-2.3 Pa" # fan covered`,
		"\"baseline\" = '-2.3 Pa' # fan covered",
	} {
		m := newMemory(t, "sheet = 1\n\n[[zone]]\nname = \"north attic\"\n\n[[hold]]\nname = \"as found\"\n"+lay+"\n")
		w := New(m, nil, clock())
		answers(t, w, "none")
		for asked(t, w) != "baseline, north attic to house, fan covered (Pa)" {
			require.False(t, answers(t, w, map[bool]string{true: "yes"}[asked(t, w) == allDone]).Refused, asked(t, w))
		}
		answers(t, w, "0.9")
		have, ok := m.sheet.ZoneBaseline(0, "north attic")
		assert.True(t, ok, lay)
		assert.Equal(t, "0.9 Pa", have.Text, lay)
		assert.Equal(t, "-2.3 Pa", m.sheet.Holds[0].Baseline.Text, lay)
		assert.Contains(t, string(m.text), " # fan covered\n")
	}
}

// A baseline of samples is one that no other can stand beside here: its spaces are left to
// what is proposed.
func TestSampledBaselineAsksForNoOther(t *testing.T) {
	m := newMemory(t, "sheet = 1\n\n[[zone]]\nname = \"attic\"\n\n[[hold]]\nname = \"as found\"\nbaseline = [\"-2.1 Pa\", \"-2.4 Pa\", \"-2.2 Pa\"]\n")
	for _, s := range New(m, nil, clock()).visit.steps() {
		assert.NotContains(t, s.ask, "attic to house, fan covered")
	}
}

// A change that is read in another flow range than the house as found is told while it can
// still be read again; names of ranges differ in more than their capitals.
func TestAnotherRangeIsTold(t *testing.T) {
	for used, told := range map[string]bool{"B": false, "b": false, "C": true} {
		m := newMemory(t, "sheet = 1\n")
		w := New(m, nil, clock())
		answers(t, w, append(append([]string{}, upToHouse[:5]...), "ducts", "-1.2", "yes", "skip", "-51.2", "2280", "B")...)
		for !strings.Contains(asked(t, w), "they are covered") {
			answers(t, w, "skip")
		}
		answers(t, w, "yes", "-51", "2150", "41")
		require.Contains(t, asked(t, w), "flow range")
		r := answers(t, w, used)
		assert.Equal(t, told, strings.Contains(strings.Join(r.Said, "\n"), "does not cancel"), "%s: %s", used, r.Said)
	}
}
