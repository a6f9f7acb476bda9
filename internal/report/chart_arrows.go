package report

import (
	"fmt"
	"math"

	"holdbook/internal/survey"
)

// course is the line that an arrow takes between two spaces, and where its numbers stand.
type course struct {
	from, to [2]float64 // in the order the path names its spaces, not that of the air
	label    [2]float64
	anchor   anchor
	beside   bool // both lines of the label at one side, not above and below
}

// slight is the share of the largest flow below which a leak between two spaces has no
// arrow: it would only cover the numbers of others.
const slight = 0.01

// leak draws one path.
func (m *leakMap) leak(p survey.Path) {
	from, to := m.direction(p)
	m.say(p, from, to)
	if q := flowNow(p); q != nil && q.High < slight*m.most {
		return // the description has it
	}
	c := m.course(p.Between[0], p.Between[1], m.thick(p))
	if from != p.Between[0] {
		c.from, c.to = c.to, c.from
	}
	m.arrow(p, c.from, c.to)
	m.label(p, c)
}

// course is how the arrow between two spaces runs.
func (m *leakMap) course(a, b string, thick float64) course {
	switch {
	case a == "house" && b == "outside":
		y := m.house.y + m.house.h - 40
		return course{from: [2]float64{m.house.x + 14, y}, to: [2]float64{14, y}, label: [2]float64{16, y}, anchor: start}
	case a == "house":
		return m.fromTheHouse(b, thick)
	case b == "outside":
		return m.toOutside(a, thick)
	case a == "outside" || b == "house":
		c := m.course(b, a, thick)
		c.from, c.to = c.to, c.from
		return c
	}
	return m.acrossZones(a, b, thick)
}

// fromTheHouse is the course between the house and a zone.
func (m *leakMap) fromTheHouse(zone string, thick float64) course {
	z, h := m.boxes[zone], m.house
	mid := z.middle()
	switch m.where[zone] {
	case above:
		x := mid[0]
		if len(m.rows[within]) > 0 { // clear of what runs to the ducts
			x = min(x, h.x+24)
		}
		return course{from: [2]float64{x, h.y + 26}, to: [2]float64{x, z.y + z.h - 8}, label: [2]float64{x + thick/2 + 7, h.y + 14}, anchor: start, beside: true}
	case below:
		return course{from: [2]float64{mid[0], h.y + h.h - 2}, to: [2]float64{mid[0], z.y + 6}, label: [2]float64{mid[0] + thick/2 + 7, h.y + h.h + 14}, anchor: start, beside: true}
	case left:
		return course{from: [2]float64{h.x + 14, mid[1]}, to: [2]float64{z.x + z.w, mid[1]}, label: [2]float64{h.x + 4, mid[1]}, anchor: start}
	case within:
		return course{from: [2]float64{mid[0], z.y + z.h + 22}, to: [2]float64{mid[0], z.y + z.h - 4}, label: [2]float64{mid[0] + thick/2 + 7, z.y + z.h + 11}, anchor: start, beside: true}
	}
	return course{from: [2]float64{h.x + h.w - 14, mid[1]}, to: [2]float64{z.x, mid[1]}, label: [2]float64{h.x + h.w - 4, mid[1]}, anchor: end}
}

// toOutside is the course between a zone and outside.
func (m *leakMap) toOutside(zone string, thick float64) course {
	z := m.boxes[zone]
	mid := z.middle()
	switch m.where[zone] {
	case above:
		if m.roofed(zone) {
			y := z.y + z.h - 34
			slope := z.x + z.w/2*34/roofHeight
			return course{from: [2]float64{slope + 4, y}, to: [2]float64{30, y}, label: [2]float64{32, y}, anchor: start}
		}
		return course{from: [2]float64{mid[0], z.y + 2}, to: [2]float64{mid[0], z.y - gapBelow}, label: [2]float64{mid[0] + thick/2 + 7, z.y - 20}, anchor: start, beside: true}
	case below:
		if zone != m.rows[below][0] {
			return course{from: [2]float64{z.x + z.w - 2, mid[1]}, to: [2]float64{chartWidth - 6, mid[1]}, label: [2]float64{chartWidth - 4, mid[1]}, anchor: end}
		}
		return course{from: [2]float64{z.x + 2, mid[1]}, to: [2]float64{20, mid[1]}, label: [2]float64{22, mid[1]}, anchor: start}
	case within:
		return course{from: [2]float64{z.x + 2, mid[1]}, to: [2]float64{14, mid[1]}, label: [2]float64{16, mid[1]}, anchor: start}
	case left:
		return course{from: [2]float64{z.x + 14, z.y + 2}, to: [2]float64{z.x + 14, z.y - 32}, label: [2]float64{z.x + thick/2 + 21, z.y - 18}, anchor: start, beside: true}
	}
	x := z.x + z.w - 14
	return course{from: [2]float64{x, z.y + 2}, to: [2]float64{x, z.y - 32}, label: [2]float64{x - thick/2 - 7, z.y - 18}, anchor: end, beside: true}
}

