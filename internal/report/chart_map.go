package report

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"holdbook/internal/survey"
)

// The leak map: the house on the left, outside on the right, the zones between
// them, and every leak an arrow in the direction the air takes while the house
// is held at 50 Pa.
const (
	sideWidth  = 58.0  // house and outside
	zoneLeft   = 129.0 // the column of zones
	zoneRight  = 231.0
	boxHeight  = 48.0
	rowHeight  = 68.0
	linkHeight = 34.0 // more room where two zones one above the other leak into each other
	thickest   = 20.0 // an arrow
	thinnest   = 1.4
)

// leakMap is the drawing in progress.
type leakMap struct {
	*svg
	f     *survey.Findings
	unit  string
	most  float64
	names []string           // the zones from top to bottom
	y     map[string]float64 // the middle of each zone's box
	said  []string           // what the description says
}

func chartMap(f *survey.Findings) string {
	if len(f.Paths) == 0 {
		return ""
	}
	m := &leakMap{f: f, unit: unitOf(each(f.Paths, flowNow)...), y: map[string]float64{}}
	for _, p := range f.Paths {
		if q := flowNow(p); q != nil && p.Resolved {
			m.most = max(m.most, q.Value)
		}
	}
	m.names = m.order()
	height := m.place()
	m.svg = newSVG("map", "Leak map", "", height)
	m.spaces(height)
	for _, p := range f.Paths {
		if flowNow(p) != nil || p.Note == "" { // else a state that the house is not in as found
			m.leak(p)
		}
	}
	for _, name := range m.names {
		m.zone(name)
	}
	m.desc = fmt.Sprintf("Flows with the house held at 50 Pa, %s: %s.", m.unit, strings.Join(m.said, "; "))
	return m.html()
}

// flowNow is what a path passes with the house at 50 Pa. For a path from the
// house to outside that is its own size.
func flowNow(p survey.Path) *survey.Q {
	if p.Now50 == nil && isBetween(p, "house", "outside") {
		return p.Flow50
	}
	return p.Now50
}

func isBetween(p survey.Path, a, b string) bool {
	return p.Between == [2]string{a, b} || p.Between == [2]string{b, a}
}

// order lists the zones so that those that leak into each other are neighbours
// where that is possible.
func (m *leakMap) order() []string {
	var left, out []string
	for _, z := range m.f.Zones {
		left = append(left, z.Name)
	}
	for _, p := range m.f.Paths {
		for _, s := range p.Between {
			if s != "house" && s != "outside" && !slices.Contains(left, s) {
				left = append(left, s)
			}
		}
	}
	for len(left) > 0 {
		next := 0
		if len(out) > 0 {
			next = max(0, slices.IndexFunc(left, func(s string) bool { return m.linked(out[len(out)-1], s) }))
		}
		out = append(out, left[next])
		left = slices.Delete(left, next, next+1)
	}
	return out
}

func (m *leakMap) linked(a, b string) bool {
	return slices.ContainsFunc(m.f.Paths, func(p survey.Path) bool { return isBetween(p, a, b) })
}

// place gives every zone its height and returns that of the drawing. The first
// row belongs to the leaks between the house and outside.
func (m *leakMap) place() float64 {
	y := 24 + rowHeight/2
	for i, name := range m.names {
		y += rowHeight
		if i > 0 && m.linked(m.names[i-1], name) {
			y += linkHeight
		}
		m.y[name] = y
	}
	return y + rowHeight/2 + 4
}

func (m *leakMap) spaces(height float64) {
	m.rect("space", 0.5, 0.5, sideWidth, height-1)
	m.rect("space out", chartWidth-sideWidth-0.5, 0.5, sideWidth, height-1)
	m.text("place", sideWidth/2, 17, middle, "house")
	m.text("place", chartWidth-sideWidth/2, 17, middle, "outside")
}

// zone draws one zone, the darker the more it is indoors.
func (m *leakMap) zone(name string) {
	y := m.y[name]
	m.rect("page", zoneLeft, y-boxHeight/2, zoneRight-zoneLeft, boxHeight)
	said, indoors := "connection not known", -1.0
	for _, z := range m.f.Zones {
		if z.Name == name && z.ConnectionFraction != nil {
			indoors = min(max(z.ConnectionFraction.Value, 0), 1)
			v, _ := texts(z.ConnectionFraction)
			said = "connection " + v
		}
	}
	if indoors >= 0 {
		fmt.Fprintf(&m.b, `<rect class="indoors" fill-opacity="%.2f" x="%s" y="%s" width="%s" height="%s"/>`,
			0.04+0.42*indoors, dot(zoneLeft), dot(y-boxHeight/2), dot(zoneRight-zoneLeft), dot(boxHeight))
	}
	m.rect("space", zoneLeft, y-boxHeight/2, zoneRight-zoneLeft, boxHeight)
	lines := fitLines(name, 12, 2)
	top := y - 5*float64(len(lines)) + 3
	for i, l := range lines {
		m.text("place boxed", (zoneLeft+zoneRight)/2, top+12*float64(i), middle, l)
	}
	m.text("small boxed", (zoneLeft+zoneRight)/2, top+12*float64(len(lines))+1, middle, said)
}

// fitLines wraps a name to at most n lines of a width, the last one cut short.
func fitLines(name string, limit, n int) []string {
	lines := wrap(name, limit)
	if len(lines) <= n {
		return lines
	}
	last := lines[n-1]
	for width(last) > limit-1 {
		r := []rune(last)
		last = string(r[:len(r)-1])
	}
	return append(lines[:n-1:n-1], last+"…")
}

