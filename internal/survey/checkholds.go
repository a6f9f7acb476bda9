package survey

import (
	"fmt"
	"math"
	"reflect"
	"strings"

	"holdbook/internal/sheet"
	"holdbook/pressure"
	"holdbook/units"
	"holdbook/zonal"
)

// Limits of plain sense, all judgement (Pa; a share; standard deviations).
const (
	lowHold     = units.Pressure(10)
	highHold    = units.Pressure(75)
	littleMove  = units.Pressure(1.5)
	sameFlow    = 0.03
	fanMismatch = 0.25
)

// holdsAlone checks each hold by itself.
func (c *checker) holdsAlone() {
	for i := range c.sheet.Holds {
		h := &c.sheet.Holds[i]
		name := holdName(i, h)
		if !h.Finished() {
			c.say(Remarks, h.Pos, name, "no house pressure yet: the hold is not used", "the house pressure")
			continue
		}
		c.level(h, name)
		c.baselines(h, name)
		c.words(h, name)
		for _, x := range h.Readings {
			c.reading(h, x, name)
		}
	}
}

// level checks the pressure a house was held at, and its fan flow.
func (c *checker) level(h *sheet.Hold, name string) {
	switch p := abs(h.House.Value); {
	case p < lowHold && len(h.Fans) == 0:
		c.say(Warns, h.House.Pos, name, fmt.Sprintf("the house was held at %s only", p.Text(units.Pascal, 1)), "whether the fan was up, or the unit of the pressure")
	case p > highHold:
		c.say(Warns, h.House.Pos, name, fmt.Sprintf("the house was held at %s", p.Text(units.Pascal, 1)), "the unit of the pressure, or an over-driven hold")
	case p < 45 && p > 30 || p > 60:
		c.say(Remarks, h.House.Pos, name, "the hold is off its usual targets of 50 and 25 Pa", "nothing, if that is what the fan reached")
	}
	if h.Fan.Given && (h.Fan.Value < units.Flow(units.CFM.ToSI(25)) || h.Fan.Value > units.Flow(units.CFM.ToSI(20000))) {
		c.say(Warns, h.Fan.Pos, name, "a fan flow of "+h.Fan.Value.Text(c.system.Flow(), 0)+" is hardly one of a house", "the unit of the flow, and the flow range the gauge was told")
	}
	if h.FanScaledTo.Given && abs(abs(h.House.Value)-abs(h.FanScaledTo.Value)) < 1 {
		c.say(Remarks, h.FanScaledTo.Pos, name, "the flow is said to be scaled to the pressure that was held", "nothing: it makes no difference")
	}
}

func (c *checker) baselines(h *sheet.Hold, name string) {
	if !h.Baseline.Given {
		return
	}
	b, err := pressure.OneBaseline(h.Baseline.Value)
	if h.BaselineAfter.Given {
		b, err = pressure.TwoBaselines(h.Baseline.Value, h.BaselineAfter.Value)
	}
	if err != nil {
		return
	}
	for _, w := range b.Warnings() {
		c.say(Warns, h.Baseline.Pos, name, w.What, w.Do)
	}
	if abs(h.Baseline.Value) > abs(h.House.Value)/3 {
		c.say(Warns, h.Baseline.Pos, name, "the baseline is more than a third of the house pressure", "whether it was read with the fan covered")
	}
}

// words compares a hold's name with what it lists.
func (c *checker) words(h *sheet.Hold, name string) {
	said := strings.ToLower(name)
	has := func(list ...string) bool {
		for _, w := range list {
			if strings.Contains(said, w) {
				return true
			}
		}
		return false
	}
	switch {
	case has("covered", "sealed", "taped") && len(h.Sealed) == 0:
		c.say(Warns, h.Pos, name, "its name says that something was covered, but it lists nothing as sealed", "sealed = [ … ] of this hold")
	case has(" open", "opened", "ajar", "propped", "raised", "hole") && len(h.Opened) == 0:
		c.say(Warns, h.Pos, name, "its name says that something was opened, but it lists nothing as opened", "opened = [ … ] of this hold")
	case has("as found") && !h.AsFound():
		c.say(Warns, h.Pos, name, "its name says as found, but it lists a change", "the name, or the change")
	}
}

