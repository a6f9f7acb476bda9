package survey

import (
	"math"

	"holdbook/ductleak"
	"holdbook/units"
	"holdbook/zonal"
)

// Bound says which end of an interval the readings have made.
type Bound string

// The bounds; none where the readings have made both ends or neither.
const (
	AtLeast Bound = "at least"
	AtMost  Bound = "at most"
)

// Target is the leakage that the sealing is to reach.
type Target struct {
	Flow50       Q       `json:"flow_50"`                                          // its ends are the target itself
	AirChanges50 *Q      `json:"air_changes_50,omitempty"`                         // where it is stated so
	Verdict      string  `json:"verdict"`                                          // meets, fails, too close to call
	Chance       float64 `json:"chance" unit:"1" jsonschema:"minimum=0,maximum=1"` // that the house as found meets it
}

// TargetFlow is a target as a flow at 50 Pa: its flow, or its air changes times the
// volume of the house. False where there is none, or no volume to tell by.
func (c *Case) TargetFlow(flow units.Flow, changes units.Rate) (units.Flow, bool) {
	volume := c.Sheet.House.Volume
	switch {
	case flow > 0:
		return flow, true
	case changes > 0 && volume.Given && volume.Value > 0:
		return units.Flow(float64(changes) * float64(volume.Value)), true
	}
	return 0, false
}

// targetFinding sets the house as found against the target of the sheet; nil where there
// is none, or no leakage to set against it.
func targetFinding(c *Case, e *zonal.Estimate) *Target {
	stated := c.Sheet.Job.Target
	limit, ok := c.TargetFlow(stated.Flow.Or(0), stated.AirChanges.Or(0))
	if !ok || !c.FanRead() {
		return nil
	}
	l, found := ductleak.Limit{Sense: ductleak.AtMost, Value: float64(limit)}, ductleak.Plain(e.Flow50)
	t := &Target{Flow50: *Flow(ductleak.Exactly(limit)), Verdict: string(l.Judge(found)), Chance: chance(l.Chance(found))}
	if stated.Flow.Or(0) == 0 {
		t.AirChanges50 = Rate(ductleak.Exactly(stated.AirChanges.Value))
	}
	return t
}

// chance is a chance in ten-thousandths: no more of it is known.
func chance(p float64) float64 { return math.Round(p*1e4) / 1e4 }
