package batch

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strconv"
	"strings"
)

// house is a random house, on its way to a random sheet of it. Its sheet is
// valid, uses every table and key of the format now and then, and has readings
// that may be far off.
type house struct {
	*rand.Rand
	strings.Builder
	zones []zone
	size  float64 // fan flow at 1 Pa^0.65, cfm
	sign  float64 // of the house pressure
	wild  float64 // how far off a reading may be: 0 none, 1 any
}

type zone struct {
	name, kind string
	share      float64 // of the house pressure that lies between house and zone
	touches    []string
}

// randomSheet is the sheet of a random house.
func randomSheet(r *rand.Rand) string {
	h := &house{Rand: r, size: 40 * math.Exp(1.5*r.NormFloat64()), sign: -1}
	if r.IntN(5) == 0 {
		h.sign = 1
	}
	if r.IntN(3) == 0 {
		h.wild = r.Float64()
	}
	h.line("sheet = 1")
	for _, part := range []func(){h.job, h.about, h.gauge, h.spaces, h.paths, h.holds, h.airHandler, h.registers,
		h.ductTests, h.onOff, h.ducts, h.rooms, h.limits, h.running, h.climate, h.ventilation, h.walk} {
		part()
	}
	return h.String()
}

func (h *house) line(format string, args ...any) { fmt.Fprintf(h, format+"\n", args...) }

// oneIn says yes once in n times.
func (h *house) oneIn(n int) bool { return h.IntN(n) == 0 }

// maybe writes a line once in n times.
func (h *house) maybe(n int, format string, args ...any) {
	if h.oneIn(n) {
		h.line(format, args...)
	}
}

func (h *house) pick(list ...string) string { return list[h.IntN(len(list))] }

// name is a free text in quotes, now and then one that means harm.
func (h *house) name(plain string) string {
	if !h.oneIn(6) {
		return fmt.Sprintf("%q", plain)
	}
	odd := h.pick("ümlaut ", "<b>&amp; ", "=1+1 ", "| pipe ", "日本 ", `back\\slash `, "`tick` ", "100 % ", "{{x}} ", "-dash ", "two  blanks ", "emoji 🏠 ", "*star* ", "@at ")
	return `"` + odd + plain + `"`
}

// pressure is a pressure near v Pa in quotes, in some unit.
func (h *house) pressure(v float64) string {
	v += 0.3 * h.NormFloat64()
	if h.wild > 0 && h.Float64() < h.wild/4 {
		v *= []float64{-1, 10, 0, 0.1, 1 + h.NormFloat64()}[h.IntN(5)]
	}
	if h.oneIn(12) {
		return fmt.Sprintf(`"%.5f inH2O"`, v/249.08891)
	}
	return fmt.Sprintf(`"%.*f Pa"`, h.IntN(3), v)
}

// flow is a flow near v cfm in quotes, in some unit.
func (h *house) flow(v float64) string {
	v *= 1 + 0.03*h.NormFloat64()
	if h.wild > 0 && h.Float64() < h.wild/4 {
		v *= []float64{10, 0.1, 1.7, math.Exp(h.NormFloat64())}[h.IntN(4)]
	}
	v = math.Min(math.Max(math.Abs(v), 0.01), 1e5)
	switch h.IntN(6) {
	case 0:
		return fmt.Sprintf(`"%.4g L/s"`, v*0.4719474432)
	case 1:
		return fmt.Sprintf(`"%.4g m3/h"`, v*1.699010796)
	}
	return fmt.Sprintf(`"%.4g cfm"`, v)
}

// number is a number between low and high with few digits.
func (h *house) number(low, high float64) string {
	v, _ := strconv.ParseFloat(fmt.Sprintf("%.3g", low+(high-low)*h.Float64()), 64)
	return strconv.FormatFloat(v, 'f', -1, 64)
}

func (h *house) job() {
	if h.oneIn(3) && h.sign < 0 {
		return
	}
	h.line("[job]")
	h.line("hold = %q", map[bool]string{true: "depressurised", false: "pressurised"}[h.sign < 0])
	h.maybe(2, "name = %s", h.name("house"))
	h.maybe(2, "units = %q", h.pick("ip", "si"))
	h.maybe(3, "date = 2026-0%d-1%d", 1+h.IntN(9), h.IntN(10))
	h.maybe(4, "by = %s", h.name("A. Example"))
	h.maybe(4, "wind = %s", h.name("light"))
	h.maybe(4, "target = %q", h.pick("1500 cfm", "3 /h", "900 m3/h"))
	h.maybe(5, "invented = true")
	h.maybe(5, "note = %s", h.name("a note"))
}

