package units_test

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbook/units"
)

// A gauge that carries its flow to a pressure shows a unit that says so: common practice, no
// source.
func TestScaledFlows(t *testing.T) {
	for text, want := range map[string]struct {
		flow float64
		to   units.Pressure
	}{
		"2280 cfm": {2280, 0}, "2280 cfm50": {2280, 50}, "2280cfm50": {2280, 50}, "2280 CFM50": {2280, 50}, "2280 cfm@50": {2280, 50},
		"2280 cfm @ 50 Pa": {2280, 50}, "96 cfm@25": {96, 25}, "2280 cfm@0.2 inH2O": {2280, 49.8178},
		"2280 cfm@4": {2280, 4}, "2280 cfm@100": {2280, 100},
	} {
		q, to, err := units.ParseScaledFlow(text)
		require.NoError(t, err, text)
		assert.InDelta(t, want.flow, units.CFM.FromSI(float64(q)), 1e-9, text)
		assert.InDelta(t, float64(want.to), float64(to), 1e-3, text)
	}
	for _, text := range []string{"", "cfm50", "50", "2280 cfm@", "2280 cfm@3.9", "2280 cfm@101", "2280 cfm@-50", "2280 cfm@50 cfm", "2280 @50", "2280 Pa@50", "@", "2280 cfm25", "x cfm50"} {
		_, _, err := units.ParseScaledFlow(text)
		assert.Error(t, err, text)
	}
}

func ExampleParseScaledFlow() {
	q, to, err := units.ParseScaledFlow("2280 cfm50")
	fmt.Println(q.Text(units.CFM, 0), to.Text(units.Pascal, 0), err)
	// Output: 2280 cfm 50 Pa <nil>
}
