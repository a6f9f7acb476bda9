package zonal

import (
	"math"

	"holdbook/internal/fit"
	"holdbook/units"
)

// What a hole of known size should do to a zone (facts of the added-opening
// method): move its pressure by enough to be told from the error of a reading,
// and leave enough of it on both sides to be read at all, in Pa.
const (
	leastMove = 8.0
	leastLeft = 3.0
)

// HoleSize is a hole to be added beside a zone, and what is expected of it with
// the house at 50 Pa.
type HoleSize struct {
	Area    units.Area
	ToHouse units.Estimate[units.Pressure] // of the zone, a magnitude
	Chance  float64                        // that it moves the zone enough, and not too far
}

// HoleFor chooses, from areas that are easy to make, the hole between a zone and
// another space that is likeliest to move the zone's pressure by 8 Pa or more and
// to leave 3 Pa on either side of it. The first of equals is taken, so list the
// smaller first.
func (post *Posterior) HoleFor(zone, to SpaceID, areas []units.Area) (HoleSize, error) {
	if err := post.check(); err != nil {
		return HoleSize{}, err
	}
	if err := post.problem.model.checkHole(zone, to, areas); err != nil {
		return HoleSize{}, err
	}
	rows, weights := post.rows()
	rows, weights = thin(rows, weights, orderRows)
	found := post.zonePressures(zone, to, 0, rows)
	best := HoleSize{Chance: -1}
	for _, a := range areas {
		h := HoleSize{Area: a}
		var seen, w []float64
		for k, p := range post.zonePressures(zone, to, a, rows) {
			if !units.Finite(p) || !units.Finite(found[k]) {
				continue
			}
			seen, w = append(seen, p), append(w, weights[k])
			if math.Abs(p-found[k]) >= leastMove && p >= leastLeft && Reference-p >= leastLeft {
				h.Chance += weights[k]
			}
		}
		if len(seen) == 0 {
			return HoleSize{}, errNoBalance
		}
		h.ToHouse = pressureOf(interval{Interval: fit.WeightedIntervalOf(seen, w)})
		if h.Chance > best.Chance+1e-9 {
			best = h
		}
	}
	return best, nil
}

// zonePressures is the zone-to-house pressure at 50 Pa, a magnitude, of the house as
// found but for a hole of area a; area 0 is no hole. NaN where it has none.
func (post *Posterior) zonePressures(zone, to SpaceID, a units.Area, rows [][]float64) []float64 {
	m, plan := post.problem.model, post.problem.asFound()
	if a > 0 {
		plan.ends = append(plan.ends, [2]SpaceID{zone, to})
		plan.edges = append(plan.edges, edgeSlots{base: math.Log(sharpFlow(a, commonCd, m.Air)), exponent: none, known: sharpExponent})
	}
	b := plan.balance()
	out := make([]float64, len(rows))
	for k, x := range rows {
		plan.load(b, x)
		out[k] = math.NaN()
		if b.solve(-plan.direction * Reference) {
			out[k] = math.Abs(b.p[House] - b.p[zone])
		}
	}
	return out
}
