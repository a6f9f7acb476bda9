package survey

import (
	"math"
	"slices"

	"holdbook/ductleak"
	"holdbook/internal/sheet"
	"holdbook/pressure"
	"holdbook/units"
)

// CAZ is a worst-case depressurisation as it was read: the pressure of a space with a combustion
// appliance to outside, by itself and as the fans of the house draw it down most.
type CAZ struct {
	Name      string  `json:"name"`
	Appliance string  `json:"appliance,omitempty"`
	Baseline  float64 `json:"baseline" unit:"Pa"`
	Worst     float64 `json:"worst" unit:"Pa"`
	When      string  `json:"when"`                 // what ran in the worst case
	NetChange *Q      `json:"net_change,omitempty"` // worst less baseline
	Handler   *Q      `json:"air_handler_change,omitempty"`
	Limit     string  `json:"limit,omitempty"` // of the net change, and the document that sets it
	// LimitPressure is that of the sheet, where it states one: below zero, as the change.
	LimitPressure float64  `json:"limit_pressure,omitempty" unit:"Pa"`
	Verdict       string   `json:"verdict,omitempty"`
	Setup         string   `json:"setup,omitempty"`
	Spillage      string   `json:"spillage,omitempty"`
	CO            string   `json:"co,omitempty"` // as it was read
	COAmount      *float64 `json:"co_amount,omitempty" unit:"ppm"`
	Note          string   `json:"note,omitempty"`
}

// The cautions of appliances that were tested. Common practice, no source, but for the 35 ppm:
// BPI Building Analyst 2005.
const (
	cazCaution = "combustion appliances: the standard in force and licensed practice decide, and no figure here passes an appliance; " +
		"where gas is smelled, or flames roll out, leave, and call from outside"
	coCaution  = "carbon monoxide above 35 ppm: stop the test, shut the appliance off, air the house and leave it"
	usedToHold = "older programme limits; ANSI/BPI-1200 no longer passes or fails by them"
)

// What a net change is against its limit, where the readings tell.
const (
	Within = "within"
	Beyond = "beyond"
)

// COStop is the carbon monoxide in room air at which a test is stopped (BPI Building Analyst
// 2005).
const COStop = sheet.PartsPerMillion(35)

// cazFindings are the worst-case tests of the sheet, each with its cautions.
func cazFindings(c *Case, log *Log) (list []CAZ) {
	for _, z := range c.Sheet.CAZ {
		name := units.Sanitize(z.Name.Value)
		log.Notice(Danger, "", cazCaution)
		if z.CO.Given && z.CO.Value > COStop {
			log.Notice(Danger, name, coCaution)
		}
		worst, when := WorstOf(z)
		if when == "" {
			log.Notice(Note, name, "a baseline alone tells nothing of the worst case; read it with the exhaust fans on")
			continue
		}
		list = append(list, cazOf(c, z, worst, when))
	}
	return list
}

// WorstOf is the lowest pressure that was read, and what ran then; "" where none was.
func WorstOf(z sheet.CAZ) (worst sheet.Pressure, when string) {
	for _, s := range []struct {
		read sheet.Pressure
		when string
	}{{z.Exhaust, "exhaust fans on"}, {z.Doors, "doors as they make it worst"}, {z.HandlerOn, "air handler on"}, {z.HandlerOff, "air handler off again"}} {
		if s.read.Given && (when == "" || s.read.Value < worst.Value) {
			worst, when = s.read, s.when
		}
	}
	return worst, when
}

func cazOf(c *Case, z sheet.CAZ, worst sheet.Pressure, when string) CAZ {
	change := changeOf(c, z.Baseline, worst)
	out := CAZ{Name: units.Sanitize(z.Name.Value), Appliance: z.Appliance.Value, Baseline: float64(z.Baseline.Value), Worst: float64(worst.Value), When: when,
		NetChange: pascals(change), Setup: units.Sanitize(z.Setup.Value), Spillage: units.Sanitize(z.Spillage.Value), CO: units.Sanitize(z.CO.Text),
		Note: units.SanitizeTo(z.Note.Value, sheet.MaxNote)}
	if z.HandlerOn.Given {
		before := []sheet.Pressure{z.HandlerOff, z.Doors, z.Exhaust}
		if i := slices.IndexFunc(before, func(p sheet.Pressure) bool { return p.Given }); i >= 0 {
			out.Handler = pascals(changeOf(c, before[i], z.HandlerOn))
		}
	}
	out.Limit, out.Verdict = cazLimit(c, z, change)
	if z.Limit.Given {
		out.LimitPressure = -math.Abs(float64(z.Limit.Value))
	}
	if z.CO.Given {
		out.COAmount = new(float64(z.CO.Value))
	}
	return out
}

// changeOf is the change from one reading to another: each with the error of the gauge and the
// wind that is left in it.
func changeOf(c *Case, from, to sheet.Pressure) units.Estimate[units.Pressure] {
	a, b := windIn(c.Gauge, from).PressureSD(from.Value), windIn(c.Gauge, to).PressureSD(to.Value)
	return pressure.Interval90(units.Measured[units.Pressure]{Value: to.Value - from.Value, SD: units.Pressure(math.Hypot(float64(a), float64(b)))})
}

// dropOf is a change as a fall of pressure, which limits speak of.
func dropOf(change units.Estimate[units.Pressure]) units.Estimate[float64] {
	return units.Estimate[float64]{Value: -float64(change.Value), Low: -float64(change.High), High: -float64(change.Low)}
}

// cazLimit sets a net change against the limit of the sheet, else against the older one for
// its appliance, if that has a source.
func cazLimit(c *Case, z sheet.CAZ, change units.Estimate[units.Pressure]) (text, verdict string) {
	limit := ductleak.Limit{Sense: ductleak.AtMost, Value: float64(units.Abs(z.Limit.Value)), Unit: units.Pascal}
	text = "at most " + units.Abs(z.Limit.Value).Text(units.Pascal, 1) + " lower, " + units.Sanitize(z.Document.Value)
	words := map[ductleak.Verdict]string{ductleak.Meets: Within, ductleak.Fails: Beyond, ductleak.TooClose: string(ductleak.TooClose)}
	if !z.Limit.Given {
		all := ductleak.LimitsOn(ductleak.CAZDepressurisation)
		i := slices.IndexFunc(all, func(l ductleak.Limit) bool { return l.Condition == z.Appliance.Value })
		if i < 0 {
			return "", ""
		}
		limit = all[i]
		text = "at most " + units.Pressure(limit.Value).Text(units.Pascal, 0) + " lower (" + limit.Source + ": " + usedToHold + ")"
	}
	return text, words[limit.Judge(dropOf(change))]
}

// cazDrops are the falls of pressure that a published limit speaks of.
func cazDrops(c *Case, l ductleak.Limit) (found []limited, missing string) {
	for _, z := range c.Sheet.CAZ {
		worst, when := WorstOf(z)
		if when == "" || z.Appliance.Given() && l.Condition != z.Appliance.Value {
			continue
		}
		found = append(found, limited{units.Sanitize(z.Name.Value), dropOf(changeOf(c, z.Baseline, worst))})
	}
	return found, "no [[caz]] of that appliance has a worst case"
}
