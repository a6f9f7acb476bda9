package check

import (
	"fmt"
	"math"
	"slices"

	"holdbook/ductleak"
	"holdbook/internal/sheet"
	"holdbook/internal/survey"
	"holdbook/pressure"
	"holdbook/units"
)

// Limits of plain sense for ducts and rooms, all judgement.
const (
	aboveTotal = 1.08 // of leakage to outside over total leakage, for the errors of both
	apartDucts = units.Pressure(1)
	aboveHold  = units.Pressure(2) // by which a cover may read above the hold
)

// ductSlips checks duct tests, registers, the air handler, runs and rooms.
func ductSlips(v *visit, out *slips) {
	out.outOfRange(ductRanges(v)...)
	ductTestSlips(v, out)
	outsideOverTotal(v, out)
	registerSlips(v, out)
	hoodSlips(v, out)
	handlerSlips(v, out)
	onOffSlips(v, out)
	runSlips(v, out)
	roomSlips(v, out)
}

// at25 is a duct test's flow scaled to 25 Pa; 0 when it has none.
func at25(t sheet.DuctTest) float64 {
	p := units.Abs(t.Pressure.Or(25))
	if !t.Flow.Given || p == 0 {
		return 0
	}
	return float64(ductleak.ScaleFlow(t.Flow.Value, p, ductleak.ReferencePressure, ductleak.DuctExponent))
}

// ductTestSlips checks each duct test against the house and the air handler.
func ductTestSlips(v *visit, out *slips) {
	fan := largestFan(v)
	for _, t := range v.sheet.DuctTests {
		if r := t.Residual; t.Method.Value == sheet.OutsideMethod && r.Given && units.Abs(r.Value) > apartDucts {
			out.say(Warns, r.Pos, "duct test", "ducts and house were not at one pressure", "the duct fan: trim it until they are within 0.2 Pa, and read again")
		}
		switch a := v.sheet.AirHandler; {
		case fan > 0 && at25(t) > fan:
			out.say(Warns, t.Flow.Pos, "duct test", "the ducts would leak more than the whole house", "its unit, and the flow range of the duct fan")
		case a != nil && a.Flow.Given && at25(t) > float64(a.Flow.Value):
			out.say(Warns, t.Flow.Pos, "duct test", "the ducts would leak more than the air handler moves", "its unit, and the flow range of the duct fan")
		}
	}
}

// outsideOverTotal compares leakage to outside with total leakage.
func outsideOverTotal(v *visit, out *slips) {
	for _, outer := range v.sheet.DuctTests {
		for _, total := range v.sheet.DuctTests {
			if outer.Method.Value == sheet.OutsideMethod && total.Method.Value == sheet.TotalMethod && total.TestSide() == outer.TestSide() &&
				at25(total) > 0 && at25(outer) > aboveTotal*at25(total) {
				out.say(Warns, outer.Flow.Pos, "duct test", "leakage to outside is above total leakage", "both flows, their flow ranges, and whether the registers stayed covered")
			}
		}
	}
}

// largestFan is the largest door-fan flow of the sheet.
func largestFan(v *visit) float64 {
	most := 0.0
	for _, h := range v.sheet.Holds {
		most = math.Max(most, float64(h.Fan.Or(0)))
	}
	return most
}

// largestHold is the highest house pressure of the sheet, or that of the hold
// of a name.
func largestHold(v *visit, name string) units.Pressure {
	most := units.Pressure(0)
	for _, h := range v.sheet.Holds {
		if h.Finished() && (name == "" || survey.SameName(h.Name.Value, name)) {
			most = max(most, units.Abs(h.House.Value))
		}
	}
	return most
}

