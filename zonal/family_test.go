package zonal

import (
	"math"
	"math/rand/v2"

	"holdbook/units"
)

// A family is a kind of house and of test that simulated sheets are drawn from:
// sizes and exponents from the priors the program itself assumes, readings with
// the errors it states.
type family struct {
	name  string
	build func() *Model
	// narrow shrinks the spread of the sizes the houses are drawn from.
	narrow float64
	// after changes the readings once they are simulated, in ways that the model
	// may not know of.
	after func(m *Model, r *rand.Rand)
	// moves is by how much (of the logarithm) the zone's outside leak grows in
	// the holds with an opening, unknown to the model.
	moves float64
	// turn changes the truth once it is drawn, so that it is a test as somebody would make it.
	turn func(p *problem, x []float64, r *rand.Rand)
}

// The spaces of a test house after house and outside.
const (
	zone1 = SpaceID(2)
	zone2 = SpaceID(3)
	zone3 = SpaceID(4)
)

var (
	crack  = Normal{0.65, 0.06}
	vent   = Normal{0.60, 0.06}
	square = Normal{0.5, 0}
)

// houseModel is a house with so many zones and a door fan, without holds.
func houseModel(zones int) *Model {
	m := &Model{Spaces: make([]Space, zones+2), Air: 1.2041, CdSDLn: 0.05,
		Calibrations: []Calibration{{"fan", 0.02}, {"fan, range", 0.015}, {"second", 0.025}}}
	m.path(House, Outside, 1500, crack)
	return m
}

func (m *Model) path(a, b SpaceID, size float64, n Normal) {
	m.Paths = append(m.Paths, Path{A: a, B: b, Flow50: LogNormal{units.Flow(size * cfm), 1.5}, Exponent: n})
}

func (m *Model) attic(z SpaceID)  { m.path(House, z, 300, crack); m.path(z, Outside, 2000, vent) }
func (m *Model) garage(z SpaceID) { m.path(House, z, 150, crack); m.path(z, Outside, 1000, crack) }
func (m *Model) crawl(z SpaceID)  { m.path(House, z, 250, crack); m.path(z, Outside, 1500, vent) }
func (m *Model) ducts(z SpaceID) {
	m.path(House, z, 3000, square)
	m.path(z, Outside, 100, vent)
	m.Paths = append(m.Paths, Path{A: House, B: z, Flow50: LogNormal{50 * cfm, 1.5}, Exponent: crack, Covered: true})
}

// opening adds an opening of unknown size and returns its number.
func (m *Model) opening(a, b SpaceID) int {
	m.Openings = append(m.Openings, Opening{A: a, B: b, Flow50: LogNormal{3000 * cfm, 2}})
	return len(m.Openings) - 1
}

func (m *Model) hole(a, b SpaceID, area units.Area) int {
	m.Openings = append(m.Openings, Opening{A: a, B: b, Area: area, AreaSDLn: 0.03})
	return len(m.Openings) - 1
}

// hold adds a hold at the given house pressure in which every zone was read to
// the house, and the fan if wanted.
func (m *Model) hold(house units.Pressure, fan bool, opened ...int) *Hold {
	h := Hold{House: house, HouseSD: 0.47, Opened: opened}
	if fan {
		h.Fan = &FlowReading{Flow: 1, SDLn: 0.01, Cal: []int{0, 1}}
	}
	for z := zone1; int(z) < len(m.Spaces); z++ {
		h.Read = append(h.Read, PressureReading{Of: z, To: House, Pressure: 1, SD: 0.45})
	}
	m.Holds = append(m.Holds, h)
	return &m.Holds[len(m.Holds)-1]
}

// families are the houses and tests of the coverage table.
var families = []family{
	{name: "one zone, one hold", build: func() *Model {
		m := houseModel(1)
		m.attic(zone1)
		m.hold(-50, true)
		return m
	}},
	{name: "one zone, pressure only", build: func() *Model {
		m := houseModel(1)
		m.garage(zone1)
		m.hold(-50, false)
		return m
	}},
	{name: "one zone, opened door", build: func() *Model {
		m := houseModel(1)
		m.attic(zone1)
		m.hold(-50, true)
		m.hold(-50, true, m.opening(House, zone1))
		return m
	}},
	{name: "one zone, known hole", build: func() *Model {
		m := houseModel(1)
		m.attic(zone1)
		m.hold(-50, true)
		m.hold(-50, true, m.hole(House, zone1, 0.025))
		return m
	}},
	{name: "two zones, three holds", build: func() *Model {
		m := houseModel(2)
		m.attic(zone1)
		m.garage(zone2)
		m.hold(-50, true)
		m.hold(-50, true, m.opening(House, zone1))
		m.hold(-50, true, m.opening(zone2, Outside))
		return m
	}},
	{name: "two zones coupled", build: func() *Model {
		m := houseModel(2)
		m.garage(zone1)
		m.attic(zone2)
		m.path(zone1, zone2, 100, crack)
		m.hold(-50, true)
		m.hold(-50, true, m.opening(House, zone1))
		m.hold(-50, true, m.opening(House, zone2))
		return m
	}},
	{name: "three zones, four holds", build: func() *Model {
		m := houseModel(3)
		m.attic(zone1)
		m.garage(zone2)
		m.crawl(zone3)
		m.hold(-50, true)
		m.hold(-50, true, m.opening(House, zone1))
		m.hold(-50, true, m.opening(zone2, Outside))
		m.hold(-25, true)
		return m
	}},
	{name: "attic and ducts, covered", build: func() *Model {
		m := houseModel(2)
		m.attic(zone1)
		m.ducts(zone2)
		m.path(zone2, zone1, 100, vent)
		m.hold(-50, true)
		h := m.hold(-50, true)
		h.Sealed, h.Covered = []int{3}, []int{5}
		m.hold(-50, true, m.opening(House, zone1))
		return m
	}},
	{name: "second fan nulls the garage", build: func() *Model {
		m := houseModel(1)
		m.garage(zone1)
		m.hold(-50, true)
		h := m.hold(-50, true)
		h.Fans = []FanSource{{zone1, Outside, FlowReading{Flow: 400 * cfm, SDLn: 0.01, Cal: []int{2}}}}
		return m
	}},
	{name: "pressurised, known hole", build: func() *Model {
		m := houseModel(1)
		m.crawl(zone1)
		m.hold(50, true)
		m.hold(50, true, m.hole(zone1, Outside, 0.03))
		return m
	}},
	{name: "six holds, two zones", build: func() *Model {
		m := houseModel(2)
		m.attic(zone1)
		m.crawl(zone2)
		hatch := m.opening(House, zone1)
		m.hold(-50, true)
		m.hold(-25, true)
		m.hold(-50, true, hatch)
		m.hold(-30, true, hatch)
		m.hold(-50, true, m.hole(House, zone2, 0.02))
		m.hold(-50, true, m.opening(zone2, Outside))
		return m
	}},
}

