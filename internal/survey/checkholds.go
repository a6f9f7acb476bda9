package survey

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"holdbook/internal/sheet"
	"holdbook/units"
	"holdbook/zonal"
)

// Limits of plain sense, all judgement.
const (
	lowHold   = units.Pressure(6)  // below it wind rules a hold
	highHold  = units.Pressure(75) // above it a hold was over-driven
	overHouse = units.Pressure(3)  // by which a zone may pass the house pressure
	clearSign = units.Pressure(2)  // from which a sign cannot be wind
	offTarget = units.Pressure(5)  // by which a hold may miss what its name says
	crudeSD   = units.Pressure(5)
	runAway   = units.Pressure(2) // of a reading's samples, as of a baseline's change
	openShare = 1.0 / 8           // of the hold between a space and the house: as if it stood open
)

// holdsAlone checks each hold by itself.
func (c *checker) holdsAlone() {
	for i := range c.whole.Holds {
		h := &c.whole.Holds[i]
		name := holdName(i, h)
		if !h.Finished() {
			c.say(Remarks, h.Pos, name, "no house pressure yet: the hold is not used", "the house pressure")
			continue
		}
		c.closing(h, name)
		c.level(i, h, name)
		c.signless(h, name)
		c.fanFlow(h, name)
		c.rangeUnsaid(h, name)
		c.baselines(h, name)
		c.sampled(h, name)
		c.named(h, name)
		c.changes(h, name)
		turned := c.against(h, name)
		for _, x := range h.Readings {
			c.reading(h, x, name, turned)
		}
	}
	c.reach50()
}

// level checks the pressure a house was held at. A second fan or an opening to
// outside may hold it at nothing.
func (c *checker) level(i int, h *sheet.Hold, name string) {
	p := abs(h.House.Value)
	switch {
	case c.said(h.House.Pos):
		return
	case p < lowHold && len(h.Fans) == 0:
		c.say(Warns, h.House.Pos, name, "the house was held at "+p.Text(units.Pascal, 1)+" only", "whether the fan was up, the decimal point, and the unit")
	case p > highHold:
		c.say(Warns, h.House.Pos, name, "the house was held at "+p.Text(units.Pascal, 1)+", far above the usual 50 Pa", "the decimal point, the unit, or an over-driven house")
	}
	target, ok := pascalsIn(name)
	net := p
	if k, read := c.whole.BaselineHold(i); read {
		net = abs(c.houseOf(h) - c.whole.Holds[k].Baseline.Value)
	}
	if miss := min(abs(p-target), abs(net-target)); ok && miss > max(offTarget, target/5) && !c.said(h.House.Pos) {
		c.doubt[h.Pos] = true
		c.say(Warns, h.House.Pos, name, fmt.Sprintf("its name says %s Pa, the house was held at %s", units.Fixed(float64(target), 0), p.Text(units.Pascal, 1)),
			"which of the two is meant")
	}
	if t := h.FanScaledTo; t.Given && abs(p-abs(t.Value)) < 1 {
		c.say(Remarks, t.Pos, name, "the flow is said to be scaled to the very pressure that was held, which makes no difference", "")
	}
}

// signless notes a pressure of the house that stands without a sign among others
// that have one.
func (c *checker) signless(h *sheet.Hold, name string) {
	written := func(q sheet.Pressure) bool { return q.Given && q.Signed() }
	signed := slices.ContainsFunc(c.whole.Holds, func(x sheet.Hold) bool {
		return written(x.House) || written(x.Baseline) || written(x.BaselineAfter)
	})
	note := func(q sheet.Pressure, what string, taken units.Pressure) {
		if signed && q.Given && !q.Signed() && abs(q.Value) >= signless {
			c.say(Remarks, q.Pos, name, what+" stands without a sign, others have one; it is taken as "+taken.Text(units.Pascal, 1), "the sign that the gauge showed")
		}
	}
	note(h.House, "it", c.houseOf(h))
	note(h.Baseline, "the baseline", h.Baseline.Value)
	note(h.BaselineAfter, "the baseline", h.BaselineAfter.Value)
}

// rangeUnsaid notes a fan flow without a flow range where another hold has one: it counts
// as read in a range of its own, whose error does not cancel.
func (c *checker) rangeUnsaid(h *sheet.Hold, name string) {
	if !h.Fan.Given || h.Range.Given() {
		return
	}
	for i := range c.whole.Holds {
		if x := &c.whole.Holds[i]; x.Fan.Given && x.Range.Given() {
			c.say(Remarks, h.Fan.Pos, name, "no flow range stands here, "+units.Sanitize(x.Range.Value)+" in "+holdName(i, x)+"; it does not carry over, and this one counts as another", "write the range in every hold")
			return
		}
	}
}

