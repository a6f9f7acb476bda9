package zonal

import (
	"math"
	"slices"
)

// reference is the hold that the hand answer is taken from: the first with a fan
// reading and no further fan, else the first without a further fan. With the pressure of
// each zone as it was read, the size of one path of each space, its closing path,
// follows from the balance there, and that of one path of the house from the fan flow.
//
// Closing paths form a tree with outside at its root, so that their sizes follow one
// after the other.
type reference struct {
	problem *problem
	hold    int    // −1: none, or a space that no path of unknown size joins to a root
	fan     bool   // the house has a closing path too
	order   []int  // spaces that have one, leaves of the tree first
	closing []int  // closing edge of each space in the hold, -1
	slotOf  []slot // slot of its size
	net     *balance
}

// newReference plants the tree. rank tells which of several paths closes: the one
// of the highest.
func newReference(p *problem, rank []float64) *reference {
	r := &reference{problem: p, hold: -1}
	r.choose()
	spaces := len(p.model.Spaces)
	r.closing, r.slotOf = make([]int, spaces), make([]slot, spaces)
	for i := range spaces {
		r.closing[i], r.slotOf[i] = -1, none
	}
	if r.hold >= 0 {
		r.net = p.holds[r.hold].balance()
		r.plant(rank)
	}
	return r
}

func (r *reference) choose() {
	for _, h := range r.problem.order.holds {
		if plan := &r.problem.holds[h]; len(plan.fans) > 0 || plan.rest {
			continue
		}
		if r.hold < 0 {
			r.hold = h
		}
		if r.problem.model.Holds[h].Fan != nil {
			r.hold, r.fan = h, true
			return
		}
	}
}

// towardsOutside ranks paths to outside before those between zones, and those
// before the paths of the house.
func (p *problem) towardsOutside() []float64 {
	rank := make([]float64, len(p.model.Paths))
	for i, q := range p.model.Paths {
		switch {
		case q.A == Outside || q.B == Outside:
			rank[i] = 3
		case q.A != House && q.B != House:
			rank[i] = 2
		default:
			rank[i] = 1
		}
	}
	return rank
}

// plant grows the tree from outside, the path of the highest rank first (Prim's
// algorithm). Without a fan reading the house is a second root.
func (r *reference) plant(rank []float64) {
	in := make([]bool, len(r.closing))
	in[Outside], in[House] = true, !r.fan
	for r.closeNext(in, rank) {
	}
	slices.Reverse(r.order)
	if r.fan && !in[House] || slices.Contains(in[2:], false) {
		r.hold, r.fan, r.order = -1, false, nil // a pressure would have to be solved
	}
}

// closeNext joins one more space to the tree by the highest path that can.
func (r *reference) closeNext(in []bool, rank []float64) bool {
	plan := &r.problem.holds[r.hold]
	best, child := -1, 0
	for _, i := range r.problem.order.paths {
		e := plan.paths[i]
		if e < 0 || r.problem.size[i] == none || r.problem.like[i] >= 0 || best >= 0 && rank[i] <= rank[best] {
			continue
		}
		switch a, b := int(plan.ends[e][0]), int(plan.ends[e][1]); {
		case in[a] && !in[b]:
			best, child = i, b
		case in[b] && !in[a]:
			best, child = i, a
		}
	}
	if best < 0 {
		return false
	}
	in[child] = true
	r.closing[child], r.slotOf[child] = plan.paths[best], r.problem.size[best]
	r.order = append(r.order, child)
	return true
}

// closeAll sets the sizes of the closing paths in x, space by space, from the balances:
// the house at its pressure in x, each zone at its fraction of that, and the fan flow fan
// (m³/s) where there is one. It reports false where that is no house: a zone whose flows
// would have to run against the pressure, or more through-flow than the fan carries.
func (r *reference) closeAll(x, fraction []float64, fan float64) bool {
	plan, net := &r.problem.holds[r.hold], r.net
	net.p[House], net.p[Outside] = x[plan.house], 0
	for _, z := range r.order {
		if z != int(House) {
			net.p[z] = x[plan.house] * fraction[z]
		}
	}
	plan.load(net, x)
	for _, e := range r.closing {
		if e >= 0 {
			net.edges[e].x = math.Inf(-1) // no flow until it is known
		}
	}
	net.flows(net.p)
	if r.fan {
		net.excess[House] -= plan.direction * fan
	}
	for _, z := range r.order {
		if !r.closeOne(z, net.excess[z], x) {
			return false
		}
	}
	return true
}

