package survey

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Only the baseline carries over from hold to hold.
func TestBaselineCarriesOver(t *testing.T) {
	c, log := laid(t, `
[[hold]]
house = "-50 Pa"
to_house = { attic = "44 Pa" }
[[hold]]
baseline = "-2 Pa"
house = "-50 Pa"
range = "open"
fan = "2000 cfm"
opened = [ { between = ["house", "attic"] } ]
[[hold]]
house = "-51 Pa"
[[hold]]
baseline = "1 Pa"
house = "-51 Pa"
`)
	var house []float64
	for _, h := range c.Model.Holds {
		house = append(house, float64(h.House))
	}
	assert.Equal(t, []float64{-50, -48, -49, -52}, house)
	third := c.Model.Holds[2]
	assert.Empty(t, third.Opened)
	assert.Nil(t, third.Fan)
	assert.Equal(t, 1, noticesWith(log.Notices, "no baseline was read"), "only the first hold lacks one, and it is said once")
}

// Two baselines count by their mean, with what lies between them as drift.
func TestBaselineBeforeAndAfter(t *testing.T) {
	c, log := laid(t, `
[gauge]
pressure = "0.5 Pa"
wobble = "0 Pa"
[[hold]]
baseline = "-1 Pa"
baseline_after = "-3 Pa"
house = "-52 Pa"
`)
	h := c.Model.Holds[0]
	assert.InDelta(t, -50, float64(h.House), 1e-12)
	assert.InDelta(t, math.Hypot(0.25, 2/(2*math.Sqrt(3))), float64(h.HouseSD), 1e-12)
	assert.Zero(t, noticesWith(log.Notices, "the baseline moved"), "2 Pa is not yet more than 2 Pa")
}

func TestUnsteadyBaselineIsSaid(t *testing.T) {
	_, log := laid(t, `
[[hold]]
baseline = "-1 Pa"
baseline_after = "-4 Pa"
house = "-52 Pa"
[[hold]]
house = "-30 Pa"
`)
	assert.Equal(t, 1, noticesWith(log.Notices, "the baseline moved by -3 Pa"), "once, though two holds use it")
}

// A zone's own baseline is taken; one that was not read lies between its ends.
func TestZoneBaselines(t *testing.T) {
	c := modelled(t, `
[gauge]
pressure = "0.5 Pa"
wobble = "0 Pa"
[[zone]]
name = "garage"
touches = ["house", "outside", "attic"]
[[hold]]
baseline = "-2 Pa"
house = "-52 Pa"
readings = [
  { of = "attic", to = "house", pressure = "44 Pa" },
  { of = "attic", to = "outside", pressure = "-7 Pa" },
  { of = "house", to = "garage", pressure = "-40 Pa" },
  { of = "garage", to = "attic", pressure = "3 Pa" },
  { of = "garage", to = "outside", pressure = "-10.3 Pa", baseline = "-0.3 Pa" },
]
`)
	read := c.Model.Holds[0].Read
	require.Len(t, read, 5)
	unread := math.Hypot(0.25, 2/math.Sqrt(12))
	for i, want := range []struct{ value, sd float64 }{
		{44 - 1, unread},  // to the house: −b/2 = +1
		{-7 + 1, unread},  // to outside: b/2 = −1
		{-40 + 1, unread}, // the other way round
		{3, unread},       // between two zones: anything between −b and b
		{-10 /**/, 0.25},  // its own
	} {
		assert.InDelta(t, want.value, float64(read[i].Pressure), 1e-12, "reading %d", i)
		assert.InDelta(t, want.sd, float64(read[i].SD), 1e-12, "reading %d", i)
	}
}

// A stated sd takes the place of the gauge's, what is not known of the baseline
// still added.
func TestStatedErrorOfAPressure(t *testing.T) {
	c := modelled(t, `
[[hold]]
baseline = "-2 Pa"
house = "-52 Pa"
readings = [ { of = "attic", to = "house", pressure = "44 Pa", sd = "3 Pa" },
             { of = "garage", to = "house", pressure = "44 Pa", sd = "3 Pa", baseline = "0 Pa" } ]
`)
	read := c.Model.Holds[0].Read
	unread := math.Hypot(2/math.Sqrt(12), 0.2/2) // half of the house's, which is good to 0.2 Pa
	assert.InDelta(t, math.Hypot(3, unread), float64(read[0].SD), 1e-12)
	assert.InDelta(t, math.Hypot(3, 0.2), float64(read[1].SD), 1e-12)
}

// The error of one pressure reading, as stated in the method: half the larger of
// 1 % and 0.25 Pa, and a wobble of 0.4 Pa; the baseline taken off it is good to half
// of the wobble, that of a zone whose own was not read to half of that again.
func TestDefaultErrorOfAPressure(t *testing.T) {
	c := modelled(t, `
[[hold]]
baseline = "0 Pa"
house = "-50 Pa"
to_house = { attic = "10 Pa" }
`)
	assert.InDelta(t, math.Hypot(math.Hypot(0.25, 0.4), 0.2), float64(c.Model.Holds[0].HouseSD), 1e-12)
	assert.InDelta(t, math.Hypot(math.Hypot(0.125, 0.4), 0.1), float64(c.Model.Holds[0].Read[0].SD), 1e-12)
}

// A baseline has an error of its own: half of the wobble for each reading, also of
// two that agree, beside what they drifted; samples show theirs. It is in every
// pressure that it is taken off.
func TestBaselineHasAnError(t *testing.T) {
	const gauge = "[gauge]\npressure = \"0.5 Pa\"\nwobble = \"0.6 Pa\"\n"
	house := func(before, after string) float64 {
		text := gauge + "[[hold]]\nbaseline = " + before + "\nhouse = \"-50 Pa\"\n"
		if after != "" {
			text += "baseline_after = " + after + "\n"
		}
		return float64(modelled(t, text).Model.Holds[0].HouseSD)
	}
	one := math.Hypot(0.25, 0.6) // of the reading in the hold
	assert.InDelta(t, math.Hypot(one, 0.3), house(`"-1 Pa"`, ""), 1e-12)
	assert.InDelta(t, math.Hypot(one, 0.3/math.Sqrt2), house(`"-1 Pa"`, `"-1 Pa"`), 1e-12)
	drift := 1.2 / (2 * math.Sqrt(3)) // Delmotte 2016
	assert.InDelta(t, math.Hypot(one, math.Hypot(drift, 0.3/math.Sqrt2)), house(`"-1 Pa"`, `"-2.2 Pa"`), 1e-12)
	c := modelled(t, gauge+"[[zone]]\nname = \"loft\"\n[[hold]]\nbaseline = \"-1 Pa\"\nhouse = \"-50 Pa\"\n"+
		"readings = [ { of = \"loft\", to = \"house\", pressure = \"44 Pa\", baseline = \"0.5 Pa\" } ]\n")
	assert.InDelta(t, math.Hypot(one, 0.3), float64(c.Model.Holds[0].Read[0].SD), 1e-12)
}

// A baseline read only after a hold is one all the same, beside one carried over
// if there is one.
func TestBaselineReadOnlyAfter(t *testing.T) {
	c, log := laid(t, `
[[hold]]
baseline_after = "-1 Pa"
house = "-51 Pa"
[[hold]]
baseline = "-1 Pa"
house = "-51 Pa"
[[hold]]
baseline_after = "-2 Pa"
house = "-51.5 Pa"
`)
	for _, h := range c.Model.Holds {
		assert.InDelta(t, -50, float64(h.House), 1e-12)
	}
	assert.Zero(t, noticesWith(log.Notices, "no baseline was read"))
}
