package ductleak

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// Every limit of the table as its source has it, in the source's own unit: duct
// leakage in cfm per 100 ft² of floor or in percent of the air handler's flow, house
// leakage as air changes an hour or per envelope area, pressures in pascals. The
// sources are those that the table names: ICC flyer on standard 380, code summaries,
// the forms of Washington State University, Title 24 of 2008 and a rater's page, PNNL
// guides, FSEC duct data, the California design procedures, the Florida code, NREL's
// Standard Work Specification 6.6201.2, EPA Energy Savings Plus Health, and the
// Minergie guideline; for combustion zones a contractor's restatement of older programmes, the
// stricter figure where texts differ.
func TestPublishedLimits(t *testing.T) {
	const per100 = cfm / (100 * squareFoot)
	type published struct {
		value, unit float64 // unit in SI
		pressure    float64
	}
	want := map[string]published{
		"iecc-2009-outside": {8, per100, 25}, "iecc-2009-total": {12, per100, 25}, "iecc-2009-rough": {6, per100, 25}, "iecc-2009-rough-no-handler": {4, per100, 25},
		"iecc-2012-total": {4, per100, 25}, "iecc-2012-rough-no-handler": {3, per100, 25}, "iecc-2018-total": {4, per100, 25}, "iecc-2018-rough-no-handler": {3, per100, 25},
		"washington-2009-total": {8, per100, 25}, "washington-2009-outside": {6, per100, 25}, "washington-2009-rough": {6, per100, 25}, "washington-2009-rough-no-handler": {4, per100, 25},
		"title24-2008-new": {6, 0.01, 25}, "title24-2008-rough-no-handler": {4, 0.01, 25}, "title24-2008-conditioned": {25, cfm, 25},
		"title24-2008-altered-total": {15, 0.01, 25}, "title24-2008-altered-outside": {10, 0.01, 25}, "title24-2013-new": {5, 0.01, 25}, "title24-2013-altered": {15, 0.01, 25},
		"energystar-3-total": {8, per100, 25}, "energystar-manufactured-outside": {3, per100, 25}, "energystar-manufactured-total": {6, per100, 25},
		"california-design-rough": {3, per100, 50}, "california-design-finished": {7, per100, 50},
		"garage-pressure": {45, 1, 50}, "garage-door": {6, 0.01, 50},
		"room-energystar": {3, 1, 0}, "room-energystar-large": {5, 1, 0}, "room-florida": {2.5, 1, 0}, "room-nrel": {3, 1, 0}, "unit-neighbours": {5, 1, 0},
		"iecc-2009-house": {7, 1.0 / 3600, 50}, "iecc-2012-house-warm": {5, 1.0 / 3600, 50}, "iecc-2012-house": {3, 1.0 / 3600, 50}, "iecc-2021-house": {3, 1.0 / 3600, 50},
		"passive-house": {0.6, 1.0 / 3600, 50}, "minergie-new": {1.2, 1.0 / 3600, 50}, "minergie-renovated": {1.6, 1.0 / 3600, 50}, "minergie-p": {0.8, 1.0 / 3600, 50},
		"us-army":          {0.25, cfm / squareFoot, 75},
		"caz-water-heater": {2, 1, 0}, "caz-water-heater-shared": {3, 1, 0}, "caz-boiler-damper": {5, 1, 0}, "caz-induced-shared": {5, 1, 0},
		"caz-induced": {5, 1, 0}, "caz-power-vented": {15, 1, 0}, "caz-sealed": {25, 1, 0},
	}
	for _, l := range Limits() {
		w, ok := want[l.ID]
		if !assert.True(t, ok, "%s has a source, and no check against it here", l.ID) {
			continue
		}
		assert.InEpsilon(t, w.value*w.unit, l.Value, 1e-9, l.ID)
		assert.InDelta(t, w.pressure, float64(l.Pressure), 1e-9, l.ID)
		delete(want, l.ID)
	}
	assert.Empty(t, want, "limits that are gone")
}

// A house meets a limit that says "below" only below it, and one that says "above"
// only above it; "at most" holds at the limit.
func TestSensesOfALimit(t *testing.T) {
	for _, c := range []struct {
		sense             Sense
		under, at, beyond Verdict
	}{{AtMost, Meets, Meets, Fails}, {Below, Meets, Fails, Fails}, {Above, Fails, Fails, Meets}} {
		l := Limit{Sense: c.sense, Value: 3}
		assert.Equal(t, [3]Verdict{c.under, c.at, c.beyond}, [3]Verdict{l.Judge(Exactly(2.999)), l.Judge(Exactly(3.0)), l.Judge(Exactly(3.001))}, c.sense)
		e := Exactly(3.0)
		e.Low, e.High = 2, 4
		assert.Equal(t, TooClose, l.Judge(e), c.sense)
	}
}