// closeOne gives the closing edge of space z the flow that carries its excess
// away, and hands that flow on to the space at the other end.
func (r *reference) closeOne(z int, excess float64, x []float64) bool {
	net, e := r.net, r.closing[z]
	k := &net.edges[e]
	d := net.p[k.a] - net.p[k.b]
	q := excess // flow out of z through the edge
	if k.b == z {
		q = -q
	}
	if !(q*d > 0) {
		return false
	}
	k.x = 0
	unit, g, _ := k.law(d)
	k.x = math.Log(q / unit)
	net.q[e], net.g[e] = q, g*q/unit
	net.excess[k.a] -= q
	net.excess[k.b] += q
	x[r.slotOf[z]] = k.x
	return true
}

// starts are parameter vectors to search from, the likeliest first: the hand answer of
// the reference hold with everything else at its prior median, where there is one, the
// prior medians, and both with openings that the fan can feed.
func (p *problem) starts() [][]float64 {
	list := p.medianStarts()
	for _, x := range list {
		if fed, smaller := p.fedByTheFan(x); smaller {
			list = append(list, fed)
		}
	}
	return list
}

// fedByTheFan is x with no opening larger than what the fan carried in a hold it was
// opened in; smaller tells whether one had to shrink.
func (p *problem) fedByTheFan(x []float64) (fed []float64, smaller bool) {
	fed = slices.Clone(x)
	for _, h := range p.order.holds {
		hold := &p.model.Holds[h]
		if hold.Fan == nil {
			continue
		}
		for _, k := range hold.Opened {
			most := math.Log(float64(hold.Fan.Flow))
			if s := p.opening[k]; s != none && p.model.Openings[k].Area == 0 && fed[s] > most {
				fed[s], smaller = most, true
			}
		}
	}
	return fed, smaller
}

// medianStarts are the starts with openings of their median sizes.
func (p *problem) medianStarts() [][]float64 {
	prior := make([]float64, len(p.unknowns))
	for i, u := range p.unknowns {
		prior[i] = u.mean
	}
	r := newReference(p, p.towardsOutside())
	if r.hold < 0 {
		return [][]float64{prior}
	}
	fraction, fan := make([]float64, len(p.model.Spaces)), 0.0
	for _, z := range r.order {
		fraction[z] = p.fractionRead(r.hold, SpaceID(z))
	}
	if r.fan {
		fan = float64(p.model.Holds[r.hold].Fan.Flow)
	}
	// a size too large for the fan leaves the house–outside path nothing: take
	// smaller ones
	x := slices.Clone(prior)
	for range 12 {
		if r.closeAll(x, fraction, fan) {
			return [][]float64{x, prior}
		}
		for i, u := range p.unknowns {
			if u.kind == pathSize {
				x[i] -= 0.3 * u.sd // what closes is set anew
			}
		}
	}
	return [][]float64{prior}
}

// fractionRead is a zone's pressure, over that of the house, as read in a hold, or a half.
func (p *problem) fractionRead(h int, z SpaceID) float64 {
	hold := &p.model.Holds[h]
	for _, i := range p.order.read[h] {
		r := hold.Read[i]
		v := float64(r.Pressure / hold.House)
		switch {
		case r.Of == z && r.To == House:
			v++
		case r.Of == House && r.To == z:
			v = 1 - v
		case r.Of == z && r.To == Outside:
		case r.Of == Outside && r.To == z:
			v = -v
		default:
			continue
		}
		return min(max(v, 0.002), 0.998)
	}
	return 0.5
}
