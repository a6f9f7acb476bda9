package hpxml

import (
	"encoding/xml"

	"holdbook/internal/survey"
)

// caz is a worst-case depressurisation as it was read. Pressures are to outside, Pa.
type caz struct {
	XMLName   xml.Name   `xml:"CombustionApplianceZone"`
	ID        identifier `xml:"SystemIdentifier"`
	Limit     *number    `xml:"CAZDepressurizationLimit"`
	Baseline  number     `xml:"BaselineTest>Pressure"`
	Worst     number     `xml:"PoorCaseTest>Pressure"`
	Change    number     `xml:"NetPressureChange"`
	Finding   string     `xml:"DepressurizationFindingPoorCase,omitempty"`
	CO        *number    `xml:"AmountAmbientCOinCAZduringTesting"` // ppm
	COAbove35 *bool      `xml:"AmbientCOinCAZExceeded35ppmduringTesting"`
	Extension *extension `xml:"extension"`
}

// worstCases are the spaces with combustion appliances that were tested.
func (m *maker) worstCases() *group[caz] {
	var list []caz
	for _, z := range m.CAZ {
		x := caz{ID: m.id("combustion-space", "space", z.Name), Baseline: number(z.Baseline), Worst: number(z.Worst), Change: number(z.NetChange.Value), Finding: finding(z),
			Extension: &extension{own{WorstCase: &worstCase{When: z.When, Appliance: z.Appliance, Setup: z.Setup, Spillage: z.Spillage, Limit: z.Limit, Verdict: z.Verdict,
				NetChange: estimated(z.NetChange), AirHandlerChange: estimated(z.Handler)}, Note: z.Note}}}
		if z.LimitPressure != 0 {
			x.Limit = numbered(z.LimitPressure)
		}
		if z.COAmount != nil {
			x.CO, x.COAbove35 = numbered(*z.COAmount), new(*z.COAmount > float64(survey.COStop))
		}
		list = append(list, x)
	}
	return grouped(list)
}

// finding is the standard's word for what a change is against the limit that the sheet
// states with its document. An older limit of programmes passes and fails nothing, and
// neither does a change too close to call.
func finding(z survey.CAZ) string {
	switch {
	case z.LimitPressure == 0:
		return ""
	case z.Verdict == survey.Within:
		return "pass"
	case z.Verdict == survey.Beyond:
		return "fail"
	}
	return ""
}
