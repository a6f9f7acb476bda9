package zonal

import (
	"errors"
	"math"

	"holdbook/internal/fit"
	"holdbook/units"
)

// FanNeeded is what the door fan would have to read in the first hold of a candidate, on
// its own instrument.
func (post *Posterior) FanNeeded(c Candidate) (units.Estimate[units.Flow], error) {
	var none units.Estimate[units.Flow]
	if err := post.check(); err != nil {
		return none, err
	}
	if len(c.Holds) == 0 || c.Holds[0].Fan == nil {
		return none, errNoFan
	}
	p, err := post.extended(c)
	if err != nil {
		return none, err
	}
	rows, weights := post.rows()
	rows, weights = thin(rows, weights, orderRows)
	shown := (&planner{post, Question{}}).shown(p, c.Trimmed, rows, 0)
	at := 0
	for k, i := range p.holds[len(post.problem.holds)].terms {
		if p.terms[i].kind == fanTerm {
			at = k
		}
	}
	var seen, w []float64
	for k, mu := range shown.mu {
		if mu != nil && units.Finite(mu[at]) {
			seen, w = append(seen, math.Exp(mu[at])), append(w, weights[k])
		}
	}
	if len(seen) == 0 {
		return none, errNoBalance
	}
	return flow(interval{Interval: fit.WeightedIntervalOf(seen, w)}), nil
}

// errNoFan is returned for a candidate in which the door fan is not read.
var errNoFan = errors.New("the candidate has no hold with the door fan read in it")
