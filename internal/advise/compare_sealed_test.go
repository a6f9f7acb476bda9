package advise

import (
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbook/internal/sheet"
	"holdbook/internal/survey"
	"holdbook/internal/testkit"
)

// oneAfter is one hold after the attic's house side was partly closed.
const oneAfter = `
[gauge]
id = "A 1"
[[zone]]
name = "attic"
kind = "attic"
[[hold]]
house = "-50 Pa"
fan = "1890 cfm"
range = "large"
to_house = { attic = "48 Pa" }
`

// line is the row of a leak.
func (p *ComparePlan) line(t *testing.T, a, b string) ChangeLine {
	t.Helper()
	for _, l := range p.Paths {
		if l.Between == [2]string{a, b} && !l.Covered {
			return l
		}
	}
	require.Fail(t, "no row "+a+"–"+b)
	return ChangeLine{}
}

// One hold after tells what was sealed, since the rest is taken as unchanged; left free
// it does not. Nothing is tied until something is named, and that is asked for.
func TestCompareTiesWhatWasNotSealed(t *testing.T) {
	tied := compared(t, beforeSealing, oneAfter, "house-attic")
	assert.Equal(t, Unchanged, tied.Unchanged)
	assert.Empty(t, tied.Asks)
	assert.Equal(t, []string{"house–attic"}, tied.Sealed)
	l := tied.line(t, "house", "attic")
	assert.True(t, l.Sealed && l.Real && !l.Tied)
	assert.Equal(t, l, tied.Paths[0], "what was sealed stands first")
	other := tied.line(t, "attic", "outside")
	assert.True(t, other.Tied && !other.Sealed)
	assert.Equal(t, "taken as unchanged", other.Text)
	assert.Less(t, width(other.Fall), 0.25*other.Before.Value, "±10 %")
	require.NotNil(t, tied.Agreement)
	assert.False(t, tied.Agreement.Contradicts)
	free, err := Compare(testkit.Sheet(t, beforeSealing), testkit.Sheet(t, oneAfter), CompareOptions{Sealed: []string{"house-attic"}, Free: true})
	require.NoError(t, err)
	free = testkit.Shown(t, free, "ip")
	assert.Zero(t, free.Unchanged)
	assert.Nil(t, free.Agreement)
	assert.Greater(t, width(free.line(t, "house", "attic").Fall), 2*width(l.Fall))
	nothing := compared(t, beforeSealing, oneAfter)
	assert.Contains(t, nothing.Asks, "--sealed house-attic")
	assert.False(t, nothing.line(t, "attic", "outside").Tied)
}

// A fall of the fan that the pressures do not bear out is told, whichever way it lies.
func TestCompareTellsWhatTheFanContradicts(t *testing.T) {
	for fan, want := range map[string]bool{"1890": false, "1950": false, "2650": true, "1300": true} {
		p := compared(t, beforeSealing, strings.Replace(oneAfter, "1890", fan, 1), "house-attic")
		require.NotNil(t, p.Agreement)
		assert.Equal(t, want, p.Agreement.Contradicts, fan)
	}
	assert.Nil(t, compared(t, beforeSealing, strings.Replace(oneAfter, `to_house = { attic = "48 Pa" }`, "", 1), "house-attic").Agreement, "no pressure to hold the fan to")
}

// A leak of which the sheets say different things is not taken as unchanged.
func TestCompareLeavesWhatIsNotTheSame(t *testing.T) {
	p := compared(t, beforeSealing, strings.Replace(oneAfter, `kind = "attic"`, "kind = \"attic\"\nvented = false", 1), "house-attic")
	assert.False(t, p.line(t, "attic", "outside").Tied)
	assert.True(t, p.line(t, "house", "outside").Tied)
	assert.Contains(t, p.notices(), "attic–outside: the two sheets do not say the same of it")
}

// The target is reached where the whole interval lies below it, not reached where it lies
// above, else too close to call; the sheet after has the say.
func TestCompareSetsTheTarget(t *testing.T) {
	after := compared(t, beforeSealing, oneAfter, "attic").House.After
	at := func(flow float64) string {
		target := "[job]\ntarget = \"" + flowText(flow) + "\"\n"
		return compared(t, "[job]\ntarget = \"10 cfm\"\n"+beforeSealing, target+oneAfter, "attic").Target.Verdict
	}
	assert.Equal(t, "reached", at(after.High*1.01))
	assert.Equal(t, "too close to call", at(after.High*0.99))
	assert.Equal(t, "too close to call", at(after.Low*1.01))
	assert.Equal(t, "not reached", at(after.Low*0.99))
	assert.Equal(t, "not reached", compared(t, "[job]\ntarget = \"10 cfm\"\n"+beforeSealing, oneAfter, "attic").Target.Verdict)
	assert.Nil(t, compared(t, beforeSealing, oneAfter, "attic").Target)
}

// Three visits are compared each with the one before.
func TestCompareVisitsInTurn(t *testing.T) {
	var sheets []*sheet.Sheet
	for _, text := range []string{beforeSealing, afterSealing, oneAfter} {
		sheets = append(sheets, testkit.Sheet(t, text))
	}
	list, err := CompareVisits(sheets, CompareOptions{Sealed: []string{"attic"}})
	require.NoError(t, err)
	require.Len(t, list, 2)
	for k := range list {
		alone, err := Compare(sheets[k], sheets[k+1], CompareOptions{Sealed: []string{"attic"}})
		require.NoError(t, err)
		assert.Equal(t, alone, list[k])
	}
	_, err = CompareVisits(append(sheets, testkit.Sheet(t, "[[hold]]\nhouse = \"-50 Pa\"\n")), CompareOptions{Options: survey.Options{CurvatureOnly: true}})
	assert.ErrorContains(t, err, "no fan flow was read")
}

func flowText(cfm float64) string { return strconv.FormatFloat(cfm, 'f', 1, 64) + " cfm" }
