package report

import (
	"fmt"
	"html"
	"math"
	"strconv"
	"strings"

	"holdbook/units"
)

// Charts are drawn by about 150 lines of our own and not by a plotting
// library: a page that takes its colours from the reader's light or dark
// setting needs SVG with class names, which such a library does not write, and
// its fonts and raster code would cost the start-up and the size of every
// command. Coordinates are rounded to a tenth, so that a drawing is the same
// text on every platform.

// chartWidth is the width of every drawing in its own units: that of a phone,
// so that letters keep their size there.
const chartWidth = 360.0

// svg is a drawing in progress.
type svg struct {
	b      strings.Builder
	height float64
	id     string
	title  string
	desc   string
}

func newSVG(id, title, desc string, height float64) *svg {
	return &svg{id: id, title: title, desc: desc, height: height}
}

// dot is a coordinate with at most one decimal.
func dot(v float64) string {
	v = math.Round(v*10) / 10
	if v == 0 || !units.Finite(v) {
		return "0"
	}
	return strconv.FormatFloat(v, 'f', -1, 64)
}

// line, rect, circle, path and text add one element each. class decides the
// colour; what is written is escaped.
func (s *svg) line(class string, x1, y1, x2, y2 float64) {
	fmt.Fprintf(&s.b, `<line class="%s" x1="%s" y1="%s" x2="%s" y2="%s"/>`, class, dot(x1), dot(y1), dot(x2), dot(y2))
}

func (s *svg) rect(class string, x, y, w, h float64) {
	fmt.Fprintf(&s.b, `<rect class="%s" x="%s" y="%s" width="%s" height="%s"/>`, class, dot(x), dot(y), dot(max(w, 0)), dot(max(h, 0)))
}

func (s *svg) circle(class string, x, y, r float64) {
	fmt.Fprintf(&s.b, `<circle class="%s" cx="%s" cy="%s" r="%s"/>`, class, dot(x), dot(y), dot(r))
}

func (s *svg) path(class, d string, attrs string) {
	fmt.Fprintf(&s.b, `<path class="%s" d="%s"%s/>`, class, d, attrs)
}

// anchor says which end of a text stands at its x.
type anchor string

const (
	start  anchor = "start"
	middle anchor = "middle"
	end    anchor = "end"
)

func (s *svg) text(class string, x, y float64, a anchor, words string) {
	fmt.Fprintf(&s.b, `<text class="%s" x="%s" y="%s" text-anchor="%s">%s</text>`, class, dot(x), dot(y), string(a), html.EscapeString(words))
}

// html is the finished drawing, with its title and description for those who
// cannot see it.
func (s *svg) html() string {
	return fmt.Sprintf(
		`<svg viewBox="0 0 %s %s" role="img" aria-labelledby="%s-title %s-desc"><title id="%s-title">%s</title><desc id="%s-desc">%s</desc>%s</svg>`,
		dot(chartWidth), dot(s.height), s.id, s.id, s.id, html.EscapeString(s.title), s.id, html.EscapeString(s.desc), s.b.String())
}

// polyline is the path data of a line through points.
func polyline(points [][2]float64) string {
	var b strings.Builder
	for i, p := range points {
		b.WriteString(map[bool]string{true: "M", false: "L"}[i == 0] + dot(p[0]) + " " + dot(p[1]))
	}
	return b.String()
}

// scale maps values to coordinates, straight or by logarithm.
type scale struct {
	low, high float64 // values
	from, to  float64 // coordinates
	log       bool
}

// newScale spans the values given, widened to look well; log scales take the
// positive ones only. Without a span it still maps, everything to one place.
func newScale(log bool, from, to float64, values ...float64) scale {
	s := scale{low: math.Inf(1), high: math.Inf(-1), from: from, to: to, log: log}
	for _, v := range values {
		if units.Finite(v) && (v > 0 || !log) {
			s.low, s.high = min(s.low, v), max(s.high, v)
		}
	}
	switch {
	case s.low > s.high:
		s.low, s.high = 1, 10
	case log:
		s.low, s.high = s.low/1.15, s.high*1.15
	default:
		margin := max((s.high-s.low)*0.06, math.Abs(s.high)*1e-6, 1e-9)
		s.low, s.high = s.low-margin, s.high+margin
	}
	return s
}

func (s scale) at(v float64) float64 {
	along := (v - s.low) / (s.high - s.low)
	if s.log {
		along = math.Log(max(v, s.low/10)/s.low) / math.Log(s.high/s.low)
	}
	if math.IsNaN(along) {
		along = 0
	}
	return s.from + min(max(along, 0), 1)*(s.to-s.from)
}

// ticks are round values within the scale, few enough to label.
func (s scale) ticks() []float64 {
	if s.log {
		return s.logTicks()
	}
	step := math.Pow10(int(math.Floor(math.Log10(s.high - s.low))))
	for _, finer := range []float64{5, 2, 1} {
		if (s.high-s.low)/(step/finer) <= 7 {
			step /= finer
			break
		}
	}
	var out []float64
	for i := math.Ceil(s.low / step); i*step <= s.high && len(out) < 20; i++ {
		out = append(out, i*step)
	}
	return out
}

func (s scale) logTicks() []float64 {
	digits := []float64{1, 2, 5}
	switch decades := math.Log10(s.high / s.low); {
	case decades > 2.5:
		digits = digits[:1]
	case decades < 0.8:
		digits = []float64{1, 1.5, 2, 3, 4, 5, 6, 8}
	}
	var out []float64
	for e := int(math.Floor(math.Log10(s.low))); e <= int(math.Ceil(math.Log10(s.high))); e++ {
		for _, d := range digits {
			if v := d * math.Pow10(e); v >= s.low && v <= s.high {
				out = append(out, v)
			}
		}
	}
	return out
}
