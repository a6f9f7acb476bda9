package realhouse

import (
	"math"
	"math/rand/v2"
)

// The spaces of a simulated house.
const (
	inside = iota
	outdoors
	attic
	garage
	spaces
)

var names = [spaces]string{"house", "outside", "attic", "garage"}

const cfm = 0.0004719474432 // m³/s

// Family is a kind of house, weather and crew.
type Family struct {
	Name         string
	Storeys      int
	Cold         [2]float64 // how much colder it is outdoors, K, from and to
	Wind         [2]float64 // m/s, from and to
	Said         string     // of the wind, on the sheet; empty when nothing is said
	Temperatures bool       // stand on the sheet
	Baselines    Baselines
	Joint        float64    // of garage and attic, not declared: median flow at 50 Pa in cfm; 0 for none
	Exponents    float64    // standard deviation of a path's exponent
	Zero         float64    // standard deviation of the gauge's zero, Pa
	Chase        float64    // share of the hatch that a chase to outdoors opens with it
	Openings     [2]float64 // exponent of an opening, from and to
}

// Baselines are what a crew reads with the fan off.
type Baselines int

// What a crew reads with the fan off.
const (
	NoBaseline Baselines = iota
	HouseBaseline
	AllBaselines
)

// House is one house of a family in its weather.
type House struct {
	f         Family
	r         *rand.Rand
	height    float64
	celsius   [spaces]float64
	rho       []float64
	pressure  float64 // of the wind, Pa
	facade    [4]float64
	leaks     []leak
	hatch     []leak // what opening it adds
	door      []leak // of the garage
	crossing  [spaces]float64
	reference float64 // wind pressure at the hose's outdoor end, Pa
	zero      float64
	fan       float64 // factor between the flow and what is shown
}

// New draws a house of the family.
func New(f Family, r *rand.Rand) *House {
	h := &House{f: f, r: r, height: 2.4 + 0.4*r.Float64()}
	if f.Storeys > 1 {
		h.height = 5 + 0.6*r.Float64()
	}
	h.air()
	h.wind()
	h.layLeaks()
	h.openings()
	h.crossing = [spaces]float64{outdoors: h.between(0.4, 1.6), attic: h.height, garage: h.between(0.1, 1.8)}
	h.zero = f.Zero * r.NormFloat64()
	h.fan = math.Exp(0.025 * r.NormFloat64())
	return h
}

func (h *House) between(a, b float64) float64 { return a + (b-a)*h.r.Float64() }

// air draws temperatures: an attic is a little warmer than outdoors, a garage half-way.
func (h *House) air() {
	in := 20 + 1.5*h.r.NormFloat64()
	cold := h.between(h.f.Cold[0], h.f.Cold[1])
	h.celsius = [spaces]float64{in, in - cold, in - cold*h.between(0.6, 0.95), in - cold*h.between(0.3, 0.7)}
	for _, c := range h.celsius {
		h.rho = append(h.rho, airDensity(c))
	}
}

// wind draws a speed and pressures on the facades: one windward, one leeward, two that
// it passes by. The hose's end lies where they nearly cancel.
func (h *House) wind() {
	u := h.between(h.f.Wind[0], h.f.Wind[1])
	h.pressure = 0.5 * h.rho[outdoors] * u * u
	for i, cp := range []float64{0.6, -0.4, -0.3, -0.4} {
		h.facade[i] = (cp + 0.1*h.r.NormFloat64()) * h.pressure * 0.8 // sheltered by what stands around
	}
	h.reference = 0.1 * h.r.NormFloat64() * h.pressure
}

// split makes a path of several leaks: total is its flow at 50 Pa in cfm.
func (h *House) split(a, b int, total float64, n int, height func() float64, wind func() float64) {
	shares, sum := make([]float64, n), 0.0
	middle := h.exponent()
	for i := range shares {
		shares[i] = h.r.ExpFloat64()
		sum += shares[i]
	}
	for _, s := range shares {
		x := math.Min(math.Max(middle+0.03*h.r.NormFloat64(), 0.5), 1)
		h.leaks = append(h.leaks, leak{a: a, b: b, c: total * s / sum * cfm / math.Pow(50, x), n: x, height: height(), outside: wind()})
	}
}

