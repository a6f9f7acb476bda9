package zonal

import (
	"math"

	"holdbook/pressure"
)

// Reference is the pressure at which the size of a leak is stated, in pascals.
const Reference = pressure.ReferencePressure

// rounding (Pa) is ε of the law of a leak: its derivative stays finite where the pressure
// vanishes, and from 1 Pa on the flow is within a thousandth of the power law's.
const rounding = 0.05

const (
	maxNewton = 80
	// chordRate is how much smaller a step must be than the one before for the
	// last factor to serve again, after flows that changed but little.
	chordRate = 0.05
	// stepDone is the pressure change (Pa) of a full Newton step after which
	// what is left is a thousandth of it at most, and in most solves a millionth;
	// leftDone is what a zone's balance may then lack, as a share of the largest flow: where
	// a wide leak has next to no pressure across it a step says little.
	stepDone, leftDone = 1e-6, 1e-10
	// stepDoneOfDraw and leftOfDraw are the same for the perturbed problem behind a draw,
	// which is solved to a hundredth of a standard deviation itself.
	stepDoneOfDraw, leftOfDraw = 3e-4, 1e-5
	// leastStep is a step (Pa) after which nothing is left but rounding errors.
	leastStep = 1e-9
	// bleed is a numerical leak (m³/s per Pa) that keeps the balance of a zone
	// sealed on all sides solvable. The smallest leak of a house is a thousand
	// million times larger.
	bleed = 1e-15
)

// edge is one leak or opening of a hold in the form the solver reads.
type edge struct {
	a, b int     // spaces; flow is positive from a to b
	x, n float64 // ln of the flow at Reference (m³/s), exponent
	w    float64 // what weather adds to the pressure difference, Pa
}

// law returns the flow through an edge at the pressure difference d, its derivative with
// respect to d, and ∂ ln q/∂n. The power law is rounded off about zero, where its
// derivative would be infinite:
//
//	Q = C·Δp·(Δp² + ε²)^((n−1)/2)
func (e *edge) law(d float64) (q, g, lnDrop float64) {
	s := d*d + rounding*rounding
	lnDrop = 0.5*math.Log(s) - lnReference
	perPa := math.Exp(e.x+e.n*lnDrop) / math.Sqrt(s)
	return d * perPa, perPa * (1 + (e.n-1)*d*d/s), lnDrop
}

// nearby is how small a relative change of Δp² + ε² must be for lawNear to serve: the
// terms it leaves out are below rounding errors.
const nearby = 4e-3

// lawNear is law at the pressure difference d, from its values at the difference
// last, where that is nearby: five terms of the binomial series cost a third of
// a logarithm and an exponential. It reports false, and changes nothing, where it is not.
func (e *edge) lawNear(d, last float64, q, g, lnDrop *float64) bool {
	before, now := last*last+rounding*rounding, d*d+rounding*rounding
	x := (now - before) / before
	if !(math.Abs(x) < nearby) {
		return false
	}
	k := (e.n - 1) / 2
	perPa := *g / (1 + 2*k*last*last/before)
	perPa *= 1 + k*x*(1+(k-1)/2*x*(1+(k-2)/3*x*(1+(k-3)/4*x*(1+(k-4)/5*x))))
	*q, *g = d*perPa, perPa*(1+2*k*d*d/now)
	*lnDrop += x / 2 * (1 - x*(1./2-x*(1./3-x*(1./4-x/5))))
	return true
}

var lnReference = math.Log(Reference)

// lnDropAt is ln (√(Δp² + ε²)/50 Pa), which is ∂ ln q/∂n of an edge at the pressure
// difference d.
func lnDropAt(d float64) float64 { return 0.5*math.Log(d*d+rounding*rounding) - lnReference }

