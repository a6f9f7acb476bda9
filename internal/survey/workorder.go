package survey

import (
	"holdbook/ductleak"
	"holdbook/internal/sheet"
	"holdbook/units"
	"holdbook/zonal"
)

// WorkOrder is the sealing as a crew does it. Its fan flows are what the gauge shows.
type WorkOrder struct {
	// which readings do not fit: nothing is to be sealed before they are read again
	Doubt     string     `json:"doubt,omitempty"`
	FanNow    *Q         `json:"fan_now,omitempty"`                                  // as found at 50 Pa
	FlowRange string     `json:"flow_range,omitempty"`                               // of the fan, in which it was read
	Fraction  float64    `json:"fraction" jsonschema:"exclusiveMinimum=0,maximum=1"` // of each leak that is sealed
	StopAt    *Q         `json:"stop_at,omitempty"`                                  // where the target is reached
	Target    *Q         `json:"target,omitempty"`                                   // the flow to reach
	Steps     []WorkStep `json:"steps"`
	FanThere  *Q         `json:"ventilation_fan_there,omitempty"` // the ventilation fan of the sheet
	// The first step after which the ventilation of the sheet is too little; 0 for none.
	AirShortAfter int `json:"air_short_after,omitempty"`
}

// WorkStep is one step of a work order.
type WorkStep struct {
	Step      int       `json:"step"`
	Between   [2]string `json:"between"`
	Kinds     [2]string `json:"kinds"` // of the two spaces
	Health    bool      `json:"health,omitempty"`
	Hours     float64   `json:"hours,omitempty"`
	Look      []string  `json:"look"`  // where such leaks usually are: common practice, no source
	Notes     []string  `json:"notes"` // of the sheet
	FanBefore *Q        `json:"fan_before,omitempty"`
	FanAfter  *Q        `json:"fan_after,omitempty"`
	FanFalls  *Q        `json:"fan_falls,omitempty"`
	Resolved  bool      `json:"resolved"` // of the fall
	TargetMet *float64  `json:"chance_of_target,omitempty" unit:"1"`
	FanNeeded *Q        `json:"ventilation_fan,omitempty"` // that should run after this step
}

// NewWorkOrder makes a work order of a plan of sealing; target 0 is none.
func NewWorkOrder(c *Case, targets []zonal.SealTarget, plan *zonal.SealPlan, fraction float64, target units.Flow) *WorkOrder {
	w := &WorkOrder{FanNow: c.FanShows(plan.FanNow), FlowRange: c.flowRange(), Fraction: fraction, Steps: []WorkStep{}}
	if fraction == 0 {
		w.Fraction = 1
	}
	var chances []float64
	if target > 0 && c.FanRead() {
		w.Target, w.StopAt, chances = Flow(ductleak.Exactly(target)), c.FanShows(ductleak.Exactly(target)), plan.ChancesBelow(target)
	}
	before := w.FanNow
	for k, s := range plan.Order {
		step := workStep(c, c.Model.Paths[targets[s.Target].Paths[0]])
		step.Step, step.Health, step.Hours = k+1, targets[s.Target].First, targets[s.Target].Hours
		step.FanBefore, step.FanAfter, step.FanFalls = before, c.FanShows(s.FanAfter), c.FanShows(s.Drop50)
		step.Resolved = !factorsApart(s.Drop50)
		if chances != nil {
			step.TargetMet = &chances[k+1]
		}
		before = step.FanAfter
		w.Steps = append(w.Steps, step)
	}
	w.ventilate(c, plan)
	return w
}

// workStep is what is said of the place of a step.
func workStep(c *Case, p zonal.Path) WorkStep {
	step := WorkStep{Between: c.Pair(p.A, p.B), Kinds: [2]string{string(c.Kinds[p.A]), string(c.Kinds[p.B])}, Look: placesOf(c, p), Notes: []string{}}
	note := func(t sheet.Text) {
		if t.Given() {
			step.Notes = append(step.Notes, units.SanitizeTo(t.Value, 300))
		}
	}
	for _, id := range []zonal.SpaceID{p.A, p.B} {
		if z, ok := c.Sheet.Zone(c.Names[id]); ok {
			note(z.Note)
		}
	}
	if s, ok := c.sheetPath(p); ok {
		note(s.Note)
	}
	return step
}

// flowRange is the flow range of the fan in the first hold to look at that has a fan
// reading.
func (c *Case) flowRange() string {
	for _, k := range c.Order {
		if c.Model.Holds[k].Fan != nil {
			return units.Sanitize(c.Held[k].Hold.Range.Value)
		}
	}
	return ""
}

// ventilate adds the fan that should run after each step, where the sheet says enough of
// ventilation.
func (w *WorkOrder) ventilate(c *Case, plan *zonal.SealPlan) {
	if !c.FanRead() || len(VentilationNeeds(c)) > 0 {
		return
	}
	there := units.Flow(0)
	if s := c.Sheet.Ventilation; s != nil {
		there = s.Flow.Or(0)
	}
	if there > 0 {
		w.FanThere = Flow(ductleak.Exactly(there))
	}
	for k := range w.Steps {
		t, err := plan.TightnessAfter(k + 1)
		if err != nil {
			return
		}
		v := VentilationOf(c, NewLog(false), t, "", "")
		if v == nil || v.Fan == nil {
			return
		}
		w.Steps[k].FanNeeded = v.Fan
		if w.AirShortAfter == 0 && v.Fan.Low > float64(there) {
			w.AirShortAfter = k + 1
		}
	}
}
