package check

import (
	"holdbook/internal/sheet"
	"holdbook/internal/survey"
	"holdbook/units"
)

// Limits of plain sense for tests without a hold, and for guards: all judgement.
const (
	mostCAZ  = units.Pressure(30) // between a space and outdoors, no door fan running
	roseCAZ  = units.Pressure(1)  // by which exhaust fans may raise a pressure: wind
	guardOff = units.Pressure(1)  // of a guard to the dwelling
)

// cazSlips checks worst-case tests of combustion zones.
func cazSlips(v *visit, out *slips) {
	for _, z := range v.sheet.CAZ {
		name := units.Sanitize(z.Name.Value)
		lowest, when := survey.WorstOf(z)
		if when == "" {
			out.say(Remarks, z.Pos, name, "a baseline alone tells nothing of the worst case", "the pressure with the exhaust fans on")
			continue
		}
		for _, p := range []sheet.Pressure{z.Exhaust, z.Doors, z.HandlerOn, z.HandlerOff, z.Baseline} {
			if p.Given && units.Abs(p.Value) > mostCAZ {
				out.say(Warns, p.Pos, name, p.Value.Text(units.Pascal, 1)+" is hardly the pressure of a space without a door fan", "the decimal point, the unit, and that the door fan was covered")
			}
		}
		if rose := lowest.Value - z.Baseline.Value; rose > roseCAZ {
			out.say(Warns, lowest.Pos, name, "fans that blow outdoors raised its pressure by "+rose.Text(units.Pascal, 1), "the sign, the hoses, and which fans ran")
		}
		if z.CO.Given && z.CO.Value > survey.COStop {
			out.say(Warns, z.CO.Pos, name, "carbon monoxide above 35 ppm", "stop, shut the appliance off, air the house and leave it")
		}
	}
}

// guardSlips checks the neighbours that were held level.
func guardSlips(out *slips, h *sheet.Hold, name string) {
	for _, g := range h.Guards {
		for _, x := range h.Readings {
			if x.Of.Name == g.Name && x.To.Name == sheet.HouseName && x.Pressure.Given && units.Abs(x.Pressure.Value) > guardOff {
				out.say(Warns, x.Pressure.Pos, name+", "+units.Sanitize(g.Name), "the guard is "+units.Abs(x.Pressure.Value).Text(units.Pascal, 1)+" off the dwelling: 1 Pa lets 8 % of its leak pass", "trim its fan to within half a pascal")
			}
		}
	}
	if len(h.Guards) > 0 && !h.Fan.Given {
		out.say(Remarks, h.Pos, name, "the neighbours are held level, but the fan of the dwelling was not read", "the fan flow: it is what leaks to outdoors alone")
	}
}
