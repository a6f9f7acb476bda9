package sheet

import (
	"cmp"
	"reflect"
	"slices"
	"sync"

	"holdbook/units"
)

// usual is what the program takes where the sheet says nothing: the defaults of
// the tags, read as a sheet is.
var usual = sync.OnceValue(func() (u struct {
	Job      Job
	House    House
	Gauge    Gauge
	DoorFan  DoorFan
	Path     Path
	DuctTest DuctTest
}) {
	d := &decoder{src: newSource("defaults", nil)}
	for path, of := range map[string]any{"job": &u.Job, "house": &u.House, "gauge": &u.Gauge, "door_fan": &u.DoorFan,
		"path": &u.Path, "duct_test": &u.DuctTest} {
		for _, k := range LookUp(path).inner().keys {
			if k.Default != "" {
				k.readDefault(d, reflect.ValueOf(of).Elem())
			}
		}
	}
	if len(d.problems) > 0 {
		panic("sheet: a default of a tag cannot be read: " + d.problems[0].Text)
	}
	return u
})

// readDefault reads the default of a key into a table. It need not keep the rules
// of what is written: an exponent that is known has an error of zero.
func (k Key) readDefault(d *decoder, table reflect.Value) {
	k.rules = nil
	k.kind.read(d, k.node(k.Default), &k, table)
}

// ExponentError is how well the exponent is known, one standard deviation.
func (p Path) ExponentError() units.Ratio { return p.ExponentSD.Or(usual().Path.ExponentSD.Value) }

// ExteriorPart is the share of the envelope that faces outdoors.
func (h House) ExteriorPart() units.Ratio {
	return h.ExteriorShare.Or(usual().House.ExteriorShare.Value)
}

// PrintUnits says how results print: "ip" or "si".
func (j Job) PrintUnits() string {
	return cmp.Or(j.Units.Value, usual().Job.Units.Value)
}

// Depressurised says which sign an unsigned house pressure takes: negative
// when true, which is the default.
func (j Job) Depressurised() bool {
	return cmp.Or(j.Hold.Value, usual().Job.Hold.Value) == "depressurised"
}

// PressureError is what the gauge promises: the larger of a fraction of the
// reading and an absolute part, two standard deviations. A part that a given
// tolerance leaves out is zero.
func (g Gauge) PressureError() (units.Ratio, units.Pressure) {
	t := g.Pressure
	if !t.Given {
		t = usual().Gauge.Pressure
	}
	return t.Relative, t.Absolute
}

// FlowError is the fan's calibration error, a fraction, two standard
// deviations.
func (g Gauge) FlowError() units.Ratio { return g.Flow.Or(usual().Gauge.Flow.Value) }

// RepeatError is that of one flow reading against the next, a fraction, one
// standard deviation.
func (g Gauge) RepeatError() units.Ratio { return g.Repeat.Or(usual().Gauge.Repeat.Value) }

// WobbleError is the wind left in an averaged pressure reading, one standard
// deviation.
func (g Gauge) WobbleError() units.Pressure { return g.Wobble.Or(usual().Gauge.Wobble.Value) }

// Indicated says that the fan shows the flow of standard air, so that a true
// flow follows from the density of the air in it. Default: it shows true flow.
func (g Gauge) Indicated() bool {
	return cmp.Or(g.FanAir.Value, usual().Gauge.FanAir.Value) == "indicated"
}

// CarriesTo50 says that the gauge shows the flow of the door fan carried to 50 Pa in every
// hold that does not say otherwise. Default: it shows the flow through the fan.
func (f DoorFan) CarriesTo50() bool {
	return cmp.Or(f.Shows.Value, usual().DoorFan.Shows.Value) == "at 50 Pa"
}

// MeantInside says on which side of the air barrier a zone is meant to lie, by
// default that of its kind.
func (z Zone) MeantInside() bool {
	if z.Meant.Given() {
		return z.Meant.Value == "inside"
	}
	return z.Kind.MeantInside()
}

// IsVented says whether a zone has vents to outside, by default as its kind has.
func (z Zone) IsVented() bool { return z.Vented.Or(z.Kind.Vented()) }

// TestSide is the side of the ducts under test, "both" by default.
func (t DuctTest) TestSide() string { return cmp.Or(t.Side.Value, usual().DuctTest.Side.Value) }

// Finished says whether a hold may be used in the estimate: one without a
// house pressure is unfinished.
func (h Hold) Finished() bool { return h.House.Given }

// AsFound says that nothing was opened, sealed or second-fanned.
func (h Hold) AsFound() bool { return len(h.Opened)+len(h.Sealed)+len(h.Fans)+len(h.Guards) == 0 }

// Zone finds a zone by its canonical name.
func (s *Sheet) Zone(name string) (Zone, bool) {
	i := slices.IndexFunc(s.Zones, func(z Zone) bool { return z.Name.Value == name })
	if i < 0 {
		return Zone{}, false
	}
	return s.Zones[i], true
}

// BaselineHold gives the index of the hold whose baseline is in force in hold
// i: i itself, or the nearest hold before it that has one, since a baseline
// carries over. It is false when none was read: a baseline of zero, with a
// note.
func (s *Sheet) BaselineHold(i int) (int, bool) {
	for ; i >= 0; i-- {
		if s.Holds[i].Baseline.Given {
			return i, true
		}
	}
	return 0, false
}

// Touching lists the pairs of spaces that share a boundary, each once, by
// canonical names: the house and outside, every zone with what its touches
// names (the house and outside by default; the relation is symmetrical), and
// the ends of every [[path]].
func (s *Sheet) Touching() [][2]string {
	pairs := [][2]string{{HouseName, OutsideName}}
	seen := map[[2]string]bool{ordered(HouseName, OutsideName): true}
	add := func(a, b string) {
		if a != b && !seen[ordered(a, b)] {
			seen[ordered(a, b)] = true
			pairs = append(pairs, [2]string{a, b})
		}
	}
	for _, z := range s.Zones {
		if len(z.Touches) == 0 {
			add(HouseName, z.Name.Value)
			add(z.Name.Value, OutsideName)
		}
		for _, t := range z.Touches {
			if t.Name == HouseName {
				add(HouseName, z.Name.Value)
			} else {
				add(z.Name.Value, t.Name)
			}
		}
	}
	for _, p := range s.Paths {
		add(p.Between[0].Name, p.Between[1].Name)
	}
	return pairs
}

// Touch says whether two spaces share a boundary.
func (s *Sheet) Touch(a, b string) bool {
	return slices.ContainsFunc(s.Touching(), func(p [2]string) bool {
		return p == [2]string{a, b} || p == [2]string{b, a}
	})
}
