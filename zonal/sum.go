package zonal

import (
	"fmt"
	"math"

	"holdbook/units"
)

// SumAt is what several paths pass together with the pressure at (Pa, above
// zero) across each of them: the leakage of a duct system to all that lies
// around it, say. Their errors go in as they hang together. Doubt is judged
// against the narrowest prior among the paths. The error names a path or a
// pressure that does not serve.
func (post *Posterior) SumAt(paths []int, at units.Pressure) (units.Estimate[units.Flow], Doubt, error) {
	if err := post.checkMode(); err != nil {
		return units.Estimate[units.Flow]{}, Doubt{}, err
	}
	p := post.problem
	if len(paths) == 0 || !positive(float64(at)) {
		return units.Estimate[units.Flow]{}, Doubt{}, fmt.Errorf("a sum needs paths and a pressure above zero")
	}
	var terms []quantity
	prior := math.Inf(1)
	for _, i := range paths {
		if i < 0 || i >= len(p.model.Paths) {
			return units.Estimate[units.Flow]{}, Doubt{}, fmt.Errorf("path %d is not of this model", i)
		}
		terms = append(terms, p.pathFlow(i, float64(at)))
		prior = math.Min(prior, p.model.Paths[i].Flow50.SDLn)
	}
	c := catalogue{}
	c.add(quantity{logScale, func(pr *probe, x []float64) float64 {
		sum := 0.0
		for _, t := range terms {
			sum += t.value(pr, x)
		}
		return sum
	}})
	if err := post.evaluate(&c); err != nil {
		return units.Estimate[units.Flow]{}, Doubt{}, err
	}
	return flow(c.out[0]), doubt(c.out[0], prior), nil
}
