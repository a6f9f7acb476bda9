package survey

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"holdbook/internal/sheet"
	"holdbook/pressure"
	"holdbook/units"
	"holdbook/zonal"
)

const (
	// clearSD is how many standard deviations two readings must be apart for a
	// warning; false alarms cost trust.
	clearSD = 4.0
	// clearRatio is the least difference of two fan flows in one state, as a logarithm,
	// for a warning.
	clearRatio = 0.1
	// leastRatio is the least difference of two fan flows that is spoken of.
	leastRatio = 0.04
	// exponentDoubt is the standard deviation of a house's exponent.
	exponentDoubt = 0.06
	// littleMove is a change of a zone's pressure that is none (Pa).
	littleMove = units.Pressure(1)
	// nearHouse is how near to its end a zone has nowhere to move (Pa).
	nearHouse = units.Pressure(3)
)

// holdsTogether compares holds with each other.
func (c *checker) holdsTogether() {
	for k := range c.model.Holds {
		for j := range k {
			c.copied(j, k)
		}
	}
	c.sameHouse()
	c.sameZones()
	for k := range c.model.Holds {
		if c.model.Holds[k].Fan != nil {
			c.flowMoved(k)
		}
		c.zonesMoved(k)
	}
	c.exponent()
	c.airChanges()
}

// at50 is a hold's fan flow scaled to 50 Pa with the usual exponent.
func (c *checker) at50(k int) float64 {
	m := &c.model.Holds[k]
	return float64(m.Fan.Flow) * math.Pow(zonal.Reference/math.Abs(float64(m.House)), float64(defaultExponent))
}

// ratioSD is the standard deviation of the ratio of two scaled fan flows.
func (c *checker) ratioSD(j, k int) float64 {
	a, b := &c.model.Holds[j], &c.model.Holds[k]
	v := sq(a.Fan.SDLn) + sq(b.Fan.SDLn) + sq(exponentDoubt*math.Log(float64(a.House/b.House)*sameSign(a.House, b.House)))
	v += sq(0.65*float64(a.HouseSD/a.House)) + sq(0.65*float64(b.HouseSD/b.House))
	if c.held[j].hold.Range.Value != c.held[k].hold.Range.Value {
		v += 2 * sq(c.gauge.FanCalibration().PerRange)
	}
	if (a.House < 0) != (b.House < 0) {
		v += sq(0.08) // flaps and dampers: judgement
	}
	return math.Sqrt(v)
}

func sameSign(a, b units.Pressure) float64 {
	if (a < 0) != (b < 0) {
		return -1
	}
	return 1
}

// plainFan tells whether a hold has a door fan, no further one, and a pressure
// that can be scaled.
func (c *checker) plainFan(k int) bool {
	m := &c.model.Holds[k]
	return m.Fan != nil && len(m.Fans) == 0 && abs(m.House) >= 4 && !c.doubt[c.held[k].hold.Pos]
}

// sameHouse compares the fan flows of holds in one state.
func (c *checker) sameHouse() {
	for k := range c.model.Holds {
		var alike []int
		for j := range c.model.Holds {
			if c.plainFan(k) && c.plainFan(j) && c.sameState(j, k) {
				alike = append(alike, j)
			}
		}
		if len(alike) < 2 || alike[0] != k {
			continue
		}
		c.outlier(alike)
	}
}

