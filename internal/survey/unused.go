package survey

import (
	"slices"
	"strings"

	"holdbook/internal/sheet"
)

// laterKey is a part of the sheet that is read and checked, and whether it has
// led to anything in the findings.
type laterKey struct {
	name  string
	given func(*sheet.Sheet) bool
	used  func(*Findings) bool
}

func hasDucts(f *Findings) bool { return f.Ducts != nil }

// laterKeys are the parts of the sheet that the estimate itself does not need.
var laterKeys = []laterKey{
	{"[air_handler]", func(s *sheet.Sheet) bool { return s.AirHandler != nil }, hasDucts},
	{"[[register]]", func(s *sheet.Sheet) bool { return len(s.Registers) > 0 }, hasDucts},
	{"[[duct_test]]", func(s *sheet.Sheet) bool { return len(s.DuctTests) > 0 }, hasDucts},
	{"[[on_off]]", func(s *sheet.Sheet) bool { return len(s.OnOff) > 0 }, hasDucts},
	{"[[duct]]", func(s *sheet.Sheet) bool { return len(s.Ducts) > 0 }, hasDucts},
	{"[[room]]", func(s *sheet.Sheet) bool { return len(s.Rooms) > 0 },
		func(f *Findings) bool { return f.Ducts != nil && len(f.Ducts.Rooms) > 0 }},
	{"[[limit]]", func(s *sheet.Sheet) bool { return len(s.Limits) > 0 },
		func(f *Findings) bool { return len(f.Limits) > 0 }},
	{"[running]", func(s *sheet.Sheet) bool { return s.Running != nil },
		func(f *Findings) bool { return f.Ducts != nil && len(f.Ducts.Losses) > 0 }},
	{"[climate]", func(s *sheet.Sheet) bool { return s.Climate != nil },
		func(f *Findings) bool { return f.Ventilation != nil || f.Ducts != nil }},
	{"[ventilation]", func(s *sheet.Sheet) bool { return s.Ventilation != nil },
		func(f *Findings) bool { return f.Ventilation != nil }},
	{"house.storeys", func(s *sheet.Sheet) bool { return s.House.Storeys.Given },
		func(f *Findings) bool { return f.Ventilation != nil }},
	{"house.bedrooms", func(s *sheet.Sheet) bool { return s.House.Bedrooms.Given },
		func(f *Findings) bool { return f.Ventilation != nil }},
	{"house.height", func(s *sheet.Sheet) bool { return s.House.Height.Given },
		func(f *Findings) bool { return f.Ventilation != nil }},
	{"house.exterior_share", func(s *sheet.Sheet) bool { return s.House.ExteriorShare.Given },
		func(f *Findings) bool { return f.Ventilation != nil }},
	{"house.flue", func(s *sheet.Sheet) bool { return s.House.Flue.Given },
		func(f *Findings) bool { return f.Ventilation != nil }},
	{"house.foundation", func(s *sheet.Sheet) bool { return s.House.Foundation.Given() },
		func(f *Findings) bool { return f.Ventilation != nil }},
	{"house.envelope_area", func(s *sheet.Sheet) bool { return s.House.EnvelopeArea.Given },
		func(f *Findings) bool { return len(f.Limits) > 0 }},
	{"zone.temperature", warmZone, hasDucts},
	{"zone.floor_area", anyZone(func(z sheet.Zone) bool { return z.FloorArea.Given }), hasDucts},
	{"zone.insulated", anyZone(func(z sheet.Zone) bool { return len(z.Insulated) > 0 }), hasDucts},
}

// warmZone says whether a zone has a temperature that no further fan needs.
func warmZone(s *sheet.Sheet) bool {
	blown := slices.ContainsFunc(s.Holds, func(h sheet.Hold) bool { return len(h.Fans) > 0 })
	return !blown && anyZone(func(z sheet.Zone) bool { return z.Temperature.Given })(s)
}

// anyZone says whether some zone has a key.
func anyZone(has func(sheet.Zone) bool) func(*sheet.Sheet) bool {
	return func(s *sheet.Sheet) bool { return slices.ContainsFunc(s.Zones, has) }
}

// noteUnused names what the sheet gives and nothing has been made of.
func noteUnused(c *Case, f *Findings, log *Log) {
	var names []string
	for _, k := range laterKeys {
		if k.given(c.Sheet) && !k.used(f) {
			names = append(names, k.name)
		}
	}
	if len(names) > 0 {
		log.Notice(Note, "", "not used yet: %s", strings.Join(names, ", "))
	}
}
