package check

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
)

// goodHouse is a simulated house, solved here by bisection and by nothing of the
// program's own, whose readings have the errors that instruments make: what a
// good sheet is. Flows in cfm, pressures in Pa.
type goodHouse struct {
	r        *rand.Rand
	spaces   []string // house, outside, zones
	leaks    []goodLeak
	below    bool
	baseline float64
	inside   []float64 // how much of the baseline each space has to outside
	wobble   float64
	whole    bool // the crew writes whole pascals
	fan      float64
	ranges   map[string]float64
	perFan   float64 // flow in the fan over flow in the leaks
	unit     string
	text     strings.Builder
	hatch    map[string]float64 // size of an opening by name
}

type goodLeak struct {
	a, b    int
	size, n float64
}

func (l goodLeak) flow(p []float64) float64 {
	d := p[l.a] - p[l.b]
	return math.Copysign(l.size*math.Pow(math.Abs(d)/50, l.n), d)
}

// solved are the pressures at a house pressure with these leaks; source is what
// a fan takes out of each space.
func (h *goodHouse) solved(house float64, leaks []goodLeak, source map[int]float64) []float64 {
	p := make([]float64, len(h.spaces))
	p[0] = house
	for z := range p[2:] {
		p[z+2] = house / 2
	}
	for range 300 {
		for z := 2; z < len(p); z++ {
			low, high := -400.0, 400.0
			for range 50 {
				p[z] = (low + high) / 2
				out := source[z]
				for _, l := range leaks {
					if l.a == z {
						out += l.flow(p)
					} else if l.b == z {
						out -= l.flow(p)
					}
				}
				if out > 0 {
					high = p[z]
				} else {
					low = p[z]
				}
			}
		}
	}
	return p
}

func (h *goodHouse) through(p []float64, leaks []goodLeak) float64 {
	q := 0.0
	for _, l := range leaks {
		if l.a == 0 {
			q += l.flow(p)
		} else if l.b == 0 {
			q -= l.flow(p)
		}
	}
	return math.Abs(q)
}

func (h *goodHouse) sized(median, spread float64) float64 {
	return median * math.Exp(spread*h.r.NormFloat64())
}

func (h *goodHouse) exponent() float64 {
	return math.Min(math.Max(0.65+0.05*h.r.NormFloat64(), 0.52), 0.8)
}

func (h *goodHouse) leak(a, b int, size float64) {
	h.leaks = append(h.leaks, goodLeak{a, b, size, h.exponent()})
}

func (h *goodHouse) maybe(share float64) bool { return h.r.Float64() < share }

// newGoodHouse draws a house with zones and, one time in three, ducts.
func newGoodHouse(seed uint64) *goodHouse {
	h := &goodHouse{r: rand.New(rand.NewPCG(77, seed)), spaces: []string{"house", "outside"}, ranges: map[string]float64{}, hatch: map[string]float64{}, perFan: 1}
	h.below = h.maybe(0.7)
	h.unit = []string{"cfm", "cfm", "L/s", "m3/h"}[h.r.IntN(4)]
	h.baseline = 0.1 * math.Round(10*(-0.4+0.5*h.r.NormFloat64()))
	h.wobble = 0.15 + 0.25*h.r.Float64()
	h.whole = h.maybe(0.15)
	h.fan = math.Exp(0.02 * h.r.NormFloat64())
	h.leak(0, 1, h.sized(1100, 0.4))
	for _, z := range []struct {
		name             string
		share, in, outer float64
	}{{"attic", 0.9, 350, 1800}, {"garage", 0.6, 180, 900}, {"crawlspace", 0.3, 250, 900}, {"basement", 0.3, 1500, 250}} {
		if h.maybe(z.share) || len(h.spaces) == 2 && z.name == "basement" {
			h.spaces = append(h.spaces, z.name)
			h.leak(0, len(h.spaces)-1, h.sized(z.in, 0.5))
			h.leak(len(h.spaces)-1, 1, h.sized(z.outer, 0.5))
		}
	}
	if h.maybe(0.35) {
		h.spaces = append(h.spaces, "ducts")
		h.leak(0, len(h.spaces)-1, h.sized(2500, 0.3)) // the registers
		h.leak(len(h.spaces)-1, 1, h.sized(150, 0.5))
	}
	for range h.spaces {
		h.inside = append(h.inside, h.r.Float64())
	}
	h.inside[0], h.inside[1] = 1, 0
	return h
}

