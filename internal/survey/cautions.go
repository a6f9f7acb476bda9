package survey

import (
	"slices"

	"holdbook/internal/sheet"
)

// The cautions. Common practice, no source.
const (
	combustionCaution = "combustion appliances off for every hold (gas water heater to pilot), then back as found; " +
		"stop above 35 ppm carbon monoxide; local code and licensed practice come first"
	// SpillageCaution goes with any sealing.
	SpillageCaution = "after sealing, appliances that draw on house air must be tested for spillage in the worst case before the crew leaves; " +
		"local code and licensed practice come first"
	fumesCaution    = "no engine runs, or has just run, while the house is held below the garage"
	asbestosCaution = "do not hold the house below a space with friable asbestos, vermiculite, mould or sewage"
	doorCaution     = "an outer door opened under automatic pressure hold makes the fan race, and shutting it over-drives the house: " +
		"slow or cover the fan first, bring it up by hand"
)

// Caution tells whether a notice is about the safety of the work, not about a result.
func (n Notice) Caution() bool {
	return n.Level == Danger || slices.Contains([]string{fumesCaution, asbestosCaution, doorCaution}, n.Text)
}

// addCautions are the notices that go with the readings of this sheet, only those
// that apply.
func addCautions(c *Case, log *Log) {
	outside := slices.ContainsFunc(c.Sheet.DuctTests, func(t sheet.DuctTest) bool { return t.Method.Value == sheet.OutsideMethod })
	if len(c.Sheet.Holds)+len(c.Sheet.OnOff)+len(c.Sheet.Nulling) == 0 && !outside {
		return // no fan drives the house
	}
	log.Notice(Danger, "", combustionCaution)
	for _, h := range c.Sheet.Holds {
		for _, o := range h.Opened {
			if o.Between.Has(sheet.OutsideName) {
				log.Notice(Warning, "", doorCaution)
			}
		}
	}
	if !c.Below() {
		return // fumes and dust are blown outwards
	}
	for _, k := range c.Kinds[2:] {
		switch k {
		case sheet.Garage:
			log.Notice(Warning, "garage", fumesCaution)
		case sheet.Attic, sheet.Crawlspace:
			log.Notice(Warning, string(k), asbestosCaution)
		}
	}
}
