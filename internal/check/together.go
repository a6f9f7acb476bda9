package check

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"holdbook/internal/sheet"
	"holdbook/internal/survey"
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

// slipsTogether compares holds with each other.
func slipsTogether(c *survey.Case, v *visit, out *slips) {
	for k := range c.Model.Holds {
		for j := range k {
			copiedHold(c, out, j, k)
		}
	}
	sameHouse(c, v, out)
	sameZones(c, out)
	for k := range c.Model.Holds {
		if c.Model.Holds[k].Fan != nil {
			flowMoved(c, out, k)
		}
		zonesMoved(c, out, k)
	}
	for _, a := range survey.RangesApart(c) {
		level := Remarks
		if a.Covers(c) {
			level = Warns
		}
		out.say(level, c.Held[a.Changed].Hold.Range.Pos, c.Model.Holds[a.Changed].Name, survey.RangesApartText(c, a), "the flow range that the gauge was told")
	}
	exponentSlip(c, out)
	airChangeSlip(c, out)
}

// ratioSD is the standard deviation of the ratio of two scaled fan flows.
func ratioSD(c *survey.Case, j, k int) float64 {
	a, b := &c.Model.Holds[j], &c.Model.Holds[k]
	v := sq(a.Fan.SDLn) + sq(b.Fan.SDLn) + sq(exponentDoubt*math.Log(float64(a.House/b.House)*sameSign(a.House, b.House)))
	n := float64(pressure.DefaultExponent)
	v += sq(n*float64(a.HouseSD/a.House)) + sq(n*float64(b.HouseSD/b.House))
	if c.Held[j].Hold.Range.Value != c.Held[k].Hold.Range.Value {
		v += 2 * sq(c.Gauge.FanCalibration().PerRange)
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
func plainFan(c *survey.Case, out *slips, k int) bool {
	m := &c.Model.Holds[k]
	return m.Fan != nil && len(m.Fans) == 0 && units.Abs(m.House) >= 4 && !out.doubt[c.Held[k].Hold.Pos]
}

// sameHouse compares the fan flows of holds in one state.
func sameHouse(c *survey.Case, v *visit, out *slips) {
	for k := range c.Model.Holds {
		var alike []int
		for j := range c.Model.Holds {
			if plainFan(c, out, k) && plainFan(c, out, j) && sameState(c, j, k) {
				alike = append(alike, j)
			}
		}
		if len(alike) < 2 || alike[0] != k {
			continue
		}
		fanOutlier(c, v, out, alike)
	}
}

// fanOutlier names the fan flows that do not scale to the others of one state: of
// three the odd one, of two the one a usual slip explains, else the later. What is
// beyond the errors of the two, but not clearly, is a note.
func fanOutlier(c *survey.Case, v *visit, out *slips, alike []int) {
	slices.SortStableFunc(alike, func(a, b int) int { return cmp.Compare(c.FlowAt50(a), c.FlowAt50(b)) })
	mid := alike[(len(alike)-1)/2]
	for _, k := range alike {
		ratio := float64(c.FlowAt50(k) / c.FlowAt50(mid))
		off, sd := math.Abs(math.Log(ratio)), ratioSD(c, mid, k)
		if k == mid || off < max(leastRatio, oddSD*sd) {
			continue
		}
		bad, good := k, mid
		if len(alike) == 2 {
			bad, good = blameOf(c, v, mid, k)
		}
		pos, about := c.Held[bad].Hold.Fan.Pos, c.Model.Holds[bad].Name
		text := fmt.Sprintf("scaled to 50 Pa its fan flow is %s that of %s, with nothing changed", ratioText(float64(c.FlowAt50(bad))/float64(c.FlowAt50(good))), c.Model.Holds[good].Name)
		if off < max(clearRatio, clearSD*sd) {
			out.unlike = cmp.Or(out.unlike, Remarks)
			out.doubtful(Remarks, pos, about, text+", more than the errors of the two allow", "the fan in both holds once more, a door left open")
			continue
		}
		if why := flowSlip(c, v, bad, good); why != "" {
			text += "; " + why
		}
		out.unlike = Warns
		out.say(Warns, pos, about, text, "its unit, the flow range the gauge was told, the house pressure, a door left open")
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
func blameOf(c *survey.Case, v *visit, j, k int) (bad, good int) {
	first, second := flowSlip(c, v, j, k), flowSlip(c, v, k, j)
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
func flowSlip(c *survey.Case, v *visit, k, good int) string {
	ratio := math.Log(float64(c.FlowAt50(k) / c.FlowAt50(good)))
	near := max(0.1, 2*ratioSD(c, k, good))
	h, m, g := c.Held[k].Hold, &c.Model.Holds[k], &c.Model.Holds[good]
	if raw := math.Log(float64(m.Fan.Flow / g.Fan.Flow)); math.Abs(raw) < 0.04 && math.Abs(ratio) > 0.15 && units.Abs(m.House) < units.Abs(g.House) && !survey.ScaledTo(v.sheet, h).Given {
		return `the gauge may have shown it scaled: then write fan_scaled_to = "50 Pa"`
	}
	if undone := math.Log(pressure.FlowRatio(units.Abs(m.House), zonal.Reference, pressure.DefaultExponent)); survey.ScaledTo(v.sheet, h).Given && math.Abs(ratio-undone) < near && math.Abs(undone) > near {
		return "the flow may not have been scaled: then leave fan_scaled_to out"
	}
	if slip := unitSlip(flowUnit(h.Fan, v.sheet.Job.Bare.Flow.Value), ratio, near); slip != "" {
		return slip
	}
	switch {
	case math.Abs(ratio-math.Log(10)) < 2*near:
		return survey.SlipWords[zonal.TenTimes]
	case math.Abs(ratio+math.Log(10)) < 2*near:
		return survey.SlipWords[zonal.TenthOf]
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

// copiedHold finds a hold whose readings are those of another.
func copiedHold(c *survey.Case, out *slips, j, k int) {
	x, y := c.Held[j].Hold, c.Held[k].Hold
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
	whole := same == total && total >= 3 && (exact >= 2 || !sameState(c, j, k))
	if whole || same == total-1 && exact >= 3 && x.House.Text != y.House.Text {
		out.doubt[y.Pos] = true
		out.say(Warns, y.Pos, c.Model.Holds[k].Name, "its readings are those of "+c.Model.Holds[j].Name+", to the last figure", "whether it was read, or copied and not filled in")
	}
}

// exponentSlip checks that of a multi-point test, at the hold furthest from 50 Pa.
func exponentSlip(c *survey.Case, out *slips) {
	stations := survey.LongestSeries(c)
	if len(stations) < 3 {
		return
	}
	m, _ := pressure.FitStandard(stations)
	n, err := m.Exponent()
	if err != nil || n.High >= 0.5 && n.Low <= 0.85 && n.Value >= 0.45 && n.Value <= 0.92 {
		return
	}
	far := slices.IndexFunc(c.Model.Holds, func(h zonal.Hold) bool { return h.Fan != nil && h.House == lowest(stations).Pressure })
	if far < 0 || out.doubt[c.Held[far].Hold.Pos] || out.said(c.Held[far].Hold.Fan.Pos) {
		return
	}
	out.say(Warns, c.Held[far].Hold.Fan.Pos, c.Model.Holds[far].Name, fmt.Sprintf("with it the multi-point test has an exponent of %s; houses lie between 0.5 and 0.85", units.Fixed(float64(n.Value), 2)),
		"the baseline, the lowest holds, and the flow range of each")
}

func lowest(list []pressure.Station) pressure.Station {
	return slices.MinFunc(list, func(a, b pressure.Station) int {
		return cmp.Compare(math.Abs(float64(a.Pressure)), math.Abs(float64(b.Pressure)))
	})
}

// airChangeSlip checks what the fan makes of the volume.
func airChangeSlip(c *survey.Case, out *slips) {
	v := c.Sheet.House.Volume
	for k := range c.Model.Holds {
		if !v.Given || v.Value <= 0 || !plainFan(c, out, k) || !c.Held[k].Hold.AsFound() {
			continue
		}
		rate := units.Rate(float64(c.FlowAt50(k)) / float64(v.Value))
		pos := c.Held[k].Hold.Fan.Pos
		if p := pressure.QueryAirChanges(rate); p != nil && !out.said(pos) && !out.said(v.Pos) {
			out.say(Warns, pos, c.Model.Holds[k].Name, "the house would change its air "+figures(3600*float64(rate))+" times an hour at 50 Pa; "+p.Why, "the fan flow, the volume, and their units")
			return
		}
	}
}

func sq[Q ~float64](v Q) float64 { return float64(v) * float64(v) }