// outlier names the fan flows that do not scale to the others of one state: of
// three the odd one, of two the one a usual slip explains, else the later. What is
// beyond the errors of the two, but not clearly, is a note.
func (c *checker) outlier(alike []int) {
	slices.SortStableFunc(alike, func(a, b int) int { return cmp.Compare(c.at50(a), c.at50(b)) })
	mid := alike[(len(alike)-1)/2]
	for _, k := range alike {
		ratio := c.at50(k) / c.at50(mid)
		off, sd := math.Abs(math.Log(ratio)), c.ratioSD(mid, k)
		if k == mid || off < max(leastRatio, oddSD*sd) {
			continue
		}
		bad, good := k, mid
		if len(alike) == 2 {
			bad, good = c.blameOf(mid, k)
		}
		pos, about := c.held[bad].hold.Fan.Pos, c.model.Holds[bad].Name
		text := fmt.Sprintf("scaled to 50 Pa its fan flow is %s that of %s, with nothing changed", ratioText(c.at50(bad)/c.at50(good)), c.model.Holds[good].Name)
		if off < max(clearRatio, clearSD*sd) {
			c.unlike = cmp.Or(c.unlike, Remarks)
			c.say(Remarks, pos, about, text+", more than the errors of the two allow", "the fan in both holds once more, a door left open")
			continue
		}
		if why := c.flowSlip(bad, good); why != "" {
			text += "; " + why
		}
		c.unlike = Warns
		c.say(Warns, pos, about, text, "its unit, the flow range the gauge was told, the house pressure, a door left open")
	}
}

// ratioText says a ratio of two flows: in percent up to twice or half, else in times.
func ratioText(ratio float64) string {
	switch percent := units.Fixed(100*math.Abs(ratio-1), 0); {
	case ratio >= 2 || ratio <= 0.5:
		return figures(ratio) + " times"
	case ratio < 1:
		return percent + " % below"
	default:
		return percent + " % above"
	}
}

// blameOf tells the worse of two fan flows.
func (c *checker) blameOf(j, k int) (bad, good int) {
	first, second := c.flowSlip(j, k), c.flowSlip(k, j)
	if first != "" && second == "" || first == "" && second == "" && j > k {
		return j, k
	}
	return k, j
}

// flowUnits are the units of flow that are taken for one another.
var flowUnits = []units.Unit{units.CFM, units.LitrePerSecond, units.CubicMetrePerHour}

// unitSlip tells which unit of flow, written in place of another, multiplies it by
// about ratio (a logarithm); empty when none does.
func unitSlip(written string, ratio, near float64) string {
	for _, w := range flowUnits {
		for _, meant := range flowUnits {
			if w != meant && w.Symbol() == written && math.Abs(ratio-math.Log(w.ToSI(1)/meant.ToSI(1))) < near {
				return "it may be in " + meant.Symbol() + ", not " + written
			}
		}
	}
	return ""
}

// flowSlip says which slip would make hold k's fan flow that of a good one;
// empty when none does.
func (c *checker) flowSlip(k, good int) string {
	ratio := math.Log(c.at50(k) / c.at50(good))
	near := max(0.1, 2*c.ratioSD(k, good))
	h, m, g := c.held[k].hold, &c.model.Holds[k], &c.model.Holds[good]
	if raw := math.Log(float64(m.Fan.Flow / g.Fan.Flow)); math.Abs(raw) < 0.04 && math.Abs(ratio) > 0.15 && abs(m.House) < abs(g.House) && !h.FanScaledTo.Given {
		return `the gauge may have shown it scaled: then write fan_scaled_to = "50 Pa"`
	}
	if undone := math.Log(math.Pow(math.Abs(float64(m.House))/zonal.Reference, 0.65)); h.FanScaledTo.Given && math.Abs(ratio-undone) < near && math.Abs(undone) > near {
		return "the flow may not have been scaled: then leave fan_scaled_to out"
	}
	if slip := unitSlip(flowUnit(h.Fan, c.whole.Job.Bare.Flow.Value), ratio, near); slip != "" {
		return slip
	}
	switch {
	case math.Abs(ratio-math.Log(10)) < 2*near:
		return "it may be ten times too large"
	case math.Abs(ratio+math.Log(10)) < 2*near:
		return "it may be ten times too small"
	}
	return ""
}

