package survey

import (
	"fmt"
	"math"
	"slices"

	"holdbook/internal/sheet"
	"holdbook/units"
)

// Limits of plain sense for ducts and rooms, all judgement.
const (
	ductExponent = 0.60 // scales duct leakage between pressures
	aboveTotal   = 1.08 // of leakage to outside over total leakage, for the errors of both
	apartDucts   = units.Pressure(1)
	aboveHold    = units.Pressure(2) // by which a cover may read above the hold
)

// ductSlips checks duct tests, registers, the air handler, runs and rooms.
func (c *checker) ductSlips() {
	c.ductTests()
	c.outsideOverTotal()
	c.registers()
	c.hood()
	c.airHandler()
	c.onOff()
	c.runs()
	c.rooms()
}

// at25 is a duct test's flow scaled to 25 Pa; 0 when it has none.
func at25(t sheet.DuctTest) float64 {
	p := math.Abs(float64(t.Pressure.Or(25)))
	if !t.Flow.Given || p == 0 {
		return 0
	}
	return float64(t.Flow.Value) * math.Pow(25/p, ductExponent)
}

// ductTests checks each duct test against the house and the air handler.
func (c *checker) ductTests() {
	fan := c.largestFan()
	for _, t := range c.whole.DuctTests {
		if p := t.Pressure; p.Given && (abs(p.Value) > 100 || abs(p.Value) < 5) {
			c.say(Warns, p.Pos, "duct test", "a test pressure of "+p.Value.Text(units.Pascal, 1)+" is hardly one", "its unit and the decimal point")
		}
		if r := t.Residual; t.Method.Value == "outside" && r.Given && abs(r.Value) > apartDucts {
			c.say(Warns, r.Pos, "duct test", "ducts and house were not at one pressure", "the duct fan: trim it until they are within 0.2 Pa, and read again")
		}
		switch a := c.whole.AirHandler; {
		case fan > 0 && at25(t) > fan:
			c.say(Warns, t.Flow.Pos, "duct test", "the ducts would leak more than the whole house", "its unit, and the flow range of the duct fan")
		case a != nil && a.Flow.Given && at25(t) > float64(a.Flow.Value):
			c.say(Warns, t.Flow.Pos, "duct test", "the ducts would leak more than the air handler moves", "its unit, and the flow range of the duct fan")
		}
	}
}

// outsideOverTotal compares leakage to outside with total leakage.
func (c *checker) outsideOverTotal() {
	for _, out := range c.whole.DuctTests {
		for _, total := range c.whole.DuctTests {
			if out.Method.Value == "outside" && total.Method.Value == "total" && total.TestSide() == out.TestSide() &&
				at25(total) > 0 && at25(out) > aboveTotal*at25(total) {
				c.say(Warns, out.Flow.Pos, "duct test", "leakage to outside is above total leakage", "both flows, their flow ranges, and whether the registers stayed covered")
			}
		}
	}
}

// largestFan is the largest door-fan flow of the sheet.
func (c *checker) largestFan() float64 {
	most := 0.0
	for _, h := range c.whole.Holds {
		most = math.Max(most, float64(h.Fan.Or(0)))
	}
	return most
}

// largestHold is the highest house pressure of the sheet, or that of the hold
// of a name.
func (c *checker) largestHold(name string) units.Pressure {
	most := units.Pressure(0)
	for _, h := range c.whole.Holds {
		if h.Finished() && (name == "" || sameName(h.Name.Value, name)) {
			most = max(most, abs(h.House.Value))
		}
	}
	return most
}

// registers checks each register by itself.
func (c *checker) registers() {
	fan := c.largestFan()
	for i, r := range c.whole.Registers {
		about := titled("register", r.Name, i)
		if hold := c.largestHold(r.Hold.Value); r.Cover.Given && hold > 0 && abs(r.Cover.Value) > hold+aboveHold {
			c.say(Warns, r.Cover.Pos, about, fmt.Sprintf("its cover reads %s, above the house pressure of %s", r.Cover.Value.Text(units.Pascal, 1), hold.Text(units.Pascal, 1)),
				"the decimal point, the unit, and the hose under the cover")
		}
		if r.Held.Given && fan > 0 && abs(float64(r.Held.Value)) > fan {
			c.say(Warns, r.Held.Pos, about, "more air would leave it than the fan moves", "its unit")
		}
		if r.Flow.Given && r.Design.Given && r.Design.Value > 0 {
			if share := abs(float64(r.Flow.Value / r.Design.Value)); share > 2.5 || share < 0.15 {
				c.say(Warns, r.Flow.Pos, about, "its flow is "+figures(share)+" times its design flow", "its unit, the decimal point, and whether its damper is shut")
			}
		}
	}
}

