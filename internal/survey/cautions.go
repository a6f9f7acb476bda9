package survey

import (
	"slices"

	"holdbook/internal/sheet"
)

// The cautions. Common practice, no source.
const (
	combustionCaution = "combustion appliances off for every hold (gas water heater to pilot), then back as found; " +
		"stop above 35 ppm carbon monoxide; local code and licensed practice come first"
	fumesCaution    = "no engine runs, or has just run, while the house is held below the garage"
	asbestosCaution = "do not hold the house below a space with friable asbestos, vermiculite, mould or sewage"
	doorCaution     = "an outer door opened under automatic pressure hold makes the fan race, and shutting it over-drives the house: " +
		"slow or cover the fan first, bring it up by hand"
)

// cautions are the notices that go with the readings of this sheet, only those
// that apply.
func (r *run) cautions() {
	outside := slices.ContainsFunc(r.sheet.DuctTests, func(t sheet.DuctTest) bool { return t.Method.Value == "outside" })
	if len(r.sheet.Holds)+len(r.sheet.OnOff) == 0 && !outside {
		return // no fan drives the house
	}
	r.notice(Danger, "", combustionCaution)
	for _, h := range r.sheet.Holds {
		for _, o := range h.Opened {
			if o.Between[0].Name == sheet.OutsideName || o.Between[1].Name == sheet.OutsideName {
				r.notice(Warning, "", doorCaution)
			}
		}
	}
	if !r.below() {
		return // fumes and dust are blown outwards
	}
	for _, k := range r.kinds[2:] {
		switch k {
		case sheet.Garage:
			r.notice(Warning, "garage", fumesCaution)
		case sheet.Attic, sheet.Crawlspace:
			r.notice(Warning, string(k), asbestosCaution)
		}
	}
}