// flowUnit is the unit a flow was written in.
func flowUnit(q sheet.Flow, bare string) string {
	text := q.Text
	if text == "" || text[len(text)-1] >= '0' && text[len(text)-1] <= '9' {
		text = bare
	}
	for _, u := range []struct{ part, name string }{{"L/s", "L/s"}, {"l/s", "L/s"}, {"m3/h", "m3/h"}, {"m³/h", "m3/h"}, {"cfm", "cfm"}, {"CFM", "cfm"}} {
		if strings.Contains(text, u.part) {
			return u.name
		}
	}
	return ""
}

// copied finds a hold whose readings are those of another.
func (c *checker) copied(j, k int) {
	x, y := c.held[j].hold, c.held[k].hold
	if len(x.Readings) == 0 || len(x.Readings) != len(y.Readings) {
		return
	}
	same, exact, total := 0, 0, 0
	count := func(a, b string, decimals bool) {
		total++
		if a == b {
			same++
			if decimals && strings.Contains(a, ".") {
				exact++
			}
		}
	}
	for i, r := range x.Readings {
		s := y.Readings[i]
		if r.Of.Name != s.Of.Name || r.To.Name != s.To.Name || r.Pressure.Given != s.Pressure.Given {
			return
		}
		count(r.Pressure.Text+r.Flow.Text, s.Pressure.Text+s.Flow.Text, true)
	}
	count(x.House.Text, y.House.Text, true)
	if x.Fan.Given && y.Fan.Given {
		count(x.Fan.Text, y.Fan.Text, false)
	}
	whole := same == total && total >= 3 && (exact >= 2 || !c.sameState(j, k))
	if whole || same == total-1 && exact >= 3 && x.House.Text != y.House.Text {
		c.doubt[y.Pos] = true
		c.say(Warns, y.Pos, c.model.Holds[k].Name, "its readings are those of "+c.model.Holds[j].Name+", to the last figure", "whether it was read, or copied and not filled in")
	}
}

// exponent checks that of a multi-point test, at the hold furthest from 50 Pa.
func (c *checker) exponent() {
	stations := c.stations()
	if len(stations) < 3 {
		return
	}
	m, _ := pressure.FitStandard(stations)
	n, err := m.Exponent()
	if err != nil || n.High >= 0.5 && n.Low <= 0.85 && n.Value >= 0.45 && n.Value <= 0.92 {
		return
	}
	far := slices.IndexFunc(c.model.Holds, func(h zonal.Hold) bool { return h.Fan != nil && h.House == lowest(stations).Pressure })
	if far < 0 || c.doubt[c.held[far].hold.Pos] || c.said(c.held[far].hold.Fan.Pos) {
		return
	}
	c.say(Warns, c.held[far].hold.Fan.Pos, c.model.Holds[far].Name, fmt.Sprintf("with it the multi-point test has an exponent of %s; houses lie between 0.5 and 0.85", units.Fixed(float64(n.Value), 2)),
		"the baseline, the lowest holds, and the flow range of each")
}

func lowest(list []pressure.Station) pressure.Station {
	return slices.MinFunc(list, func(a, b pressure.Station) int {
		return cmp.Compare(math.Abs(float64(a.Pressure)), math.Abs(float64(b.Pressure)))
	})
}

// airChanges checks what the fan makes of the volume.
func (c *checker) airChanges() {
	v := c.sheet.House.Volume
	for k := range c.model.Holds {
		if !v.Given || v.Value <= 0 || !c.plainFan(k) || !c.held[k].hold.AsFound() {
			continue
		}
		rate := units.Rate(c.at50(k) / float64(v.Value))
		pos := c.held[k].hold.Fan.Pos
		if p := pressure.QueryAirChanges(rate); p != nil && !c.said(pos) && !c.said(v.Pos) {
			c.say(Warns, pos, c.model.Holds[k].Name, "the house would change its air "+figures(3600*float64(rate))+" times an hour at 50 Pa; "+p.Why, "the fan flow, the volume, and their units")
			return
		}
	}
}
