package survey

import (
	"slices"
	"strings"

	"holdbook/internal/sheet"
)

// later are parts of the sheet that the estimate itself does not need, by their headers
// or paths, and whether they have led to anything in the findings.
type later struct {
	keys []string
	used func(*Case, *Findings) bool
}

func hasDucts(_ *Case, f *Findings) bool       { return f.Ducts != nil }
func hasLimits(_ *Case, f *Findings) bool      { return len(f.Limits) > 0 }
func hasVentilation(_ *Case, f *Findings) bool { return f.Ventilation != nil }

var laterKeys = []later{
	{[]string{"[air_handler]", "[[register]]", "[[duct_test]]", "[[on_off]]", "[[nulling]]", "[[duct]]"}, hasDucts},
	{[]string{"[[room]]"}, func(_ *Case, f *Findings) bool { return f.Ducts != nil && len(f.Ducts.Rooms) > 0 }},
	{[]string{"[[limit]]"}, hasLimits},
	{[]string{"[running]"}, func(_ *Case, f *Findings) bool { return f.Ducts != nil && len(f.Ducts.Losses) > 0 }},
	{[]string{"[climate]"}, func(c *Case, f *Findings) bool { return hasVentilation(c, f) || hasDucts(c, f) }},
	{[]string{"[ventilation]", "house.storeys", "house.bedrooms", "house.height", "house.exterior_share", "house.flue", "house.foundation"}, hasVentilation},
	{[]string{"house.envelope_area"}, func(c *Case, f *Findings) bool { return hasLimits(c, f) || f.House.FlowPerShell != nil }},
	{[]string{"zone.temperature"}, func(c *Case, f *Findings) bool { return hasDucts(c, f) || furtherFans(c) }},
	{[]string{"zone.floor_area", "zone.insulated"}, hasDucts},
}

// furtherFans says whether a further fan runs in some hold: the air it takes is that of
// a zone.
func furtherFans(c *Case) bool {
	return slices.ContainsFunc(c.Sheet.Holds, func(h sheet.Hold) bool { return len(h.Fans) > 0 })
}

// noteUnused names what the sheet gives and nothing has been made of.
func noteUnused(c *Case, f *Findings, log *Log) {
	var names []string
	for _, l := range laterKeys {
		for _, key := range l.keys {
			if c.Sheet.Gives(strings.Trim(key, "[]")) && !l.used(c, f) {
				names = append(names, key)
			}
		}
	}
	if len(names) > 0 {
		log.Notice(Note, "", "not used yet: %s", strings.Join(names, ", "))
	}
}
