package sheet

import (
	"slices"

	"holdbook/units"
)

// What the program takes where the sheet says nothing.
const (
	DefaultUnits         = "ip"
	DefaultPressureShare = units.Ratio(0.01)    // [gauge] pressure, two standard deviations
	DefaultPressureError = units.Pressure(0.25) // the same, absolute part
	DefaultFlowError     = units.Ratio(0.05)    // [gauge] flow, two standard deviations
	DefaultRepeat        = units.Ratio(0.01)    // [gauge] repeat, one standard deviation
	DefaultWobble        = units.Pressure(0.4)  // [gauge] wobble, one standard deviation
	DefaultDuctTestSide  = "both"
	DefaultExteriorShare = units.Ratio(1)
	DefaultExponentSD    = units.Ratio(0) // an exponent given alone is taken as known
)

// PrintUnits says how results print: "ip" or "si".
func (j Job) PrintUnits() string {
	if j.Units.Given() {
		return j.Units.Value
	}
	return DefaultUnits
}

// Depressurised says which sign an unsigned house pressure takes: negative
// when true, which is the default.
func (j Job) Depressurised() bool { return j.Hold.Value != "pressurised" }

// PressureError is what the gauge promises: the larger of a fraction of the
// reading and an absolute part, two standard deviations. A part that a given
// tolerance leaves out is zero.
func (g Gauge) PressureError() (units.Ratio, units.Pressure) {
	if g.Pressure.Given {
		return g.Pressure.Relative, g.Pressure.Absolute
	}
	return DefaultPressureShare, DefaultPressureError
}

// FlowError is the fan's calibration error, a fraction, two standard
// deviations.
func (g Gauge) FlowError() units.Ratio { return g.Flow.Or(DefaultFlowError) }

// RepeatError is that of one flow reading against the next, a fraction, one
// standard deviation.
func (g Gauge) RepeatError() units.Ratio { return g.Repeat.Or(DefaultRepeat) }

// WobbleError is the wind left in an averaged pressure reading, one standard
// deviation.
func (g Gauge) WobbleError() units.Pressure { return g.Wobble.Or(DefaultWobble) }

// Indicated says that the fan shows the flow of standard air, so that a true
// flow follows from the density of the air in it. Default: it shows true flow.
func (g Gauge) Indicated() bool { return g.FanAir.Value == "indicated" }

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
func (t DuctTest) TestSide() string {
	if t.Side.Given() {
		return t.Side.Value
	}
	return DefaultDuctTestSide
}

// Finished says whether a hold may be used in the estimate: one without a
// house pressure is unfinished.
func (h Hold) Finished() bool { return h.House.Given }

// AsFound says that nothing was opened, sealed or second-fanned.
func (h Hold) AsFound() bool { return len(h.Opened)+len(h.Sealed)+len(h.Fans) == 0 }

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
