package report

import (
	"fmt"
	"math"
	"strings"

	"holdbook/internal/survey"
)

// chartIntervals draws the size of every leak with its interval, on a
// logarithmic scale: equal lengths are equal factors.
func chartIntervals(f *survey.Findings) string {
	list := bySize(f.Paths)
	flows := each(list, func(p survey.Path) *survey.Q { return p.Flow50 })
	var ends []float64
	for _, q := range flows {
		if q != nil {
			ends = append(ends, q.Low, q.High)
		}
	}
	if len(ends) == 0 {
		return ""
	}
	const top = 2.0
	pitch, names := 32.0, make([][]string, len(list))
	for i, p := range list {
		if names[i] = fitLines(pathName(p), max(14, labelLine-width(estimateWords(p))), 2); len(names[i]) > 1 {
			pitch = 44
		}
	}
	foot := top + pitch*float64(len(list))
	s := newSVG("sizes", "Size of every leak with its 90 % interval", "", foot+30)
	x := newScale(true, 6, chartWidth-6, ends...)
	axisBelow(s, x, top, foot, "flow with 50 Pa across the leak ("+unitOf(flows...)+")")
	var said []string
	for i, p := range list {
		if flows[i] == nil {
			continue
		}
		y := top + pitch*float64(i)
		for k, line := range names[i] {
			s.text("label", 0, y+13+12*float64(k), start, line)
		}
		s.text("label", chartWidth, y+13, end, estimateWords(p))
		intervalBar(s, x, p.Flow50, y+pitch-10, p.Resolved)
		said = append(said, pathName(p)+" "+EstWithin(p.Flow50, p.Resolved, p.Bound).String())
	}
	s.desc = strings.Join(said, "; ") + "."
	return s.html()
}

// labelLine is how many characters of a label fit on a line of a drawing.
const labelLine = 52

// estimateWords is an estimate for a label: no unit, the axis has it.
func estimateWords(p survey.Path) string {
	switch {
	case p.Flow50 == nil:
		return ""
	case p.Resolved:
		return Est(p.Flow50).String()
	case p.Bound != "":
		return unresolved(p.Flow50, p.Bound)
	}
	_, i := texts(p.Flow50)
	return "not resolved (" + i + ")"
}

func intervalBar(s *svg, x scale, q *survey.Q, y float64, resolved bool) {
	a, b := x.at(q.Low), x.at(q.High)
	if !resolved {
		s.line("bar unsure", a, y, b, y)
		return
	}
	s.line("bar", a, y, max(b, a+1), y)
	s.circle("mark", x.at(q.Value), y, 4)
}

// axisBelow draws the ticks of a horizontal axis, with lines up to top.
func axisBelow(s *svg, x scale, top, foot float64, title string) {
	for _, t := range x.ticks() {
		s.line("grid", x.at(t), top, x.at(t), foot)
	}
	tickLabels(s, x, foot+12)
	s.text("small", chartWidth/2, foot+26, middle, title)
}

// digitWidth is the width of a character of a tick label.
const digitWidth = 6.2

// tickLabels writes the values of the ticks of a horizontal axis, as many as do not run
// into each other.
func tickLabels(s *svg, x scale, y float64) {
	free := math.Inf(-1) // where there is room again
	for _, t := range x.ticks() {
		words, at := number(t), x.at(t)
		w, a := digitWidth*float64(len(words)), edgeAnchor(x.at(t))
		from := map[anchor]float64{start: at, middle: at - w/2, end: at - w}[a]
		if from < free {
			continue
		}
		s.text("small", at, y, a, words)
		free = from + w + digitWidth
	}
}

// edgeAnchor keeps tick labels inside the drawing.
func edgeAnchor(x float64) anchor {
	switch {
	case x < 12:
		return start
	case x > chartWidth-12:
		return end
	}
	return middle
}

// chartRegisters draws the pressure across each covered register.
func chartRegisters(d *survey.Ducts) string {
	if d == nil {
		return ""
	}
	var list []survey.Register
	ends := []float64{0}
	for _, r := range byRank(d.Registers, func(r survey.Register) int { return r.Rank }) {
		if q := coverReading(r); q != nil {
			list = append(list, r)
			ends = append(ends, q.High)
		}
	}
	if len(list) == 0 {
		return ""
	}
	const left, top = 122.0, 4.0
	pitch := 17.0
	for _, r := range list {
		if len(fitLines(r.Name, registerLine, 2)) > 1 {
			pitch = 25
		}
	}
	foot := top + pitch*float64(len(list))
	s := newSVG("registers", "Covered-register pressures", "", foot+30)
	x := newScale(false, left, chartWidth-30, ends...)
	x.low = 0
	axisBelow(s, x, top, foot, "pressure across the covered register ("+coverReading(list[0]).Unit.Pretty()+"); outlined: return")
	var said []string
	for i, r := range list {
		registerBar(s, x, r, top+pitch*float64(i)+(pitch-17)/2, left)
		said = append(said, r.Name+" "+Est(coverReading(r)).String())
	}
	s.desc = strings.Join(said, "; ") + "."
	return s.html()
}

// coverReading is the corrected pressure, or the reading itself.
func coverReading(r survey.Register) *survey.Q {
	if r.Cover50 != nil {
		return r.Cover50
	}
	return r.Cover
}

