package zonal

import (
	"fmt"
	"math"
)

// shownTable is what the readings of a candidate would show at every row, on
// the scale on which their errors are normal, with those errors' sd.
type shownTable struct {
	mu     [][]float64 // a row a draw; nil where the house could not be solved
	sd     []float64
	stream uint64 // of the random numbers
}

// shownBy predicts the readings of every candidate.
func (n *planner) shownBy(list []Candidate, rows [][]float64) ([]*shownTable, error) {
	problems, stack := make([]*problem, len(list)), n.post.problem.visits[0].stack
	for i, c := range list {
		p, err := n.post.extended(c)
		if err != nil {
			return nil, fmt.Errorf("candidate %d: %w", i+1, err)
		}
		problems[i] = p
	}
	out := make([]*shownTable, len(list))
	n.post.workers.each(len(list), func(i int) {
		out[i] = n.shown(problems[i], list[i].Trimmed, rows, uint64(i))
		if list[i].StackSD > 0 && stack != none {
			out[i].readStack(rows, stack, list[i].StackSD)
		}
	})
	return out, nil
}

// readStack adds that the stack of the house is known to within an sd.
func (s *shownTable) readStack(rows [][]float64, stack slot, sd float64) {
	s.sd = append(s.sd, sd)
	for k, x := range rows {
		if s.mu[k] != nil {
			s.mu[k] = append(s.mu[k], x[stack])
		}
	}
}

// extended is the problem with the candidate's holds added.
func (post *Posterior) extended(c Candidate) (*problem, error) {
	m := *post.problem.model
	m.Openings = append(append([]Opening(nil), m.Openings...), c.Openings...)
	m.Paths = append(append([]Path(nil), m.Paths...), c.Paths...)
	m.Holds = append(append([]Hold(nil), m.Holds...), c.Holds...)
	return compile(&m)
}

// shown predicts the readings of the holds that p has beyond post's problem, at
// every row; what those holds bring that is new is drawn from its prior.
func (n *planner) shown(p *problem, trimmed bool, rows [][]float64, stream uint64) *shownTable {
	first := len(n.post.problem.holds)
	e := newEvaluator(p)
	s := &shownTable{mu: make([][]float64, len(rows)), stream: stream}
	for h := first; h < len(p.holds); h++ {
		for _, i := range p.holds[h].terms {
			s.sd = append(s.sd, p.terms[i].sd)
		}
	}
	from := p.places(n.post.problem)
	normal := newNormals(n.post.seed + stream + 1)
	shared := newNormals(n.post.seed) // what candidates have in common is drawn alike for all
	x := make([]float64, len(p.unknowns))
	for k, row := range rows {
		p.carryOver(x, row, from, normal)
		if common := shared(); p.coefficient != none && from[p.coefficient] < 0 {
			x[p.coefficient] = p.unknowns[p.coefficient].sd * common
		}
		mu := make([]float64, 0, len(s.sd))
		for h := first; h < len(p.holds) && mu != nil; h++ {
			mu = e.read(h, x, trimmed, normal, mu)
		}
		s.mu[k] = mu
	}
	return s
}

// read appends what the readings of hold h would show at x; nil where the house
// cannot be solved or its fan would have to run backwards.
func (e *evaluator) read(h int, x []float64, trimmed bool, normal func() float64, mu []float64) []float64 {
	plan := &e.problem.holds[h]
	level := -1 // the zone that reads no pressure to the house
	if trimmed && len(plan.fans) > 0 && e.trim(h, x, e.trimError(h)*normal()) {
		level = int(plan.served())
	}
	if !e.solve(h, x) || !plan.rest && plan.direction*e.nets[h].fanFlow() <= 0 {
		return nil
	}
	for _, i := range plan.terms {
		t := &e.problem.terms[i]
		if t.kind == pressureTerm && level >= 0 && e.between(t, level) {
			mu = append(mu, 0) // it was trimmed to read this
			continue
		}
		mu = append(mu, e.shows(t, x))
	}
	return mu
}

// served is the zone that the first further fan of a hold holds level.
func (plan *holdPlan) served() SpaceID {
	if f := plan.fans[0]; f.From > Outside {
		return f.From
	}
	return plan.fans[0].To
}

// between tells whether a pressure term is of a zone against the house.
func (e *evaluator) between(t *term, zone int) bool {
	return t.of == zone && t.to == int(House) || t.to == zone && t.of == int(House)
}

// trimError is the sd of the pressure reading that a fan is trimmed by, in Pa.
func (e *evaluator) trimError(h int) float64 {
	zone := int(e.problem.holds[h].served())
	for _, i := range e.problem.holds[h].terms {
		if t := &e.problem.terms[i]; t.kind == pressureTerm && e.between(t, zone) {
			return t.sd
		}
	}
	return 0
}

// The flows (m³/s) between which a fan can be trimmed: the least it can measure,
// and that of a door fan of the usual size.
var leastTrim, mostTrim = 2e-3, fromCFM(5000)

// trim sets the flow of the first further fan of hold h in x so that its zone is
// off the house by that many pascals. It is false where the fan cannot do so, and
// then blows all it can, or as little.
func (e *evaluator) trim(h int, x []float64, off float64) bool {
	plan, net := &e.problem.holds[h], e.nets[h]
	slot, zone := plan.fanSlots[0], plan.served()
	excess := func(ln float64) float64 {
		x[slot] = ln
		if !e.solve(h, x) {
			return math.NaN()
		}
		return plan.direction * (net.p[zone] - net.p[House] - off)
	}
	low, high := math.Log(leastTrim), math.Log(float64(mostTrim))
	if !(excess(high) < 0) {
		return false
	}
	if !(excess(low) > 0) {
		return false
	}
	const halvings = 22 // to 1e-5 of the flow
	for range halvings {
		if mid := (low + high) / 2; excess(mid) > 0 {
			low = mid
		} else {
			high = mid
		}
	}
	x[slot] = (low + high) / 2
	return true
}

// places tells for each unknown of p where the other problem has it, or −1.
func (p *problem) places(other *problem) []int {
	type key struct {
		kind       unknownKind
		index, sub int
	}
	at := map[key]int{}
	for j, v := range other.unknowns {
		at[key{v.kind, v.index, v.sub}] = j
	}
	from := make([]int, len(p.unknowns))
	for i, u := range p.unknowns {
		if j, ok := at[key{u.kind, u.index, u.sub}]; ok {
			from[i] = j
		} else {
			from[i] = -1
		}
	}
	return from
}

// shows is what a term would read without its own error: Pa, or the logarithm of
// a flow on the instrument.
func (e *evaluator) shows(t *term, x []float64) float64 {
	switch t.kind {
	case houseTerm, pressureTerm:
		return e.shownPressure(t, x)
	}
	return lnAtLeast(e.flowOf(t, x)) + t.instrument(x)
}