func (h *goodHouse) say(format string, args ...any) { fmt.Fprintf(&h.text, format, args...) }

// shown is a pressure as the gauge shows it.
func (h *goodHouse) shown(p float64) string {
	p += math.Max(0.005*math.Abs(p), 0.125)*h.r.NormFloat64() + h.wobble*h.r.NormFloat64()
	if h.whole {
		return fmt.Sprintf("%.0f Pa", p)
	}
	return fmt.Sprintf("%.1f Pa", p)
}

// flow is a fan flow as the gauge shows it, rounded as crews round.
func (h *goodHouse) flow(q float64, label string) string {
	if h.ranges[label] == 0 {
		h.ranges[label] = math.Exp(0.015 * h.r.NormFloat64())
	}
	q *= h.fan * h.ranges[label] * math.Exp(0.01*h.r.NormFloat64())
	return h.written(q)
}

func (h *goodHouse) written(q float64) string {
	factor, step := 1.0, 5.0
	switch h.unit {
	case "L/s":
		factor, step = 0.4719474, 1
	case "m3/h":
		factor, step = 1.6990108, 5
	}
	if q < 300 {
		step = 1
	}
	return fmt.Sprintf("%.0f %s", math.Round(q*factor/step)*step, h.unit)
}

// goodHold is what one hold is to be.
type goodHold struct {
	name          string
	at            float64
	joins         [2]int
	area          float64 // in², of a hole of known size
	covered       bool
	second        int // the zone that a second fan brings to the house pressure
	zones, noFan  bool
	secondary     bool // zones to outside too
	firstBaseline bool
	minutes       int
}

// hold writes one hold.
func (h *goodHouse) hold(g goodHold) {
	house := g.at + 1.2*h.r.NormFloat64()
	if h.below {
		house = -house
	}
	leaks := slices.Clone(h.leaks)
	if g.joins != [2]int{} {
		leaks = append(leaks, goodLeak{g.joins[0], g.joins[1], h.openingSize(g), 0.5})
	}
	ducts := slices.Index(h.spaces, "ducts")
	if g.covered {
		leaks = slices.DeleteFunc(leaks, func(l goodLeak) bool { return l.a == 0 && l.b == ducts })
		leaks = append(leaks, goodLeak{0, ducts, 25, 0.65})
	}
	source := map[int]float64{}
	second := 0.0
	if g.second > 0 {
		second = h.nulling(house, leaks, g.second)
		source[g.second] = second
	}
	p := h.solved(house, leaks, source)
	label := "large"
	if q := h.through(p, leaks); q < 1300 {
		label = "small"
	}
	h.say("\n[[hold]]\nname = %q\ntime = %02d:%02d:00\n", g.name, 10+g.minutes/60, g.minutes%60)
	if g.firstBaseline {
		h.say("baseline = \"%.1f Pa\"\n", h.baseline+0.1*h.r.NormFloat64())
	}
	h.say("house = %q\n", h.shown(house+h.baseline))
	if !g.noFan {
		h.say("fan = %q\nrange = %q\n", h.flow(h.through(p, leaks)*h.perFan, label), label)
	}
	h.changes(g, ducts, second)
	h.readings(g, p, ducts)
}