// balance is the network of one hold: house and outside at fixed pressures,
// zones where their flows balance. Its buffers are reused from one solve to the
// next; it starts from the pressures of the last one.
type balance struct {
	edges  []edge
	source []float64 // net flow blown into each space by further fans, m³/s
	p      []float64 // pressure of each space with reference to outside, Pa
	q, g   []float64 // flow and conductance of each edge at p
	lnDrop []float64 // ∂ ln q/∂n of each edge at p
	drop   []float64 // pressure difference of each edge at p
	near   bool      // the last step changed every difference but little

	zones   int
	done    float64   // stepDone, or stepDoneOfDraw
	left    float64   // leftDone, or leftOfDraw
	chol    []float64 // lower Cholesky factor of the conductance matrix
	excess  []float64 // net inflow of each space at p
	step    []float64
	trial   []float64
	warm    bool
	factors bool // chol belongs to p
}

func newBalance(spaces int) *balance {
	z := spaces - 2
	return &balance{
		source: make([]float64, spaces), p: make([]float64, spaces), excess: make([]float64, spaces),
		step: make([]float64, spaces), trial: make([]float64, spaces),
		zones: z, done: stepDone, left: leftDone, chol: make([]float64, z*z),
	}
}

// addEdge makes room for one more edge between two spaces.
func (b *balance) addEdge(from, to SpaceID) {
	b.edges = append(b.edges, edge{a: int(from), b: int(to)})
	b.q, b.g, b.lnDrop, b.drop = append(b.q, 0), append(b.g, 0), append(b.lnDrop, 0), append(b.drop, 0)
}

// flows evaluates every edge at the pressures p and the net inflow of every space.
func (b *balance) flows(p []float64) {
	b.inflow(p)
	b.near = false
	for i := range b.edges {
		e := &b.edges[i]
		b.drop[i] = p[e.a] - p[e.b] + e.w
		b.q[i], b.g[i], b.lnDrop[i] = e.law(b.drop[i])
		b.addFlow(e, b.q[i])
	}
}

// flowsAfterStep is flows after a step of the zones: what lies between house and outside
// flows as it did.
func (b *balance) flowsAfterStep(p []float64) {
	b.inflow(p)
	b.near = true
	for i := range b.edges {
		e := &b.edges[i]
		if e.a > int(Outside) || e.b > int(Outside) {
			d := p[e.a] - p[e.b] + e.w
			if !e.lawNear(d, b.drop[i], &b.q[i], &b.g[i], &b.lnDrop[i]) {
				b.q[i], b.g[i], b.lnDrop[i] = e.law(d)
				b.near = false
			}
			b.drop[i] = d
		}
		b.addFlow(e, b.q[i])
	}
}

// inflow starts the net inflow of every space with what no edge carries.
func (b *balance) inflow(p []float64) {
	copy(b.excess, b.source)
	mid := 0.5 * p[House]
	for z := 2; z < len(p); z++ {
		b.excess[z] -= bleed * (p[z] - mid)
	}
}

// addFlow takes the flow q through an edge from one space to the other.
func (b *balance) addFlow(e *edge, q float64) {
	b.excess[e.a] -= q
	b.excess[e.b] += q
}

// solve finds the zone pressures with the house at the given pressure (Pa, with
// reference to outside) and reports whether it did. The balances are the
// stationary point of a convex function of the zone pressures, so Newton steps
// with a line search on its slope arrive from anywhere.
func (b *balance) solve(house float64) bool {
	if !b.warm || math.Signbit(house) != math.Signbit(b.p[House]) {
		for z := 2; z < len(b.p); z++ {
			b.p[z] = 0.5 * house
		}
	} else if b.p[House] != 0 {
		scale := house / b.p[House]
		for z := 2; z < len(b.p); z++ {
			b.p[z] *= scale
		}
	}
	b.p[House], b.p[Outside] = house, 0
	b.factors = false
	b.flows(b.p)
	last, fast := math.Inf(1), false
	for range maxNewton {
		if !(b.near && fast) && !b.factor() {
			break
		}
		largest := b.newtonStep()
		last, fast = largest, largest < chordRate*last
		if math.IsNaN(largest) {
			break
		}
		b.lineSearch()
		if largest < leastStep || largest < b.done && b.balanced() {
			b.warm = true
			return true
		}
	}
	b.warm = false
	return false
}

