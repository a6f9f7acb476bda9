package byhand

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbook/internal/fit"
	"holdbook/units"
)

// A house held at less than 5 Pa, a pressure whose error is more than a quarter of
// the hold, and pressures that no gauge shows carry no answer.
func TestStatesThatCarryNothing(t *testing.T) {
	for _, c := range []struct {
		house, zone, sd units.Pressure
		ok              bool
	}{
		{-5, 2, 0.1, true}, {-4.99, 2, 0.1, false}, {-50, 20, 12.5, true}, {-50, 20, 12.51, false}, {-999, 20, 0.1, true}, {-1000, 20, 0.1, false},
		{-50, -0.49, 0.1, true}, {-50, -0.51, 0.1, false}, {-50, 50.49, 0.1, true}, {-50, 50.51, 0.1, false},
	} {
		_, err := State{House: pa(c.house, 0.1), ZoneToHouse: new(pa(c.zone, c.sd))}.check("method", false)
		assert.Equal(t, c.ok, err == nil, "%+v: %v", c, err)
	}
}

// A zone that the second fan left up to 0.5 Pa from the house is nulled, up to 3 Pa it
// is carried along and said, beyond that it is no null; and the two holds must lie
// 3 Pa apart.
func TestNullTestThresholds(t *testing.T) {
	at := func(p units.Pressure) State {
		return State{House: pa(-50, 0.1), ZoneToHouse: new(pa(p, 0.1)), Fan: new(passes(1, 0.01))}
	}
	for _, c := range []struct {
		open, null    units.Pressure
		noted, refuse bool
	}{{40, 0.5, false, false}, {40, 0.51, true, false}, {40, 2.99, true, false}, {40, 3.01, false, true}, {3.01, 0, false, false}, {2.99, 0, false, true}} {
		notes, err := checkNull(at(c.open), at(c.null), passes(0.1, 0.01), field())
		assert.Equal(t, c.refuse, err != nil, "%+v: %v", c, err)
		assert.Equal(t, c.noted, len(notes) > 0, "%+v", c)
	}
}

// The steps of a second fan must span 10 Pa between house and zone.
func TestStepSpan(t *testing.T) {
	house := triple{300, 600, 1200, 0.65, 0.65, 0.65}
	for span, ok := range map[units.Pressure]bool{9.99: false, 10.01: true} {
		var steps []State
		for _, p := range []units.Pressure{20, 20 + span/2, 20 + span} {
			s := house.state("step", 50, -1, change{})
			s.ZoneToHouse = new(pa(p, 0.1))
			s.Fan = new(passes(units.Flow((1200+300*math.Pow(float64(p)/50, 0.65))*cfm), 0.003))
			steps = append(steps, s)
		}
		_, err := StepTest(steps, field())
		if ok {
			assert.NotErrorIs(t, err, ErrTooSmall, "%g Pa", span)
		} else {
			assert.ErrorIs(t, err, ErrTooSmall, "%g Pa", span)
		}
	}
}

// A hole that leaves less than 3 Pa on its smaller side is remarked on.
func TestHoleThatLeavesLittle(t *testing.T) {
	for p, noted := range map[units.Pressure]bool{2.99: true, 3.01: false, 46.99: false, 47.01: true} {
		s := State{House: pa(-50, 0.1), ZoneToHouse: new(pa(p, 0.1))}
		assert.Equal(t, noted, len(smallPush(s, field())) > 0, "%g Pa", p)
	}
}