// registerSlips checks each register by itself.
func registerSlips(v *visit, out *slips) {
	fan := largestFan(v)
	for i, r := range v.sheet.Registers {
		about := titled("register", r.Name, i)
		if hold := largestHold(v, r.Hold.Value); r.Cover.Given && hold > 0 && units.Abs(r.Cover.Value) > hold+aboveHold {
			out.say(Warns, r.Cover.Pos, about, fmt.Sprintf("its cover reads %s, above the house pressure of %s", r.Cover.Value.Text(units.Pascal, 1), hold.Text(units.Pascal, 1)),
				"the decimal point, the unit, and the hose under the cover")
		}
		if r.Held.Given && fan > 0 && units.Abs(float64(r.Held.Value)) > fan {
			out.say(Warns, r.Held.Pos, about, "more air would leave it than the fan moves", "its unit")
		}
		if r.Flow.Given && r.Design.Given && r.Design.Value > 0 {
			if share := units.Abs(float64(r.Flow.Value / r.Design.Value)); share > 2.5 || share < 0.15 {
				out.say(Warns, r.Flow.Pos, about, "its flow is "+figures(share)+" times its design flow", "its unit, the decimal point, and whether its damper is shut")
			}
		}
	}
}

// enoughRegisters is how many registers must have a flow for their sum, and
// their share of the design, to tell of the hood.
const enoughRegisters = 4

// hoodSlips checks the registers of a side together: a hood that was set to another
// unit is off at all of them.
func hoodSlips(v *visit, out *slips) {
	for _, side := range []string{sheet.SupplySide, sheet.ReturnSide} {
		var shares []float64
		sum, count, first := 0.0, 0, sheet.Flow{}
		for _, r := range v.sheet.Registers {
			if !r.Flow.Given || (r.Side.Value == sheet.ReturnSide) != (side == sheet.ReturnSide) {
				continue
			}
			if count++; count == 1 {
				first = r.Flow
			}
			sum += units.Abs(float64(r.Flow.Value))
			if r.Design.Given && r.Design.Value > 0 {
				shares = append(shares, units.Abs(float64(r.Flow.Value/r.Design.Value)))
			}
		}
		a := v.sheet.AirHandler
		slices.Sort(shares)
		switch {
		case count == 0:
		case a != nil && a.Flow.Given && sum > 1.4*float64(a.Flow.Value):
			pos := first.Pos
			if n := len(shares); n > 0 && shares[n/2] > 0.6 && shares[n/2] < 1.5 {
				pos = a.Flow.Pos // the registers have what they were designed for
			}
			if out.said(pos) {
				continue
			}
			out.say(Warns, pos, "registers", "the "+side+" registers together pass "+figures(sum/float64(a.Flow.Value))+" times what the air handler moves", "the units of the hood and of the air handler's flow")
		case len(shares) >= enoughRegisters && (shares[len(shares)/2] < 0.55 || shares[len(shares)/2] > 1.6):
			out.say(Warns, first.Pos, "registers", "the "+side+" registers pass "+figures(shares[len(shares)/2])+" times their design flow", "the unit of the hood, and whether the air handler ran at full flow")
		}
	}
}

// handlerSlips checks its pressures, its flow, and what both make of its output.
func handlerSlips(v *visit, out *slips) {
	a := v.sheet.AirHandler
	if a == nil {
		return
	}
	out.outOfRange(handlerRanges(v, a)...)
	for _, x := range []struct {
		side     string
		pressure sheet.Pressure
		sign     units.Pressure // that it has
	}{{sheet.SupplySide, a.SupplyPressure, 1}, {sheet.ReturnSide, a.ReturnPressure, -1}} {
		if p := x.pressure; p.Given && p.Signed() && p.Value*x.sign < 0 && !out.said(p.Pos) {
			out.say(Warns, p.Pos, "air handler", "a running air handler makes a "+x.side+" plenum of the other sign", "which hose is on the input, and which plenum it was")
		}
	}
	warmingSlip(v, out, a)
}

// heatOfAir is that of a cubic metre of air (J/(m³·K)), about.
const heatOfAir = 1200