// enoughRegisters is how many registers must have a flow for their sum, and
// their share of the design, to tell of the hood.
const enoughRegisters = 4

// hood checks the registers of a side together: a hood that was set to another
// unit is off at all of them.
func (c *checker) hood() {
	for _, side := range []string{"supply", "return"} {
		var shares []float64
		sum, count, first := 0.0, 0, sheet.Flow{}
		for _, r := range c.whole.Registers {
			if !r.Flow.Given || (r.Side.Value == "return") != (side == "return") {
				continue
			}
			if count++; count == 1 {
				first = r.Flow
			}
			sum += abs(float64(r.Flow.Value))
			if r.Design.Given && r.Design.Value > 0 {
				shares = append(shares, abs(float64(r.Flow.Value/r.Design.Value)))
			}
		}
		a := c.whole.AirHandler
		slices.Sort(shares)
		switch {
		case count == 0:
		case a != nil && a.Flow.Given && sum > 1.4*float64(a.Flow.Value):
			pos := first.Pos
			if n := len(shares); n > 0 && shares[n/2] > 0.6 && shares[n/2] < 1.5 {
				pos = a.Flow.Pos // the registers have what they were designed for
			}
			if c.said(pos) {
				continue
			}
			c.say(Warns, pos, "registers", "the "+side+" registers together pass "+figures(sum/float64(a.Flow.Value))+" times what the air handler moves", "the units of the hood and of the air handler's flow")
		case len(shares) >= enoughRegisters && (shares[len(shares)/2] < 0.55 || shares[len(shares)/2] > 1.6):
			c.say(Warns, first.Pos, "registers", "the "+side+" registers pass "+figures(shares[len(shares)/2])+" times their design flow", "the unit of the hood, and whether the air handler ran at full flow")
		}
	}
}

// airHandler checks its pressures, its flow, and what both make of its output.
func (c *checker) airHandler() {
	a := c.whole.AirHandler
	if a == nil {
		return
	}
	for side, p := range map[string]sheet.Pressure{"supply": a.SupplyPressure, "return": a.ReturnPressure} {
		switch {
		case !p.Given:
		case abs(p.Value) > 400 || abs(p.Value) < 2:
			c.say(Warns, p.Pos, "air handler", "a plenum pressure of "+p.Value.Text(units.Pascal, 2)+" is hardly one", "its unit, Pa or inches of water")
		case p.Signed() && (p.Value < 0) != (side == "return"):
			c.say(Warns, p.Pos, "air handler", "a running air handler makes a "+side+" plenum of the other sign", "which hose is on the input, and which plenum it was")
		}
	}
	if p := a.HousePressure; p.Given && abs(p.Value) > 15 {
		c.say(Warns, p.Pos, "air handler", "it changes the house pressure by "+p.Value.Text(units.Pascal, 1)+", which is hardly so", "the decimal point, the unit, and that the door fan was off")
	}
	if q := a.Flow; q.Given && (q.Value < units.Flow(units.CFM.ToSI(100)) || q.Value > units.Flow(units.CFM.ToSI(6000))) {
		c.say(Warns, q.Pos, "air handler", "an air handler that moves "+q.Value.Text(c.system.Flow(), 0)+" is hardly one of a house", "its unit and the decimal point")
	}
	c.warming(a)
}

// heatOfAir is that of a cubic metre of air (J/(m³·K)), about.
const heatOfAir = 1200

// warming checks by how much the output would warm or cool the air.
func (c *checker) warming(a *sheet.AirHandler) {
	if !a.Flow.Given || !a.Output.Given || a.Flow.Value <= 0 {
		return
	}
	rise := float64(a.Output.Value) / (heatOfAir * float64(a.Flow.Value))
	if math.Abs(rise) > 60 || math.Abs(rise) < 2.5 {
		c.say(Warns, a.Output.Pos, "air handler", "output over flow makes a temperature change of "+units.TemperatureDifference(rise).Text(c.system.TemperatureDifference(), 1)+", which is hardly so",
			"the units of the output and of the flow")
	}
	if s, r := a.SupplyTemperature, a.ReturnTemperature; s.Given && r.Given && float64(s.Value-r.Value)*rise < 0 {
		c.say(Warns, s.Pos, "air handler", "supply and return temperatures contradict the sign of the output", "the two temperatures; a cooling output is negative")
	}
}

