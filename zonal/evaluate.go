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
}

func newEvaluator(p *problem) *evaluator {
	spaces, edges := len(p.model.Spaces), 0
	e := &evaluator{problem: p}
	for h := range p.holds {
		b := newBalance(spaces)
		for _, ends := range p.holds[h].ends {
			b.addEdge(ends[0], ends[1])
		}
		edges = max(edges, len(b.edges))
		e.nets = append(e.nets, b)
	}
	e.weight, e.through = make([]float64, spaces), make([]float64, edges)
	return e
}

// set writes the parameters x into the network of hold h.
func (e *evaluator) set(h int, x []float64) {
	plan, net := &e.problem.holds[h], e.nets[h]
	for i := range plan.edges {
		s := &plan.edges[i]
		net.edges[i].x, net.edges[i].n = s.value(x)
	}
	clear(net.source)
	for f, s := range plan.fanSlots {
		q := math.Exp(x[s])
		net.source[plan.fans[f].From] -= q
		net.source[plan.fans[f].To] += q
	}
}

func (s *edgeSlots) value(x []float64) (size, exponent float64) {
	size, exponent = s.base, s.known
	for _, k := range s.size {
		size += x[k]
	}
	if s.exponent != none {
		exponent = x[s.exponent]
	}
	return size, exponent
}

// solve brings the network of hold h to balance at x.
func (e *evaluator) solve(h int, x []float64) bool {
	e.set(h, x)
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
	case houseTerm:
		return (t.read - x[e.problem.holds[t.hold].house]) / t.sd, -1 / t.sd
	case pressureTerm:
		p := e.nets[t.hold].p
		return (t.read - (p[t.of] - p[t.to])) / t.sd, -1 / t.sd
	}
	v, s := 0.0, 0.0
	if t.kind == sourceTerm { // always positive: its logarithm serves however small it is
		v = x[t.source] - math.Log(t.read)
	} else {
		v, s = lnRatio(e.flowOf(t, x) / t.read)
	}
	for _, c := range t.cal {
		v += x[c]
	}
	return -v / t.sd, -s / (t.sd * t.read)
}

// predictedReading is what the term should have read, in Pa or in m³/s on the instrument, where
// its residual is r at the parameters x.
func (t *term) predictedReading(r float64, x []float64) float64 {
	if t.kind == houseTerm || t.kind == pressureTerm {
		return t.read - t.sd*r
	}
	v, factor := -t.sd*r, 1.0
	for _, c := range t.cal {
		v -= x[c]
		factor *= math.Exp(x[c])
	}
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
		w *= net.q[i]
		for _, j := range s.size {
			grad[j] += w
		}
		if s.exponent != none {
			grad[s.exponent] += w * net.lnDrop[i]
		}
	}
	lam[House] = fan
	for f, s := range plan.fanSlots {
		grad[s] += math.Exp(x[s]) * (lam[plan.fans[f].To] - lam[plan.fans[f].From])
	}
	grad[plan.house] += house
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
		e.weight[t.of] += w
		e.weight[t.to] -= w
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
		return
	case sourceTerm:
		grad[t.source] -= w / t.sd
	}
	for _, c := range t.cal {
		grad[c] -= w / t.sd
	}
}

// gradient adds the derivatives of a term's residual to a row of the Jacobian.
func (e *evaluator) gradient(t *term, x []float64, slope float64, row []float64) {
	e.ownGradient(t, x, 1, slope, row)
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
	e.adjoint(t.hold, x, e.weight, through, fan, row)
}

var errNoBalance = errors.New("the pressures of the zones could not be solved")
