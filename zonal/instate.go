package zonal

import (
	"fmt"
	"slices"

	"holdbook/units"
)

// FlowIn is the flow into the house at 50 Pa in the state that it had in a hold: what was
// opened, sealed and covered there, further fans off. The error names a hold that is not of the
// model.
func (post *Posterior) FlowIn(hold int) (units.Estimate[units.Flow], error) {
	if err := post.checkMode(); err != nil {
		return units.Estimate[units.Flow]{}, err
	}
	p := post.problem
	if hold < 0 || hold >= len(p.model.Holds) {
		return units.Estimate[units.Flow]{}, fmt.Errorf("hold %d is not of this model", hold)
	}
	h := &p.model.Holds[hold]
	c := catalogue{}
	c.add(p.foundIn(&Hold{Opened: slices.Clone(h.Opened), Sealed: slices.Clone(h.Sealed), Covered: slices.Clone(h.Covered)}))
	if err := post.evaluate(&c); err != nil {
		return units.Estimate[units.Flow]{}, err
	}
	return flow(c.out[0]), nil
}