// acrossZones is the straight course from one zone to another, from edge to edge.
func (m *leakMap) acrossZones(a, b string, thick float64) course {
	from, to := m.boxes[a], m.boxes[b]
	p, q := from.middle(), to.middle()
	if m.where[a] == within && m.where[b] < left || m.where[b] == within && m.where[a] < left { // straight up or down
		ducts := m.boxes[b]
		if m.where[a] == within {
			ducts = m.boxes[a]
		}
		x := ducts.x + ducts.w - 14
		p[0], q[0] = x, x
	}
	c := course{from: from.edge(p, q), to: to.edge(q, p), anchor: start, beside: true}
	if m.roofed(a) && m.where[b] == within || m.roofed(b) && m.where[a] == within { // there is room under the roof
		c.label, c.anchor = [2]float64{p[0], m.house.y - 19}, middle
		return c
	}
	if m.where[a] == right && m.where[b] == right { // one above the other, at the edge of the drawing
		c.label, c.anchor = [2]float64{from.x - 4, (c.from[1] + c.to[1]) / 2}, end
		return c
	}
	c.label = [2]float64{(c.from[0]+c.to[0])/2 + thick/2 + 7, (c.from[1]+c.to[1])/2 - 2}
	return c
}

// edge is where the line from a point within a box towards another leaves the box.
func (b box) edge(from, to [2]float64) [2]float64 {
	t := 1.0
	for k, side := range [2][2]float64{{b.x, b.x + b.w}, {b.y, b.y + b.h}} {
		switch d := to[k] - from[k]; {
		case d > 0:
			t = min(t, (side[1]-from[k])/d)
		case d < 0:
			t = min(t, (side[0]-from[k])/d)
		}
	}
	return [2]float64{from[0] + t*(to[0]-from[0]), from[1] + t*(to[1]-from[1])}
}

// arrowClass tells sure from unsure leaks by more than colour: dashes.
func arrowClass(p survey.Path) string {
	if !nowResolved(p) || flowNow(p) == nil {
		return "flow unsure"
	}
	return "flow"
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

// label writes what an arrow passes: the middle above it, the interval below, or both
// beside it. Of what is not resolved there is the interval alone, and the arrow is dashed.
func (m *leakMap) label(p survey.Path, c course) {
	value, interval := "?", ""
	if q := flowNow(p); q != nil {
		value, interval = texts(q)
		if !nowResolved(p) {
			value = ""
		}
	}
	up, down := -m.thick(p)/2-5, m.thick(p)/2+12
	if c.beside {
		up, down = 0, 12
	}
	if value == "" && c.beside {
		down = 5
	}
	for _, line := range []struct {
		class, words string
		y            float64
	}{{"number", value, c.label[1] + up}, {"small", interval, c.label[1] + down}} {
		if line.words != "" {
			m.text(line.class, inDrawing(c.label[0], c.anchor, line.words), line.y, c.anchor, line.words)
		}
	}
}

// inDrawing moves the place of a label so far that it stays within the drawing.
func inDrawing(x float64, a anchor, words string) float64 {
	w := digitWidth * float64(width(words))
	switch a {
	case start:
		return max(min(x, chartWidth-w), 0)
	case end:
		return min(max(x, w), chartWidth)
	}
	return min(max(x, w/2), chartWidth-w/2)
}
