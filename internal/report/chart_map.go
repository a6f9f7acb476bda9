package report

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"holdbook/internal/survey"
)

// The leak map is a section of a house: the spaces above it under its roof, those below
// it under the ground, a garage at its right, neighbours at its left, ducts within it.
// Every leak is an arrow in the direction the air takes while the house is held at 50 Pa.
const (
	houseLeft   = 112.0
	houseRight  = 248.0
	sideBox     = 62.0 // width of a space at a side
	boxHeight   = 46.0
	pitchBeside = 92.0 // from one space at a side to the next
	gapBelow    = 34.0 // between the house and what is above or below it
	roofHeight  = 86.0
	thickest    = 16.0 // an arrow
	thinnest    = 1.4
)

// region is where a space is drawn.
type region int

const (
	above region = iota
	below
	left
	right
	within
)

// regions are where the kinds of space are drawn; what is not named stands at the right.
var regions = map[string]region{"attic": above, "kneewall": above, "crawlspace": below, "basement": below, "neighbour": left, "ducts": within}

// widestRow is how many spaces stand side by side above or below the house.
const widestRow = 2

// box is a space of the drawing.
type box struct{ x, y, w, h float64 }

func (b box) middle() [2]float64 { return [2]float64{b.x + b.w/2, b.y + b.h/2} }

// leakMap is the drawing in progress.
type leakMap struct {
	*svg
	f      *survey.Findings
	unit   string
	most   float64
	house  box
	boxes  map[string]box
	where  map[string]region
	rows   [within + 1][]string // the spaces of each region
	height float64
	said   []string // what the description says
}

func chartMap(f *survey.Findings) string {
	if len(f.Paths) == 0 {
		return ""
	}
	m := &leakMap{f: f, unit: unitOf(each(f.Paths, flowNow)...), boxes: map[string]box{}, where: map[string]region{}}
	for _, p := range f.Paths {
		if q := flowNow(p); q != nil && nowResolved(p) {
			m.most = max(m.most, q.Value)
		}
	}
	m.sort()
	m.place()
	m.svg = newSVG("map", "The house in section, with its leaks", "", m.height)
	m.walls()
	for _, name := range slices.Concat(m.rows[:]...) {
		m.space(name)
	}
	for _, p := range f.Paths {
		if flowNow(p) != nil || p.Note == "" { // else a state that the house is not in as found
			m.leak(p)
		}
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

// nowResolved tells whether what a path passes is resolved: a flow is judged by its own
// interval, not by that of the leak's size.
func nowResolved(p survey.Path) bool {
	if isBetween(p, "house", "outside") {
		return p.Resolved // they are one number
	}
	return p.NowResolved
}

func isBetween(p survey.Path, a, b string) bool {
	return p.Between == [2]string{a, b} || p.Between == [2]string{b, a}
}

// sort puts every space into its region; a row that is full goes on at the right.
func (m *leakMap) sort() {
	add := func(name, kind string) {
		if _, seen := m.where[name]; seen || name == "house" || name == "outside" {
			return
		}
		r, known := regions[kind]
		if !known || r < left && len(m.rows[r]) == widestRow {
			r = right
		}
		m.where[name], m.rows[r] = r, append(m.rows[r], name)
	}
	for _, z := range m.f.Zones {
		add(z.Name, z.Kind)
	}
	for _, p := range m.f.Paths {
		add(p.Between[0], "")
		add(p.Between[1], "")
	}
}

// place gives the house and every space its box.
func (m *leakMap) place() {
	top := 40.0
	switch len(m.rows[above]) {
	case 0:
	case 1:
		top = roofHeight + 10
	default:
		top = 2*gapBelow + boxHeight + 8
	}
	beside := max(float64(len(m.rows[right]))*pitchBeside, float64(len(m.rows[left]))*pitchBeside+60)
	height := max(140, beside, float64(len(m.rows[within]))*72+86)
	m.house = box{houseLeft, top, houseRight - houseLeft, height}
	foot := top + height
	m.row(above, top-gapBelow-boxHeight)
	m.row(below, foot+gapBelow)
	for i, name := range m.rows[right] { // they stand on the ground
		m.boxes[name] = box{chartWidth - sideBox - 2, foot - float64(i)*pitchBeside - boxHeight, sideBox, boxHeight}
	}
	for i, name := range m.rows[left] {
		m.boxes[name] = box{2, top + 36 + float64(i)*pitchBeside, sideBox, boxHeight}
	}
	for i, name := range m.rows[within] {
		m.boxes[name] = box{144, top + 46 + float64(i)*72, 78, 34}
	}
	m.height = foot + 12
	if len(m.rows[below]) > 0 {
		m.height = foot + gapBelow + boxHeight + 6
	}
}

// row places the spaces above or below the house side by side.
func (m *leakMap) row(r region, y float64) {
	n := float64(len(m.rows[r]))
	const apart = 8.0
	w := (m.house.w + (n-1)*48 - (n-1)*apart) / n
	x := (chartWidth - n*w - (n-1)*apart) / 2
	for i, name := range m.rows[r] {
		m.boxes[name] = box{x + float64(i)*(w+apart), y, w, boxHeight}
	}
	if r == above && n == 1 { // all of the roof
		m.boxes[m.rows[r][0]] = box{m.house.x - 16, m.house.y - roofHeight, m.house.w + 32, roofHeight}
	}
}

// walls draws the house, its roof and the ground.
func (m *leakMap) walls() {
	h := m.house
	m.rect("indoors walls", h.x, h.y, h.w, h.h)
	m.rect("space", h.x, h.y, h.w, h.h)
	m.line("ground", 0, h.y+h.h, chartWidth, h.y+h.h)
	if len(m.rows[above]) != 1 {
		y := h.y
		if n := len(m.rows[above]); n > 1 {
			y -= gapBelow + boxHeight
		}
		m.path("roof", polyline([][2]float64{{h.x - 20, y}, {h.x + h.w/2, y - 30}, {h.x + h.w + 20, y}}), "")
	}
	m.text("place boxed", h.x+34, h.y+h.h-36, start, "house")
}

// space draws one space, the darker the more it is indoors.
func (m *leakMap) space(name string) {
	b := m.boxes[name]
	outline := [][2]float64{{b.x, b.y}, {b.x + b.w, b.y}, {b.x + b.w, b.y + b.h}, {b.x, b.y + b.h}}
	at, limit := b.middle(), int(b.w/7.2)
	if m.roofed(name) {
		outline = [][2]float64{{b.x, b.y + b.h}, {b.x + b.w/2, b.y}, {b.x + b.w, b.y + b.h}}
		at, limit = [2]float64{b.x + b.w/2, b.y + 46}, 12
	}
	m.path("page", polyline(outline)+"Z", "")
	for _, z := range m.f.Zones {
		if z.Name == name && z.ConnectionFraction != nil {
			m.path("indoors", polyline(outline)+"Z", fmt.Sprintf(` fill-opacity="%.2f"`, 0.42*min(max(z.ConnectionFraction.Value, 0), 1)))
		}
	}
	m.path("space", polyline(outline)+"Z", "")
	lines := fitLines(name, limit, 2)
	for i, l := range lines {
		m.text("place boxed", at[0], at[1]+4+12*(float64(i)-float64(len(lines)-1)/2), middle, l)
	}
}

// roofed tells whether a space takes all of the roof.
func (m *leakMap) roofed(name string) bool { return m.where[name] == above && len(m.rows[above]) == 1 }

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
		words += " " + EstIf(q, nowResolved(p)).String()
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