// Resolved: both ends are there and no more than a factor of six apart; else which ends
// the interval has.
func TestAnswerEnds(t *testing.T) {
	inf := math.Inf(1)
	for _, c := range []struct {
		in       fit.Interval
		bound    Bound
		resolved bool
		low      float64
		high     float64
	}{
		{fit.Interval{Median: 2, Low: 1, High: 5.999}, Between, true, 1, 5.999},
		{fit.Interval{Median: 2, Low: 1, High: 6}, Between, true, 1, 6},
		{fit.Interval{Median: 2, Low: 1, High: 6.001}, Between, false, 1, 6.001},
		{fit.Interval{Median: 2, Low: 1, High: inf}, AtLeast, false, 1, 1},
		{fit.Interval{Median: 2, Low: 0, High: 5}, AtMost, false, 0, 5},
		{fit.Interval{Median: 2, Low: -1, High: 5}, AtMost, false, 0, 5},
		{fit.Interval{Median: 2, Low: -1, High: inf}, Open, false, 0, 0},
		{fit.Interval{Median: -2, Low: -3, High: -1}, Open, false, 0, 0},
	} {
		a := answer[units.Ratio](c.in)
		assert.Equal(t, c.bound, a.Bound, c.in)
		assert.Equal(t, c.resolved, a.Resolved, c.in)
		assert.InDelta(t, c.low, float64(a.Low), 0, c.in)
		assert.InDelta(t, c.high, float64(a.High), 0, c.in)
	}
}

// The ends are the 5 and 95 % points of the repeats, widened to hold the central
// value where that lies outside.
func TestSummaryOfRepeats(t *testing.T) {
	repeats := func() (v []float64) {
		for i := 100; i >= 0; i-- {
			v = append(v, float64(i))
		}
		return v
	}
	assert.Equal(t, fit.Interval{Median: 50, Low: 5, High: 95}, said(fit.Simulated{Central: 50, Values: repeats()}))
	assert.Equal(t, fit.Interval{Median: 3, Low: 3, High: 95}, said(fit.Simulated{Central: 3, Values: repeats()}))
	assert.Equal(t, fit.Interval{Median: 97, Low: 5, High: 97}, said(fit.Simulated{Central: 97, Values: repeats()}))
	none := said(fit.Simulated{Central: 1, Values: []float64{math.NaN()}})
	assert.True(t, math.IsNaN(none.Median) && math.IsInf(none.Low, -1) && math.IsInf(none.High, 1))
}

// A normal exponent is drawn within the bounds of a leak: an orifice, 0.5, and
// laminar flow, 1.
func TestExponentsDrawn(t *testing.T) {
	d := (Errors{Draws: 1}).nominal()
	assert.InDelta(t, 0.65, d.exponent(units.Measured[units.Ratio]{Value: 0.65, SD: 0}), 0)
	assert.InDelta(t, 0.5, d.exponent(units.Measured[units.Ratio]{Value: 0.5, SD: 0}), 0)
	assert.InDelta(t, 1, d.exponent(units.Measured[units.Ratio]{Value: 1, SD: 0}), 0)
	low, high := 1.0, 0.5
	e := Errors{HouseZone: units.Measured[units.Ratio]{Value: 0.65, SD: 0.3}, ZoneOutside: units.Measured[units.Ratio]{Value: 0.65, SD: 0}, Direct: units.Measured[units.Ratio]{Value: 0.65, SD: 0}, Cd: units.Measured[units.Ratio]{Value: 0.6, SD: 0}}
	e.propagate(func(d *draw) []float64 {
		low, high = min(low, d.nH), max(high, d.nH)
		return nil
	})
	assert.True(t, low >= 0.5 && low < 0.505, low)
	assert.True(t, high <= 1 && high > 0.99, high)
}

// Three pressures of a zone that miss one another by up to 1.5 Pa pass, above that
// they are remarked on and above 5 Pa refused.
func TestClosureThresholds(t *testing.T) {
	for _, c := range []struct {
		miss           units.Pressure
		noted, refused bool
	}{{1.49, false, false}, {1.51, true, false}, {-1.49, false, false}, {-1.51, true, false}, {4.99, true, false}, {5.01, false, true}, {-5.01, false, true}} {
		assert.InDelta(t, float64(c.miss), float64(Closure(-50, 30, -20+c.miss)), 1e-9)
		s := State{House: pa(-50, 0.1), ZoneToHouse: new(pa(30, 0.1)), ZoneToOutside: new(pa(-20+c.miss, 0.1))}
		notes, err := s.check("method", false)
		assert.Equal(t, c.refused, err != nil, c.miss)
		assert.Equal(t, c.noted, len(notes) > 0, c.miss)
	}
}

