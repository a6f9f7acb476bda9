package check

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"holdbook/internal/sheet"
	"holdbook/internal/survey"
	"holdbook/units"
)

// Limits of plain sense, all judgement.
const (
	overHouse = units.Pressure(3) // by which a zone may pass the house pressure
	offTarget = units.Pressure(5) // by which a hold may miss what its name says
	crudeSD   = units.Pressure(5)
	runAway   = units.Pressure(2) // of a reading's samples, as of a baseline's change
	gusty     = units.Pressure(2) // of single samples about their trend
	openShare = 1.0 / 8           // of the hold between a space and the house: as if it stood open
)

// slipsAlone checks each hold by itself.
func slipsAlone(v *visit, out *slips) {
	for i := range v.sheet.Holds {
		h := &v.sheet.Holds[i]
		name := survey.HoldName(i, h)
		if !h.Finished() {
			out.say(Remarks, h.Pos, name, "no house pressure yet: the hold is not used", "the house pressure")
			continue
		}
		closingSlips(v, out, i, name)
		levelSlips(v, out, i, h, name)
		noteSignless(v, out, h, name)
		fanSlips(v, out, h, name)
		rangeUnsaid(v, out, h, name)
		baselineSlips(out, h, name)
		guardSlips(out, h, name)
		sampleSlips(out, h, name)
		nameSlips(v, out, h, name)
		out.outOfRange(openingRanges(v, h, name)...)
		turned := allAgainst(v, out, h, name)
		for _, x := range h.Readings {
			readingSlips(v, out, h, x, name, turned)
		}
	}
	reach50(v, out)
	fanAtNoBaseline(v, out)
	noBaseline(v, out)
}

// noBaseline notes, once, that no baseline is in force in a hold.
func noBaseline(v *visit, out *slips) {
	for i := range v.sheet.Holds {
		if h := &v.sheet.Holds[i]; h.Finished() {
			if _, read := v.sheet.BaselineHold(i); !read {
				out.say(Remarks, h.Pos, "", "no baseline was read: it counts as zero", "the house to outside with the fan covered, for about 20 s")
				return
			}
		}
	}
}

// levelSlips checks the pressure a house was held at.
func levelSlips(v *visit, out *slips, i int, h *sheet.Hold, name string) {
	if out.said(h.House.Pos) {
		return
	}
	if what, _, look := survey.OddPressure(h); what != "" {
		out.say(Warns, h.House.Pos, name, what, look)
	}
	p := units.Abs(h.House.Value)
	target, ok := pascalsIn(name)
	net := p
	if k, read := v.sheet.BaselineHold(i); read {
		net = units.Abs(survey.SignedHouse(v.sheet, h) - v.sheet.Holds[k].Baseline.Value)
	}
	if miss := min(units.Abs(p-target), units.Abs(net-target)); ok && miss > max(offTarget, target/5) && !out.said(h.House.Pos) {
		out.doubt[h.Pos] = true
		out.say(Warns, h.House.Pos, name, fmt.Sprintf("its name says %s Pa, the house was held at %s", units.Fixed(float64(target), 0), p.Text(units.Pascal, 1)),
			"which of the two is meant")
	}
	if t := h.FanScaledTo; t.Given && units.Abs(p-units.Abs(t.Value)) < 1 {
		out.say(Remarks, t.Pos, name, "the flow is said to be scaled to the very pressure that was held, which makes no difference", "")
	}
}

// noteSignless notes a pressure of the house that stands without a sign among others
// that have one.
func noteSignless(v *visit, out *slips, h *sheet.Hold, name string) {
	written := func(q sheet.Pressure) bool { return q.Given && q.Signed() }
	signed := slices.ContainsFunc(v.sheet.Holds, func(x sheet.Hold) bool {
		return written(x.House) || written(x.Baseline) || written(x.BaselineAfter)
	})
	note := func(q sheet.Pressure, what string, taken units.Pressure) {
		if signed && q.Given && !q.Signed() && units.Abs(q.Value) >= survey.Signless {
			out.say(Remarks, q.Pos, name, what+" stands without a sign, others have one; it is taken as "+taken.Text(units.Pascal, 1), "the sign that the gauge showed")
		}
	}
	note(h.House, "the house pressure", survey.SignedHouse(v.sheet, h))
	note(h.Baseline, "the baseline", h.Baseline.Value)
	note(h.BaselineAfter, "the baseline", h.BaselineAfter.Value)
}

// rangeUnsaid notes a fan flow without a flow range where another hold has one: it counts
// as read in a range of its own, whose error does not cancel.
func rangeUnsaid(v *visit, out *slips, h *sheet.Hold, name string) {
	if !h.Fan.Given || h.Range.Given() {
		return
	}
	for i := range v.sheet.Holds {
		if x := &v.sheet.Holds[i]; x.Fan.Given && x.Range.Given() {
			out.say(Remarks, h.Fan.Pos, name, "no flow range stands here, "+units.Sanitize(x.Range.Value)+" in "+survey.HoldName(i, x)+"; it does not carry over, and this one counts as another", "write the range in every hold")
			return
		}
	}
}