func (h *house) about() {
	if h.oneIn(3) {
		return
	}
	h.line("[house]")
	h.maybe(2, `volume = "%s ft3"`, h.number(3000, 40000))
	h.maybe(2, `floor_area = "%s m2"`, h.number(40, 500))
	h.maybe(3, `envelope_area = "%s m2"`, h.number(100, 1000))
	h.maybe(3, `height = "%s ft"`, h.number(8, 40))
	h.maybe(3, "storeys = %d", 1+h.IntN(4))
	h.maybe(3, "bedrooms = %d", h.IntN(6))
	h.maybe(3, `altitude = "%s ft"`, h.number(0, 9000))
	h.maybe(2, `indoor = "%s F"`, h.number(55, 85))
	h.maybe(2, `outdoor = "%s C"`, h.number(-35, 42))
	h.maybe(3, "foundation = %q", h.pick("slab", "basement", "crawlspace"))
	h.maybe(5, "flue = %v", h.oneIn(2))
	h.maybe(6, `exterior_share = "%d %%"`, 20+h.IntN(80))
}

func (h *house) gauge() {
	if h.oneIn(2) {
		return
	}
	h.line("[gauge]")
	h.maybe(2, "pressure = %q", h.pick("1 % or 0.25 Pa", "2 % or 0.5 Pa", "0.5 % or 0.1 Pa"))
	h.maybe(2, `flow = "%d %%"`, 1+h.IntN(12))
	h.maybe(3, `repeat = "%s %%"`, h.number(0.1, 5))
	h.maybe(2, `wobble = "%s Pa"`, h.number(0, 4))
	h.maybe(3, "fan_air = %q", h.pick("true", "indicated"))
	h.maybe(4, "id = %s", h.name("gauge 3"))
	h.maybe(4, "calibrated = 2026-01-20")
}

func (h *house) spaces() {
	kinds := []string{"attic", "garage", "crawlspace", "basement", "kneewall", "porch", "neighbour", "room", "ducts", "other"}
	h.Shuffle(len(kinds), func(i, j int) { kinds[i], kinds[j] = kinds[j], kinds[i] })
	for i := range h.IntN(5) {
		z := zone{name: kinds[i], kind: kinds[i], share: h.Float64(), touches: []string{"house", "outside"}}
		if h.oneIn(4) {
			z.name = strings.Trim(h.name(kinds[i]+" east"), `"`)
		}
		if i > 0 && h.oneIn(4) {
			z.touches = append(z.touches, h.zones[h.IntN(i)].name)
		}
		h.zones = append(h.zones, z)
		h.line("[[zone]]\nname = \"%s\"\nkind = %q", z.name, z.kind)
		if len(z.touches) > 2 || h.oneIn(3) {
			h.line(`touches = ["%s"]`, strings.Join(z.touches, `", "`))
		}
		h.maybe(4, "meant = %q", h.pick("inside", "outside"))
		h.maybe(4, "vented = %v", h.oneIn(2))
		h.maybe(4, `temperature = "%s C"`, h.number(-30, 65))
		h.maybe(6, `floor_area = "%s ft2"`, h.number(50, 2000))
		h.maybe(6, `insulated = ["%s"]`, h.pick("walls", "ceiling"))
	}
}

// pairs are the boundaries of the house.
func (h *house) pairs() [][2]string {
	all := [][2]string{{"house", "outside"}}
	for _, z := range h.zones {
		for _, t := range z.touches {
			all = append(all, [2]string{z.name, t})
		}
	}
	return all
}

func (h *house) paths() {
	for _, p := range h.pairs() {
		if !h.oneIn(5) {
			continue
		}
		h.line("[[path]]\nbetween = [\"%s\", \"%s\"]", p[0], p[1])
		if h.oneIn(2) {
			h.line("exponent = %s", h.number(0.5, 1))
			h.maybe(2, "exponent_sd = %s", h.number(0.01, 0.2))
		}
		if h.oneIn(2) {
			h.line("flow_50 = %s", h.flow(300))
			h.maybe(2, "spread = %s", h.number(1.1, 20))
		}
		h.maybe(3, "hours = %s", h.number(0.1, 40))
		h.maybe(5, "keep = true")
	}
}

func (h *house) holds() {
	for i := range h.IntN(7) {
		h.hold(i)
	}
}

