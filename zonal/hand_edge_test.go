package zonal

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"

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
		_, err := HandState{House: HandPressure{c.house, 0.1}, ZoneToHouse: &HandPressure{c.zone, c.sd}}.check("method", false)
		assert.Equal(t, c.ok, err == nil, "%+v: %v", c, err)
	}
}

// A zone that the second fan left up to 0.5 Pa from the house is nulled, up to 3 Pa it
// is carried along and said, beyond that it is no null; and the two holds must lie
// 3 Pa apart.
func TestNullTestThresholds(t *testing.T) {
	at := func(p units.Pressure) HandState {
		return HandState{House: HandPressure{-50, 0.1}, ZoneToHouse: &HandPressure{p, 0.1}, Fan: &HandFlow{1, 0.01}}
	}
	for _, c := range []struct {
		open, null    units.Pressure
		noted, refuse bool
	}{{40, 0.5, false, false}, {40, 0.51, true, false}, {40, 2.99, true, false}, {40, 3.01, false, true}, {3.01, 0, false, false}, {2.99, 0, false, true}} {
		notes, err := checkNull(at(c.open), at(c.null), HandFlow{0.1, 0.01}, field())
		assert.Equal(t, c.refuse, err != nil, "%+v: %v", c, err)
		assert.Equal(t, c.noted, len(notes) > 0, "%+v", c)
	}
}

// The steps of a second fan must span 10 Pa between house and zone.
func TestStepSpan(t *testing.T) {
	house := triple{300, 600, 1200, 0.65, 0.65, 0.65}
	for span, ok := range map[units.Pressure]bool{9.99: false, 10.01: true} {
		var steps []HandState
		for _, p := range []units.Pressure{20, 20 + span/2, 20 + span} {
			s := house.state("step", 50, -1, change{})
			s.ZoneToHouse = &HandPressure{p, 0.1}
			s.Fan = &HandFlow{units.Flow((1200 + 300*math.Pow(float64(p)/50, 0.65)) * cfm), 0.003}
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
		s := HandState{House: HandPressure{-50, 0.1}, ZoneToHouse: &HandPressure{p, 0.1}}
		assert.Equal(t, noted, len(smallPush(s, field())) > 0, "%g Pa", p)
	}
}
