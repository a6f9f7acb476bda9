package sheet

import (
	"slices"
	"strings"
	"time"

	"holdbook/units"
	"holdbook/zonal"
)

// Pos is a place in the file. Both count from 1; columns count characters.
// The zero Pos belongs to values that no file holds.
type Pos struct{ Line, Column int }

// Quantity is a quantity of the sheet: its value in SI, the text it was
// written as, and where. Given is false when the sheet leaves it out.
type Quantity[Q ~float64] struct {
	Value Q
	Text  string
	Pos   Pos
	Given bool
	// Samples are the single values when a list stood in place of one value;
	// Value is then their mean.
	Samples []Q
	Typed   []string // the samples as they were written, where they stand in a list
}

// The quantities of a sheet.
type (
	Pressure    = Quantity[units.Pressure]
	Flow        = Quantity[units.Flow]
	Area        = Quantity[units.Area]
	Length      = Quantity[units.Length]
	Volume      = Quantity[units.Volume]
	Temperature = Quantity[units.Temperature]
	Power       = Quantity[units.Power]
	Rate        = Quantity[units.Rate]
	Number      = Quantity[units.Ratio]
	Insulance   = Quantity[units.ThermalResistance]
	DegreeDays  = Quantity[KelvinDays]
	Speed       = Quantity[MetresPerSecond]
	PPM         = Quantity[PartsPerMillion]
)

// KelvinDays is a sum of degree days in K·d.
type KelvinDays float64

// PartsPerMillion is a concentration by volume, as gauges of carbon monoxide show it.
type PartsPerMillion float64

// MetresPerSecond is a wind speed.
type MetresPerSecond float64

// Value makes a quantity for a sheet built in memory.
func Value[Q ~float64](v Q) Quantity[Q] { return Quantity[Q]{Value: v, Given: true} }

// Written makes a quantity for a sheet built in memory that keeps the text
// the user typed.
func Written[Q ~float64](v Q, text string) Quantity[Q] {
	return Quantity[Q]{Value: v, Text: text, Given: true}
}

// Or returns the value, or def when the sheet leaves it out.
func (q Quantity[Q]) Or(def Q) Q {
	if q.Given {
		return q.Value
	}
	return def
}

// Signed says whether a sign was written: "-50 Pa" and "+50 Pa" are signed,
// "50 Pa" takes its sign from the direction of the hold. A quantity without a
// text is signed when it is negative.
func (q Quantity[Q]) Signed() bool {
	t := strings.TrimSpace(q.Text)
	return q.Value < 0 || strings.HasPrefix(t, "-") || strings.HasPrefix(t, "+") || strings.HasPrefix(t, "−")
}

// Text is a free text or a word of the sheet.
type Text struct {
	Value string
	Pos   Pos
}

// Word makes a text for a sheet built in memory.
func Word(s string) Text { return Text{Value: s} }

// Given says whether the sheet has the text, and not as an empty one.
func (t Text) Given() bool { return t.Value != "" }

// Flag is true or false, or left out.
type Flag struct {
	Value, Given bool
	Pos          Pos
}

// Or returns the flag, or def when the sheet leaves it out.
func (f Flag) Or(def bool) bool {
	if f.Given {
		return f.Value
	}
	return def
}

// When is a local date, a local time or both, as TOML writes them.
type When struct {
	Text string // such as "2026-03-14", "10:42:00" or "2026-03-14T10:42:00"
	// Time is the same on the calendar; a time alone stands on 1 January of
	// year 1, and everything is in UTC because a sheet has no time zone.
	Time time.Time
	Pos  Pos
}

// Given says whether the sheet has it.
func (w When) Given() bool { return w.Text != "" }

// The spaces that always exist, by their canonical names.
const (
	HouseName   = "house"
	OutsideName = "outside"
)

// SpaceRef names a space: "house", "outside" or a zone.
type SpaceRef struct {
	// Name is the canonical name: HouseName, OutsideName or the zone's name
	// exactly as its Zone has it, so that names compare with ==.
	Name string
	Text string // as written here
	Pos  Pos
}

// Ref makes a reference for a sheet built in memory.
func Ref(name string) SpaceRef { return SpaceRef{Name: name, Text: name} }

// Given says whether the sheet has it.
func (r SpaceRef) Given() bool { return r.Name != "" || r.Text != "" }

// Pair is the two ends of a path.
type Pair [2]SpaceRef

// Between makes a pair for a sheet built in memory.
func Between(a, b string) Pair { return Pair{Ref(a), Ref(b)} }

// Same says whether two pairs join the same spaces, either way round.
func (p Pair) Same(a, b string) bool {
	return p[0].Name == a && p[1].Name == b || p[0].Name == b && p[1].Name == a
}

// Has says whether a space is one of the two.
func (p Pair) Has(name string) bool { return p[0].Name == name || p[1].Name == name }

// Kind is the kind of a zone: one of zonal.Kinds.
type Kind = zonal.Kind

// The kinds of zone that some rule of the sheet or of the findings names.
const (
	Attic      = zonal.Attic
	Garage     = zonal.Garage
	Crawlspace = zonal.Crawlspace
	Basement   = zonal.Basement
	Kneewall   = zonal.Kneewall
	Porch      = zonal.Porch
	Neighbour  = zonal.Neighbour
	RoomKind   = zonal.Room
	DuctsKind  = zonal.Ducts
	Other      = zonal.Other
)

// KindOf is the kind that a name ends in, such as garage for "side garage", and
// Other for any other name.
func KindOf(name string) Kind {
	words := strings.Fields(fold(name))
	if n := len(words); n > 0 && slices.Contains(KindWords(), words[n-1]) {
		return Kind(words[n-1])
	}
	return Other
}

// Tolerance is what a gauge promises of a pressure: the larger of a fraction
// of the reading and an absolute part, read as two standard deviations.
type Tolerance struct {
	Relative units.Ratio
	Absolute units.Pressure
	Text     string
	Pos      Pos
	Given    bool
}

// Leaf is the size of a hatch or door.
type Leaf struct {
	HingeSide, Width units.Length
	Text             string
	Pos              Pos
	Given            bool
}

// Price is what a unit of delivered fuel energy costs.
type Price struct {
	PerJoule float64
	Currency string // as written, may be empty
	Text     string
	Pos      Pos
	Given    bool
}

// AmountKind says what an Amount measures.
type AmountKind string

// The kinds of amount a limit may be stated in.
const (
	PressureAmount    AmountKind = "pressure"      // Pa
	FlowAmount        AmountKind = "flow"          // m3/s
	RateAmount        AmountKind = "air changes"   // 1/s
	ShareAmount       AmountKind = "share"         // a fraction
	FlowPerAreaAmount AmountKind = "flow per area" // m/s
	AreaAmount        AmountKind = "area"          // m2
)

// Amount is a limit's number, in SI.
type Amount struct {
	Kind  AmountKind
	Value float64
	Text  string
	Pos   Pos
	Given bool
}
