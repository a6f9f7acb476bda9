package advise

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbook/internal/survey"
	"holdbook/internal/testkit"
)

const beforeSealing = `
[gauge]
id = "A 1"
[[zone]]
name = "attic"
kind = "attic"
[[hold]]
house = "-50 Pa"
fan = "2400 cfm"
range = "large"
to_house = { attic = "38 Pa" }
[[hold]]
house = "-50 Pa"
fan = "3100 cfm"
range = "large"
opened = [ { between = ["house", "attic"], name = "hatch" } ]
to_house = { attic = "12 Pa" }
`

// afterSealing is the same house with the attic's house side partly closed.
var afterSealing = strings.NewReplacer("2400", "1950", "38 Pa", "48 Pa", "3100", "3050", "12 Pa", "12.5 Pa").Replace(beforeSealing)

func compared(t *testing.T, before, after string, sealed ...string) *ComparePlan {
	t.Helper()
	p, err := Compare(testkit.Sheet(t, before), testkit.Sheet(t, after), CompareOptions{Sealed: sealed})
	require.NoError(t, err)
	return testkit.Shown(t, p, p.Before.Units)
}

func (p *ComparePlan) notices() string {
	var text []string
	for _, n := range p.Notices {
		text = append(text, n.About+": "+n.Text)
	}
	return strings.Join(text, "\n")
}

func width(q *survey.Q) float64 { return q.High - q.Low }

// mild is weather that neither test is in doubt about.
const mild = "[job]\nwind = \"calm\"\n[house]\nindoor = \"68 F\"\noutdoor = \"68 F\"\n"

// The same fan cancels; a different gauge does not, and is told.
func TestCompareSharesTheFan(t *testing.T) {
	one := compared(t, mild+beforeSealing, mild+afterSealing)
	assert.True(t, one.House.Real)
	assert.Equal(t, "tighter", one.House.Text)
	assert.InDelta(t, 450, one.House.Fall.Value, 25)
	other := compared(t, mild+beforeSealing, mild+strings.Replace(afterSealing, "A 1", "B 2", 1))
	assert.Less(t, width(one.House.Fall), 0.8*width(other.House.Fall))
	assert.Contains(t, other.notices(), "different gauges")
	assert.NotContains(t, one.notices(), "different gauges")
	swapped := compared(t, mild+beforeSealing, mild+strings.ReplaceAll(afterSealing, "large", "small"))
	assert.Contains(t, swapped.notices(), "range small was not used before")
	assert.Less(t, width(one.House.Fall), width(swapped.House.Fall))
}

// A sealing that closed part of a leak is less than promised; the same readings
// twice are no change, and nothing of what was promised.
func TestComparePromise(t *testing.T) {
	p := compared(t, mild+beforeSealing, mild+afterSealing, "Attic")
	require.NotNil(t, p.Promise)
	assert.Equal(t, "house–attic", p.Promise.Of)
	assert.Equal(t, "less than promised", p.Promise.Verdict)
	assert.Less(t, p.Promise.Share.High, 1.0)
	assert.InDelta(t, p.Promise.Came.Value-p.Promise.Drop50.Value, p.Promise.Over.Value, 60)
	for _, l := range p.Paths {
		assert.Equal(t, l.Between == [2]string{"house", "attic"}, l.Real, l.Between)
	}
	same := compared(t, mild+beforeSealing, mild+beforeSealing, "house-attic")
	assert.False(t, same.House.Real)
	assert.Equal(t, "less than promised", same.Promise.Verdict)
	more := strings.NewReplacer("2400", "1200", "38 Pa", "49 Pa", "3100", "2300", "12 Pa", "12.5 Pa").Replace(beforeSealing)
	assert.Contains(t, compared(t, mild+beforeSealing, mild+more, "attic").Promise.Verdict, "more than promised")
}

