package view

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbook/units"
)

type estimate struct {
	Value float64    `json:"value" in:"Unit"`
	Unit  units.Unit `json:"unit"`
	Level float64    `json:"level,omitempty"`
}

type house struct {
	Name    string     `json:"name"`
	Text    string     `json:"text"`
	Flow    *estimate  `json:"flow,omitempty"`
	Fan     *float64   `json:"fan,omitempty" in:"FanUnit"`
	FanUnit units.Unit `json:"fan_unit,omitzero"`
	List    []estimate `json:"list"`
	Pair    [2]string  `json:"between"`
	Hidden  units.Unit `json:"-"`
	inside  int
}

// A cubic metre a second is 2118.880 cfm (NIST SP 811, 2008, B.8: 4.719474e-4 m³/s) and
// 3600 m³/h; what stands beside a unit follows it, and the result stays as it was.
func TestNumbersFollowTheirUnit(t *testing.T) {
	fan := 1.0
	h := house{Flow: &estimate{Value: 1, Unit: units.CubicMetrePerSecond, Level: 95}, Fan: &fan, FanUnit: units.CubicMetrePerSecond, Hidden: units.CubicMetrePerSecond, inside: 3}
	for system, want := range map[units.System]float64{units.IP: 1 / 4.719474e-4, units.SI: 3600} {
		v, leftOut, err := Of(&h, system, nil)
		require.NoError(t, err)
		assert.Zero(t, leftOut)
		assert.InEpsilon(t, want, v.Flow.Value, 1e-6)
		assert.InEpsilon(t, want, *v.Fan, 1e-6)
		assert.Equal(t, system.Flow(), v.Flow.Unit)
		assert.Equal(t, system.Flow(), v.FanUnit)
		assert.Equal(t, [2]float64{95, 3}, [2]float64{v.Flow.Level, float64(v.inside)})
		assert.Equal(t, units.CubicMetrePerSecond, v.Hidden, "no reader sees it")
		assert.NotNil(t, v.List)
		again, _, err := Of(v, system, nil)
		require.NoError(t, err)
		assert.Equal(t, v, again, "what is in the reader's units keeps its last bit")
	}
	assert.Equal(t, 1.0, *h.Fan)
	assert.Nil(t, h.List)
}

// What is no number takes the smallest optional thing with it.
func TestWhatIsNoNumberIsLeftOut(t *testing.T) {
	bad := math.Inf(1)
	h := house{Flow: &estimate{Value: math.NaN()}, Fan: &bad, List: []estimate{{Value: 1, Level: math.NaN()}, {Value: bad}, {Value: 2}}}
	v, leftOut, err := Of(&h, units.IP, nil)
	require.NoError(t, err)
	assert.Equal(t, 4, leftOut)
	assert.Nil(t, v.Flow)
	assert.Nil(t, v.Fan)
	assert.Equal(t, []estimate{{Value: 1}, {Value: 2}}, v.List)
	_, _, err = Of(estimate{Value: bad}, units.IP, nil)
	assert.Error(t, err, "nothing of it is optional")
}

// Names and prose are told apart by the key; a currency is text too.
func TestTextsArePassedThrough(t *testing.T) {
	h := house{Name: "attic", Text: "warm", Pair: [2]string{"a", "b"}, Flow: &estimate{Unit: units.Named("usd")}}
	v, _, err := Of(h, units.IP, func(name bool, s string) string {
		if name {
			return strings.ToUpper(s)
		}
		return s + "!"
	})
	require.NoError(t, err)
	assert.Equal(t, "ATTIC", v.Name)
	assert.Equal(t, "warm!", v.Text)
	assert.Equal(t, [2]string{"A", "B"}, v.Pair)
	assert.Equal(t, "usd!", v.Flow.Unit.Symbol())
}