// registerLine is how many characters of a register's name fit beside its bar.
const registerLine = 18

func registerBar(s *svg, x scale, r survey.Register, y, left float64) {
	q := coverReading(r)
	class := "column"
	if r.Side == "return" {
		class = "column hollow"
	}
	lines := fitLines(r.Name, registerLine, 2)
	for k, line := range lines {
		s.text("label", left-6, y+12+12*(float64(k)-float64(len(lines)-1)/2), end, line)
	}
	s.rect(class, left, y+3, x.at(q.Value)-left, 10)
	s.line("whisker", x.at(q.Low), y+8, x.at(q.High), y+8)
	v, _ := texts(q)
	s.text("small", x.at(q.High)+4, y+12, start, v)
}

// plane is a drawing with two axes.
type plane struct {
	*svg
	x, y scale
}

// Margins of a plane.
const (
	planeLeft, planeTop   = 44.0, 8.0
	planeRight, planeFoot = chartWidth - 8, 206.0
)

func newPlane(id, title string, log bool, xs, ys []float64, xTitle, yTitle string) plane {
	p := plane{newSVG(id, title, "", 238), newScale(log, planeLeft, planeRight, xs...), newScale(log, planeFoot, planeTop+12, ys...)}
	for _, t := range p.x.ticks() {
		p.line("grid", p.x.at(t), planeTop+12, p.x.at(t), planeFoot)
	}
	tickLabels(p.svg, p.x, planeFoot+12)
	free := math.Inf(1)
	for _, t := range p.y.ticks() {
		p.line("grid", planeLeft, p.y.at(t), planeRight, p.y.at(t))
		if y := p.y.at(t); y < free {
			p.text("small", planeLeft-4, y+4, end, number(t))
			free = y - 13
		}
	}
	p.text("small", (planeLeft+planeRight)/2, planeFoot+27, middle, xTitle)
	p.text("small", 0, planeTop+4, start, yTitle)
	return p
}

// chartFit draws a multi-point test: points, line and limits, both axes
// logarithmic, so that a power law is straight.
func chartFit(m *survey.MultiPoint) string {
	if m == nil || len(m.Points) == 0 {
		return ""
	}
	var xs, ys []float64
	for _, p := range m.Points {
		xs, ys = append(xs, math.Abs(p.Pressure)), append(ys, math.Abs(p.Flow))
	}
	for _, b := range m.Band {
		xs, ys = append(xs, math.Abs(b.Pressure)), append(ys, b.Flow.Low, b.Flow.High)
	}
	c := newPlane("fit", "Multi-point test with its fit", true, xs, ys, "house pressure (Pa)", "fan flow ("+m.Points[0].Unit.Pretty()+")")
	c.band(m.Band)
	var said []string
	for _, p := range m.Points {
		c.circle("mark", c.x.at(math.Abs(p.Pressure)), c.y.at(math.Abs(p.Flow)), 3.5)
		said = append(said, fmt.Sprintf("%s %s at %s Pa", number(p.Flow), p.Unit.Pretty(), number(p.Pressure)))
	}
	c.desc = fmt.Sprintf("Points: %s. Exponent %s; the band is the %s %% limits of the line.",
		strings.Join(said, "; "), Est(&m.Exponent).String(), number(level(&m.Exponent, 95)))
	return c.html()
}

func (c plane) band(list []survey.Band) {
	if len(list) < 2 {
		return
	}
	var line, edge [][2]float64
	for _, b := range list {
		x := c.x.at(math.Abs(b.Pressure))
		line = append(line, [2]float64{x, c.y.at(b.Flow.Value)})
		edge = append(edge, [2]float64{x, c.y.at(b.Flow.High)})
	}
	for i := len(list) - 1; i >= 0; i-- {
		edge = append(edge, [2]float64{c.x.at(math.Abs(list[i].Pressure)), c.y.at(list[i].Flow.Low)})
	}
	c.path("band", polyline(edge)+"Z", "")
	c.path("curve", polyline(line), "")
}

// chartOnOff draws the on/off test: differences and the fitted curve.
func chartOnOff(d *survey.Ducts) string {
	if d == nil || d.OnOff == nil || len(d.OnOff.Points) == 0 {
		return ""
	}
	points, curve := d.OnOff.Points, d.OnOff.Curve
	var xs, ys []float64
	for _, p := range points {
		xs, ys = append(xs, p.Pressure), append(ys, p.Difference)
	}
	var line [][2]float64
	for _, p := range curve {
		xs, ys = append(xs, p.Pressure), append(ys, p.Fitted)
	}
	c := newPlane("onoff", "On/off test: points and fitted curve", false, xs, ys, "house pressure, air handler off (Pa)",
		"flow, on less off ("+points[0].Unit.Pretty()+")")
	for _, p := range curve {
		line = append(line, [2]float64{c.x.at(p.Pressure), c.y.at(p.Fitted)})
	}
	if len(line) > 1 {
		c.path("curve", polyline(line), "")
	}
	var said []string
	for _, p := range points {
		c.circle("mark", c.x.at(p.Pressure), c.y.at(p.Difference), 3.5)
		said = append(said, fmt.Sprintf("%s at %s Pa", number(p.Difference), number(p.Pressure)))
	}
	c.desc = "Flow with the air handler on less off: " + strings.Join(said, "; ") + "."
	return c.html()
}
