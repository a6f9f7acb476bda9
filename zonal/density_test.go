package zonal

import "math"

// density is the posterior of a problem in the coordinates of a chart, up to a
// constant. It is not safe for concurrent use.
type density struct {
	*evaluator
	chart *chart
}

func newDensity(p *problem, loose []float64) *density {
	return &density{evaluator: newEvaluator(p), chart: newChart(p, loose)}
}

// Dim is the number of coordinates.
func (d *density) Dim() int { return len(d.problem.unknowns) }

// LogDensity returns the log posterior density at the coordinates u and fills
// its gradient. It is −Inf where u describes no house.
func (d *density) LogDensity(u, grad []float64) float64 {
	c := d.chart
	if !c.toModel(u, c.x) {
		return math.Inf(-1)
	}
	clear(c.gx)
	clear(c.gp)
	clear(grad)
	sum := d.chainLikelihood(c.x, c.gx)
	sum += d.logPrior(u, c.gx, grad)
	sum += c.lnJacobian(u, c.gx, c.gp, grad)
	c.pullBack(u, c.gx, c.gp, grad)
	if math.IsNaN(sum) {
		return math.Inf(-1)
	}
	return sum
}

// logPrior is the log prior density, up to a constant: of a coordinate that is
// a score under its prior, a standard normal; of a dependent size, its own.
func (d *density) logPrior(u, gx, grad []float64) float64 {
	sum := 0.0
	for i, v := range d.problem.unknowns {
		if v.sd == 0 {
			continue
		}
		if !d.chart.dependent[i] {
			sum -= 0.5 * u[i] * u[i]
			grad[i] -= u[i]
			continue
		}
		z := (d.chart.x[i] - v.mean) / v.sd
		sum -= 0.5 * z * z
		gx[i] -= z / v.sd
	}
	return sum
}

// chainLikelihood returns −½ Σ residual² over all readings and adds its gradient
// to grad. It returns −Inf when a network cannot be solved.
func (e *evaluator) chainLikelihood(x, grad []float64) float64 {
	sum := 0.0
	for h := range e.problem.holds {
		if !e.solve(h, x) {
			return math.Inf(-1)
		}
		clear(e.weight)
		clear(e.through)
		fan := 0.0
		for _, i := range e.problem.holds[h].terms {
			t := &e.problem.terms[i]
			r, slope := e.residual(t, x)
			sum -= 0.5 * r * r
			e.placeWeight(t, -r*slope, &fan)
			e.ownGradient(t, x, -r, slope, grad)
		}
		e.adjoint(h, x, e.weight, e.through[:len(e.nets[h].edges)], fan, grad)
	}
	return sum
}
