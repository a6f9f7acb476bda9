package zonal

import (
	"errors"
	"math"
)

// evaluator holds the buffers for evaluating a problem at one parameter vector
// after another. It is not safe for concurrent use.
type evaluator struct {
	problem *problem
	nets    []*balance
	weight  []float64 // ∂L/∂p of each space
	through []float64 // ∂L/∂q of each edge, of measured path flows
	// atRest is ∂L/∂p of each space in each hold at rest, of readings less those there; nil
	// of other holds.
	atRest [][]float64
}

func newEvaluator(p *problem) *evaluator {
	spaces, edges := len(p.model.Spaces), 0
	e := &evaluator{problem: p}
	for h := range p.holds {
		b := p.holds[h].balance()
		spaces, edges = max(spaces, len(b.p)), max(edges, len(b.edges))
		e.nets, e.atRest = append(e.nets, b), append(e.atRest, nil)
		if p.holds[h].rest {
			e.atRest[h] = make([]float64, len(b.p))
		}
	}
	e.weight, e.through = make([]float64, spaces), make([]float64, edges)
	return e
}

// set writes the parameters x into the network of hold h.
func (e *evaluator) set(h int, x []float64) {
	plan, net := &e.problem.holds[h], e.nets[h]
	plan.load(net, x)
	for i := range plan.edges {
		net.edges[i].w = plan.edges[i].shift.value(x)
	}
	clear(net.source)
	for f, s := range plan.fanSlots {
		q := math.Exp(x[s])
		net.source[plan.node(plan.fans[f].From)] -= q
		net.source[plan.node(plan.fans[f].To)] += q
	}
}

func (s *edgeSlots) value(x []float64) (size, exponent float64) {
	size, exponent = s.base, s.known
	for _, k := range s.size {
		size += x[k]
	}
	if s.half != 0 {
		size += s.half * x[s.oneWay]
	}
	if s.exponent != none {
		exponent = x[s.exponent]
	}
	return size, exponent
}

// adjointSize adds to grad the gradient of a function of the parameters whose derivative with
// respect to the logarithm of the edge's size is by.
func (s *edgeSlots) adjointSize(by float64, grad []float64) {
	for _, j := range s.size {
		grad[j] += by
	}
	if s.half != 0 {
		grad[s.oneWay] += s.half * by
	}
}

// solve brings the network of hold h to balance at x.
func (e *evaluator) solve(h int, x []float64) bool {
	e.set(h, x)
	if e.problem.holds[h].rest {
		return e.nets[h].solve(0) // of a node that nothing is joined to
	}
	return e.nets[h].solve(x[e.problem.holds[h].house])
}

// straightFrom is where lnRatio goes over into a straight line.
const straightFrom = 1e-3

// lnRatio is ln y, continued in a straight line below y = 1/1000, so that a model
// flow of the wrong sign still tells which way to go. The line begins that low because a
// flow far too small must cost more than any reading written ten times too large: else
// one slip in a fan flow would pull the house below every reading.
func lnRatio(y float64) (v, slope float64) {
	if y >= straightFrom {
		return math.Log(y), 1 / y
	}
	return math.Log(straightFrom) + (y-straightFrom)/straightFrom, 1 / straightFrom
}

// fromLnRatio is the inverse of lnRatio.
func fromLnRatio(v float64) float64 {
	if v >= math.Log(straightFrom) {
		return math.Exp(v)
	}
	return straightFrom + straightFrom*(v-math.Log(straightFrom))
}

// flowOf is the flow a term measures, at the solution of its hold, and the
// factor of its calibrations.
func (e *evaluator) flowOf(t *term, x []float64) float64 {
	net := e.nets[t.hold]
	switch t.kind {
	case fanTerm:
		return e.problem.holds[t.hold].direction * net.fanFlow()
	case sourceTerm:
		return math.Exp(x[t.source])
	}
	q := 0.0
	for i, k := range t.through {
		q += t.sign[i] * net.q[k]
	}
	return q
}