func (h *goodHouse) openingSize(g goodHold) float64 {
	if g.area > 0 { // Q = 0.6·A·√(2·50/1.2), in cfm
		return 0.6 * g.area * 0.00064516 * math.Sqrt(2*50/1.2) / 0.000471947
	}
	if h.hatch[g.name] == 0 {
		h.hatch[g.name] = h.sized(1500, 0.5)
	}
	return h.hatch[g.name]
}

// nulling is what a fan must take out of a zone to bring it to the house.
func (h *goodHouse) nulling(house float64, leaks []goodLeak, zone int) float64 {
	low, high := -20000.0, 20000.0
	for range 40 {
		mid := (low + high) / 2
		if h.solved(house, leaks, map[int]float64{zone: mid})[zone] > house {
			low = mid
		} else {
			high = mid
		}
	}
	return (low + high) / 2
}

func (h *goodHouse) changes(g goodHold, ducts int, second float64) {
	if g.joins != [2]int{} {
		how := fmt.Sprintf("name = %q", g.name)
		if g.area > 0 {
			how = fmt.Sprintf("area = \"%.0f in2\"", g.area)
		}
		h.say("opened = [ { between = [%q, %q], %s } ]\n", h.spaces[g.joins[0]], h.spaces[g.joins[1]], how)
	}
	if g.covered {
		h.say("sealed = [ { between = [\"house\", %q] } ]\n", h.spaces[ducts])
	}
	if g.second > 0 {
		from, to := h.spaces[g.second], "outside"
		if second < 0 {
			from, to, second = to, from, -second
		}
		h.say("fans = [ { name = \"second\", from = %q, to = %q, flow = %q } ]\n", from, to, h.written(second*math.Exp(0.02*h.r.NormFloat64())))
	}
}

func (h *goodHouse) readings(g goodHold, p []float64, ducts int) {
	var in, out []string
	for z := 2; z < len(p); z++ {
		if z == ducts && !g.covered {
			continue
		}
		own := h.baseline * h.inside[z] // to outside
		if g.zones {
			in = append(in, fmt.Sprintf("%s = %q", h.spaces[z], h.shown(p[z]-p[0]+own-h.baseline)))
		}
		if g.zones && g.secondary {
			out = append(out, fmt.Sprintf("%s = %q", h.spaces[z], h.shown(p[z]+own)))
		}
	}
	if len(in) > 0 {
		h.say("to_house = { %s }\n", strings.Join(in, ", "))
	}
	if len(out) > 0 {
		h.say("to_outside = { %s }\n", strings.Join(out, ", "))
	}
}

// sheet writes the whole sheet.
func (h *goodHouse) sheet(number int) string {
	system, hold := "ip", "depressurised"
	if h.unit != "cfm" {
		system = "si"
	}
	if !h.below {
		hold = "pressurised"
	}
	h.say("# Invented house %d: simulated, with the small errors of a gauge and a light wind.\nsheet = 1\n\n", number)
	h.say("[job]\nname = \"Invented house %d\"\ndate = 2026-%02d-%02d\nunits = %q\nhold = %q\ninvented = true\n\n", number, 1+h.r.IntN(9), 1+h.r.IntN(28), system, hold)
	h.houseTable(system)
	for _, z := range h.spaces[2:] {
		h.say("\n[[zone]]\nname = %q\nkind = %q\n", z, z)
	}
	h.holds()
	if slices.Contains(h.spaces, "ducts") {
		h.ducts()
	}
	return h.text.String()
}

func (h *goodHouse) houseTable(system string) {
	floor := 1200 + 200*float64(h.r.IntN(8))
	outdoor := 20 + 60*h.r.Float64()
	switch {
	case system == "ip":
		h.say("[house]\nvolume = \"%.0f ft3\"\nfloor_area = \"%.0f ft2\"\n", floor*8, floor)
	default:
		h.say("[house]\nvolume = \"%.0f m3\"\nfloor_area = \"%.0f m2\"\n", floor*8*0.0283168, floor*0.092903)
	}
	if h.maybe(0.7) {
		h.say("indoor = \"68 F\"\noutdoor = \"%.0f F\"\n", outdoor)
		h.perFan = (459.67 + 68) / (459.67 + math.Round(outdoor))
		if !h.below {
			h.perFan = 1 / h.perFan
		}
	}
}