// reach50 notes that no hold comes near the pressure results are stated for.
func reach50(v *visit, out *slips) {
	most, pos, name := units.Pressure(0), sheet.Pos{}, ""
	for i := range v.sheet.Holds {
		if h := &v.sheet.Holds[i]; h.Finished() && units.Abs(h.House.Value) > most {
			most, pos, name = units.Abs(h.House.Value), h.House.Pos, survey.HoldName(i, h)
		}
	}
	if most >= survey.LowHold && most < 40 {
		out.say(Remarks, pos, name, "no hold comes near 50 Pa: sizes at 50 Pa lean on exponents", "whether the fan can do more, doors and dampers left open")
	}
}

// fanAtNoBaseline notes a fan that is said to have run while the baseline was read, where no
// hold in which it is said so has a baseline.
func fanAtNoBaseline(v *visit, out *slips) {
	pos, name := sheet.Pos{}, ""
	for i := range v.sheet.Holds {
		h := &v.sheet.Holds[i]
		running := slices.IndexFunc(h.Fans, func(f sheet.Fan) bool { return f.AtBaseline.Or(false) })
		switch {
		case running < 0:
		case h.Baseline.Given || h.BaselineAfter.Given || len(h.ZoneBaselines)+len(h.LessBaseline) > 0:
			return
		case name == "":
			pos, name = h.Fans[running].AtBaseline.Pos, survey.HoldName(i, h)
		}
	}
	if name != "" {
		out.say(Remarks, pos, name, "a fan ran while the baseline was read, but this hold has no baseline of its own; the fan counts for none", "write the baseline into this hold")
	}
}

// fanSlips checks the size of a fan flow.
func fanSlips(v *visit, out *slips, h *sheet.Hold, name string) {
	small, large := units.Flow(units.CFM.ToSI(25)), units.Flow(units.CFM.ToSI(20000))
	if q := h.Fan; q.Given && (q.Value < small || q.Value > large) {
		out.say(Warns, q.Pos, name, "a fan flow of "+q.Value.Text(v.system.Flow(), 0)+" is hardly one of a house", "its unit, the decimal point, and the flow range the gauge was told")
	}
	for _, f := range h.Fans {
		if f.Flow.Given && f.Flow.Value > large {
			out.say(Warns, f.Flow.Pos, name, "a further fan that moves "+f.Flow.Value.Text(v.system.Flow(), 0)+" is hardly one", "its unit and the decimal point")
		}
	}
	for _, x := range h.Readings {
		if x.Flow.Given && h.Fan.Given && len(h.Fans) == 0 && units.Abs(x.Flow.Value) > h.Fan.Value {
			out.say(Warns, x.Flow.Pos, name+", "+units.Sanitize(x.Of.Name), "more air would pass there than the fan moves", "its unit, and the fan flow")
		}
	}
}

func baselineSlips(out *slips, h *sheet.Hold, name string) {
	if !h.Baseline.Given {
		return
	}
	b, err := survey.BaselineFrom(h.Baseline, h.BaselineAfter, 0)
	if err != nil {
		return
	}
	if units.Abs(h.Baseline.Value) > units.Abs(h.House.Value)/3 && len(h.Fans) == 0 {
		out.say(Warns, h.Baseline.Pos, name, "the baseline is more than a third of the house pressure", "whether it was read with the fan covered, and the unit")
		return
	}
	for _, w := range b.Warnings() {
		out.say(Warns, h.Baseline.Pos, name, w.What+": "+w.Why, "wind and open doors; "+w.Do)
	}
	for _, x := range h.Readings {
		if x.Baseline.Given && units.Abs(x.Baseline.Value) > max(5, 2*units.Abs(h.Baseline.Value)) {
			out.say(Warns, x.Baseline.Pos, name+", "+units.Sanitize(x.Of.Name), "its baseline of "+x.Baseline.Value.Text(units.Pascal, 1)+" is far above that of the house", "whether it was read with the fan covered, and the unit")
		}
	}
}

// sampleSlips checks the samples of a hold's readings: whether they ran away while
// they were taken, and whether they lasted longer than their swings.
func sampleSlips(out *slips, h *sheet.Hold, name string) {
	check := func(q sheet.Pressure, about string) {
		s, ok := survey.SummaryOf(q)
		switch {
		case !ok || out.said(q.Pos):
		case units.Abs(s.Drift) > runAway && float64(units.Abs(s.Drift)) > survey.ManySD*float64(s.Noise):
			out.say(Warns, q.Pos, about, "its samples ran from one end to the other by "+s.Drift.Text(units.Pascal, 1), "wind, an outer door, a fan still speeding up; choose the rows where it was steady")
		case s.Spread > gusty:
			out.say(Remarks, q.Pos, about, "gusty: its samples swing by "+s.Spread.Text(units.Pascal, 1)+" about their trend (one standard deviation)", "a longer average, the hose end out of the wind, or a calmer hour")
		case !s.Few() && !s.Telling():
			out.say(Remarks, q.Pos, about, "too few samples for how slowly they swing: the wobble of the sheet is kept as the least error", "whether a longer stretch of the log can be used")
		}
	}
	check(h.Baseline, name+", baseline")
	check(h.BaselineAfter, name+", baseline after")
	check(h.House, name)
	for _, x := range h.Readings {
		about := name + ", " + units.Sanitize(x.Of.Name)
		check(x.Pressure, about)
		check(x.Baseline, about+", baseline")
	}
}

