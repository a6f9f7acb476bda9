package survey

import (
	"fmt"
	"strings"

	"holdbook/units"
	"holdbook/zonal"
)

// InState is the house as it would be tested in another state: with the hatch, a vent or the
// garage door the other way.
type InState struct {
	As           string `json:"as"` // the hold, or what was opened, that the state is of
	Flow50       *Q     `json:"flow_50"`
	AirChanges50 *Q     `json:"air_changes_50,omitempty"`
}

// stateNamed is the hold of the model in which the house was as a name says: the name of a hold, or
// of what stood open in it alone. The error lists what there is.
func stateNamed(c *Case, name string) (int, error) {
	var known []string
	for k := range c.Model.Holds {
		if SameName(c.Model.Holds[k].Name, name) {
			return k, nil
		}
		known = append(known, fmt.Sprintf("%q", c.Model.Holds[k].Name))
	}
	for k := range c.Model.Holds {
		m := &c.Model.Holds[k]
		if len(m.Opened) != 1 || len(m.Sealed) > 0 {
			continue
		}
		o := c.Model.Openings[m.Opened[0]].Name
		if o != "" && (SameName(o, name) || SameName(o+" open", name)) {
			return k, nil
		}
	}
	if len(known) == 0 {
		return -1, fmt.Errorf("--as %q: the sheet has no finished hold; write the house pressure of one", units.Sanitize(name))
	}
	return -1, fmt.Errorf("--as %q: no hold of that name and nothing opened of that name; write one of %s", units.Sanitize(name), strings.Join(known, ", "))
}

// inState is the leakage of the house in the state of a hold, from the estimate.
func inState(c *Case, e *zonal.Estimate, name string) (*InState, error) {
	k, err := stateNamed(c, name)
	if err != nil {
		return nil, err
	}
	if e == nil || !c.FanRead() {
		return nil, fmt.Errorf("--as %q: no fan flow was read, so that the house has no size; read the fan once", units.Sanitize(name))
	}
	q, err := e.Posterior.FlowIn(k)
	if err != nil {
		return nil, err
	}
	out := &InState{As: units.Sanitize(name), Flow50: Flow(q)}
	if v := c.Sheet.House.Volume; v.Given && v.Value > 0 {
		out.AirChanges50 = Rate(Scale[units.Rate](q, 1/float64(v.Value)))
	}
	return out, nil
}