// onOff checks that on and off flows of one pressure belong together, and the
// off flows to each other and to the house.
func (c *checker) onOff() {
	for i, o := range c.whole.OnOff {
		if !o.On.Given || !o.Off.Given || o.Off.Value == 0 {
			continue
		}
		about := "on/off test, " + o.House.Value.Text(units.Pascal, 0)
		if ratio := abs(float64(o.On.Value / o.Off.Value)); (ratio > 2 || ratio < 0.5) && abs(o.House.Value) >= 10 {
			c.say(Warns, o.On.Pos, about, "the air handler makes the fan flow "+figures(ratio)+" times as large", "the unit and the flow range of this pair")
		}
		if want, ok := c.offFlow(i); ok {
			if ratio := abs(float64(o.Off.Value)) / want; ratio > 1.5 || ratio < 0.66 {
				c.say(Warns, o.Off.Pos, about, "with the air handler off, the flow is "+figures(ratio)+" times what the others say of that pressure", "its unit, the flow range, and the house pressure")
			}
		}
	}
}

// offFlow is the off flow of one pair as the others have it, of at least two
// pressures of 10 Pa or more on the same side; else as the door fan has it.
func (c *checker) offFlow(i int) (float64, bool) {
	o := c.whole.OnOff[i]
	if abs(o.House.Value) < 10 {
		return 0, false
	}
	scaled := func(q, at, to float64) float64 { return q * math.Pow(to/at, float64(defaultExponent)) }
	house := math.Abs(float64(o.House.Value))
	var others []float64
	for k, x := range c.whole.OnOff {
		if k != i && x.Off.Given && abs(x.House.Value) >= 10 && (x.House.Value < 0) == (o.House.Value < 0) {
			others = append(others, scaled(math.Abs(float64(x.Off.Value)), math.Abs(float64(x.House.Value)), house))
		}
	}
	if len(others) >= 2 {
		slices.Sort(others)
		return others[len(others)/2], true
	}
	for k := range c.whole.Holds {
		h := &c.whole.Holds[k]
		if h.Fan.Given && !c.said(h.Fan.Pos) && h.Finished() && h.AsFound() && abs(h.House.Value) >= 10 {
			at := math.Abs(float64(h.FanScaledTo.Or(h.House.Value)))
			return scaled(float64(h.Fan.Value), at, house), at > 0
		}
	}
	return 0, false
}

// runs checks the sizes of duct runs.
func (c *checker) runs() {
	floor := float64(c.whole.House.FloorArea.Or(0))
	for i, d := range c.whole.Ducts {
		about := titled("duct", d.Name, i)
		if a := d.Area; a.Given && floor > 0 && float64(a.Value) > floor {
			c.say(Warns, a.Pos, about, "its surface is larger than the floor of the house", "its unit, ft2 or m2")
		}
		if x := d.Diameter; x.Given && (x.Value < 0.05 || x.Value > 1.2) {
			c.say(Warns, x.Pos, about, "a diameter of "+x.Value.Text(c.system.Length(), 2)+" is hardly one", "its unit, in or ft")
		}
		if r := d.Insulation; r.Given && r.Value > 4 {
			c.say(Warns, r.Pos, about, "its insulation is that of a thick wall", "its unit, h·ft2·F/Btu or m2·K/W")
		}
	}
}

// rooms checks pressures across shut doors.
func (c *checker) rooms() {
	hold := c.largestHold("")
	for i, r := range c.whole.Rooms {
		about := titled("room", r.Name, i)
		if p := r.Pressure; p.Given && abs(p.Value) > 40 {
			c.say(Warns, p.Pos, about, "a pressure of "+p.Value.Text(units.Pascal, 1)+" across a room door is hardly one", "the decimal point and the unit")
		}
		if p := r.Held; p.Given && hold > 0 && abs(p.Value) > hold+aboveHold {
			c.say(Warns, p.Pos, about, "the room is further from the house than outdoors is", "the decimal point and the unit")
		}
	}
}

// titled names one of several things of a kind, by its number if it has no name.
func titled(kind string, name sheet.Text, i int) string {
	if name.Given() {
		return kind + " " + units.Sanitize(name.Value)
	}
	return fmt.Sprintf("%s %d", kind, i+1)
}
