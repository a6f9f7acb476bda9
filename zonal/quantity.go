package zonal

import "math"

// probe evaluates everything that is reported at one parameter vector: the
// holds as they were read, and the house as found at 50, 10 and 4 Pa.
type probe struct {
	*evaluator
	found  [3]*balance // as found, at the pressures of foundAt
	spare  *balance    // as found, for what would be sealed
	plan   holdPlan    // as found: nothing opened, sealed or blown
	held   holdState   // of the holds, at the parameters last looked at
	solved [3]bool     // which of found are
	seals  []sealed    // flows found already at those parameters
}

// holdState tells how far the holds have been solved.
type holdState int

const (
	holdsUntouched holdState = iota
	holdsSolved
	holdsUnsolvable
)

// foundAt are the pressures (Pa) the house as found is solved at: the reference
// pressure and those of the two leak areas of the standards.
var foundAt = [3]float64{Reference, 4, 10}

func newProbe(p *problem) *probe {
	e := &probe{evaluator: newEvaluator(p), plan: p.asFound()}
	for i := range e.found {
		e.found[i] = e.plan.balance()
	}
	e.spare = e.plan.balance()
	return e
}

// asFound is the plan of the house with nothing opened, sealed or blown.
func (p *problem) asFound() holdPlan {
	plan := holdPlan{direction: 1, spaces: len(p.model.Spaces)}
	if len(p.holds) > 0 {
		plan.direction = p.holds[p.order.holds[0]].direction
	}
	p.layEdges(&plan, &Hold{})
	return plan
}

// balance makes an empty network for the plan.
func (plan *holdPlan) balance() *balance {
	b := newBalance(plan.spaces)
	for _, ends := range plan.ends {
		b.addEdge(ends[0], ends[1])
	}
	return b
}

// load writes the sizes and exponents at x into a network of the plan.
func (plan *holdPlan) load(b *balance, x []float64) {
	for i := range plan.edges {
		b.edges[i].x, b.edges[i].n = plan.edges[i].value(x)
	}
}

// at looks at x: it solves the house as found at the reference pressure. The
// rest is solved when it is asked for; much that is asked has nothing to do with
// the holds or with other pressures.
func (p *probe) at(x []float64) bool {
	p.held, p.seals, p.solved = holdsUntouched, p.seals[:0], [3]bool{}
	return p.foundHouse(0, x) != nil
}

// foundHouse is the house as found at foundAt[i], nil where it could not be solved.
func (p *probe) foundHouse(i int, x []float64) *balance {
	b := p.found[i]
	if !p.solved[i] {
		p.plan.load(b, x)
		if i > 0 && p.solved[0] { // zones take nearly the same share of any house pressure
			b.startFrom(p.found[0])
		}
		if !b.solve(-p.plan.direction * foundAt[i]) {
			return nil
		}
		p.solved[i] = true
	}
	return b
}

// foundFlow is the flow into the house as found at foundAt[i].
func (p *probe) foundFlow(i int, x []float64) float64 {
	b := p.foundHouse(i, x)
	if b == nil {
		return math.NaN()
	}
	return math.Abs(b.fanFlow())
}

// solveHolds solves every hold at the parameters looked at.
func (p *probe) solveHolds(x []float64) bool {
	if p.held == holdsUntouched {
		p.held = holdsSolved
		for h := range p.problem.holds {
			if !p.solve(h, x) {
				p.held = holdsUnsolvable
				break
			}
		}
	}
	return p.held == holdsSolved
}

// cool makes the next solve of every network start from scratch.
func (p *probe) cool() {
	for _, b := range p.found {
		b.warm = false
	}
	for _, b := range p.nets {
		b.warm = false
	}
}

// misfit is the sum of squared residuals, in scores under the priors, at the
// parameters x looked at; NaN where a hold could not be solved.
func (p *probe) misfit(x []float64) float64 {
	if !p.solveHolds(x) {
		return math.NaN()
	}
	sum := 0.0
	for i := range p.problem.terms {
		r, _ := p.residual(&p.problem.terms[i], x)
		sum += r * r
	}
	for i, u := range p.problem.toScores(x) {
		if p.problem.unknowns[i].sd > 0 {
			sum += u * u
		}
	}
	return sum
}

// scaleKind is the scale on which a quantity is nearest to normal.
type scaleKind int

const (
	linearScale scaleKind = iota
	logScale
	logitScale
	// signedLogScale is the logarithm far from zero and straight at it, for flows
	// that are spread over factors and may vanish.
	signedLogScale
)

// straightBelow is the flow (m³/s) below which signedLogScale is straight: a fifth of a
// cfm, which no fan reading tells from none.
const straightBelow = 1e-4

// to maps a value to its scale; from is the inverse.
func (s scaleKind) to(v float64) float64 {
	switch s {
	case logScale:
		return math.Log(v)
	case logitScale:
		return math.Log(v / (1 - v))
	case signedLogScale:
		return math.Asinh(v / straightBelow)
	}
	return v
}

func (s scaleKind) from(v float64) float64 {
	switch s {
	case logScale:
		return math.Exp(v)
	case logitScale:
		return 1 / (1 + math.Exp(-v))
	case signedLogScale:
		return straightBelow * math.Sinh(v)
	}
	return v
}

