package zonal

import (
	"math"

	"holdbook/units"
)

// chart is the change of coordinates the posterior is sampled in. Log sizes
// fight each other along the ridge "house–outside + through-flows = fan", so the
// chart puts what one hold shows in their place:
//
//   - the logarithm of the fan flow of a reference hold for the size of one path
//     of the house, its closing path, which then follows from the balance of the
//     house;
//   - the logit of each zone's pressure, as a fraction of the house's, (zone to outside over house to
//     outside) in the reference hold for the size of one path of that zone, its
//     closing path, likewise;
//   - the normal score under its prior for each exponent;
//   - every other unknown less its prior mean, over its prior sd.
//
// Closing paths form a tree with outside at its root, so that the dependent
// sizes follow one after the other. Of all such trees the chart takes the one
// whose paths are least known: what the other holds settle well stays a
// coordinate, and the loose sizes follow from it, in a straight line.
type chart struct {
	*reference
	dependent []bool    // of each unknown: it follows from the balances
	slope     []float64 // dx/du of each exponent at the point last given to toModel

	x        []float64
	fraction []float64 // of the reference pressure, of each zone
	mu       []float64 // multiplier of each space's balance
	gx       []float64
	gp       []float64 // ∂/∂p of each space in the reference hold
	inv      []float64
	shift    []float64
}

// newChart makes the chart of a problem. loose says how little is known of the size
// of each path; nil prefers the paths to outside.
func newChart(p *problem, loose []float64) *chart {
	if loose == nil {
		loose = p.towardsOutside()
	}
	c := &chart{reference: newReference(p, loose)}
	spaces := len(p.model.Spaces)
	c.x, c.gx = make([]float64, len(p.unknowns)), make([]float64, len(p.unknowns))
	c.fraction, c.mu, c.gp = make([]float64, spaces), make([]float64, spaces), make([]float64, spaces)
	c.dependent, c.slope = make([]bool, len(p.unknowns)), make([]float64, len(p.unknowns))
	if c.hold >= 0 {
		c.inv = make([]float64, c.net.zones*c.net.zones)
		c.shift = make([]float64, max(c.net.zones, 1))
		for _, z := range c.order {
			c.dependent[c.slotOf[z]] = true
		}
	}
	return c
}

// toModel writes into x the parameters that the coordinates u stand for. It
// reports false where the coordinates describe no house.
func (c *chart) toModel(u, x []float64) bool {
	for i, v := range c.problem.unknowns {
		switch {
		case v.bounded():
			x[i], c.slope[i], _ = c.problem.scores[i].At(u[i])
		case v.sd > 0:
			x[i] = v.mean + v.sd*u[i]
		default:
			x[i] = v.mean + v.scale*u[i]
		}
	}
	if c.hold < 0 {
		return true
	}
	for _, z := range c.order {
		c.fraction[z] = logistic(u[c.slotOf[z]])
	}
	fan := 0.0
	if c.fan {
		fan = math.Exp(c.fanLog(u))
	}
	return c.closeAll(x, c.fraction, fan)
}

// fanLog is the logarithm of the reference hold's fan flow in m³/s.
func (c *chart) fanLog(u []float64) float64 {
	return math.Log(float64(c.problem.model.Holds[c.hold].Fan.Flow)) + u[c.slotOf[House]]*fanStep
}

// fanStep scales the coordinate of the fan flow: about its calibration error.
const fanStep = 0.03

func logistic(v float64) float64 { return 1 / (1 + math.Exp(-v)) }

// toChart is the inverse of toModel: it solves the reference hold at x.
func (c *chart) toChart(x, u []float64) bool {
	copy(u, c.problem.toScores(x))
	if c.hold < 0 {
		return true
	}
	plan := &c.problem.holds[c.hold]
	plan.load(c.net, x)
	if !c.net.solve(x[plan.house]) {
		return false
	}
	for _, z := range c.order {
		if z != int(House) {
			u[c.slotOf[z]] = logitScale.to(c.net.p[z] / x[plan.house])
		}
	}
	if c.fan {
		read := float64(c.problem.model.Holds[c.hold].Fan.Flow)
		u[c.slotOf[House]] = math.Log(plan.direction*c.net.fanFlow()/read) / fanStep
	}
	for _, v := range u {
		if !units.Finite(v) {
			return false
		}
	}
	return true
}

// lnJacobian is ln |∂x/∂u| at the point last given to toModel, up to a constant.
// It adds its gradient with respect to the parameters to gx and with respect to
// the reference pressures to gp, and that of the coordinates alone to gu.
//
// The dependent sizes s solve G(s, p, fan) = 0, the balances of the zones and of
// the house, so |∂s/∂(p, ln fan)| = det A·fan / Π(flow of each closing path), A
// being the conductance matrix of the zones. The other coordinates are scores
// under their priors and bring no factor of their own (see density).
func (c *chart) lnJacobian(u, gx, gp, gu []float64) float64 {
	if c.hold < 0 {
		return 0
	}
	sum := c.lnConductance(gx, gp)
	house := math.Abs(c.net.p[House])
	for _, z := range c.order {
		sum -= c.lnClosing(z, gx, gp)
		if z == int(House) {
			sum += c.fanLog(u)
			gu[c.slotOf[z]] += fanStep
			continue
		}
		s := logistic(u[c.slotOf[z]])
		sum += math.Log(house * s * (1 - s))
		gu[c.slotOf[z]] += 1 - 2*s
		gp[House] += 1 / c.net.p[House]
	}
	return sum
}

