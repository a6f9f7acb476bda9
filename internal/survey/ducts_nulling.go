package survey

import (
	"fmt"
	"math"

	"holdbook/ductleak"
	"holdbook/internal/sheet"
	"holdbook/pressure"
	"holdbook/units"
	"holdbook/zonal"
)

// nullingTest is the fan that brings the running house back to its pressure.
const nullingTest = "nulling test"

// nullingTests work the net imbalance out of the flow of a fan that undoes it.
func nullingTests(c *Case, e *zonal.Estimate, log *Log, w *ductWork) {
	for i, x := range c.Sheet.Nulling {
		name := nullingTest
		if len(c.Sheet.Nulling) > 1 {
			name = fmt.Sprintf("%s %d", nullingTest, i+1)
		}
		t := ductleak.NullingTest{Flow: units.Within(x.Flow.Value, c.meterSD()), In: x.Direction.Value == "in",
			Residual: units.Measured[units.Pressure]{Value: x.Residual.Or(0), SD: units.Pressure(math.Sqrt2) * windIn(c.Gauge, x.Residual).Wobble / 2}}
		note := "supply less return; no leakage of the house is known, so that what was left of its pressure does not count"
		if e != nil && c.FanRead() {
			t.Flow50, t.Exponent = e.Flow50, units.Measured[units.Ratio]{Value: e.Exponent.Value, SD: pressure.SD(e.Exponent)}
			note = "supply less return"
		}
		r, err := t.Evaluate()
		if err != nil {
			w.refused(name, netOfLeaks, err)
			continue
		}
		log.worked("ducts, "+name, r.Working(c.System)...)
		w.add(netOfLeaks, ductAnswer{Answer: ductleak.Answer{Name: name, Result: r.Net, Resolved: r.Resolved}, note: note})
	}
}

// hasTests tells whether the sheet has a test that needs no hold.
func hasTests(s *sheet.Sheet) bool {
	return len(s.DuctTests)+len(s.OnOff)+len(s.Nulling)+len(s.CAZ) > 0
}
