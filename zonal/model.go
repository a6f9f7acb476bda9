package zonal

import (
	"fmt"

	"holdbook/units"
)

// SpaceID numbers the spaces of a Model. House and Outside always exist.
type SpaceID int

// The two spaces every model has.
const (
	House SpaceID = iota
	Outside
)

// Normal is a normal distribution. SD 0 means the mean is known exactly.
type Normal struct{ Mean, SD float64 }

// LogNormal is a log-normal distribution of a flow, given by its median and
// the standard deviation of its natural logarithm. SDLn 0 means known.
type LogNormal struct {
	Median units.Flow
	SDLn   float64
}

// Space is the house, outside, or a zone.
type Space struct {
	Name   string
	Kind   Kind // of a leak added by Join the priors hang on it; nothing else does
	Vented bool // has vents to outside: the exponent of its leak there hangs on it
	// Crossing is the height (m) at which the hose of the gauge crosses from this space
	// to the house; of the house, at which it crosses to outdoors. It and what follows
	// matter in weather alone; see Stand.
	Crossing float64
	// Warmth is how much of the stack of the house the air here has: 1 where it is as
	// warm as the house, 0 where as cold as outdoors. Stack (Pa/m), where it is given,
	// stands instead: (ρ outdoors − ρ here)·g.
	Warmth float64
	Stack  *float64
}

// spaceName is what errors call a space.
func (m *Model) spaceName(s SpaceID) string {
	switch {
	case s == House:
		return "house"
	case s == Outside:
		return "outside"
	case m.Spaces[s].Name != "":
		return m.Spaces[s].Name
	}
	return fmt.Sprintf("space %d", s)
}

// Path is a leak between two spaces, Q = Flow50·(Δp/50 Pa)^n.
type Path struct {
	A, B     SpaceID
	Flow50   LogNormal // prior of the flow at 50 Pa across this leak alone
	Exponent Normal    // prior, kept in 0.5 to 1
	// Covered marks a path that stands in for a sealed one (covered registers
	// leak a little): it exists only in the holds that list it in Covered.
	Covered bool
	// Height (m) is that of the leak above the lowest floor, and HeightSD its standard
	// deviation. They matter in weather alone; see Stand.
	Height, HeightSD float64
}

// Opening is something opened for a hold. With Area zero its size is unknown and Flow50
// is its prior; otherwise it is a sharp-edged hole of that area, of exponent 0.5, and
// Flow50 and Exponent are ignored.
type Opening struct {
	Name   string
	A, B   SpaceID
	Flow50 LogNormal
	// Exponent is the prior of its exponent, which is kept in 0.5 to 0.65; 0 is 0.5.
	Exponent Normal
	// Second is the prior of what opening it opens besides, from the inner of its ends to
	// outdoors, as a share of its own size: a chase behind a hatch. A median of 0 is none.
	Second LogNormal
	Area   units.Area
	// Cd is the discharge coefficient of a hole of known area; 0 means the
	// model's common one, 0.60 ± 0.03.
	Cd float64
	// AreaSDLn is the relative standard deviation of Area.
	AreaSDLn float64
}

// Alike are two paths that are one leak on two visits, and so have one exponent.
type Alike struct {
	First, Second int // indices into Model.Paths, the lower first
	// SDLn is the standard deviation of the logarithm of the size of the second over that
	// of the first, in place of its own prior; 0 where it has that.
	SDLn float64
}

// Calibration is an error that several flow readings have in common: of the
// fan as a whole, or of one of its flow ranges.
type Calibration struct {
	Name string
	SDLn float64
}

// FlowReading is a volume flow as corrected to the air in the leaks, with the
// standard deviation of its logarithm that is its own and the calibrations it
// shares with others (indices into Model.Calibrations).
type FlowReading struct {
	Flow units.Flow
	SDLn float64
	Cal  []int
	// PerStack is the derivative of the logarithm of the flow that the instrument shows
	// with respect to the stack of the house (m/Pa), where temperatures that would have
	// corrected it are not known.
	PerStack float64
}

// PressureReading is a pressure of one space with reference to another, with
// its own baseline already subtracted and its sign as a gauge shows it.
type PressureReading struct {
	Of, To   SpaceID
	Pressure units.Pressure
	SD       units.Pressure
	// LessRest marks a reading from which the gauge has taken what it showed at rest.
	LessRest bool
}

// PathFlow is a flow measured between two spaces, positive from Of to To. It
// passes through the hold's opening between the two if there is one, else
// through the whole path.
type PathFlow struct {
	Of, To SpaceID
	FlowReading
}

// FanSource is a further fan, moving air from one space to another.
type FanSource struct {
	From, To SpaceID
	FlowReading
}

// Hold is one steady state of the house with what was read in it.
type Hold struct {
	Name    string
	House   units.Pressure // house to outside, baseline subtracted, signed: negative when depressurised
	HouseSD units.Pressure
	Fan     *FlowReading // door-fan flow, a magnitude; nil when not read
	Opened  []int        // indices into Model.Openings
	Sealed  []int        // indices into Model.Paths: not there in this hold
	Covered []int        // indices into Model.Paths, of Covered paths that exist in this hold
	Fans    []FanSource
	Read    []PressureReading
	Flows   []PathFlow
	// Rest marks a state without the door fan: the house floats as its zones do, and its
	// pressure stands in Read where it was read. House, HouseSD and Fan are left empty.
	Rest bool
	// Visit is the visit that it was made on: 0 is in Model.Weather, k in Model.Later[k−1].
	Visit int
	// LessRest marks a house pressure from which the gauge has taken what it showed at
	// rest.
	LessRest bool
}

// Model is a house as a network of leaks and the readings taken in it.
type Model struct {
	Spaces       []Space // Spaces[House] and Spaces[Outside] first, then the zones
	Paths        []Path
	Openings     []Opening
	Calibrations []Calibration
	Holds        []Hold
	Alike        []Alike // leaks before and after something else was sealed
	// OneWaySDLn is the standard deviation of the logarithm of what the leak between house and
	// outside passes held above outdoors over what it passes held below; 0: the two are one.
	OneWaySDLn float64
	// CdSDLn is the relative standard deviation of the common discharge
	// coefficient of known holes (0.05 by default).
	CdSDLn float64
	// Air is the density of the air in the leaks, for areas and known holes.
	Air units.Density
	// Weather moves the pressures across leaks off those that a gauge shows; nil for none.
	Weather *Weather
	Later   []Visit
}
