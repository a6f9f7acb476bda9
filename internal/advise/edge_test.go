package advise

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbook/internal/survey"
	"holdbook/internal/testkit"
	"holdbook/units"
)

// The step that gets there is the first with an even chance, and the words go by
// the chances: above 95 % as found the house is there, under 5 % after all nothing
// offered gets it there.
func TestStepsToAnEvenChance(t *testing.T) {
	text := airy + "[[zone]]\nname = \"garage\"\n[[hold]]\nhouse = \"-50 Pa\"\nto_house = { garage = \"30 Pa\" }\n"
	seen := map[string]int{}
	for _, target := range []float64{700, 900, 1100, 1200, 1300, 1400, 1500, 1600, 1700, 1800, 1900, 2000, 2050, 2100, 2150, 2200, 2300, 3000, 5000} {
		f, err := Seal(testkit.Sheet(t, text), SealOptions{Options: survey.Options{CurvatureOnly: true}, Flow: units.Flow(units.CFM.ToSI(target))})
		require.NoError(t, err)
		require.NotNil(t, f.Target)
		first, last := 0, 0.0
		for k, s := range f.Steps {
			require.NotNil(t, s.Chance)
			if *s.Chance >= 0.5 && first == 0 {
				first = k + 1
			}
			if *s.Chance > 0.05 && *s.Chance < 0.5 {
				seen["less than even"]++
			}
			last = *s.Chance
		}
		assert.Equal(t, first, f.Target.Steps, "%g cfm", target)
		assert.InDelta(t, last, f.Target.Chance, 0)
		if f.Target.Now > 0.5 && f.Target.Now < 0.95 {
			seen["likely there"]++
		}
		word := "may not get there"
		switch {
		case f.Target.Now > 0.95:
			word = "there already"
		case first > 0:
			word = "even chance or better"
		case last < 0.05:
			word = "does not get there"
		}
		assert.Contains(t, f.Target.Text, word, "%g cfm", target)
		seen[word]++
	}
	for _, word := range []string{"less than even", "likely there", "may not get there", "there already", "even chance or better", "does not get there"} {
		assert.Positive(t, seen[word], word)
	}
}

// Another reading is worth the while where it takes 10 % of the intervals' width or
// adds 2 % to the chance of sealing the right thing first; else enough is known, or
// nothing left helps.
func TestEnoughIsKnown(t *testing.T) {
	for _, c := range []struct {
		gain, chance, wide float64
		enough             bool
		text               string
	}{
		{0.099, 0.519, 5, true, "enough is known"}, {0.10, 0.519, 5, false, "read next"}, {0.101, 0.5, 5, false, "read next"},
		{0, 0.5199, 6, true, "enough is known"}, {0, 0.5201, 5, false, "read next"},
		{0.099, 0.5, 6.01, true, "not resolved: the attic"}, {0.099, 0.5, 6, true, "enough is known"},
	} {
		p := &NextPlan{FirstNow: 0.5}
		p.Actions = []NextAction{{What: "this", Gain: c.gain, FirstThen: c.chance, Narrows: []NextNarrow{{Of: "the attic", Now: c.wide}}}}
		conclude(p, 0, survey.NewLog(false))
		assert.Equal(t, c.enough, p.Enough, "%+v", c)
		assert.Contains(t, p.Text, c.text, "%+v", c)
		assert.Equal(t, map[bool]string{true: p.Text}[c.enough], p.Beyond(), "who lists the proposals names the first one once")
	}
	free := &NextPlan{FirstNow: 0.5, Actions: []NextAction{{What: "this", Gain: 0.5}, {What: "type it", Outdoor: true}}}
	conclude(free, 0, survey.NewLog(false))
	assert.Equal(t, "read next: this; and type the outdoor temperature, which costs nothing", free.Beyond())
	assert.Equal(t, "x", (&NextPlan{Text: "x"}).Beyond())
}

// What takes longer than there is is left out, what takes as long is not.
func TestActionsWithinTheMinutes(t *testing.T) {
	p := &NextPlan{}
	p.Actions = []NextAction{{What: "short", Minutes: 9.9}, {What: "just", Minutes: 10}, {What: "long", Minutes: 10.1}}
	fitMinutes(p, 10, survey.NewLog(false))
	assert.Equal(t, "short; just", p.whats())
}
