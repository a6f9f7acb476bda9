package units

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
)

// Figures in groups: three and three behind one to three that do not begin with a
// zero. What is grouped otherwise is refused, never read as another number.
func TestGroupsOfThree(t *testing.T) {
	for text, want := range map[string]float64{"1,440 m3": 1440, "14,400 m3": 14400, "144,000 m3": 144000, "1,440.5 m3": 1440.5, "1,440,000 m3": 1440000} {
		v, err := ParseVolume(text)
		if assert.NoError(t, err, text) {
			assert.InDelta(t, want, float64(v), 1e-9, text)
		}
	}
	for _, text := range []string{"1440,000 m3", "0,440 m3", "1,44 m3", "1,4400 m3", "1,440,00 m3", ",440 m3", "1,,440 m3", "14 400 m3", "14 40 m3"} {
		_, err := ParseVolume(text)
		assert.Error(t, err, text)
	}
}

// What a message repeats of a wrong text, and what is shown of a name, ends in "…"
// beyond its limit and not at it.
func TestShortenedTexts(t *testing.T) {
	for _, limit := range []int{1, 2, 40, 48} {
		at := strings.Repeat("x", limit)
		assert.Equal(t, at, SanitizeTo(at, limit))
		assert.Equal(t, strings.Repeat("x", limit-1)+"…", SanitizeTo(at+"x", limit))
	}
	_, err := ParsePressure(strings.Repeat("x", 41))
	assert.ErrorContains(t, err, `"`+strings.Repeat("x", 39)+`…"`)
	_, err = ParsePressure(strings.Repeat("x", 40))
	assert.ErrorContains(t, err, `"`+strings.Repeat("x", 40)+`"`)
}

// Sizes may be nothing, and not below it; a pressure may have either sign.
func TestBelowZero(t *testing.T) {
	for text, ok := range map[string]bool{"0 m2": true, "0.001 m2": true, "-0.001 m2": false} {
		_, err := ParseArea(text)
		assert.Equal(t, ok, err == nil, text)
	}
	_, err := ParsePressure("-0.001 Pa")
	assert.NoError(t, err)
}

// Where printing turns to powers of ten: from 1e15 on.
func TestPlainNumbersEnd(t *testing.T) {
	assert.Equal(t, "999999999999999", Fixed(999999999999999, 0))
	assert.Contains(t, Fixed(1e15, 0), "e+15")
	assert.NotContains(t, Fixed(9.99e14, 0), "e")
}

// The half-width of an estimate has 1.2 to 12 units of the last figure printed, and a chance counted
// over draws to tens, but what is near never or always by what it still tells.
func TestPrintedFigures(t *testing.T) {
	for _, c := range []struct {
		v, low, high float64
		want         [3]string
	}{
		{312.4, 241, 398.7, [3]string{"310", "240", "400"}},   // ±79
		{3124, 2410, 4430, [3]string{"3100", "2400", "4400"}}, // ±1010
		{3124, 2410, 4800, [3]string{"3100", "2400", "4800"}}, // ±1195
		{3124, 2410, 4820, [3]string{"3000", "2000", "5000"}}, // ±1205
		{44.36, 43.2, 44.6, [3]string{"44.4", "43.2", "44.6"}},
		{0.6503, 0.6011, 0.6992, [3]string{"0.65", "0.60", "0.70"}},
	} {
		v, low, high := FormatInterval(c.v, c.low, c.high)
		assert.Equal(t, c.want, [3]string{v, low, high}, "%+v", c)
	}
	for p, want := range map[float64]string{0: "<1", 0.005: "<1", 0.0051: "<5", 0.05: "<5", 0.0501: "10", 0.149: "10", 0.151: "20", 0.5: "50", 0.9499: "90", 0.95: ">95", 0.9949: ">95", 0.9951: ">99", 1: ">99"} {
		assert.Equal(t, want, Chance(p), p)
	}
}

// The ends of an interval are factors apart above a factor of six between them.
func TestFactorsApart(t *testing.T) {
	for _, c := range []struct {
		low, high float64
		want      bool
	}{{1, 5.99, false}, {1, 6, false}, {1, 6.01, true}, {0, 6, false}, {-1, 60, false}} {
		assert.Equal(t, c.want, FactorsApart(c.low, c.high), "%+v", c)
	}
}