// warmingSlip checks by how much the output would warm or cool the air.
func warmingSlip(v *visit, out *slips, a *sheet.AirHandler) {
	if !a.Flow.Given || !a.Output.Given || a.Flow.Value <= 0 {
		return
	}
	rise := float64(a.Output.Value) / (heatOfAir * float64(a.Flow.Value))
	if math.Abs(rise) > 60 || math.Abs(rise) < 2.5 {
		out.say(Warns, a.Output.Pos, "air handler", "output over flow makes a temperature change of "+units.TemperatureDifference(rise).Text(v.system.TemperatureDifference(), 1)+", which is hardly so",
			"the units of the output and of the flow")
	}
	if s, r := a.SupplyTemperature, a.ReturnTemperature; s.Given && r.Given && float64(s.Value-r.Value)*rise < 0 {
		out.say(Warns, s.Pos, "air handler", "supply and return temperatures contradict the sign of the output", "the two temperatures; a cooling output is negative")
	}
}

// onOffSlips checks that on and off flows of one pressure belong together, and the
// off flows to each other and to the house.
func onOffSlips(v *visit, out *slips) {
	for i, o := range v.sheet.OnOff {
		if !o.On.Given || !o.Off.Given || o.Off.Value == 0 {
			continue
		}
		about := "on/off test, " + o.House.Value.Text(units.Pascal, 0)
		if ratio := units.Abs(float64(o.On.Value / o.Off.Value)); (ratio > 2 || ratio < 0.5) && units.Abs(o.House.Value) >= 10 {
			out.say(Warns, o.On.Pos, about, "the air handler makes the fan flow "+figures(ratio)+" times as large", "the unit and the flow range of this pair")
		}
		if want, ok := offFlow(v, out, i); ok {
			if ratio := units.Abs(float64(o.Off.Value)) / want; ratio > 1.5 || ratio < 0.66 {
				out.say(Warns, o.Off.Pos, about, "with the air handler off, the flow is "+figures(ratio)+" times what the others say of that pressure", "its unit, the flow range, and the house pressure")
			}
		}
	}
}

// offFlow is the off flow of one pair as the others have it, of at least two
// pressures of 10 Pa or more on the same side; else as the door fan has it.
func offFlow(v *visit, out *slips, i int) (float64, bool) {
	o := v.sheet.OnOff[i]
	if units.Abs(o.House.Value) < 10 {
		return 0, false
	}
	scaled := func(q units.Flow, at units.Pressure) float64 {
		return math.Abs(float64(q)) * pressure.FlowRatio(units.Abs(o.House.Value), units.Abs(at), pressure.DefaultExponent)
	}
	var others []float64
	for k, x := range v.sheet.OnOff {
		if k != i && x.Off.Given && units.Abs(x.House.Value) >= 10 && (x.House.Value < 0) == (o.House.Value < 0) {
			others = append(others, scaled(x.Off.Value, x.House.Value))
		}
	}
	if len(others) >= 2 {
		slices.Sort(others)
		return others[len(others)/2], true
	}
	for k := range v.sheet.Holds {
		h := &v.sheet.Holds[k]
		if h.Fan.Given && !out.said(h.Fan.Pos) && h.Finished() && h.AsFound() && units.Abs(h.House.Value) >= 10 {
			at := survey.ScaledTo(v.sheet, h).Or(h.House.Value)
			return scaled(h.Fan.Value, at), at != 0
		}
	}
	return 0, false
}

// runSlips checks the sizes of duct runs.
func runSlips(v *visit, out *slips) {
	floor := float64(v.sheet.House.FloorArea.Or(0))
	for i, d := range v.sheet.Ducts {
		about := titled("duct", d.Name, i)
		if a := d.Area; a.Given && floor > 0 && float64(a.Value) > floor {
			out.say(Warns, a.Pos, about, "its surface is larger than the floor of the house", "its unit, ft2 or m2")
		}
		if r := d.Insulation; r.Given && r.Value > 4 {
			out.say(Warns, r.Pos, about, "its insulation is that of a thick wall", "its unit, h·ft2·F/Btu or m2·K/W")
		}
	}
}

// roomSlips checks pressures across shut doors.
func roomSlips(v *visit, out *slips) {
	hold := largestHold(v, "")
	for i, r := range v.sheet.Rooms {
		about := titled("room", r.Name, i)
		if p := r.Held; p.Given && hold > 0 && units.Abs(p.Value) > hold+aboveHold {
			out.say(Warns, p.Pos, about, "the room is further from the house than outdoors is", "the decimal point and the unit")
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