// reading checks one pressure against the hold it was read in.
func (c *checker) reading(h *sheet.Hold, x sheet.Reading, name string) {
	if !x.Pressure.Given {
		return
	}
	about := name + ", " + units.Sanitize(x.Of.Name)
	house := h.House.Value
	if !h.House.Signed() && c.sheet.Job.Depressurised() {
		house = -abs(house)
	}
	if len(h.Fans) == 0 && x.Of.Name != x.To.Name {
		if abs(x.Pressure.Value) > abs(house)+3 {
			c.say(Warns, x.Pressure.Pos, about, "it is more than the house pressure itself", "the hose and its space, the decimal point, the unit")
		}
		of, to := spaceNumber(x.Of.Name), spaceNumber(x.To.Name)
		sign := expectedSign(of, to, house)
		if sign != 0 && x.Pressure.Signed() && float64(x.Pressure.Value)*sign < 0 && abs(x.Pressure.Value) > 2 {
			c.say(Warns, x.Pressure.Pos, about, "its sign is that of the opposite hold", "which hose is on the input: a reading is the first space minus the second")
		}
	}
	if s := x.PressureSD; s.Given && s.Value > 5 {
		c.say(Warns, s.Pos, about, "a standard deviation of more than 5 Pa tells next to nothing", "a longer average, or calmer weather")
	}
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

// holdsTogether compares holds with each other.
func (c *checker) holdsTogether() {
	first := -1
	for k := range c.model.Holds {
		m, h := &c.model.Holds[k], c.held[k].hold
		if h.AsFound() && m.Fan != nil {
			if first < 0 {
				first = k
			} else {
				c.sameHouse(first, k)
			}
		}
		for i := range k {
			c.copied(i, k)
		}
	}
	for k := range c.model.Holds {
		if first >= 0 && first != k {
			c.changed(first, k)
		}
	}
	c.exponent()
	c.changes()
}

// at50 is a hold's fan flow scaled to 50 Pa with the usual exponent.
func (c *checker) at50(k int) float64 {
	m := &c.model.Holds[k]
	return float64(m.Fan.Flow) * math.Pow(zonal.Reference/math.Abs(float64(m.House)), float64(defaultExponent))
}

// sameHouse compares the fan flows of two holds as found.
func (c *checker) sameHouse(a, b int) {
	if ratio := c.at50(b) / c.at50(a); ratio > 1+fanMismatch || ratio < 1-fanMismatch {
		c.say(Warns, c.held[b].hold.Fan.Pos, c.model.Holds[b].Name,
			fmt.Sprintf("scaled to 50 Pa its fan flow is %.0f %% of that of %s, with nothing changed", 100*ratio, c.model.Holds[a].Name),
			"the unit (L/s or cfm), the flow range the gauge was told, a door left open")
	}
}

// copied finds a hold that repeats another to the letter.
func (c *checker) copied(a, b int) {
	x, y := c.held[a].hold, c.held[b].hold
	if len(x.Readings) == 0 || x.House.Text != y.House.Text || x.Fan.Text != y.Fan.Text {
		return
	}
	list := func(h *sheet.Hold) (all []string) {
		for _, r := range h.Readings {
			all = append(all, r.Of.Name, r.To.Name, r.Pressure.Text, r.Flow.Text)
		}
		return all
	}
	if reflect.DeepEqual(list(x), list(y)) {
		c.say(Warns, y.Pos, c.model.Holds[b].Name, "every reading is that of "+c.model.Holds[a].Name, "whether it was read, or copied and not filled in")
	}
}

// changed compares a hold in which something was changed with the one as found.
func (c *checker) changed(found, k int) {
	m, h := &c.model.Holds[k], c.held[k].hold
	if m.Fan == nil || len(m.Fans) > 0 || h.AsFound() {
		return
	}
	ratio := c.at50(k) / c.at50(found)
	switch {
	case len(m.Opened) > 0 && len(m.Sealed) == 0 && ratio < 1-sameFlow:
		c.say(Warns, h.Fan.Pos, m.Name, fmt.Sprintf("the fan flow fell by %.0f %% although something was opened", 100*(1-ratio)), "the flow range, the opening, what else was shut")
	case len(m.Sealed) > 0 && len(m.Opened) == 0 && ratio > 1+sameFlow:
		c.say(Warns, h.Fan.Pos, m.Name, fmt.Sprintf("the fan flow rose by %.0f %% although something was sealed", 100*(ratio-1)), "the flow range, the covers, what else was opened")
	}
	for _, o := range m.Opened {
		c.still(found, k, c.model.Openings[o], ratio)
	}
}

// still finds an opening that moved neither the zone nor the fan.
func (c *checker) still(found, k int, o zonal.Opening, ratio float64) {
	z := max(o.A, o.B)
	if z <= zonal.Outside || math.Abs(ratio-1) > sameFlow {
		return
	}
	was, ok1 := c.toHouse(found, z)
	is, ok2 := c.toHouse(k, z)
	near := min(was, abs(c.model.Holds[found].House)-was)
	if ok1 && ok2 && abs(was-is) < littleMove && near > 3 {
		c.say(Warns, c.held[k].hold.Pos, c.model.Holds[k].Name, "neither the "+c.names[z]+" nor the fan moved when it was opened", "whether it was open while the readings were taken")
	}
}

// toHouse is a zone's pressure to the house, scaled to a 50 Pa hold.
func (c *checker) toHouse(k int, z zonal.SpaceID) (units.Pressure, bool) {
	m := &c.model.Holds[k]
	for _, x := range m.Read {
		switch {
		case x.Of == z && x.To == zonal.House, x.Of == zonal.House && x.To == z:
			return abs(x.Pressure) * zonal.Reference / abs(m.House), true
		case x.Of == z && x.To == zonal.Outside, x.Of == zonal.Outside && x.To == z:
			return zonal.Reference - abs(x.Pressure)*zonal.Reference/abs(m.House), true
		}
	}
	return 0, false
}

// exponent checks that of a multi-point test.
func (c *checker) exponent() {
	stations := c.stations()
	if len(stations) < 3 {
		return
	}
	m, _ := pressure.FitStandard(stations)
	n, err := m.Exponent()
	if err != nil {
		return
	}
	if n.High < 0.5 || n.Low > 0.85 {
		c.say(Warns, sheet.Pos{}, "multi-point test", fmt.Sprintf("its exponent of %.2f is that of no house", float64(n.Value)), "the baseline, and the flow range of each hold")
	}
}

// changes checks the air changes that the fan makes.
func (c *checker) changes() {
	v := c.sheet.House.Volume
	for k := range c.model.Holds {
		if c.model.Holds[k].Fan == nil || !v.Given || v.Value <= 0 {
			continue
		}
		if p := pressure.QueryAirChanges(units.Rate(c.at50(k) / float64(v.Value))); p != nil {
			c.say(Warns, c.held[k].hold.Fan.Pos, c.model.Holds[k].Name, p.What+": "+p.Why, p.Do)
		}
		return
	}
}

// fits has the joint estimate judge whether the readings fit each other.
func (c *checker) fits() {
	if c.solve() != nil || c.estimate == nil {
		return
	}
	s, err := c.estimate.Posterior.Suspect(zonal.Options{Workers: c.o.Workers})
	if err != nil {
		return
	}
	switch {
	case !s.Suspect:
	case s.Reading >= 0:
		e := c.estimate.Readings[s.Reading]
		pos, about := c.placeOf(e)
		c.say(Warns, pos, about, "it does not fit the other readings; "+slipWords[s.Slip], "this reading first")
	case s.Hold >= 0:
		c.say(Warns, c.held[s.Hold].hold.Pos, c.model.Holds[s.Hold].Name, "the hold does not fit the others; "+slipWords[s.Slip], "what was open, shut or covered in it")
	default:
		c.say(Warns, sheet.Pos{}, "", "the readings do not fit each other, and no single one can be named", "read the zones to house and to outside again")
	}
}

// placeOf finds a reading of the model in the sheet.
func (c *checker) placeOf(e zonal.ReadingEstimate) (sheet.Pos, string) {
	h, name := c.held[e.Hold].hold, c.model.Holds[e.Hold].Name
	switch e.Kind {
	case zonal.HouseReading:
		return h.House.Pos, name + ", house"
	case zonal.FanReading:
		return h.Fan.Pos, name + ", door fan"
	}
	for _, x := range h.Readings {
		if c.spaces[x.Of.Name] == e.Of && c.spaces[x.To.Name] == e.To {
			pos := x.Pressure.Pos
			if x.Flow.Given {
				pos = x.Flow.Pos
			}
			return pos, name + ", " + c.names[e.Of]
		}
	}
	return h.Pos, name
}
