package survey

import (
	"errors"
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbook/ductleak"
	"holdbook/internal/sheet"
	"holdbook/internal/testkit"
	"holdbook/zonal"
)

func fanTest(method, more string) string {
	return "[[duct_test]]\nmethod = \"" + method + "\"\npressure = \"25 Pa\"\nflow = \"100 cfm\"\n" + more
}

// Duct tests without names are told apart: two alike by their numbers, one alone
// and one with a name keep theirs.
func TestDuctTestsHaveNamesOfTheirOwn(t *testing.T) {
	names := func(text string) []string { return testNames(modelled(t, text)) }
	assert.Equal(t, []string{"fan on the ducts", "house and ducts at one pressure"},
		names(fanTest("total", "")+fanTest("outside", "")))
	assert.Equal(t, []string{"fan on the ducts, duct test 1", "after sealing", "fan on the ducts, duct test 3", "fan on the ducts, supply"},
		names(fanTest("total", "")+fanTest("total", "name = \"after sealing\"\n")+fanTest("total", "")+fanTest("total", "side = \"supply\"\n")))
	d := ducted(t, fanTest("outside", "")+fanTest("outside", ""))
	require.Len(t, d.Tests, 2)
	assert.NotEqual(t, d.Tests[0].Name, d.Tests[1].Name)
}

// A method that nothing works is an error with its place, never leakage to outside.
func TestUnknownDuctMethod(t *testing.T) {
	for _, known := range []string{"total", "outside"} {
		_, err := Run(testkit.Sheet(t, fanTest(known, "")), Options{})
		require.NoError(t, err, known)
	}
	s := testkit.Sheet(t, fanTest("total", "")+fanTest("outside", ""))
	s.DuctTests[1].Method.Value = "no such method"
	f, err := Run(s, Options{})
	assert.Nil(t, f)
	var p sheet.Problems
	require.Truef(t, errors.As(err, &p), "a refusal with a place, not %v", err)
	assert.Equal(t, 7, p[0].Pos.Line)
	assert.Contains(t, p[0].Text, `a duct test by method "no such method" cannot be worked; write "total" or "outside"`)
}

// Each method that a sheet may name is worked.
func TestEveryDuctMethodIsWorked(t *testing.T) {
	words := sheet.LookUp("duct_test.method").Words
	require.NotEmpty(t, words)
	for _, method := range words {
		assert.Contains(t, methodsOnDucts, method)
	}
	assert.Len(t, methodsOnDucts, len(words))
}

// Ducts in a zone of any kind lie where the kind says: no kind that is meant inside
// counts as outdoors for their losses, and none meant outside as indoors.
func TestEveryKindOfZoneHoldsDucts(t *testing.T) {
	inside, err := ductleak.RegainFactor(ductleak.ConditionedSpace, ductleak.Insulation{})
	require.NoError(t, err)
	for _, kind := range zonal.Kinds() {
		c := modelled(t, fmt.Sprintf("[[zone]]\nname = \"here\"\nkind = %q\n[[hold]]\nhouse = \"-50 Pa\"\nto_house = { here = \"40 Pa\" }\n", kind))
		d := sheet.Duct{Location: sheet.SpaceRef{Name: "here"}}
		switch {
		case kind == zonal.Basement || kind == zonal.Neighbour: // not heated, and heated though not of the house
		case kind.MeantInside():
			assert.Equal(t, inside, regainOf(c, d), kind)
		default:
			assert.Less(t, float64(regainOf(c, d)), float64(inside), kind)
		}
	}
}

// Registers read with one hood share its calibration, half of the stated 5 %: six
// of them tell no more than the hood does. The tests of one fan on the ducts
// share that of the fan.
func TestOneMeterCountsOnce(t *testing.T) {
	registers, fans := `
[[zone]]
name = "ducts"
[[hold]]
house = "-50 Pa"
baseline = "0 Pa"
sealed = [ { between = ["house", "ducts"] } ]
opened = [ { between = ["house", "ducts"], name = "one" } ]
to_house = { ducts = "0.4 Pa" }
`, ""
	for _, name := range []string{"a", "b", "c", "d", "e", "f"} {
		registers += "[[register]]\nname = \"" + name + "\"\nheld = \"40 cfm\"\n"
		fans += fanTest("outside", "")
	}
	const shared = 0.05 / 2
	for name, text := range map[string]string{"hood": registers, "fan": fans} {
		d := ducted(t, text)
		weights, used := 0.0, 0
		for _, x := range d.Tests {
			if x.Quantity == outside25 && x.Resolved {
				sd := math.Log(x.Result.High/x.Result.Low) / (2 * 1.644854)
				weights += 1 / (sd*sd - shared*shared)
				used++
			}
		}
		require.Equal(t, 6, used, name)
		require.NotNil(t, d.LeakageOutside25, name)
		sd := math.Sqrt(1/weights + shared*shared)
		assert.Greater(t, sd, shared, name)
		assert.InEpsilon(t, d.LeakageOutside25.Value*math.Exp(-1.644854*sd), d.LeakageOutside25.Low, 1e-4, name)
		assert.InEpsilon(t, d.LeakageOutside25.Value*math.Exp(1.644854*sd), d.LeakageOutside25.High, 1e-4, name)
	}
}

// Subtraction by hand counts the attic around the ducts as outdoors: where it was
// read a tenth of the hold away from it, or not read at all, it is not resolved.
func TestSubtractionInAnAttic(t *testing.T) {
	sheet := func(attic string) string {
		return calmGauge + `
[[zone]]
name = "attic"
[[zone]]
name = "ducts"
touches = ["house", "attic"]
[[hold]]
house = "-50 Pa"
baseline = "0 Pa"
fan = "2500 cfm"
[[hold]]
house = "-50 Pa"
fan = "2300 cfm"
sealed = [ { between = ["house", "ducts"] } ]
to_house = { ducts = "42 Pa"` + attic + ` }
`
	}
	x := ductTestOf(t, ducted(t, sheet(`, attic = "47 Pa"`)), SubtractionTest, outside25)
	assert.True(t, x.Resolved)
	assert.Contains(t, x.Note, "by hand the attic around the ducts counts as outdoors")
	for attic, says := range map[string]string{`, attic = "44 Pa"`: "open it to outdoors and read both again", "": "nothing was read in the space around the ducts"} {
		x = ductTestOf(t, ducted(t, sheet(attic)), SubtractionTest, outside25)
		assert.False(t, x.Resolved, attic)
		assert.Contains(t, x.Note, says, attic)
	}
}
