package advise

import (
	"fmt"
	"slices"

	"holdbook/internal/survey"
	"holdbook/units"
	"holdbook/zonal"
)

// easierHolds are the pressures (Pa) that a hold is proposed at where the fan holds no more.
var easierHolds = []units.Pressure{40, 30, 25, 20, 15}

// fullFlow is the flow (as holds of the model have it) that the fan has at full speed; 0
// where it has not been there.
func fullFlow(c *survey.Case) units.Flow {
	most := units.Flow(0)
	for k := range c.Model.Holds {
		if f := c.Model.Holds[k].Fan; f != nil && c.Held[k].Hold.Full.Value {
			most = max(most, f.Flow)
		}
	}
	return most
}

// withinReach lowers the holds of proposals that the fan could not hold, and leaves out
// those that it cannot hold at all.
func withinReach(c *survey.Case, post *zonal.Posterior, list []proposal, log *survey.Log) ([]proposal, error) {
	full := fullFlow(c)
	if full == 0 {
		return list, nil
	}
	var kept []proposal
	for _, x := range list {
		at, ok, err := x.reachable(post, full)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", c.Sheet.File, err)
		}
		if !ok {
			log.Notice(survey.Note, "", "left out, for the fan, at full speed already, would not hold it: %s", x.What)
			continue
		}
		kept = append(kept, x.heldAt(c, at))
	}
	return kept, nil
}

// reachable is the highest pressure that the fan holds the house at in a proposal, as
// likely as not; its sign is that of the proposal.
func (x proposal) reachable(post *zonal.Posterior, full units.Flow) (units.Pressure, bool, error) {
	if len(x.candidate.Holds) == 0 || x.candidate.Holds[0].Fan == nil { // held there already, or at rest
		return 0, true, nil
	}
	wanted := x.candidate.Holds[0].House
	for _, p := range slices.Concat([]units.Pressure{units.Abs(wanted)}, easierHolds) {
		if p > units.Abs(wanted) {
			continue
		}
		need, err := post.FanNeeded(x.at(p).candidate)
		if err != nil {
			return 0, false, err
		}
		if need.Value <= full {
			return x.at(p).candidate.Holds[0].House, true, nil
		}
	}
	return 0, false, nil
}

// at is the proposal with the house held at a pressure, with its own sign.
func (x proposal) at(p units.Pressure) proposal {
	x.candidate.Holds = slices.Clone(x.candidate.Holds)
	h := &x.candidate.Holds[0]
	if h.House < 0 {
		p = -p
	}
	h.House = p
	return x
}

// heldAt is the proposal at a pressure, and says so where it is not the one that was wanted.
func (x proposal) heldAt(c *survey.Case, p units.Pressure) proposal {
	if p == 0 || p == x.candidate.Holds[0].House {
		return x
	}
	x = x.at(units.Abs(p))
	x.candidate.Holds[0].HouseSD = c.Gauge.PressureSD(p)
	x.Hold.House.Value = p
	x.How += fmt.Sprintf("; hold %s Pa, for the fan holds no more", units.Fixed(float64(units.Abs(p)), 0))
	return x
}
