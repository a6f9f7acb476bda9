package check

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
)

// levelsOf are the levels of what a check says with some words in it.
func levelsOf(t *testing.T, text, words string) (levels []Level) {
	t.Helper()
	for _, i := range checked(t, "sheet = 1\n"+text).Items {
		if strings.Contains(i.Text, words) {
			levels = append(levels, i.Level)
		}
	}
	return levels
}

// Registers open and covered read in different flow ranges are a warning, a hatch a note; one
// more reading in the range of the other cures both.
func TestRangesApart(t *testing.T) {
	const words = "does not cancel in their difference"
	hold := func(p, fan float64, flowRange, changed string) string {
		text := fmt.Sprintf("[[hold]]\nhouse = \"-%g Pa\"\nfan = \"%g cfm\"\nto_house = { ducts = \"4 Pa\" }\n", p, fan)
		if flowRange != "" {
			text += "range = \"" + flowRange + "\"\n"
		}
		return text + changed
	}
	const covered = "sealed = [ { between = [\"house\", \"ducts\"] } ]\n"
	const hatch = "opened = [ { between = [\"house\", \"ducts\"] } ]\n"
	found := hold(50, 2000, "open", "")
	assert.Equal(t, []Level{Warns}, levelsOf(t, found+hold(50, 1900, "B", covered), words))
	assert.Equal(t, []Level{Remarks}, levelsOf(t, found+hold(50, 2100, "B", hatch), words))
	assert.Empty(t, levelsOf(t, found+hold(50, 1900, "Open", covered), words), "one range, whatever its case")
	assert.Empty(t, levelsOf(t, found+hold(50, 1900, "", covered), words), "no range stated")
	assert.Empty(t, levelsOf(t, found+hold(50, 1900, "B", covered)+hold(49, 1980, "B", ""), words), "read again in the other")
	assert.Empty(t, levelsOf(t, found+hold(50, 1900, "B", covered)+hold(49, 1880, "open", covered), words), "read again in the other")
}

// A house pressure without a sign among signed ones blocks its hold, with the two readings of
// it, unless the job says how the house was held.
func TestUnsignedAmongSigned(t *testing.T) {
	const words = "without a sign among signed ones; write -50 Pa if the fan blew out and the house was below outdoors, +50 Pa if it blew in"
	holds := "[[hold]]\nhouse = \"%s\"\nfan = \"2000 cfm\"\n[[hold]]\nhouse = \"50 Pa\"\nfan = \"2000 cfm\"\n"
	assert.Equal(t, []Level{Blocks}, levelsOf(t, fmt.Sprintf(holds, "-25 Pa"), words))
	assert.Equal(t, []Level{Blocks}, levelsOf(t, fmt.Sprintf(holds, "+25 Pa"), words))
	assert.Empty(t, levelsOf(t, fmt.Sprintf(holds, "25 Pa"), words))
	assert.Empty(t, levelsOf(t, "[job]\nhold = \"depressurised\"\n"+fmt.Sprintf(holds, "-25 Pa"), words))
}

// Where every zone reading of a hold has the sign of the opposite hold, the house's is wrong.
func TestHouseSign(t *testing.T) {
	const words = "a slip of its sign"
	assert.Equal(t, []Level{Warns}, levelsOf(t, "[[hold]]\nhouse = \"-50 Pa\"\nto_house = { attic = \"40 Pa\" }\n[[hold]]\nhouse = \"+50 Pa\"\nto_outside = { attic = \"-10 Pa\", garage = \"-20 Pa\" }\n", words))
	assert.Empty(t, levelsOf(t, "[[hold]]\nhouse = \"-50 Pa\"\nto_house = { attic = \"-40 Pa\", garage = \"30 Pa\" }\n", words), "one of two")
}

// A fan that is said to have run at the baseline counts where its hold has one, or another
// hold in which it is said so.
func TestFanAtNoBaseline(t *testing.T) {
	hold := func(at bool, more string) string {
		return fmt.Sprintf("[[hold]]\nhouse = \"-50 Pa\"\nfan = \"2000 cfm\"\nfans = [ { from = \"house\", to = \"outside\", flow = \"100 cfm\", at_baseline = %t } ]\n%s", at, more)
	}
	const words = "ran while the baseline was read"
	assert.Equal(t, []Level{Remarks}, levelsOf(t, hold(true, ""), words))
	assert.Equal(t, []Level{Remarks}, levelsOf(t, hold(true, "")+hold(false, "baseline = \"-1 Pa\"\n"), words), "that baseline is without the fan")
	assert.Empty(t, levelsOf(t, hold(false, ""), words))
	for _, has := range []string{"baseline = \"-1 Pa\"\n", "baseline_after = \"-1 Pa\"\n", "baseline = { attic = \"1 Pa\" }\n", "less_baseline = [\"house\"]\n"} {
		assert.Empty(t, levelsOf(t, hold(true, has), words), has)
		assert.Empty(t, levelsOf(t, hold(true, "")+hold(true, has), words), has)
	}
}
