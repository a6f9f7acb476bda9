package zonal

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"holdbook/pressure"
	"holdbook/units"
)

// Tightness is the leakage of a house.
type Tightness struct {
	Flow50   units.Estimate[units.Flow]
	Exponent units.Estimate[units.Ratio] // between 4 and 50 Pa
	Area4    units.Estimate[units.Area]  // 4 Pa, coefficient 1
}

// Tightness is that of the house as found.
func (e *Estimate) Tightness() Tightness { return Tightness{e.Flow50, e.Exponent, e.Area4} }

// TightnessAfter is that of the house after the first steps of the order, all
// pressures solved again; steps 0 is the house as found.
func (plan *SealPlan) TightnessAfter(steps int) (Tightness, error) {
	paths, err := plan.sealedBy(steps)
	if err != nil {
		return Tightness{}, err
	}
	at := func(k int) func(p *probe, x []float64) float64 {
		return func(p *probe, x []float64) float64 { return p.sealedFlowAt(k, x, paths, plan.keep) }
	}
	var c catalogue
	flow50, area4 := c.add(quantity{logScale, at(0)}), c.add(quantity{logScale, at(1)})
	exponent := c.add(quantity{linearScale, func(p *probe, x []float64) float64 {
		return math.Log(at(0)(p, x)/at(1)(p, x)) / math.Log(foundAt[0]/foundAt[1])
	}})
	if err := plan.post.evaluate(&c); err != nil {
		return Tightness{}, err
	}
	m := plan.post.problem.model
	return Tightness{flow(c.out[flow50]), ratio(c.out[exponent]), area(c.out[area4], pressure.At4Pa, m.Air)}, nil
}

// sealedBy are the paths sealed by the first steps of the order.
func (plan *SealPlan) sealedBy(steps int) ([]int, error) {
	switch {
	case plan == nil || plan.post == nil:
		return nil, errors.New("there is no plan: make one with Posterior.Seal")
	case steps < 0 || steps > len(plan.order):
		return nil, fmt.Errorf("the order has %d steps, not %d", len(plan.order), steps)
	case steps == 0:
		return nil, nil
	}
	return plan.order[steps-1], nil
}

// ChancesBelow are the probabilities that the flow through the fan at 50 Pa is at most
// limit: of the house as found, and after each step of the order. It is the flow itself,
// without the error of a reading.
func (plan *SealPlan) ChancesBelow(limit units.Flow) []float64 {
	if plan == nil || plan.post == nil {
		return nil
	}
	list := []quantity{plan.sealedTo(nil)}
	for _, paths := range plan.order {
		list = append(list, plan.sealedTo(paths))
	}
	rows, weights := plan.post.rows()
	var chances []float64
	for _, flows := range plan.post.values(list, rows) {
		below, total := 0.0, 0.0
		for k, v := range flows {
			if !units.Finite(v) {
				continue
			}
			total += weights[k]
			if v <= float64(limit) {
				below += weights[k]
			}
		}
		chances = append(chances, chance(below, total))
	}
	return chances
}

// sealedTo is the flow of the house at 50 Pa once paths are sealed.
func (plan *SealPlan) sealedTo(paths []int) quantity {
	return quantity{logScale, func(p *probe, x []float64) float64 { return p.sealedFlow(x, paths, plan.keep) }}
}

// chance is a share of weights. What draws cannot tell from never is never.
func chance(part, total float64) float64 {
	const never = 1e-6
	p := part / total
	switch {
	case !(p > never): // nor where there is no weight at all
		return 0
	case p > 1-never:
		return 1
	}
	return p
}

// sealedFlow is the flow into the house as found at 50 Pa with a share keep of
// each listed path left open.
func (p *probe) sealedFlow(x []float64, paths []int, keep float64) float64 {
	return p.sealedFlowAt(0, x, paths, keep)
}

// sealedFlowAt is sealedFlow at one of the pressures of foundAt.
func (p *probe) sealedFlowAt(at int, x []float64, paths []int, keep float64) float64 {
	if len(paths) == 0 {
		return p.foundFlow(at, x)
	}
	for _, s := range p.seals {
		if s.at == at && s.keep == keep && slices.Equal(s.paths, paths) {
			return s.flow
		}
	}
	flow := p.solveSealed(at, x, paths, keep)
	p.seals = append(p.seals, sealed{at, paths, keep, flow})
	return flow
}

// sealed is a flow of the house with some paths sealed. Several quantities rest
// on the same one.
type sealed struct {
	at    int
	paths []int
	keep  float64
	flow  float64
}

func (p *probe) solveSealed(at int, x []float64, paths []int, keep float64) float64 {
	found, b := p.foundHouse(at, x), p.spare
	if found == nil {
		return math.NaN()
	}
	p.plan.load(b, x)
	left := math.Log(keep) // −Inf when all is sealed
	for _, i := range paths {
		b.edges[p.plan.paths[i]].x += left
	}
	b.startFrom(found)
	if !b.solve(-p.plan.direction * foundAt[at]) {
		return math.NaN()
	}
	return math.Abs(b.fanFlow())
}