// Within 2 Pa of either end of the hold a zone's ratio is only bounded.
func TestSeriesNearTheEnds(t *testing.T) {
	for p, want := range map[units.Pressure]struct {
		near  Side
		bound Bound
	}{1.99: {HouseSide, AtLeast}, 2: {NoSide, Between}, 48: {NoSide, Between}, 48.01: {OutsideSide, AtMost}} {
		a, err := Series(State{House: pa(-50, 0), ZoneToHouse: new(pa(p, 0.01))}, field())
		require.NoError(t, err)
		assert.Equal(t, want.near, a.Near, "%g Pa", p)
		assert.Equal(t, want.bound, a.Ratio.Bound, "%g Pa", p)
	}
}

// A guard up to 0.5 Pa off is taken as it is, up to 3 Pa off it is corrected for
// and remarked on, and further off refused; shares make 1 at most.
func TestGuardThresholds(t *testing.T) {
	solo := FanTest{Name: "solo", Held: pa(-50, 0.1), Fan: passes(1000*cfm, 0.01)}
	held := FanTest{Name: "guarded", Held: pa(-50, 0.1), Fan: passes(700*cfm, 0.01)}
	for _, c := range []struct {
		off            units.Pressure
		share          float64
		noted, refused bool
	}{{0.5, 1, false, false}, {0.51, 1, true, false}, {-0.51, 1, true, false}, {3, 1, true, false}, {3.01, 1, false, true}, {-3.01, 1, false, true},
		{0, 1.0005, false, true}, {0, -0.01, false, true}} {
		r, err := Guarded(solo, held, []Guard{{Name: "east", Off: pa(c.off, 0.1), Share: c.share}}, field())
		assert.Equal(t, c.refused, err != nil, "%+v", c)
		assert.Equal(t, c.noted, len(r.Notes) > 0, "%+v", c)
	}
	two := func(share float64) error {
		_, err := Guarded(solo, held, []Guard{{"east", pa(0, 0.1), 0.5}, {"west", pa(0, 0.1), share}}, field())
		return err
	}
	assert.NoError(t, two(0.5))
	assert.ErrorContains(t, two(0.502), "add up to more than 1")
}

// Under 1 Pa to the hall a closed room tells little, and it is said.
func TestRoomsNearTheHall(t *testing.T) {
	for p, noted := range map[units.Pressure]bool{0.99: true, 1: false, 1.01: false} {
		a, err := RoomReading{Name: "bedroom", House: pa(-50, 0.1), ToHall: pa(p, 0.1)}.answer(field())
		require.NoError(t, err)
		assert.Equal(t, noted, strings.Contains(strings.Join(a.Notes, ";"), "under 1 Pa"), "%g Pa", p)
	}
}

// A neighbour that moves by more than 1 Pa, and by more than two sd of the
// difference, is coupled.
func TestCoupledThreshold(t *testing.T) {
	for _, c := range []struct {
		moved, sd units.Pressure
		coupled   bool
	}{{0.99, 0.1, false}, {1, 0.1, false}, {1.01, 0.1, true}, {-1.01, 0.1, true}, {1.4, 0.5, false}, {1.42, 0.5, true}} {
		_, coupled := CoupledNote("garage", pa(40, c.sd), pa(40+c.moved, c.sd))
		assert.Equal(t, c.coupled, coupled, "%+v", c)
	}
}

// A side that is none is refused, not looked up.
func TestNoSuchSide(t *testing.T) {
	for _, side := range []Side{-1, 3, 99} {
		assert.Equal(t, "neither side", side.String())
		s := State{House: pa(-50, 0.1), FullyOpen: side, Fan: new(passes(1, 0.01))}
		for name, err := range map[string]error{
			"series":  second(Series(s, field())),
			"opened":  second(OpenedDoor(s, s, side, field())),
			"as side": second(OpenedDoor(onePressure(50, 30, 0.1), s, HouseSide, field())),
			"null":    second(NullTest(s, s, passes(1, 0.01), field())),
			"steps":   second(StepTest([]State{s, s, s}, field())),
		} {
			requireFault(t, name, err)
		}
	}
}

func second[T any](_ T, err error) error { return err }