// residual is (reading − prediction)/sd of a term at the solution of its hold.
// slope is its derivative with respect to the pressure or flow predicted; that of
// a further fan's own flow is taken with the unknown itself, see ownGradient.
func (e *evaluator) residual(t *term, x []float64) (r, slope float64) {
	switch t.kind {
	case houseTerm, pressureTerm:
		return (t.read - e.shownPressure(t, x)) / t.sd, -1 / t.sd
	}
	v, s := 0.0, 0.0
	if t.kind == sourceTerm { // always positive: its logarithm serves however small it is
		v = x[t.source] - math.Log(t.read)
	} else {
		v, s = lnRatio(e.flowOf(t, x) / t.read)
	}
	v += t.instrument(x)
	return -v / t.sd, -s / (t.sd * t.read)
}

// shownPressure is what a gauge shows for a pressure term at the solution of its hold, Pa.
func (e *evaluator) shownPressure(t *term, x []float64) float64 {
	v := e.pressureIn(t.hold, t, x)
	if t.zero != none {
		v += x[t.zero]
	}
	if t.less >= 0 {
		v -= e.pressureIn(t.less, t, x)
	}
	return v
}

// pressureIn is the pressure that a term reads in a hold, its own or one at rest.
func (e *evaluator) pressureIn(h int, t *term, x []float64) float64 {
	plan, p := &e.problem.holds[h], e.nets[h].p
	if t.kind == houseTerm && !plan.rest {
		return x[plan.house]
	}
	return p[plan.node(SpaceID(t.of))] - p[plan.node(SpaceID(t.to))]
}

// instrument is the logarithm of what a flow instrument shows over what flows.
func (t *term) instrument(x []float64) float64 {
	v := t.corrected
	for _, c := range t.cal {
		v += x[c]
	}
	if t.stack != none {
		v += t.perStack * x[t.stack]
	}
	return v
}

// predictedReading is what the term should have read, in Pa or in m³/s on the instrument, where
// its residual is r at the parameters x.
func (t *term) predictedReading(r float64, x []float64) float64 {
	if !t.isFlow() {
		return t.read - t.sd*r
	}
	instrument := t.instrument(x)
	v, factor := -t.sd*r-instrument, math.Exp(instrument)
	if t.kind == sourceTerm {
		return t.read * factor * math.Exp(v)
	}
	return t.read * factor * fromLnRatio(v)
}

// adjoint adds to grad the gradient of the sum over the hold's terms of w·(what
// the term predicts), w being ∂L/∂residual·slope as left in weight, fan and
// through (nil for none). It is the adjoint of the implicit function theorem: one solve with
// the conductance matrix, whatever the number of parameters.
func (e *evaluator) adjoint(h int, x, weight, through []float64, fan float64, grad []float64) {
	plan, net := &e.problem.holds[h], e.nets[h]
	net.prepare()
	lam := net.step // a multiplier for each space's balance
	copy(lam, weight)
	for i, t := range through {
		// weights of flows are weights of the pressures they depend on
		k := &net.edges[i]
		w := t * net.g[i]
		lam[k.a] += w
		lam[k.b] -= w
	}
	house := lam[House]
	if fan != 0 {
		house += e.adjointFan(net, lam, fan)
	}
	net.backSolve(lam[2:])
	lam[House], lam[Outside] = 0, 0
	for i := range net.edges {
		k, s := &net.edges[i], &plan.edges[i]
		la, lb := lam[k.a], lam[k.b]
		if k.a == int(House) {
			house += lb * net.g[i]
			la = fan
		} else if k.b == int(House) {
			house += la * net.g[i]
			lb = fan
		}
		w := lb - la
		if through != nil {
			w += through[i]
		}
		s.shift.adjoint(w*net.g[i], grad)
		w *= net.q[i]
		s.adjointSize(w, grad)
		if s.exponent != none {
			grad[s.exponent] += w * net.lnDrop[i]
		}
	}
	lam[House] = fan
	for f, s := range plan.fanSlots {
		grad[s] += math.Exp(x[s]) * (lam[plan.node(plan.fans[f].To)] - lam[plan.node(plan.fans[f].From)])
	}
	if !plan.rest {
		grad[plan.house] += house
	}
}

// adjointFan adds to lam the weight fan of the flow out of the house, and returns
// what it adds to the weight of the house pressure.
func (e *evaluator) adjointFan(net *balance, lam []float64, fan float64) (house float64) {
	for i := range net.edges {
		k, w := &net.edges[i], fan*net.g[i]
		switch int(House) {
		case k.a:
			lam[k.b] += w
			house -= w
		case k.b:
			lam[k.a] += w
			house -= w
		}
	}
	return house
}