// reach50 notes that no hold comes near the pressure results are stated for.
func (c *checker) reach50() {
	most, pos, name := units.Pressure(0), sheet.Pos{}, ""
	for i := range c.whole.Holds {
		if h := &c.whole.Holds[i]; h.Finished() && abs(h.House.Value) > most {
			most, pos, name = abs(h.House.Value), h.House.Pos, holdName(i, h)
		}
	}
	if most >= lowHold && most < 40 {
		c.say(Remarks, pos, name, "no hold comes near 50 Pa: sizes at 50 Pa lean on exponents", "whether the fan can do more, doors and dampers left open")
	}
}

// fanFlow checks the size of a fan flow.
func (c *checker) fanFlow(h *sheet.Hold, name string) {
	small, large := units.Flow(units.CFM.ToSI(25)), units.Flow(units.CFM.ToSI(20000))
	if q := h.Fan; q.Given && (q.Value < small || q.Value > large) {
		c.say(Warns, q.Pos, name, "a fan flow of "+q.Value.Text(c.system.Flow(), 0)+" is hardly one of a house", "its unit, the decimal point, and the flow range the gauge was told")
	}
	for _, f := range h.Fans {
		if f.Flow.Given && f.Flow.Value > large {
			c.say(Warns, f.Flow.Pos, name, "a further fan that moves "+f.Flow.Value.Text(c.system.Flow(), 0)+" is hardly one", "its unit and the decimal point")
		}
	}
	for _, x := range h.Readings {
		if x.Flow.Given && h.Fan.Given && len(h.Fans) == 0 && abs(x.Flow.Value) > h.Fan.Value {
			c.say(Warns, x.Flow.Pos, name+", "+units.Sanitize(x.Of.Name), "more air would pass there than the fan moves", "its unit, and the fan flow")
		}
	}
}

func (c *checker) baselines(h *sheet.Hold, name string) {
	if !h.Baseline.Given {
		return
	}
	b, err := baselineFrom(h.Baseline, h.BaselineAfter, 0)
	if err != nil {
		return
	}
	if abs(h.Baseline.Value) > abs(h.House.Value)/3 && len(h.Fans) == 0 {
		c.say(Warns, h.Baseline.Pos, name, "the baseline is more than a third of the house pressure", "whether it was read with the fan covered, and the unit")
		return
	}
	for _, w := range b.Warnings() {
		c.say(Warns, h.Baseline.Pos, name, w.What+": "+w.Why, "wind and open doors; "+w.Do)
	}
	for _, x := range h.Readings {
		if x.Baseline.Given && abs(x.Baseline.Value) > max(5, 2*abs(h.Baseline.Value)) {
			c.say(Warns, x.Baseline.Pos, name+", "+units.Sanitize(x.Of.Name), "its baseline of "+x.Baseline.Value.Text(units.Pascal, 1)+" is far above that of the house", "whether it was read with the fan covered, and the unit")
		}
	}
}