// allAgainst tells whether every written sign in a hold is that of the opposite hold: then
// it is the house pressure that has the wrong one.
func allAgainst(v *visit, out *slips, h *sheet.Hold, name string) bool {
	if !survey.AllAgainst(v.sheet, h) {
		return false
	}
	out.doubt[h.Pos] = true
	out.say(Warns, h.House.Pos, name, survey.HouseSignText, "the sign that the gauge showed")
	return true
}

// readingSlips checks one pressure against the hold it was read in.
func readingSlips(v *visit, out *slips, h *sheet.Hold, x sheet.Reading, name string, turned bool) {
	if !x.Pressure.Given {
		return
	}
	about := name + ", " + units.Sanitize(x.Of.Name)
	if house := units.Abs(h.House.Value); len(h.Fans) == 0 && !out.said(h.House.Pos) && !out.said(x.Pressure.Pos) && units.Abs(x.Pressure.Value) > house+overHouse {
		out.add(Item{Level: Warns, Line: x.Pressure.Pos.Line, Column: x.Pressure.Pos.Column, About: about, Impossible: true,
			Text: fmt.Sprintf("%s is more than the house pressure of %s; %s", x.Pressure.Value.Text(units.Pascal, 1), house.Text(units.Pascal, 1), beyondWhy(x.Pressure)),
			Look: "the sign, the decimal point, the unit, and where the hoses end"})
	}
	if !turned && !out.said(x.Pressure.Pos) && survey.SignOf(v.sheet, h, x) < 0 {
		out.say(Warns, x.Pressure.Pos, about, "its sign is that of the opposite hold", "which hose is on the input: a reading is the first space minus the second")
	}
	likeHouse(v, out, h, x, about)
	if s := x.PressureSD; s.Given && s.Value > crudeSD {
		out.say(Warns, s.Pos, about, "a standard deviation of more than 5 Pa tells next to nothing", "a longer average, or calmer weather")
	}
}

// likeHouse notes a space outside the air barrier that reads almost as the house
// does, with everything as found: a door may stand open, or a point be misplaced.
func likeHouse(v *visit, out *slips, h *sheet.Hold, x sheet.Reading, about string) {
	z, ok := v.sheet.Zone(x.Of.Name)
	house := units.Abs(h.House.Value)
	if !ok || z.MeantInside() || z.Kind == sheet.DuctsKind || !h.AsFound() || len(h.Fans) > 0 || house < survey.LowHold || out.said(x.Pressure.Pos) {
		return
	}
	between := units.Abs(x.Pressure.Value)
	switch x.To.Name {
	case sheet.HouseName:
	case sheet.OutsideName:
		between = house - between
	default:
		return
	}
	if float64(between) < openShare*float64(house) {
		out.doubtful(Remarks, x.Pressure.Pos, about, "it reads almost as the house does ("+x.Pressure.Value.Text(units.Pascal, 1)+"), as a space open to it would",
			"its door or hatch, the end of the hose, and the decimal point")
	}
}

// beyondWhy says what a zone beyond the pressures around it may come from.
func beyondWhy(p sheet.Pressure) string {
	if strings.Contains(strings.ToLower(p.Text), "in") {
		return "it may be in Pa, not inches of water"
	}
	return "a zone lies between the house and outside"
}

// pascalsIn is a pressure that a name speaks of: "as found, 25 Pa". Two
// different ones are none.
func pascalsIn(name string) (units.Pressure, bool) {
	words := strings.FieldsFunc(strings.ToLower(name), func(r rune) bool { return strings.ContainsRune(" ,;:()", r) })
	found, p := false, units.Pressure(0)
	for i, w := range words {
		if next := i + 1; next < len(words) && words[next] == "pa" {
			w += " pa"
		} else if !strings.HasSuffix(w, "pa") {
			continue
		}
		v, err := units.ParsePressure(strings.TrimSuffix(strings.TrimSpace(strings.TrimSuffix(w, "pa")), " ") + " Pa")
		if err != nil {
			continue
		}
		if found && units.Abs(v) != p {
			return 0, false
		}
		found, p = true, units.Abs(v)
	}
	return p, found && !math.IsInf(float64(p), 0) && p >= 5
}
