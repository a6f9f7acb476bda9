package sheet

import (
	"reflect"
	"slices"
)

// baselineKind is the baseline of a hold: a pressure of the house to outside, with its
// samples, or a table of that and of the zones' to the house.
func baselineKind() *kind {
	house := pressureOf.kind("baseline of the hold")
	return &kind{name: house.name, of: house.of, sample: house.sample,
		read: func(d *decoder, n *node, k *Key, table reflect.Value) {
			if k.instead != "" || !n.isTable() || n.isLog() {
				house.read(d, n, k, table)
				return
			}
			h := table.Addr().Interface().(*Hold)
			for _, c := range n.items {
				r, ok := readPressure(d, c, HouseName)
				switch {
				case !ok:
				case fold(r.Of.Text) == HouseName:
					h.Baseline = r.Pressure
				default:
					h.ZoneBaselines = append(h.ZoneBaselines, r)
				}
			}
		},
		write: func(e *encoder, k *Key, table reflect.Value) string {
			h := table.Addr().Interface().(*Hold)
			if len(h.ZoneBaselines) == 0 {
				return house.write(e, k, table)
			}
			var parts []string
			if h.Baseline.Given {
				parts = append(parts, KeyText(HouseName)+" = "+writeQuantity(e, pressureOf, h.Baseline))
			}
			for _, r := range h.ZoneBaselines {
				parts = append(parts, KeyText(r.Of.spelled())+" = "+writeQuantity(e, pressureOf, r.Pressure))
			}
			return inBraces(parts)
		}}
}

// ZoneBaseline is the baseline of a zone to the house in force in hold i: that of the
// nearest hold, i or before, that has one.
func (s *Sheet) ZoneBaseline(i int, zone string) (Pressure, bool) {
	for ; i >= 0; i-- {
		for _, r := range s.Holds[i].ZoneBaselines {
			if r.Of.Name == zone {
				return r.Pressure, true
			}
		}
	}
	return Pressure{}, false
}

// LessOf tells whether the gauge showed a space, by its canonical name, less its baseline.
func (h *Hold) LessOf(space string) bool {
	return slices.ContainsFunc(h.LessBaseline, func(r SpaceRef) bool { return r.Name == space })
}