// sampled checks the samples of a hold's readings: whether they ran away while
// they were taken, and whether they lasted longer than their swings.
func (c *checker) sampled(h *sheet.Hold, name string) {
	check := func(q sheet.Pressure, about string) {
		s, ok := summaryOf(q)
		switch {
		case !ok || c.said(q.Pos):
		case abs(s.Drift) > runAway && float64(abs(s.Drift)) > manySD*float64(s.Noise):
			c.say(Warns, q.Pos, about, "its samples ran from one end to the other by "+s.Drift.Text(units.Pascal, 1), "wind, an outer door, a fan still speeding up; choose the rows where it was steady")
		case !s.Few() && !s.Telling():
			c.say(Remarks, q.Pos, about, "too few samples for how slowly they swing: the wobble of the sheet is kept as the least error", "whether a longer stretch of the log can be used")
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

// changes checks openings of a stated size: a slit is no hole, and a hole as
// large as a door is one.
func (c *checker) changes(h *sheet.Hold, name string) {
	for _, o := range h.Opened {
		outer := o.Between[0].Name == sheet.OutsideName || o.Between[1].Name == sheet.OutsideName
		if a := o.Area; a.Given && (a.Value < 3e-4 || a.Value > 3 && !outer || a.Value > 40) {
			c.say(Warns, a.Pos, name, "an opening of "+a.Value.Text(c.system.Area(), 1)+" is hardly one", "its unit, in2, ft2 or cm2")
		}
	}
}

// against tells whether every written sign in a hold is that of the opposite
// hold, while another hold has the opposite sign: then it is the house pressure
// that has the wrong one.
func (c *checker) against(h *sheet.Hold, name string) bool {
	right, wrong := 0, 0
	for _, x := range h.Readings {
		if sign := c.signOf(h, x); sign > 0 {
			right++
		} else if sign < 0 {
			wrong++
		}
	}
	if wrong == 0 || right > 0 || !c.mixed(h) {
		return false
	}
	c.doubt[h.Pos] = true
	c.say(Warns, h.House.Pos, name, "its house pressure has the other sign than its zone readings and the other holds", "the sign: minus when the fan blows out")
	return true
}

// mixed tells whether another hold has the other sign.
func (c *checker) mixed(h *sheet.Hold) bool {
	for i := range c.whole.Holds {
		x := &c.whole.Holds[i]
		if x.Finished() && c.houseOf(x)*c.houseOf(h) < 0 {
			return true
		}
	}
	return false
}

// houseOf is the house pressure with the sign of the hold.
func (c *checker) houseOf(h *sheet.Hold) units.Pressure {
	if !h.House.Signed() && c.whole.Job.Depressurised() {
		return -h.House.Value
	}
	return h.House.Value
}

// signOf is 1 where a written sign agrees with the hold, −1 where it does not,
// 0 where it does not tell.
func (c *checker) signOf(h *sheet.Hold, x sheet.Reading) int {
	sign := expectedSign(spaceNumber(x.Of.Name), spaceNumber(x.To.Name), c.houseOf(h))
	if !x.Pressure.Given || len(h.Fans) > 0 || sign == 0 || !x.Pressure.Signed() || abs(x.Pressure.Value) < clearSign {
		return 0
	}
	if float64(x.Pressure.Value)*sign > 0 {
		return 1
	}
	return -1
}

// reading checks one pressure against the hold it was read in.
func (c *checker) reading(h *sheet.Hold, x sheet.Reading, name string, turned bool) {
	if !x.Pressure.Given {
		return
	}
	about := name + ", " + units.Sanitize(x.Of.Name)
	if house := abs(h.House.Value); len(h.Fans) == 0 && !c.said(h.House.Pos) && !c.said(x.Pressure.Pos) && abs(x.Pressure.Value) > house+overHouse {
		c.say(Warns, x.Pressure.Pos, about, fmt.Sprintf("%s is more than the house pressure of %s; %s", x.Pressure.Value.Text(units.Pascal, 1), house.Text(units.Pascal, 1), beyondWhy(x.Pressure)),
			"the decimal point, the unit, and where the hoses end")
	}
	if !turned && !c.said(x.Pressure.Pos) && c.signOf(h, x) < 0 {
		c.say(Warns, x.Pressure.Pos, about, "its sign is that of the opposite hold", "which hose is on the input: a reading is the first space minus the second")
	}
	c.likeHouse(h, x, about)
	if s := x.PressureSD; s.Given && s.Value > crudeSD {
		c.say(Warns, s.Pos, about, "a standard deviation of more than 5 Pa tells next to nothing", "a longer average, or calmer weather")
	}
}

// likeHouse notes a space outside the air barrier that reads almost as the house
// does, with everything as found: a door may stand open, or a point be misplaced.
func (c *checker) likeHouse(h *sheet.Hold, x sheet.Reading, about string) {
	z, ok := c.whole.Zone(x.Of.Name)
	house := abs(h.House.Value)
	if !ok || z.MeantInside() || z.Kind == sheet.DuctsKind || !h.AsFound() || len(h.Fans) > 0 || house < lowHold || c.said(x.Pressure.Pos) {
		return
	}
	between := abs(x.Pressure.Value)
	switch x.To.Name {
	case sheet.HouseName:
	case sheet.OutsideName:
		between = house - between
	default:
		return
	}
	if float64(between) < openShare*float64(house) {
		c.say(Remarks, x.Pressure.Pos, about, "it reads almost as the house does, as a space open to it would", "its door or hatch, the end of the hose, and the decimal point")
	}
}

// beyondWhy says what a zone beyond the pressures around it may come from.
func beyondWhy(p sheet.Pressure) string {
	if strings.Contains(strings.ToLower(p.Text), "in") {
		return "it may be in Pa, not inches of water"
	}
	return "a zone lies between the house and outside"
}

// spaceNumber is enough of a space for expectedSign.
func spaceNumber(name string) zonal.SpaceID {
	switch name {
	case sheet.HouseName:
		return zonal.House
	case sheet.OutsideName:
		return zonal.Outside
	}
	return 2
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
		if found && abs(v) != p {
			return 0, false
		}
		found, p = true, abs(v)
	}
	return p, found && !math.IsInf(float64(p), 0) && p >= 5
}
