package ductleak

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbook/units"
)

// The fan's flow is the net imbalance; a residual is what the house still passes. At 2000 cfm
// and n 0.65 the house passes 2000·(4/50)^0.65 = 387 cfm at 4 Pa, 63 cfm for each pascal more.
func TestNullingTest(t *testing.T) {
	q := func(cfm float64) units.Flow { return units.Flow(units.CFM.ToSI(cfm)) }
	cfm := func(q units.Flow) float64 { return units.CFM.FromSI(float64(q)) }
	slope := 0.65 * 2000 * math.Pow(4.0/50, 0.65) / 4
	assert.InDelta(t, 62.9, slope, 0.1)
	for _, c := range []struct {
		flow     float64
		in       bool
		residual float64
		net      float64
	}{{85, true, 0, 85}, {85, false, 0, -85}, {85, true, 0.2, 85 - 0.2*slope}, {85, false, 1, -85 - slope}, {0, true, -0.5, 0.5 * slope}} {
		test := NullingTest{Flow: units.Within(q(c.flow), 0.001), In: c.in, Residual: units.Measured[units.Pressure]{Value: units.Pressure(c.residual)},
			Flow50: Exactly(q(2000)), Exponent: units.Measured[units.Ratio]{Value: 0.65}}
		r, err := test.Evaluate()
		require.NoError(t, err)
		assert.InDelta(t, c.net, cfm(r.Net.Value), 0.5, "%+v", c)
		assert.True(t, r.Resolved)
		require.Len(t, r.Working(units.IP), 1)
		assert.Contains(t, r.Working(units.IP)[0].Numbers, "cfm")
	}
	unknown, err := NullingTest{Flow: units.Within(q(85), 0.03), In: true, Residual: units.Measured[units.Pressure]{Value: 0.5, SD: 0.3}}.Evaluate()
	require.NoError(t, err)
	assert.InDelta(t, 85, cfm(unknown.Net.Value), 0.5, "of a house that is not known the residual is not counted")
	noisy, err := NullingTest{Flow: units.Within(q(20), 0.03), In: true, Residual: units.Measured[units.Pressure]{SD: 0.4}, Flow50: Exactly(q(2000)),
		Exponent: units.Measured[units.Ratio]{Value: 0.65}}.Evaluate()
	require.NoError(t, err)
	assert.False(t, noisy.Resolved, "0.4 Pa of wind is 25 cfm of this house")
	assert.InDelta(t, 1.645*0.4*slope, cfm(noisy.Net.High-noisy.Net.Value), 2)
	for _, bad := range []NullingTest{
		{Flow: units.Measured[units.Flow]{Value: -1}},
		{Flow: units.Within(q(85), 0.03), Residual: units.Measured[units.Pressure]{Value: 1.01}},
		{Flow: units.Within(q(85), 0.03), Residual: units.Measured[units.Pressure]{Value: -1.01}},
		{Flow: units.Measured[units.Flow]{Value: units.Flow(math.NaN())}},
	} {
		_, err := bad.Evaluate()
		assert.Error(t, err)
	}
}
