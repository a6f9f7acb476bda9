package survey

import (
	"fmt"
	"math"

	"holdbook/internal/sheet"
	"holdbook/units"
)

// ductExponent scales duct leakage between pressures.
const ductExponent = 0.60

// ductSlips checks duct tests, registers and the air handler.
func (c *checker) ductSlips() {
	c.ductTests()
	c.registers()
	c.airHandler()
	c.onOff()
}

// at25 is a duct test's flow scaled to 25 Pa; 0 when it has none.
func at25(t sheet.DuctTest) float64 {
	p := math.Abs(float64(t.Pressure.Or(25)))
	if !t.Flow.Given || p == 0 {
		return 0
	}
	return float64(t.Flow.Value) * math.Pow(25/p, ductExponent)
}

// ductTests compares leakage to outside with total leakage.
func (c *checker) ductTests() {
	for _, out := range c.sheet.DuctTests {
		if out.Method.Value != "outside" {
			continue
		}
		for _, total := range c.sheet.DuctTests {
			if total.Method.Value == "total" && total.TestSide() == out.TestSide() && at25(total) > 0 && at25(out) > 1.05*at25(total) {
				c.say(Warns, out.Flow.Pos, "duct test", "leakage to outside is above total leakage", "the two flows, the flow ranges, and whether the registers stayed covered")
			}
		}
		if out.Residual.Given && abs(out.Residual.Value) > 1 {
			c.say(Warns, out.Residual.Pos, "duct test", "ducts and house were not at one pressure", "trim the duct fan until the difference is within 0.2 Pa")
		}
	}
	for _, t := range c.sheet.DuctTests {
		if t.Pressure.Given && abs(t.Pressure.Value) > 100 {
			c.say(Warns, t.Pressure.Pos, "duct test", "a test pressure of "+t.Pressure.Value.Text(units.Pascal, 0)+" is hardly one", "the unit of the pressure")
		}
		if fan := c.largestFan(); fan > 0 && at25(t) > fan {
			c.say(Warns, t.Flow.Pos, "duct test", "the ducts would leak more than the whole house", "the unit of the flow, and the flow range of the duct fan")
		}
	}
}

// largestFan is the largest door-fan flow of the sheet.
func (c *checker) largestFan() float64 {
	most := 0.0
	for _, h := range c.sheet.Holds {
		most = math.Max(most, float64(h.Fan.Or(0)))
	}
	return most
}

func (c *checker) registers() {
	hold := units.Pressure(0)
	for _, h := range c.sheet.Holds {
		if h.Finished() {
			hold = max(hold, abs(h.House.Value))
		}
	}
	var supply float64
	for _, r := range c.sheet.Registers {
		about := "register " + units.Sanitize(r.Name.Value)
		if r.Cover.Given && hold > 0 && abs(r.Cover.Value) > hold+2 {
			c.say(Warns, r.Cover.Pos, about, "its cover reading is above the house pressure", "the unit, or the hose under the cover")
		}
		if fan := c.largestFan(); r.Held.Given && fan > 0 && float64(r.Held.Value) > fan {
			c.say(Warns, r.Held.Pos, about, "more air would leave it than the fan moves", "the unit of the flow")
		}
		if r.Flow.Given && r.Design.Given && r.Design.Value > 0 {
			if ratio := float64(r.Flow.Value / r.Design.Value); ratio > 3 || ratio < 0.1 {
				c.say(Warns, r.Flow.Pos, about, fmt.Sprintf("its flow is %.1f times its design flow", ratio), "the unit of the flow")
			}
		}
		if r.Side.Value != "return" {
			supply += float64(r.Flow.Or(0))
		}
	}
	if a := c.sheet.AirHandler; a != nil && a.Flow.Given && supply > 1.5*float64(a.Flow.Value) {
		c.say(Warns, a.Flow.Pos, "air handler", "the supply registers give half as much again as the air handler moves", "the units, and the hood")
	}
}

func (c *checker) airHandler() {
	a := c.sheet.AirHandler
	if a == nil {
		return
	}
	for _, p := range []sheet.Pressure{a.SupplyPressure, a.ReturnPressure} {
		if p.Given && (abs(p.Value) > 400 || abs(p.Value) < 2) {
			c.say(Warns, p.Pos, "air handler", "a plenum pressure of "+p.Value.Text(units.Pascal, 1)+" is hardly one", "Pa or inches of water")
		}
	}
}

// onOff checks that on and off flows of one pressure belong together.
func (c *checker) onOff() {
	for _, o := range c.sheet.OnOff {
		if o.On.Given && o.Off.Given && o.Off.Value != 0 {
			if ratio := math.Abs(float64(o.On.Value / o.Off.Value)); ratio > 3 || ratio < 0.33 {
				c.say(Warns, o.On.Pos, "on/off test", "the air handler changes the fan flow threefold", "the unit and the flow range of this pair")
			}
		}
	}
}