// quantity is one number of the findings, as a function of the parameters and
// of the networks solved at them.
type quantity struct {
	scale scaleKind
	value func(p *probe, x []float64) float64
}

// foundFlow is the flow into the house as found, at foundAt[i], m³/s.
func foundFlow(i int) quantity {
	return quantity{logScale, func(p *probe, x []float64) float64 { return p.foundFlow(i, x) }}
}

// networkExponent is d ln Q/d ln P of the house as found at 50 Pa.
var networkExponent = quantity{linearScale, func(p *probe, _ []float64) float64 {
	b := p.found[0]
	return b.conductance() * math.Abs(b.p[House]) / math.Abs(b.fanFlow())
}}

// networkCoefficient is C of the power law through the flow of the house as found at
// 50 Pa, with its exponent there, m³/s at 1 Pa.
var networkCoefficient = quantity{logScale, func(p *probe, x []float64) float64 {
	return p.foundFlow(0, x) * math.Pow(Reference, -networkExponent.value(p, x))
}}

// conductance is d(fan flow)/d(house pressure) with the zones following.
func (b *balance) conductance() float64 {
	b.prepare()
	clear(b.step)
	total := 0.0
	for i := range b.edges {
		e := &b.edges[i]
		switch {
		case e.a == int(House):
			total += b.g[i]
			b.step[e.b] += b.g[i]
		case e.b == int(House):
			total += b.g[i]
			b.step[e.a] += b.g[i]
		}
	}
	copy(b.trial, b.step)
	b.backSolve(b.step[2:])
	for z := 2; z < len(b.p); z++ {
		total -= b.trial[z] * b.step[z]
	}
	return total
}

// pathFlow is the size of a path at the pressure P across it alone, m³/s.
func (p *problem) pathFlow(i int, across float64) quantity {
	e := p.pathEdge(i)
	return quantity{logScale, func(_ *probe, x []float64) float64 {
		var k edge
		k.x, k.n = e.value(x)
		q, _, _ := k.law(across)
		return q
	}}
}

func (p *problem) pathExponentOf(i int) quantity {
	e := p.pathEdge(i)
	return quantity{linearScale, func(_ *probe, x []float64) float64 {
		_, n := e.value(x)
		return n
	}}
}

// pathNow is what path i passes with the house as found held at 50 Pa.
func (p *problem) pathNow(i int) quantity {
	return quantity{logScale, func(pr *probe, _ []float64) float64 {
		return math.Abs(pr.found[0].q[pr.plan.paths[i]])
	}}
}

// connection is the connection fraction of a zone as found.
func connection(z SpaceID) quantity {
	return quantity{logitScale, func(p *probe, _ []float64) float64 {
		b := p.found[0]
		return b.p[z] / b.p[House]
	}}
}

// toHouse is the zone-to-house pressure as found at 50 Pa, a magnitude in Pa.
func toHouse(z SpaceID) quantity {
	return quantity{logScale, func(p *probe, _ []float64) float64 {
		b := p.found[0]
		return math.Abs(b.p[House] - b.p[z])
	}}
}

// throughFlow is the flow between house and zone, house held at 50 Pa as found.
func throughFlow(z SpaceID) quantity {
	return quantity{logScale, func(p *probe, _ []float64) float64 { return p.flowBetween(House, z) }}
}

// flowBetween is the flow between two spaces of the house as found at 50 Pa.
func (p *probe) flowBetween(a, b SpaceID) float64 {
	sum := 0.0
	for i, ends := range p.plan.ends {
		if samePair(ends[0], ends[1], a, b) {
			sum += math.Abs(p.found[0].q[i])
		}
	}
	return sum
}

// flowShare is the flow between house and space as a share of all that the house takes,
// held at 50 Pa as found. A share of all or nothing is kept off the ends of its scale.
func flowShare(house, space SpaceID) quantity {
	const edge = 1e-9
	return quantity{logitScale, func(p *probe, _ []float64) float64 {
		return min(max(p.flowBetween(house, space)/math.Abs(p.found[0].fanFlow()), edge), 1-edge)
	}}
}

// sizeRatio is the size of path i over that of path j at 50 Pa.
func (p *problem) sizeRatio(i, j int) quantity {
	a, b := p.pathFlow(i, Reference), p.pathFlow(j, Reference)
	return quantity{logScale, func(pr *probe, x []float64) float64 { return a.value(pr, x) / b.value(pr, x) }}
}

// openingFlow is the size of an opening at 50 Pa, m³/s.
func (p *problem) openingFlow(k int) quantity {
	e := p.openingEdge(k)
	return quantity{logScale, func(_ *probe, x []float64) float64 {
		size, _ := e.value(x)
		return math.Exp(size)
	}}
}

// predicted is what term i should have read: Pa, or m³/s on the instrument.
func (p *problem) predicted(i int) quantity {
	t := &p.terms[i]
	return quantity{linearScale, func(pr *probe, x []float64) float64 {
		if !pr.solveHolds(x) {
			return math.NaN()
		}
		r, _ := pr.residual(t, x)
		return t.predictedReading(r, x)
	}}
}