// placeWeight puts the weight w of a term's prediction where adjoint reads it.
func (e *evaluator) placeWeight(t *term, w float64, fan *float64) {
	switch t.kind {
	case pressureTerm:
		plan := &e.problem.holds[t.hold]
		e.weight[plan.node(SpaceID(t.of))] += w
		e.weight[plan.node(SpaceID(t.to))] -= w
	case fanTerm:
		*fan += w * e.problem.holds[t.hold].direction
	case flowTerm:
		for i, k := range t.through {
			e.through[k] += w * t.sign[i]
		}
	}
}

// ownGradient adds the part of a term's gradient that does not go through the
// network; w multiplies the residual's own derivative.
func (e *evaluator) ownGradient(t *term, x []float64, w, slope float64, grad []float64) {
	switch t.kind {
	case houseTerm:
		grad[e.problem.holds[t.hold].house] += w * slope
	case sourceTerm:
		grad[t.source] -= w / t.sd
	}
	for _, c := range t.cal {
		grad[c] -= w / t.sd
	}
	if t.stack != none {
		grad[t.stack] -= w * t.perStack / t.sd
	}
	if t.zero != none {
		grad[t.zero] += w * slope
	}
}

// gradient adds the derivatives of a term's residual to a row of the Jacobian.
func (e *evaluator) gradient(t *term, x []float64, slope float64, row []float64) {
	e.ownGradient(t, x, 1, slope, row)
	if t.less >= 0 {
		e.restGradient(t, x, -slope, row)
	}
	if t.kind == houseTerm || t.kind == sourceTerm {
		return
	}
	clear(e.weight)
	var through []float64
	if t.kind == flowTerm {
		through = e.through[:len(e.nets[t.hold].edges)]
		clear(through)
	}
	fan := 0.0
	e.placeWeight(t, slope, &fan)
	e.adjoint(t.hold, x, e.weight[:e.problem.holds[t.hold].spaces], through, fan, row)
}

// restGradient adds w times the gradient of what a term reads at rest.
func (e *evaluator) restGradient(t *term, x []float64, w float64, row []float64) {
	plan := &e.problem.holds[t.less]
	clear(e.weight)
	e.weight[plan.node(SpaceID(t.of))] += w
	e.weight[plan.node(SpaceID(t.to))] -= w
	e.adjoint(t.less, x, e.weight[:plan.spaces], nil, 0, row)
}

// logLikelihood is minus half the sum of the squared residuals of the readings at x, and
// adds its gradient to grad; −Inf where a hold cannot be solved. Holds at rest come
// last: readings less what was read in them weigh on their pressures.
func (e *evaluator) logLikelihood(x, grad []float64) float64 {
	for h := range e.problem.holds {
		if !e.solve(h, x) {
			return math.Inf(-1)
		}
		clear(e.atRest[h])
	}
	sum := 0.0
	for _, rest := range []bool{false, true} {
		for h := range e.problem.holds {
			if e.problem.holds[h].rest == rest {
				sum += e.addHold(h, x, grad)
			}
		}
	}
	return sum
}

// addHold is the part of logLikelihood that is read in a hold.
func (e *evaluator) addHold(h int, x, grad []float64) (sum float64) {
	plan := &e.problem.holds[h]
	weight, through := e.weight[:plan.spaces], e.through[:len(plan.edges)]
	clear(weight)
	copy(weight, e.atRest[h])
	clear(through)
	fan := 0.0
	for _, i := range plan.terms {
		t := &e.problem.terms[i]
		r, slope := e.residual(t, x)
		sum -= 0.5 * r * r
		e.placeWeight(t, -r*slope, &fan)
		e.ownGradient(t, x, -r, slope, grad)
		if t.less >= 0 {
			rest := &e.problem.holds[t.less]
			e.atRest[t.less][rest.node(SpaceID(t.of))] += r * slope
			e.atRest[t.less][rest.node(SpaceID(t.to))] -= r * slope
		}
	}
	e.adjoint(h, x, weight, through, fan, grad)
	return sum
}

var errNoBalance = errors.New("the pressures of the zones could not be solved")
