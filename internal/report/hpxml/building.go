package hpxml

import (
	"fmt"
	"strings"

	"holdbook/internal/survey"
	"holdbook/zonal"
)

// maker makes a building of findings in the standard's units.
type maker struct {
	*survey.Findings
	prefix string         // of all its ids
	last   map[string]int // number of the last id of each kind
}

// newBuilding is the findings as a building, looked at in an event; its ids begin with
// the prefix.
func newBuilding(f *survey.Findings, prefix, event string) (*building, error) {
	f, err := inStandardUnits(f)
	if err != nil {
		return nil, err
	}
	m := &maker{Findings: f, prefix: prefix, last: map[string]int{}}
	if m.Building == nil {
		m.Building = &survey.Building{}
	}
	b := &building{ID: m.id("building", "job name", f.Job.Name), Status: status{event, day(f.Job.Date)}}
	b.Site = site{ID: m.id("site", "", ""), Elevation: given(m.Building.Altitude)}
	if f.Job.Place != "" {
		b.Site.Address = &address{f.Job.Place}
	}
	b.Details = details{Summary: m.summary()}
	m.spaces(&b.Details)
	m.air(&b.Details)
	b.Details.Systems = m.systems()
	b.Details.CAZ = m.worstCases()
	b.Extension = &extension{m.whole()}
	return b, nil
}

// id is a new id of a kind, which the document has not yet, with a name of ours for it.
func (m *maker) id(kind, what, name string) identifier {
	m.last[kind]++
	i := identifier{ID: fmt.Sprintf("%s%s-%d", m.prefix, kind, m.last[kind])}
	if name != "" {
		i.Type, i.Value = what, name
	}
	return i
}

// given is a number of the sheet; nil where it has none.
func given(s *survey.Stated) *number {
	if s == nil {
		return nil
	}
	return numbered(s.Value)
}

// above is a number that must be above zero; nil where it is not.
func above(n *number) *number {
	if n == nil || *n <= 0 {
		return nil
	}
	return n
}

// day is the date of a time as the sheet has it, "" for none.
func day(t string) string {
	date, _, _ := strings.Cut(t, "T")
	return date
}

func (m *maker) summary() *summary {
	c := construction{Bedrooms: m.Building.Bedrooms, FloorArea: above(given(m.Building.FloorArea)), Volume: above(given(m.Building.Volume))}
	if c == (construction{}) {
		return nil
	}
	return &summary{c}
}

// spaces puts each zone beside the house into the building: as a zone with a space, and
// as the attic, the foundation or the garage that it is. Ducts stand with the systems.
func (m *maker) spaces(d *details) {
	var all []zone
	d.Enclosure = &enclosure{}
	var attics []attic
	var foundations []foundation
	var garages []garage
	for _, z := range m.Zones {
		if z.Kind == string(zonal.Ducts) {
			continue
		}
		s := space{ID: m.id("space", "", ""), Name: z.Name, FloorArea: above(given(z.FloorArea))}
		all = append(all, zone{ID: m.id("zone", "", ""), Name: z.Name, Space: s, Extension: &extension{m.zone(z)}})
		in, at, within := m.id(z.Kind, "", ""), reference{s.ID.ID}, z.Meant == "inside"
		switch zonal.Kind(z.Kind) {
		case zonal.Attic:
			attics = append(attics, attic{ID: in, Space: at, Type: vented{z.Vented}, Within: within})
		case zonal.Basement:
			foundations = append(foundations, foundation{ID: in, Space: at, Type: foundationType{Basement: &struct{}{}}, Within: within})
		case zonal.Crawlspace:
			foundations = append(foundations, foundation{ID: in, Space: at, Type: foundationType{Crawlspace: &vented{z.Vented}}, Within: within})
		case zonal.Garage:
			garages = append(garages, garage{ID: in, Space: at, Type: vented{z.Vented}})
		}
	}
	d.Zones = grouped(all)
	d.Enclosure.Attics, d.Enclosure.Foundations, d.Enclosure.Garages = grouped(attics), grouped(foundations), grouped(garages)
}

// zone is what the readings say of a zone.
func (m *maker) zone(z survey.Zone) own {
	inside := z.Meant == "inside"
	return own{Kind: z.Kind, MeantInside: &inside, PressureToHouse: estimated(z.ToHouse), ConnectionFraction: estimated(z.ConnectionFraction),
		ThroughFlow: resolvedIf(z.Resolved, z.ThroughFlow50), LeakRatio: resolvedIf(z.Near == "", z.LeakRatio)}
}

// whole is what concerns the building as a whole.
func (m *maker) whole() own {
	o := own{Invented: m.Job.Invented, NotResolved: m.unresolved(), Intervals: m.Method.Intervals, Status: m.Method.Status, Notices: notices(m.Notices)}
	if v := m.Ventilation; v != nil {
		o.Infiltration, o.Required = estimated(v.Infiltration), estimated(v.Required)
	}
	return o
}

func notices(list []survey.Notice) *group[notice] {
	var all []notice
	for _, n := range list {
		all = append(all, notice{Level: string(n.Level), About: n.About, Text: n.Text})
	}
	return grouped(all)
}

// unresolved names what a reader would look for in vain, or finds without a value.
func (m *maker) unresolved() (list []string) {
	if m.House.Flow50 == nil {
		list = append(list, "leakage of the house")
	}
	for _, p := range m.Paths {
		if !p.Resolved {
			list = append(list, strings.TrimSuffix("leak "+p.Between[0]+"–"+p.Between[1]+", "+p.Note, ", "))
		}
	}
	for _, z := range m.Zones {
		if z.ToHouse == nil {
			list = append(list, "pressure of the "+z.Name)
		}
	}
	if d := m.Ducts; d != nil && d.LeakageOutside25 == nil {
		list = append(list, "duct leakage to outside")
	}
	return list
}
