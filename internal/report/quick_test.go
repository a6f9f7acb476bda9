package report

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"holdbook/ductleak"
	"holdbook/internal/sheet"
	"holdbook/internal/survey"
	"holdbook/units"
)

// A ratio has a word only where one lies within its interval, the ends with it.
func TestRatioInAWord(t *testing.T) {
	for _, c := range []struct {
		value, low, high float64
		want             string
	}{
		{0.26, 0.18, 0.36, "about a quarter of"}, {0.3, 0.23, 0.37, "about a third of"}, {0.42, 0.35, 0.5, "about half"},
		{0.42, 0.35, 0.499, "0.42 times"}, {0.42, 1.0 / 3, 0.499, "0.42 times"}, {3.7, 3, 4.6, "about four times"}, {0.014, 0.01, 0.02, "0.014 times"}, {1, 0.9, 1.1, "about as large as"},
	} {
		assert.Equal(t, c.want, times(&survey.Q{Value: c.value, Low: c.low, High: c.high, Unit: units.One}), "%v", c)
	}
}

// The line that adds a hold says all that the hold says, in words a shell takes whole.
func TestAddLine(t *testing.T) {
	h := sheet.Hold{Name: sheet.Word("hatch's"), Range: sheet.Word("B"), House: sheet.Quantity[units.Pressure]{Text: "… Pa", Value: -50, Given: true}}
	h.Fan = sheet.Quantity[units.Flow]{Text: "… cfm", Given: true}
	h.Baseline = sheet.Quantity[units.Pressure]{Text: "… Pa", Given: true}
	h.Opened = []sheet.Opening{{Between: sheet.Between("house", "north attic"), Area: sheet.Quantity[units.Area]{Text: "40 in²", Given: true}}, {Between: sheet.Between("garage", "outside")}}
	h.Sealed = []sheet.Seal{{Between: sheet.Between("house", "ducts")}}
	h.Fans = []sheet.Fan{{Name: sheet.Word("second fan"), From: sheet.Ref("garage"), To: sheet.Ref("outside")}}
	h.Readings = []sheet.Reading{{Of: sheet.Ref("north attic"), To: sheet.Ref("outside")}, {Of: sheet.Ref("garage"), To: sheet.Ref("outside")}}
	assert.Equal(t, `holdbook add "my house.toml" "hatch's" --sealed house-ducts --opened "house-north attic=40in2" --opened garage-outside --baseline … --house 50 --fan … --range B --second-fan garage-outside=… --to outside "north attic=…" garage=…`,
		AddLine("my house.toml", h))
	started := sheet.Quantity[units.Pressure]{Given: true}
	ajar := sheet.Opening{Between: sheet.Between("house", "attic"), Ajar: sheet.Length{Text: "4 in", Given: true}, Leaf: sheet.Leaf{Text: "24 in x 30 in", Given: true}}
	assert.Equal(t, `holdbook add a.toml x --opened house-attic=4in:24inx30in --house …`, AddLine("a.toml", sheet.Hold{Name: sheet.Word("x"), House: started, Opened: []sheet.Opening{ajar}}))
	assert.Equal(t, `holdbook add a.toml x --house …`, AddLine("a.toml", sheet.Hold{Name: sheet.Word("x"), House: started}))
	assert.Empty(t, AddLine("a.toml", sheet.Hold{Name: sheet.Word("x"), Baseline: h.Baseline}))
}

// Each verdict on a limit reads as a sentence.
func TestVerdictsReadAsSentences(t *testing.T) {
	for verdict, want := range map[ductleak.Verdict]string{
		ductleak.Meets:    "meets the limit",
		ductleak.Fails:    "fails the limit",
		ductleak.TooClose: "too close to call against the limit",
	} {
		assert.Equal(t, want, againstLimit(string(verdict)))
	}
}