// lnClosing is ln |flow| of the closing path of z; its gradient is subtracted.
func (c *chart) lnClosing(z int, gx, gp []float64) float64 {
	e := c.closing[z]
	k, s := &c.net.edges[e], &c.problem.holds[c.hold].edges[e]
	d := c.net.p[k.a] - c.net.p[k.b]
	for _, j := range s.size {
		gx[j]--
	}
	if s.exponent != none {
		gx[s.exponent] -= lnDropAt(d)
	}
	w := c.net.g[e] / c.net.q[e] // ∂ ln q/∂d
	gp[k.a] -= w
	gp[k.b] += w
	return math.Log(math.Abs(c.net.q[e]))
}

// lnConductance is ln det A. Its derivative with respect to the conductance of
// an edge is the effective resistance between the edge's ends.
func (c *chart) lnConductance(gx, gp []float64) float64 {
	n, net := c.net.zones, c.net
	if n == 0 {
		return 0
	}
	net.factor()
	sum := 0.0
	for i := range n {
		sum += 2 * math.Log(net.chol[i*n+i])
		clear(c.shift)
		c.shift[i] = 1
		net.backSolve(c.shift[:n])
		copy(c.inv[i*n:(i+1)*n], c.shift)
	}
	for i := range net.edges {
		k, s := &net.edges[i], &c.problem.holds[c.hold].edges[i]
		w := net.g[i] * c.resistance(k.a-2, k.b-2)
		if w == 0 {
			continue
		}
		d := net.p[k.a] - net.p[k.b]
		for _, j := range s.size {
			gx[j] += w
		}
		if s.exponent != none {
			gx[s.exponent] += w * c.lnConductanceShare(k, d)
		}
		v := w * k.lnConductanceSlope(d)
		gp[k.a] += v
		gp[k.b] -= v
	}
	return sum
}

// lnConductanceShare is ∂ ln g/∂n of an edge at the pressure difference d.
func (c *chart) lnConductanceShare(k *edge, d float64) float64 {
	r := d * d / (d*d + rounding*rounding)
	return lnDropAt(d) + r/(1+(k.n-1)*r)
}

// lnConductanceSlope is ∂ ln g/∂d of an edge at the pressure difference d.
func (e *edge) lnConductanceSlope(d float64) float64 {
	s := d*d + rounding*rounding
	r := d * d / s
	return (e.n - 1) * d / s * (1 + 2*rounding*rounding/s/(1+(e.n-1)*r))
}

func (c *chart) resistance(a, b int) float64 {
	n, r := c.net.zones, 0.0
	if a >= 0 {
		r += c.inv[a*n+a]
	}
	if b >= 0 {
		r += c.inv[b*n+b]
	}
	if a >= 0 && b >= 0 {
		r -= 2 * c.inv[a*n+b]
	}
	return r
}

// pullBack turns a gradient with respect to the parameters gx and the reference
// pressures gp into one with respect to the coordinates, added to gu. With μ the
// multipliers of the balances, ∂L/∂(size of the closing path of z) fixes
// μ(z) from μ(parent), the root first.
func (c *chart) pullBack(u, gx, gp, gu []float64) {
	if c.hold >= 0 {
		c.multipliers(gx)
		c.addMultipliers(gx, gp)
		plan := &c.problem.holds[c.hold]
		house := c.net.p[House]
		for _, z := range c.order {
			if z == int(House) {
				continue
			}
			s := logistic(u[c.slotOf[z]])
			gu[c.slotOf[z]] += gp[z] * house * s * (1 - s)
			gp[House] += gp[z] * s
		}
		gx[plan.house] += gp[House]
		if c.fan {
			// balance of the house: excess − direction·fan = 0
			gu[c.slotOf[House]] += c.mu[House] * plan.direction * math.Exp(c.fanLog(u)) * fanStep
		}
	}
	for i, v := range c.problem.unknowns {
		switch {
		case v.bounded():
			gu[i] += gx[i] * c.slope[i]
		case v.sd > 0:
			gu[i] += gx[i] * v.sd
		default:
			gu[i] += gx[i] * v.scale
		}
	}
}

// multipliers finds μ from the gradient of the dependent sizes and clears it.
func (c *chart) multipliers(gx []float64) {
	clear(c.mu)
	for i := len(c.order) - 1; i >= 0; i-- {
		z := c.order[i]
		e, s := c.closing[z], c.slotOf[z]
		q, parent := c.net.q[e], c.net.edges[e].b // ∂G(z)/∂size = ∓q
		if parent == z {
			q, parent = -q, c.net.edges[e].a
		}
		c.mu[z] = c.mu[parent] - gx[s]/q
		gx[s] = 0
	}
}

// addMultipliers adds −μ·∂G of every edge: G(b) grows and G(a) falls with the flow. The
// sizes of closing paths are dependent and take none.
func (c *chart) addMultipliers(gx, gp []float64) {
	for i := range c.net.edges {
		k, s := &c.net.edges[i], &c.problem.holds[c.hold].edges[i]
		w := -(c.mu[k.b] - c.mu[k.a])
		if w == 0 {
			continue
		}
		d := c.net.p[k.a] - c.net.p[k.b]
		if c.closing[k.a] != i && c.closing[k.b] != i {
			for _, j := range s.size {
				gx[j] += w * c.net.q[i]
			}
		}
		if s.exponent != none {
			gx[s.exponent] += w * c.net.q[i] * lnDropAt(d)
		}
		gp[k.a] += w * c.net.g[i]
		gp[k.b] -= w * c.net.g[i]
	}
}