// hold writes one hold.
func (h *house) hold(i int) {
	held := h.sign * []float64{50, 50, 50, 60, 40, 30, 25, 12, 75}[h.IntN(9)]
	baseline := 2 * h.NormFloat64()
	h.line("[[hold]]")
	h.maybe(2, "name = \"hold %d\"", i)
	h.maybe(4, "time = 1%d:42:00", h.IntN(10))
	switch h.IntN(4) {
	case 0:
		h.line("baseline = %s", h.pressure(baseline))
	case 1:
		h.line("baseline_samples = [%s, %s]", h.pressure(baseline), h.pressure(baseline))
	}
	h.maybe(8, "baseline_after = %s", h.pressure(baseline))
	if !h.oneIn(15) {
		if h.oneIn(5) {
			h.line("samples = [%s, %s, %s]", h.pressure(held), h.pressure(held), h.pressure(held))
		} else {
			h.line("house = %s", h.pressure(held))
		}
	}
	if !h.oneIn(4) {
		h.line("fan = %s", h.flow(h.size*math.Pow(math.Abs(held), 0.65)))
		h.maybe(3, "range = %q", h.pick("large", "small", "open"))
		h.maybe(10, `fan_scaled_to = "%g Pa"`, math.Abs(held))
	}
	h.maybe(8, `indoor = "21 C"`)
	h.maybe(8, `outdoor = "%s C"`, h.number(-20, 35))
	opened := h.changes(i)
	h.readings(held, opened)
}

// changes writes what differs from as found, and returns the pairs with an
// opening.
func (h *house) changes(i int) map[[2]string]bool {
	pairs := h.pairs()
	opened := map[[2]string]bool{}
	if h.oneIn(3) {
		p := pairs[h.IntN(len(pairs))]
		opened[p] = true
		size := ""
		switch h.IntN(4) {
		case 0:
			size = fmt.Sprintf(`, area = "%s in2"`, h.number(1, 2000))
		case 1:
			size = fmt.Sprintf(`, area = "%s cm2", cd = %s`, h.number(5, 9000), h.number(0.4, 1))
		case 2:
			size = fmt.Sprintf(`, name = "opening %d"`, i)
		}
		h.line(`opened = [ { between = ["%s", "%s"]%s } ]`, p[0], p[1], size)
	}
	if h.oneIn(4) {
		p := pairs[h.IntN(len(pairs))]
		h.line(`sealed = [ { between = ["%s", "%s"] } ]`, p[0], p[1])
	}
	if h.oneIn(6) && len(h.zones) > 0 {
		z := h.zones[h.IntN(len(h.zones))]
		h.line(`fans = [ { name = %q, from = "%s", to = %q, flow = %s } ]`, h.pick("second", "third"), z.name, h.pick("house", "outside"), h.flow(200))
	}
	return opened
}

// readings writes the zone readings of a hold. Both references may be read, or a
// flow, each with what may stand beside it.
func (h *house) readings(held float64, opened map[[2]string]bool) {
	var late strings.Builder
	for _, z := range h.zones {
		share := z.share
		if h.oneIn(4) {
			share = h.Float64()
		}
		toHouse, toOutside := -held*share, held*(1-share)
		sd := h.pick("", "", "", `, sd = "0.5 Pa"`, `, baseline = "0.2 Pa"`, `, note = "gusty"`)
		if h.oneIn(2) {
			fmt.Fprintf(&late, "  { of = \"%s\", to = \"house\", pressure = %s%s },\n", z.name, h.pressure(toHouse), sd)
		}
		if h.oneIn(4) {
			fmt.Fprintf(&late, "  { of = \"%s\", to = \"outside\", pressure = %s%s },\n", z.name, h.pressure(toOutside), sd)
		}
		if h.oneIn(9) && !opened[[2]string{z.name, "house"}] {
			fmt.Fprintf(&late, "  { of = \"%s\", to = \"house\", flow = %s%s },\n", z.name, h.flow(h.size*5), h.pick("", `, sd = "5 %"`))
		}
	}
	if late.Len() > 0 {
		h.line("readings = [\n%s]", late.String())
	}
}

func (h *house) airHandler() {
	if h.oneIn(2) {
		return
	}
	h.line("[air_handler]")
	h.maybe(2, "flow = %s", h.flow(1100))
	h.maybe(2, "output = %q", h.pick("60000 Btu/h", "-36000 Btu/h", "12 kW", "-3 tons"))
	h.maybe(2, "supply_pressure = %s", h.pressure(50))
	h.maybe(2, "return_pressure = %s", h.pressure(-80))
	h.maybe(4, `supply_temperature = "%s F"`, h.number(50, 140))
	h.maybe(4, `return_temperature = "%s F"`, h.number(50, 90))
	h.maybe(4, "sensible = %s", h.number(0.1, 1))
	h.maybe(3, "house_pressure = %s", h.pressure(-0.4))
}