// baselineFamily has readings whose own baseline was not read: it lies anywhere
// between the two ends, and the stated sd says so.
var baselineFamily = family{name: "unread baselines", build: func() *Model {
	return families[2].build()
}, after: func(m *Model, r *rand.Rand) {
	for h := range m.Holds {
		for i := range m.Holds[h].Read {
			m.Holds[h].Read[i].SD = units.Pressure(math.Hypot(0.45, unreadBaseline/math.Sqrt(12)))
			m.Holds[h].Read[i].Pressure += units.Pressure(unreadBaseline * (r.Float64() - 0.5))
		}
	}
}}

const unreadBaseline = 3.0 // Pa

// stressed are families whose readings break what the model assumes.
func stressed() []family {
	gain, gusts, hatch := families[4], families[4], families[2]
	gain.name, gain.after = "gauge gain of 1 %", func(m *Model, _ *rand.Rand) {
		for h := range m.Holds {
			m.Holds[h].House *= 1.01
			for i := range m.Holds[h].Read {
				m.Holds[h].Read[i].Pressure *= 1.01
			}
		}
	}
	gusts.name, gusts.after = "wobble of 1 Pa stated as 0.4", func(m *Model, r *rand.Rand) {
		more := math.Sqrt(1 - 0.4*0.4)
		for h := range m.Holds {
			m.Holds[h].House += units.Pressure(more * r.NormFloat64())
			for i := range m.Holds[h].Read {
				m.Holds[h].Read[i].Pressure += units.Pressure(more * r.NormFloat64())
			}
		}
	}
	hatch.name, hatch.moves = "a hatch that moves another leak by 10 %", 0.10
	return []family{gain, gusts, hatch}
}

// house draws a house of the family and its readings; x is the truth. Sheets
// that no one would write are drawn again: a fan reading that the house does not
// turn, a pressure of the hold missed by far.
func (f family) house(r *rand.Rand) (m *Model, p *problem, x []float64) {
	for {
		m = f.build()
		var err error
		if p, err = compile(m); err != nil {
			panic(err)
		}
		width := f.narrow
		if width == 0 {
			width = 1
		}
		x = p.drawTruth(r, width)
		if f.turn != nil {
			f.turn(p, x, r)
		}
		if f.moves != 0 && !p.moveLeak(r, x, f.moves) {
			continue
		}
		if f.moves != 0 || p.trySimulate(r, x) {
			if f.after != nil {
				f.after(m, r)
			}
			if p, err = compile(m); err != nil {
				panic(err)
			}
			return m, p, x
		}
	}
}

// moveLeak simulates the first hold of the house x, and the others with the
// second path larger.
func (p *problem) moveLeak(r *rand.Rand, x []float64, by float64) bool {
	moved := append([]float64(nil), x...)
	moved[p.size[2]] += by
	if !p.trySimulate(r, x) {
		return false
	}
	first := p.model.copyHolds()
	if !p.trySimulate(r, moved) {
		return false
	}
	p.model.Holds[0] = first[0]
	return true
}

// drawTruth draws every unknown from its prior, the sizes width times as wide.
func (p *problem) drawTruth(r *rand.Rand, width float64) []float64 {
	x := make([]float64, len(p.unknowns))
	for i, u := range p.unknowns {
		switch {
		case u.bounded():
			x[i], _, _ = p.scores[i].At(r.NormFloat64())
		case u.kind == pathSize || u.kind == openingSize:
			x[i] = u.mean + width*u.sd*r.NormFloat64()
		case u.sd > 0:
			x[i] = u.mean + u.sd*r.NormFloat64()
		case u.kind == housePressure:
			x[i] = u.mean + r.NormFloat64()
		default:
			x[i] = u.mean
		}
	}
	return x
}

// trySimulate is simulate, refusing houses whose fan runs backwards.
func (p *problem) trySimulate(r *rand.Rand, x []float64) bool {
	e := newEvaluator(p)
	for h := range p.holds {
		if !e.solve(h, x) || !p.holds[h].rest && p.holds[h].direction*e.nets[h].fanFlow() <= 0 {
			return false
		}
	}
	p.simulate(r, x)
	return true
}