// exponent is that of a path, drawn anew where it lies beyond that of an orifice or of a
// laminar gap: kept there, one in ten of a wide spread would have that very exponent.
func (h *House) exponent() float64 {
	for {
		if x := 0.65 + h.f.Exponents*h.r.NormFloat64(); x >= 0.5 && x <= 1 {
			return x
		}
	}
}

func (h *House) sized(median, spread float64) float64 {
	return median * math.Exp(spread*h.r.NormFloat64())
}

func (h *House) anyFacade() float64 { return h.facade[h.r.IntN(4)] }

func none() float64 { return 0 }

// layLeaks draws the paths. Walls leak anywhere; an attic at its eaves and ridge.
func (h *House) layLeaks() {
	wall := func() float64 { return h.between(0, h.height) }
	roof := func() float64 { return h.height + h.between(0.1, 1.6) }
	low := func() float64 { return h.between(0, 2.3) }
	h.split(inside, outdoors, h.sized(1200, 0.4), 7, wall, h.anyFacade)
	h.split(inside, attic, h.sized(350, 0.6), 3, func() float64 { return h.height }, none)
	h.split(attic, outdoors, h.sized(1800, 0.6), 4, roof, h.anyFacade)
	h.split(inside, garage, h.sized(180, 0.6), 3, low, none)
	h.split(garage, outdoors, h.sized(900, 0.6), 4, low, h.anyFacade)
	if h.f.Joint > 0 {
		h.split(garage, attic, h.sized(h.f.Joint, 0.6), 2, func() float64 { return 2.4 }, none)
	}
}

// openings draws the hatch and the door to the garage, each open by some.
func (h *House) openings() {
	open := func(a, b int, total, height float64) leak {
		x := h.between(h.f.Openings[0], h.f.Openings[1])
		return leak{a: a, b: b, c: total * cfm / math.Pow(50, x), n: x, height: height}
	}
	size := h.sized(1500, 0.5)
	h.hatch = []leak{open(inside, attic, size, h.height)}
	h.door = []leak{open(inside, garage, h.sized(1000, 0.5), 1)}
	if h.f.Chase > 0 {
		h.hatch = append(h.hatch, open(inside, outdoors, h.f.Chase*size, h.height))
	}
}

// at is the house with these leaks open beside its own, at rest where target is 0, else
// with its gauge at the target.
func (h *House) at(target float64, open []leak) (*state, error) {
	s := &state{leaks: append(append([]leak(nil), h.leaks...), open...), rho: h.rho,
		fixed: []bool{target != 0, true, false, false}, p: make([]float64, spaces)}
	if target != 0 {
		s.p[inside] = target + h.reference - (h.rho[outdoors]-h.rho[inside])*gravity*h.crossing[outdoors]
		s.p[attic], s.p[garage] = 0.1*target, 0.1*target
	}
	return s, s.solve()
}

// gauge is what a gauge in the house shows of a space: the house against outdoors, a
// zone against the house.
func (h *House) gauge(s *state, of int) float64 {
	stack := func(i int) float64 { return (h.rho[outdoors] - h.rho[i]) * gravity }
	if of == inside {
		return s.p[inside] + stack(inside)*h.crossing[outdoors] - h.reference
	}
	return s.p[of] - s.p[inside] - (stack(inside)-stack(of))*h.crossing[of]
}

// still is the same house in air of one density without wind, held at 50 Pa below
// outdoors: what its sizes are stated for.
func (h *House) still() (*state, error) {
	s := &state{leaks: append([]leak(nil), h.leaks...), fixed: []bool{true, true, false, false}, p: []float64{-50, 0, -5, -5}}
	for range h.rho {
		s.rho = append(s.rho, h.rho[outdoors])
	}
	for i := range s.leaks {
		s.leaks[i].outside = 0
	}
	return s, s.solve()
}