// balanced reports whether the zones' balances lack little against the largest flow.
func (b *balance) balanced() bool {
	lacks, most := 0.0, 0.0
	for _, v := range b.excess[2:] {
		lacks = math.Max(lacks, math.Abs(v))
	}
	for _, q := range b.q {
		most = math.Max(most, math.Abs(q))
	}
	return lacks <= b.left*most
}

// startFrom makes the next solve start from the pressures of another network of
// the same spaces.
func (b *balance) startFrom(other *balance) {
	copy(b.p, other.p)
	b.warm = other.warm
}

// newtonStep solves for the full step and returns its largest component.
func (b *balance) newtonStep() float64 {
	copy(b.step[2:], b.excess[2:])
	b.backSolve(b.step[2:])
	largest := 0.0
	for _, s := range b.step[2:] {
		if m := math.Abs(s); !(m <= largest) {
			largest = m
		}
	}
	return largest
}

// lineSearch moves p along step. The slope of the convex function along the
// step is minus the excess times the step; a full step is shortened by the
// secant rule while it overshoots by more than half of the slope it started
// with (a square-root leak would otherwise swing for ever).
func (b *balance) lineSearch() {
	start := b.slope()
	alpha := 1.0
	for range 12 {
		for z := range b.p {
			b.trial[z] = b.p[z] + alpha*b.step[z]
		}
		b.trial[House], b.trial[Outside] = b.p[House], 0
		b.flowsAfterStep(b.trial)
		end := b.slope()
		if end >= -0.5*start || start <= 0 {
			break
		}
		alpha *= math.Max(0.1, start/(start-end))
	}
	b.p, b.trial = b.trial, b.p
}

// slope is the decrease of the convex function along the step, per unit step.
func (b *balance) slope() float64 {
	s := 0.0
	for z := 2; z < len(b.p); z++ {
		s += b.excess[z] * b.step[z]
	}
	return s
}

// factor forms the Cholesky factor of the conductance matrix at the flows last
// evaluated: symmetric, and positive definite thanks to bleed. It is written
// out because the matrix is small (one row a zone) and this is the innermost
// loop of the program: a library call costs several times the arithmetic.
func (b *balance) factor() bool {
	n, l := b.zones, b.chol
	clear(l)
	for z := range n {
		l[z*n+z] = bleed
	}
	for i := range b.edges {
		u, v, g := b.edges[i].a-2, b.edges[i].b-2, b.g[i]
		if u >= 0 {
			l[u*n+u] += g
		}
		if v >= 0 {
			l[v*n+v] += g
		}
		if u >= 0 && v >= 0 {
			l[max(u, v)*n+min(u, v)] -= g
		}
	}
	for i := range n {
		for j := range i + 1 {
			s := l[i*n+j]
			row, other := l[i*n:][:j], l[j*n:][:j]
			for k, v := range row {
				s -= v * other[k]
			}
			switch {
			case i != j:
				l[i*n+j] = s / l[j*n+j]
			case s > 0:
				l[i*n+i] = math.Sqrt(s)
			default:
				// rounding took a nearly isolated group of zones to zero
				l[i*n+i] = math.Sqrt(bleed)
				if math.IsNaN(s) {
					return false
				}
			}
		}
	}
	return true
}

// backSolve replaces v by A⁻¹v, A being the conductance matrix last factored.
func (b *balance) backSolve(v []float64) {
	n, l := b.zones, b.chol
	for i := range n {
		s := v[i]
		row, found := l[i*n:][:i], v[:i]
		for k, w := range row {
			s -= w * found[k]
		}
		v[i] = s / l[i*n+i]
	}
	for i := n - 1; i >= 0; i-- {
		s := v[i]
		for k := i + 1; k < n; k++ {
			s -= l[k*n+i] * v[k]
		}
		v[i] = s / l[i*n+i]
	}
}

// prepare factors the conductance matrix at the solution, for derivatives.
func (b *balance) prepare() {
	if !b.factors {
		b.factor()
		b.factors = true
	}
}

// fanFlow is the flow the door fan carries out of the house at the solution,
// m³/s: negative when it blows in.
func (b *balance) fanFlow() float64 { return b.excess[House] }
