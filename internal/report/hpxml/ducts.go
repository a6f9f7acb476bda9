package hpxml

import (
	"reflect"
	"slices"
	"strings"

	"holdbook/internal/survey"
	"holdbook/zonal"
)

// systems are the ducts and the ventilation fan; nil where there is neither.
func (m *maker) systems() *systems {
	s := systems{Distribution: m.distribution(), Fan: m.fan()}
	if s == (systems{}) {
		return nil
	}
	return &s
}

func (m *maker) fan() *fan {
	flow := given(m.Building.VentilationFan)
	if flow == nil {
		return nil
	}
	f := &fan{ID: m.id("fan", "", ""), Tested: *flow, Whole: true}
	if m.Building.Balanced {
		f.Type = "balanced"
	}
	return f
}

// distribution is the duct system; nil where the sheet has none.
func (m *maker) distribution() *distribution {
	d, zones := m.Ducts, m.ductZones()
	if d == nil && zones == nil {
		return nil
	}
	out := &distribution{ID: m.id("ducts", "", "")}
	o := own{DuctZones: zones}
	if d != nil {
		out.Air.Leakage = m.ductLeakage()
		o.NetImbalance, o.CoveredPressure = estimated(d.NetImbalance), estimated(d.CoveredPressure)
		o.DeliveryEffectiveness, o.DistributionEfficiency = estimated(d.DeliveryEffectiveness), estimated(d.DistributionEfficiency)
		out.Heating, out.Cooling = efficiency(d, "heating"), efficiency(d, "cooling")
		if d.DistributionEfficiency != nil {
			o.Note = "efficiency: steady state at the temperatures of the sheet"
		}
	}
	if !reflect.ValueOf(o).IsZero() {
		out.Extension = &extension{o}
	}
	return out
}

// efficiency is that of the distribution in a mode, a fraction; nil for none.
func efficiency(d *survey.Ducts, mode string) *number {
	q := d.DistributionEfficiency
	if q == nil || d.Mode != mode || q.Value <= 0 || q.Value > 100 {
		return nil
	}
	return numbered(q.Value / 100)
}

// ductZones are the pressures in the ducts.
func (m *maker) ductZones() *group[ductZone] {
	var list []ductZone
	for _, z := range m.Zones {
		if z.Kind == string(zonal.Ducts) {
			list = append(list, ductZone{Name: z.Name, PressureToHouse: estimated(z.ToHouse), ConnectionFraction: estimated(z.ConnectionFraction),
				ThroughFlow: resolvedIf(z.Resolved, z.ThroughFlow50)})
		}
	}
	return grouped(list)
}

// measured is what a quantity of the findings is to the standard.
type measured struct{ units, where, side string }

var measuredBy = map[string]measured{
	"leakage_outside_25": {units: "CFM25", where: "to outside"},
	"leakage_total_25":   {units: "CFM25", where: "total"},
	"supply_leakage":     {units: "CFM per Std 152", where: "to outside", side: "supply"},
	"return_leakage":     {units: "CFM per Std 152", where: "to outside", side: "return"},
}

// methods are the standard's words for the methods that it has one for.
var methods = map[string]string{
	survey.DuctFanTest:     "duct leakage tester",
	survey.OnePressureTest: "duct leakage tester",
	survey.SubtractionTest: "blower door subtract",
}

// ductLeakage is each quantity as all its tests together give it, then as each does.
func (m *maker) ductLeakage() []ductLeakage {
	d := m.Ducts
	var list []ductLeakage
	for key, q := range survey.Estimates(*d) {
		how, known := measuredBy[key]
		if !known {
			continue
		}
		tests := m.testsOf(key)
		if q != nil && !slices.ContainsFunc(tests, func(t survey.DuctTest) bool { return t.Resolved && *t.Result == *q }) {
			list = append(list, newLeakage(how, survey.DuctTest{Name: "all tests together", Result: q, Resolved: true}))
		}
		for _, t := range tests {
			list = append(list, newLeakage(how, t))
		}
	}
	if r := m.registers(); r != nil {
		list = append(list, ductLeakage{Method: "pressure pan", Extension: &extension{own{Registers: r,
			Note: "pressures across covered registers, brought to a house held at 50 Pa: they find the branch, not the size of its leak"}}})
	}
	return list
}

// testsOf are the tests of a quantity that gave something. A test of one side stands
// for that side. What was only worked out of another test is no measurement.
func (m *maker) testsOf(key string) (list []survey.DuctTest) {
	for _, t := range m.Ducts.Tests {
		quantity, _, _ := strings.Cut(t.Quantity, ", ")
		if quantity == key && t.Result != nil && t.Method != survey.CarriedTest {
			list = append(list, t)
		}
	}
	return list
}

// newLeakage is what one test says. One that does not resolve it has bounds only.
func newLeakage(how measured, t survey.DuctTest) ductLeakage {
	_, side, _ := strings.Cut(t.Quantity, ", ")
	if side == "" {
		side = how.side
	}
	l := ductLeakage{Side: side, Method: methods[t.Method], Leakage: &ductAir{Units: how.units, Where: how.where}}
	if t.Resolved && t.Result.Value >= 0 {
		l.Leakage.Value = numbered(t.Result.Value)
	}
	l.Extension = &extension{own{Name: t.Name, Method: t.Method, Note: t.Note, DuctLeakage: bounded(t.Resolved, t.Result, t.Bound)}}
	return l
}

// registers are the pressures across covered registers; nil for none.
func (m *maker) registers() *group[register] {
	var list []register
	for _, r := range m.Ducts.Registers {
		if r.Cover50 != nil {
			list = append(list, register{Name: r.Name, Side: r.Side, Cover50: estimated(r.Cover50)})
		}
	}
	return grouped(list)
}