// What a space stands for is what seal would offer of it.
func TestCompareSealedNames(t *testing.T) {
	c := modelled(t, `
[[zone]]
name = "attic"
kind = "attic"
[[zone]]
name = "garage"
kind = "garage"
touches = ["house", "outside", "attic"]
[[zone]]
name = "ducts"
kind = "ducts"
touches = ["house", "attic"]
[[zone]]
name = "cellar"
kind = "basement"
[[hold]]
house = "-50 Pa"
to_house = { attic = "40 Pa", garage = "40 Pa", ducts = "1 Pa", cellar = "3 Pa" }
`)
	for name, want := range map[string]string{"attic": "house–attic", "GARAGE": "house–garage", "ducts": "attic–ducts", "cellar": "cellar–outside",
		"attic-garage": "attic–garage", "garage–attic": "attic–garage", "house-outside": "house–outside"} {
		_, list, err := sealedPaths(c, []string{name})
		require.NoError(t, err, name)
		require.Len(t, list, 1)
		of := list[0]
		if of != want {
			// the network may list the two spaces of a path either way
			a, b, _ := strings.Cut(of, "–")
			of = b + "–" + a
		}
		assert.Equal(t, want, of, name)
	}
	target, _, err := sealedPaths(c, []string{"attic", "house-attic"})
	require.NoError(t, err)
	assert.Len(t, target.Paths, 1, "named twice")
	for _, name := range []string{"house", "outside", "loft", "house-loft"} {
		_, _, err := sealedPaths(c, []string{name})
		assert.ErrorContains(t, err, "joined by a dash", name)
	}
}

// A space that one of the sheets has no readings of stays in both; one that only
// one of them declares is told.
func TestCompareKeepsTheSpaces(t *testing.T) {
	garage := "[[zone]]\nname = \"garage\"\nkind = \"garage\"\n"
	read := strings.Replace(beforeSealing, `{ attic = "38 Pa" }`, `{ attic = "38 Pa", garage = "45 Pa" }`, 1)
	p := compared(t, read+garage, afterSealing+garage)
	assert.Len(t, p.Paths, 6, "garage and attic are presumed to be joined")
	assert.NotContains(t, p.notices(), "do not compare")
	p = compared(t, read+garage, afterSealing)
	assert.Len(t, p.Paths, 3)
	assert.Contains(t, p.notices(), "garage: the sheet after does not declare it")
	p = compared(t, afterSealing, read+garage)
	assert.Contains(t, p.notices(), "garage: the sheet before does not declare it")
	inside := strings.NewReplacer(`"-50`, `"50`, `"38`, `"-38`, `"12`, `"-12`).Replace(beforeSealing)
	assert.Contains(t, compared(t, beforeSealing, "[job]\nhold = \"pressurised\"\n"+inside).notices(), "flaps and dampers")
}

// Covered registers are told from open ones.
func TestCompareCovered(t *testing.T) {
	ducts := `
[[zone]]
name = "ducts"
kind = "ducts"
[[hold]]
house = "-50 Pa"
fan = "2000 cfm"
[[hold]]
house = "-50 Pa"
fan = "1900 cfm"
sealed = [ { between = ["house", "ducts"] } ]
to_house = { ducts = "30 Pa" }
`
	p := compared(t, ducts, ducts)
	covered := 0
	for _, l := range p.Paths {
		if l.Covered {
			covered++
			assert.Equal(t, [2]string{"house", "ducts"}, l.Between)
		}
	}
	assert.Equal(t, 1, covered)
	for _, l := range p.Paths { // registers are told from leaks
		assert.Equal(t, !l.Covered && l.Between == [2]string{"house", "ducts"}, l.Open)
	}
}

// The same sheets give the same comparison.
func TestCompareIsRepeatable(t *testing.T) {
	assert.Equal(t, compared(t, beforeSealing, afterSealing, "attic"), compared(t, beforeSealing, afterSealing, "attic"))
}

// Where the density of the air puts flows beside what the gauge showed, that is said.
func TestCompareSaysWhatFlowsAre(t *testing.T) {
	const air = "[house]\nindoor = \"68 F\"\noutdoor = \"10 F\"\n"
	assert.Contains(t, compared(t, air+beforeSealing, air+afterSealing).notices(), "for the density of the air")
	assert.NotContains(t, compared(t, beforeSealing, afterSealing).notices(), "for the density of the air")
}