// holds writes a visit: as found, lower, opened, covered, a second fan.
func (h *goodHouse) holds() {
	all := goodHold{zones: true, secondary: h.maybe(0.4)}
	next := func(name string, at float64, change func(*goodHold)) {
		g := all
		g.name, g.at = name, at
		change(&g)
		h.hold(g)
		all.minutes += 4 + h.r.IntN(9)
	}
	plain := func(*goodHold) {}
	next("as found", 50, func(g *goodHold) { g.firstBaseline = true })
	all.secondary = false
	switch h.r.IntN(3) {
	case 0:
		next("as found, 25 Pa", 25, plain)
	case 1:
		for _, at := range []float64{60, 40, 30, 20, 13} {
			next(fmt.Sprintf("as found, %.0f Pa", at), at, func(g *goodHold) { g.zones = false })
		}
	}
	for z, name := range h.spaces {
		if z < 2 || name == "ducts" {
			continue
		}
		switch h.r.IntN(5) {
		case 0, 1:
			next(name+" opened to the house", 50, func(g *goodHold) { g.joins = [2]int{0, z} })
		case 2:
			next(name+" opened to outside", 50, func(g *goodHold) { g.joins = [2]int{1, z} })
		case 3:
			next("hole, "+name+" to house", 50, func(g *goodHold) { g.joins, g.area = [2]int{0, z}, 40+20*float64(h.r.IntN(4)) })
		}
	}
	if slices.Contains(h.spaces, "ducts") {
		next("registers covered", 50, func(g *goodHold) { g.covered = true })
	}
	if g := slices.Index(h.spaces, "garage"); g > 0 && h.maybe(0.5) {
		next("second fan in the garage door", 50, func(x *goodHold) { x.second = g })
	}
}

// ducts writes duct tests, registers and an on/off test.
func (h *goodHouse) ducts() {
	outside := h.leaks[len(h.leaks)-1].size * math.Pow(0.5, 0.6)
	inside := h.sized(60, 0.4)
	err := func() float64 { return math.Exp(0.015 * h.r.NormFloat64()) }
	h.say("\n[[duct_test]]\nmethod = \"total\"\npressure = \"25 Pa\"\nflow = %q\n", h.written((outside+inside)*err()))
	h.say("\n[[duct_test]]\nmethod = \"outside\"\npressure = \"25 Pa\"\nflow = %q\nresidual = \"0.1 Pa\"\n", h.written(outside*err()))
	handler := h.sized(1150, 0.15)
	h.say("\n[air_handler]\nflow = %q\noutput = \"%.0f Btu/h\"\nsupply_pressure = \"%.0f Pa\"\nreturn_pressure = \"%.0f Pa\"\n", h.written(handler), 50*handler, 30+60*h.r.Float64(), -40-80*h.r.Float64())
	for i := range 6 {
		part := handler * 0.9 / 6
		h.say("\n[[register]]\nname = \"room %d\"\nside = \"supply\"\ncover = %q\nflow = %q\ndesign = %q\n", i+1,
			fmt.Sprintf("%.1f Pa", h.sized(1.5, 0.6)), h.written(part*h.sized(0.92, 0.15)), h.written(part))
	}
	for _, at := range []float64{25, 20, 15, 10} {
		off := h.through(h.solved(at, h.leaks, nil), h.leaks)
		h.say("\n[[on_off]]\nhouse = \"%.0f Pa\"\noff = %q\non = %q\n", math.Copysign(at, map[bool]float64{true: -1, false: 1}[h.below]), h.written(off*err()), h.written((off-35)*err()))
	}
}