// leak draws one path: straight across, straight down between neighbours, or
// round the side.
func (m *leakMap) leak(p survey.Path) {
	from, to := m.direction(p)
	a, zoneA := m.y[from]
	b, zoneB := m.y[to]
	m.say(p, from, to)
	switch {
	case zoneA && zoneB:
		m.between(p, from, to, a, b)
	case !zoneA && !zoneB:
		m.across(p, m.edge(from, to), m.edge(to, from), 24+rowHeight/2-4)
	default:
		m.across(p, m.edge(from, to), m.edge(to, from), max(a, b))
	}
}

// edge is where an arrow between a space and another touches the first.
func (m *leakMap) edge(space, other string) float64 {
	switch {
	case space == "house":
		return sideWidth
	case space == "outside":
		return chartWidth - sideWidth
	case other == "house":
		return zoneLeft
	}
	return zoneRight
}

// direction orders the ends of a path as the air flows: towards the house when
// it is depressurised, from the space that is further from the house in pressure.
func (m *leakMap) direction(p survey.Path) (from, to string) {
	from, to = p.Between[0], p.Between[1]
	if m.fromHouse(from) < m.fromHouse(to) {
		from, to = to, from
	}
	if m.f.Job.Hold == "pressurised" {
		from, to = to, from
	}
	return from, to
}

func (m *leakMap) fromHouse(space string) float64 {
	switch space {
	case "house":
		return math.Inf(-1)
	case "outside":
		return math.Inf(1)
	}
	for _, z := range m.f.Zones {
		if z.Name == space && z.ToHouse != nil {
			return math.Abs(z.ToHouse.Value)
		}
		if z.Name == space && z.ConnectionFraction != nil {
			return 50 * (1 - z.ConnectionFraction.Value)
		}
	}
	return 25
}

func (m *leakMap) say(p survey.Path, from, to string) {
	words := from + " to " + to
	if q := flowNow(p); q != nil {
		words += " " + EstIf(q, p.Resolved).String()
	} else {
		words += " not known"
	}
	m.said = append(m.said, words)
}

// thick is an arrow's width: as its flow, the largest of the house the widest.
func (m *leakMap) thick(p survey.Path) float64 {
	q := flowNow(p)
	if q == nil || m.most <= 0 {
		return thinnest
	}
	return min(max(thickest*q.Value/m.most, thinnest), thickest)
}

// arrowClass tells sure from unsure leaks by more than colour: dashes.
func arrowClass(p survey.Path) string {
	if !p.Resolved || flowNow(p) == nil {
		return "flow unsure"
	}
	return "flow"
}

func (m *leakMap) across(p survey.Path, x1, x2, y float64) {
	w := m.thick(p)
	m.arrow(p, [2]float64{x1, y}, [2]float64{x2, y})
	above, below := flowWords(p)
	class := "number"
	if !p.Resolved {
		class = "small" // words, not a number: they must fit
	}
	m.text(class, (x1+x2)/2, y-w/2-4, middle, above)
	m.text("small", (x1+x2)/2, y+w/2+11, middle, below)
}

// flowWords is what stands above and below an arrow.
func flowWords(p survey.Path) (above, below string) {
	q := flowNow(p)
	if q == nil {
		return "?", ""
	}
	v, i := texts(q)
	if !p.Resolved {
		v = "not resolved"
	}
	return v, i
}

// arrow is a straight arrow as thick as its flow.
func (m *leakMap) arrow(p survey.Path, a, b [2]float64) {
	w := m.thick(p)
	length := math.Hypot(b[0]-a[0], b[1]-a[1])
	if length == 0 {
		return
	}
	ux, uy := (b[0]-a[0])/length, (b[1]-a[1])/length
	head, half := min(5+w*0.45, length*0.6), 3.5+w*0.65
	neck := [2]float64{b[0] - ux*head, b[1] - uy*head}
	m.path(arrowClass(p), polyline([][2]float64{a, neck}), fmt.Sprintf(` stroke-width="%s"`, dot(w)))
	m.path("head", polyline([][2]float64{b, {neck[0] - uy*half, neck[1] + ux*half}, {neck[0] + uy*half, neck[1] - ux*half}})+"Z", "")
}

// between draws a leak from one zone to another.
func (m *leakMap) between(p survey.Path, from, to string, a, b float64) {
	above, below := flowWords(p)
	words := strings.TrimSpace(above + " " + bracketed(below))
	down := math.Copysign(1, b-a)
	if i, j := slices.Index(m.names, from), slices.Index(m.names, to); i-j == 1 || j-i == 1 {
		x := (zoneLeft + zoneRight) / 2
		m.arrow(p, [2]float64{x, a + down*boxHeight/2}, [2]float64{x, b - down*boxHeight/2})
		m.text("number", x+m.thick(p)/2+9, (a+b)/2+4, start, words)
		return
	}
	// Round the left side of the zones, clear of the numbers there.
	x := zoneLeft - 8
	w := min(m.thick(p), 8)
	m.path(arrowClass(p)+" round", fmt.Sprintf("M%s %sC%s %s %s %s %s %s", dot(zoneLeft), dot(a+down*14),
		dot(x-8), dot(a+down*30), dot(x-8), dot(b-down*30), dot(zoneLeft-6), dot(b-down*14)), fmt.Sprintf(` stroke-width="%s"`, dot(w)))
	m.path("head", polyline([][2]float64{{zoneLeft, b - down*14}, {zoneLeft - 7, b - down*19}, {zoneLeft - 7, b - down*9}})+"Z", "")
	m.text("small", x-9, a+down*(rowHeight/2+2)+4, end, above)
}

func bracketed(s string) string {
	if s == "" {
		return ""
	}
	return "(" + s + ")"
}
