package report

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"

	"holdbook/internal/advise"
	"holdbook/internal/survey"
	"holdbook/units"
)

// Both sides of the thresholds at which what is printed changes.

// An interval up to a factor of six carries the figures of its half-width (JCGM
// 100:2008, 7.2.6, allows two at most; one is printed); a wider one a figure of each
// number, and its middle is no size.
func TestWideIntervals(t *testing.T) {
	for _, c := range []struct {
		q       survey.Q
		value   string
		between string
		bounded bool
	}{
		{survey.Q{Value: 5.04, Low: 2.05, High: 12.29}, "5", "2–12", true},  // a factor of 5.995, ±5.1
		{survey.Q{Value: 5.04, Low: 2.05, High: 12.31}, "5", "2–10", false}, // 6.005
		{survey.Q{Value: 2, Low: 1, High: 6}, "2", "1–6", true},
		{survey.Q{Value: 2, Low: 0, High: 6}, "2", "0–6", true},
		{survey.Q{Value: 0.6, Low: -1, High: 6}, "1", "-1 to 6", true},
		{survey.Q{Value: 50, Low: 50, High: 50}, "50", "", true},
	} {
		v, b := texts(&c.q)
		assert.Equal(t, [2]string{c.value, c.between}, [2]string{v, b}, "%+v", c.q)
		assert.Equal(t, c.bounded, bounded(&c.q), "%+v", c.q)
	}
}

// No chance is printed as 0 or 100 % that is not.
func TestPercentOfAChance(t *testing.T) {
	for share, want := range map[float64]string{0: "0", 1e-9: "<1", 0.0099: "<1", 0.01: "1", 0.5: "50", 0.99: "99", 0.9901: ">99", 0.999999: ">99", 1: "100"} {
		assert.Equal(t, want, percent(share), share)
	}
}

// A bar runs from end to end of its column for the widest interval, its value where
// the logarithm puts it.
func TestBarPlaces(t *testing.T) {
	b := newBars([]*survey.Q{{Value: 10, Low: 1, High: 100}, {Value: 5, Low: 0, High: 1000}, nil})
	assert.Equal(t, bars{1, 100}, b, "an interval from nothing has no place on a scale of ratios")
	for v, want := range map[float64]int{0.5: 0, 1: 0, 100: 13, 200: 13} {
		assert.Equal(t, want, b.place(v), v)
	}
	assert.Equal(t, 14, len([]rune(b.draw(&survey.Q{Value: 10, Low: 1, High: 100}, true))))
	assert.Equal(t, 1, strings.Count(b.draw(&survey.Q{Value: 10, Low: 1, High: 100}, true), "●"))
	assert.NotContains(t, b.draw(&survey.Q{Value: 10, Low: 1, High: 100}, false), "●")
	assert.Empty(t, b.draw(&survey.Q{Value: 5, Low: 0, High: 1000}, true))
}

// A computed flow below ten has one decimal, from ten on none.
func TestFittedFlows(t *testing.T) {
	for v, want := range map[float64]string{9.94: "9.9", -9.94: "-9.9", 10: "10", -10: "-10", 247.4: "247", 0: "0.0"} {
		assert.Equal(t, want, fitted(v), v)
	}
}

// Holds within 0.05 Pa of one another are one pressure.
func TestPressuresOfTheHolds(t *testing.T) {
	for second, want := range map[float64]string{-50.04: "house 50.0 Pa below", -50.06: "house 50.0–50.1 Pa below"} {
		f := &survey.Findings{Holds: []survey.Hold{{House: -50, Used: true}, {House: second, Used: true}, {House: -30}}}
		assert.Contains(t, holdLine(f), want)
	}
}

// What came more or less than promised: the interval that holds zero shows neither.
func TestMoreOrLessThanPromised(t *testing.T) {
	for _, c := range []struct {
		low, value, high float64
		word             string
		zero             bool
	}{{0, 5, 10, "More", true}, {0.1, 5, 10, "More", false}, {-10, -5, 0, "Less", true}, {-10, -5, -0.1, "Less", false}} {
		text := judged(&survey.Q{Value: c.value, Low: c.low, High: c.high, Unit: units.CFM})
		assert.True(t, strings.HasPrefix(text, c.word), text)
		assert.Equal(t, c.zero, strings.Contains(text, "holds zero"), text)
	}
}

// What an action narrows by less than 2 % is not told as what it narrows most.
func TestNarrowsMost(t *testing.T) {
	action := func(then float64) advise.NextAction {
		return advise.NextAction{Narrows: []advise.NextNarrow{{Of: "attic", Now: 2, Then: then,
			Interval: &survey.Q{Value: 14, Low: 10, High: 20, Unit: units.CFM}, Narrowing: &survey.Q{Value: 14, Low: 11, High: 19, Unit: units.CFM}}}}
	}
	assert.Equal(t, "-", mostNarrowed(action(1.97)))
	assert.Equal(t, "attic: 10–20 to about 11–19 cfm", mostNarrowed(action(1.95)))
}

// What the fan's gauge shows is told beside a target where it differs by more than
// 1 % from the flow.
func TestFanReadsBesideATarget(t *testing.T) {
	for reads, told := range map[float64]bool{1000: false, 1009: false, 1011: true, 991: false, 989: true} {
		text := targetFlow(&advise.SealTarget{Flow: survey.Q{Value: 1000, Unit: units.CFM}, FanReads: &survey.Q{Value: reads, Unit: units.CFM}})
		assert.Equal(t, told, strings.Contains(text, "the fan then reads"), text)
	}
}
