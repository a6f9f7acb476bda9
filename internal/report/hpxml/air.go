package hpxml

import (
	"math"
	"slices"
	"strings"

	"holdbook/internal/survey"
	"holdbook/units"
	"holdbook/zonal"
)

// air puts the leakage of the house and of its leaks into the building.
func (m *maker) air(d *details) {
	a := &airInfiltration{Measurements: m.measurements()}
	steps := m.sealFirst(a)
	if leaks := m.leaks(); leaks != nil || steps != nil {
		a.Extension = &extension{own{Leaks: leaks, SealFirst: steps}}
	}
	if a.Measurements != nil || a.Extension != nil {
		d.Enclosure.Air = a
	}
	if *d.Enclosure == (enclosure{}) {
		d.Enclosure = nil
	}
}

// measurements are the leakage of the house as a flow and as air changes.
func (m *maker) measurements() (list []measurement) {
	add := func(unit string, q *survey.Q, area *survey.Q, o own) {
		if q == nil || q.Value <= 0 {
			return
		}
		x := m.test()
		x.Air = &airLeakage{unit, number(q.Value)}
		if area != nil {
			x.LeakageArea = above(numbered(area.Value))
		}
		o.AirLeakage = estimated(q)
		x.Extension = &extension{o}
		list = append(list, x)
	}
	h := m.House
	add("CFM", h.Flow50, h.LeakArea4, m.house())
	add("ACH", h.AirChanges50, nil, own{})
	if x := m.exterior(); x != nil {
		list = append(list, *x)
	}
	return list
}

// exterior is what a dwelling leaks to outdoors alone; nil where its neighbours were not held
// level, or the readings only bound it.
func (m *maker) exterior() *measurement {
	q := m.House.ExteriorOnly
	guarded := slices.ContainsFunc(m.Hand, func(a survey.HandAnswer) bool { return a.Method == survey.GuardedTest && a.Resolved })
	if !guarded || q == nil || q.Value <= 0 || units.FactorsApart(q.Low, q.High) {
		return nil
	}
	x := m.test()
	x.Leakage, x.Air = "unit exterior only", &airLeakage{"CFM", number(q.Value)}
	x.Extension = &extension{own{AirLeakage: estimated(q)}}
	return &x
}

// test is what is the same of all that one test of the house gave.
func (m *maker) test() measurement {
	b := m.Building
	x := measurement{ID: m.id("air-leakage", "", ""), Date: day(m.Job.Date), Outside: given(b.Outdoor), Wind: wind(m.Job.Wind),
		Type: "blower door", Test: "depressurization", Leakage: m.extent(), House: number(zonal.Reference),
		Volume: above(given(b.Volume)), Height: above(given(b.Height))}
	if m.Job.Hold == "pressurised" {
		x.Test = "pressurization"
	}
	return x
}

// wind is the standard's word for that of the sheet, whose first word counts.
func wind(text string) string {
	first := strings.FieldsFunc(text, func(r rune) bool { return r == ' ' || r == ',' || r == ';' })
	switch {
	case len(first) == 0:
		return ""
	case strings.EqualFold(first[0], "breezy"):
		return "windy"
	case strings.EqualFold(first[0], "calm"), strings.EqualFold(first[0], "light"):
		return "normal"
	}
	return ""
}

// extent says whether the test was of a building or of one dwelling of it: a dwelling
// has neighbours.
func (m *maker) extent() string {
	if s := m.Building.ExteriorShare; s > 0 && s < 1 {
		return "unit total"
	}
	for _, z := range m.Zones {
		if z.Kind == string(zonal.Neighbour) {
			return "unit total"
		}
	}
	return "building total"
}