func (h *house) registers() {
	for i := range h.IntN(9) {
		h.line("[[register]]\nname = %s", h.name(fmt.Sprint("register ", i)))
		h.maybe(2, "side = %q", h.pick("supply", "return"))
		h.maybe(2, "cover = %s", h.pressure(2))
		h.maybe(6, "held = %s", h.flow(10))
		h.maybe(2, "flow = %s", h.flow(100))
		h.maybe(3, "design = %s", h.flow(110))
		h.maybe(6, "room = %s", h.name("bedroom"))
	}
}

func (h *house) ductTests() {
	for range h.IntN(4) {
		h.line("[[duct_test]]\nmethod = %q\npressure = %q\nflow = %s", h.pick("total", "outside"), h.pick("25 Pa", "-25 Pa", "50 Pa", "10 Pa"), h.flow(90))
		h.maybe(2, "side = %q", h.pick("supply", "return", "both"))
		h.maybe(3, "residual = %s", h.pressure(0))
		h.maybe(3, "range = %q", h.pick("small", "2"))
	}
}

func (h *house) onOff() {
	if !h.oneIn(5) {
		return
	}
	for _, p := range []float64{-25, -20, -15, -10, -5, 5, 10, 15, 20, 25}[:h.IntN(11)] {
		off := h.size * math.Pow(math.Abs(p), 0.65)
		h.line("[[on_off]]\nhouse = \"%g Pa\"\noff = %s\non = %s", p, h.flow(off), h.flow(off*0.95))
	}
}

func (h *house) ducts() {
	for i := range h.IntN(4) {
		h.line("[[duct]]\nside = %q", h.pick("supply", "return"))
		h.maybe(2, "name = %s", h.name(fmt.Sprint("run ", i)))
		if len(h.zones) > 0 {
			h.maybe(2, `location = "%s"`, h.zones[h.IntN(len(h.zones))].name)
		}
		if h.oneIn(2) {
			h.line(`area = "%s ft2"`, h.number(1, 500))
		} else {
			h.line("length = \"%s ft\"\ndiameter = \"%s in\"", h.number(1, 100), h.number(3, 20))
		}
		h.maybe(2, `insulation = "%s h·ft2·F/Btu"`, h.number(0, 12))
		h.maybe(3, `ambient = "%s C"`, h.number(-30, 60))
		h.maybe(3, "material = %q", h.pick("metal", "other"))
		h.maybe(3, `leakage = "%d %%"`, 1+h.IntN(40))
	}
}

func (h *house) rooms() {
	for i := range h.IntN(4) {
		h.line("[[room]]\nname = %s", h.name(fmt.Sprint("bedroom ", i)))
		h.maybe(2, "pressure = %s", h.pressure(4))
		h.maybe(2, "held = %s", h.pressure(5))
		h.maybe(3, `gap = "%s in2"`, h.number(1, 60))
		h.maybe(3, "flow = %s", h.flow(120))
		h.maybe(4, "exterior = %v", h.oneIn(2))
	}
}

func (h *house) limits() {
	for range h.IntN(3) {
		h.line("[[limit]]\nquantity = %q\nat_most = %q", h.pick("house.air_changes_50", "house.flow_50", "ducts.leakage_outside_25"), h.pick("3 /h", "1500 cfm", "4 %", "100 in2"))
	}
}

func (h *house) running() {
	if !h.oneIn(4) {
		return
	}
	h.line("[running]")
	h.maybe(2, "fuel = %q", h.pick("gas", "electricity", "oil"))
	h.maybe(2, "price = %q", h.pick("1.20 USD per therm", "0.15 EUR per kWh"))
	h.maybe(2, "efficiency = %s", h.number(0.5, 4))
	h.maybe(2, `degree_days = "%s F d"`, h.number(0, 10000))
	h.maybe(3, `cooling_degree_days = "%s K d"`, h.number(0, 3000))
	h.maybe(3, "hours = %s", h.number(0, 8000))
}

func (h *house) climate() {
	if !h.oneIn(3) {
		return
	}
	h.line("[climate]")
	h.maybe(2, "weather_factor = %s", h.number(0.2, 1.5))
	h.maybe(2, "shelter = %d", 1+h.IntN(5))
	h.maybe(3, `outdoor = "%s F"`, h.number(-20, 110))
	h.maybe(3, `indoor = "%s F"`, h.number(60, 80))
	h.maybe(4, `wind = "%s m/s"`, h.number(0, 15))
}

func (h *house) ventilation() {
	if h.oneIn(4) {
		h.line("[ventilation]\nflow = %s", h.flow(60))
		h.maybe(2, "balanced = %v", h.oneIn(2))
	}
}

func (h *house) walk() {
	if h.oneIn(8) {
		h.line("[[walk]]\nstep = \"safety list\"\nstate = %q", h.pick("done", "skipped", "not readable", "stopped"))
	}
}