// house is what else is known of the house's leakage.
func (m *maker) house() own {
	h := m.House
	o := own{Doubt: h.Doubt, AirLeakageWithoutDoubt: estimated(h.Without), AirLeakagePerFloorArea: estimated(h.FlowPerArea),
		AirLeakageStandardAir: estimated(h.StandardAir), Exponent: estimated(h.Exponent), Coefficient: estimated(h.Coefficient),
		EffectiveLeakageArea: estimated(h.LeakArea4), EquivalentLeakageArea: estimated(h.LeakArea10)}
	if o.Exponent != nil {
		o.Exponent.Assumed = h.ExponentAssumed
	}
	if o.AirLeakageStandardAir != nil {
		o.AirLeakageStandardAir.By = h.StandardBy
	}
	if p := h.MultiPoint; p != nil {
		o.MultiPointTest = &multiPoint{Refused: p.Refused, R2: number(p.R2), AirLeakage: estimated(&p.Flow50), Exponent: estimated(&p.Exponent),
			Coefficient: estimated(&p.Coefficient), EffectiveLeakageArea: estimated(p.LeakArea4), EquivalentLeakageArea: estimated(p.LeakArea10)}
		for _, x := range p.Points {
			o.MultiPointTest.Points = append(o.MultiPointTest.Points, point{x.Hold, number(x.Pressure), number(x.Flow), x.Unit.Symbol()})
		}
	}
	return o
}

func (m *maker) leaks() *group[leak] {
	var list []leak
	for _, p := range m.Paths {
		list = append(list, leak{pair: pair{p.Between[0], p.Between[1]}, Note: p.Note, Resolved: p.Resolved, Size: bounded(p.Resolved, p.Flow50, p.Bound),
			Area: resolvedIf(p.Resolved, p.Area4), Exponent: resolvedIf(p.Resolved, p.Exponent), FlowNow: resolvedIf(p.Resolved, p.Now50)})
	}
	return grouped(list)
}

// sealFirst is the order of sealing. What is one job is named as such in a; the leaks
// straight to outdoors are many.
func (m *maker) sealFirst(a *airInfiltration) *group[step] {
	var list []step
	for _, c := range m.SealFirst {
		s := step{Step: c.Step, pair: pair{c.Between[0], c.Between[1]}, What: c.What, Direct: c.Direct, Health: c.Health, Hours: number(c.Hours),
			Fall: estimatedSpan(c.Drop50), FallPerHour: estimatedSpan(c.DropPerHour), FanAfter: estimatedSpan(c.FanAfter), FanAtStep: estimatedSpan(c.FanAtStep), Note: c.Note}
		if !c.Direct {
			s.ChanceFirst = numbered(c.ChanceFirst)
			job := sealing{ID: m.id("seal", "proposed, not done", s.Between+"–"+s.And), Components: m.components(c.Between)}
			if h := math.Round(c.Hours); h > 0 && h == c.Hours {
				whole := int(h)
				job.Hours = &whole
			}
			a.Sealing, s.Sealing = append(a.Sealing, job), job.ID.ID
		}
		list = append(list, s)
	}
	return grouped(list)
}

// estimatedSpan is q, without its value where its ends are too far apart to tell more
// than bounds.
func estimatedSpan(q *survey.Q) *estimate {
	return resolvedIf(q != nil && !units.FactorsApart(q.Low, q.High), q)
}

// components says where a leak between two spaces is sealed.
func (m *maker) components(between [2]string) sealedComponents {
	kinds := map[zonal.Kind]bool{}
	for _, name := range between {
		kinds[m.kindOf(name)] = true
	}
	house := kinds[zonal.HouseKind]
	switch {
	case kinds[zonal.Kneewall]:
		return sealedComponents{Attic: "kneewall transitions"}
	case house && kinds[zonal.Attic]:
		return sealedComponents{Attic: "attic floor"}
	case house && kinds[zonal.Garage]:
		return sealedComponents{Living: "home-garage connection"}
	case kinds[zonal.Basement], kinds[zonal.Crawlspace]:
		return sealedComponents{Foundation: "other"}
	case kinds[zonal.Attic] && !kinds[zonal.Ducts]:
		return sealedComponents{Attic: "other"}
	}
	return sealedComponents{Living: "other"}
}

// kindOf is the kind of a space by its name.
func (m *maker) kindOf(name string) zonal.Kind {
	for _, z := range m.Zones {
		if z.Name == name {
			return zonal.Kind(z.Kind)
		}
	}
	return zonal.Kind(name) // house or outside
}
