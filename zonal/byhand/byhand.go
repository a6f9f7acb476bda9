package byhand

import (
	"errors"
	"math"

	"holdbook/pressure"
	"holdbook/units"
)

// What a method can object to. Every error it returns is a *pressure.Fault of one of
// these kinds.
var (
	// ErrReading: a reading is missing, impossible or contradicts another.
	ErrReading = errors.New("reading cannot be used")
	// ErrTooSmall: the change is too small to carry an answer.
	ErrTooSmall = errors.New("change too small")
	// ErrNotResolved: the 90 % interval is open at one end or at both.
	ErrNotResolved = errors.New("not resolved")
)

// fault is what a method objects to, about a state or reading of its own.
func fault(kind error, method, about, what, do string) error {
	if about != "" {
		method += ", " + about
	}
	return &pressure.Fault{Reading: method, What: what, Do: do, Kind: kind}
}

// refusal is what a method says of the readings of one state that cannot be used.
func refusal(method, about string) func(what, do string) error {
	return func(what, do string) error { return fault(ErrReading, method, about, what, do) }
}

// Side is one of the two sides of a zone.
type Side int

// The sides a zone can be opened to, or near to.
const (
	NoSide Side = iota
	HouseSide
	OutsideSide
)

// String names the side.
func (s Side) String() string {
	switch s {
	case HouseSide:
		return "house"
	case OutsideSide:
		return "outside"
	}
	return "neither side"
}

func (s Side) other() Side { return HouseSide + OutsideSide - s }

// State is what was read in one hold with regard to one zone. Pressures
// carry the sign of a gauge: negative house pressure when depressurised.
type State struct {
	Name  string
	House units.Measured[units.Pressure] // house with reference to outside
	// ZoneToHouse and ZoneToOutside are the zone with reference to each; one
	// is enough, and where both are read they are reconciled with House.
	ZoneToHouse, ZoneToOutside *units.Measured[units.Pressure]
	// FullyOpen states that the zone stands so wide open to that side that it
	// has its pressure; no zone reading is needed then.
	FullyOpen Side
	// Fan is the flow of the fan that holds the house.
	Fan *units.Measured[units.Flow]
}

// Errors is the error model that the hand methods propagate, and the units
// in which they write out their working.
type Errors struct {
	// Exponents of the house–zone, zone–outside and house–outside leaks, kept
	// in 0.5 to 1. They are drawn independently of one another.
	HouseZone, ZoneOutside, Direct units.Measured[units.Ratio]
	// FanSDLn is the calibration error that all readings of one fan share.
	FanSDLn float64
	// Cd is the discharge coefficient of a sharp-edged hole.
	Cd units.Measured[units.Ratio]
	// Air is the density of the air in the hole.
	Air units.Density
	// Draws is the number of repeats of the simulation, 2000 if zero.
	Draws int
	// Units is the system the reader's numbers are written in.
	Units units.System
}

// DefaultErrors returns the error model in force where a sheet says
// nothing: exponents 0.65 ± 0.06, fan calibration 5 % at two standard
// deviations, holes with a discharge coefficient of 0.60 ± 0.03, air of
// 1.2041 kg/m³ (20 °C, dry, 101.325 kPa).
func DefaultErrors() Errors {
	crack := units.Measured[units.Ratio]{Value: pressure.DefaultExponent, SD: pressure.DefaultExponentSD}
	return Errors{
		HouseZone: crack, ZoneOutside: crack, Direct: crack, FanSDLn: float64(pressure.DefaultGauge().Calibration) / 2,
		Cd: units.Measured[units.Ratio]{Value: pressure.SharpCd, SD: pressure.SharpCdSD}, Air: pressure.StandardDensity,
	}
}

// Bound says which ends of an interval the readings fix.
type Bound int

// An answer lies between Low and High, is at least Low, at most High, or open.
const (
	Between Bound = iota
	AtLeast
	AtMost
	Open
)

// Answer is one quantity by a hand method. Value is the closed form at the
// numbers read, so that it is what the working shows; Low to High is the 90 %
// interval of the whole error model. Only the ends that Bound names carry a
// number. Resolved is false where an end is open or High is above six times
// Low.
type Answer[Q ~float64] struct {
	units.Estimate[Q]
	Bound    Bound
	Resolved bool
}

// Result is what an absolute method says of one zone: three leaks as their
// flow with 50 Pa across each alone, the flow that comes through the zone with
// the house at 50 Pa as found, and the ratio of the zone's two leaks.
type Result struct {
	Method                 string
	HouseZone, ZoneOutside Answer[units.Flow]
	// Through and Ratio are nil where the method does not need the as-found
	// state; Direct is nil without a fan reading.
	Through, Direct *Answer[units.Flow]
	Ratio           *Answer[units.Ratio]
	// Exponent of the house–zone leak, where the method finds it.
	Exponent *Answer[units.Ratio]
	Notes    []string
	Working  []pressure.Worked
}

// Limits that are judgement, computed from the error model and not published.
const (
	refuseChange = 3.0 // Pa at a 50 Pa hold
	warnChange   = 5.0 // Pa, calm air; 8 to 10 Pa in gusts
	nearEnd      = 2.0 // Pa
	closureWarn  = 1.5 // Pa
	closureStop  = 5.0 // Pa
	smallestHold = 5.0 // Pa
	leastPush    = 3.0 // Pa left across the smaller side after a hole
)

// share is f(x) = (x/50 Pa)^n with the sign of x, straight below 0.01 Pa.
func share(x, n float64) float64 {
	return pressure.FlowRatio(units.Pressure(x), pressure.ReferencePressure, units.Ratio(n))
}

// ScaledFlow turns a fan flow at one hold into that at 50 Pa,
// Q·(50/P)^n: exact when all exponents are n.
func ScaledFlow(q units.Flow, held units.Pressure, n float64) units.Flow {
	return q / units.Flow(math.Abs(share(float64(held), n)))
}

// ScaledPressure turns a zone pressure at one hold into that at 50 Pa: exact
// when all exponents are equal.
func ScaledPressure(p, held units.Pressure) units.Pressure {
	return p * pressure.ReferencePressure / units.Pressure(math.Abs(float64(held)))
}

// direction is -1 when the house is depressurised and +1 when pressurised.
func (s State) direction() float64 { return math.Copysign(1, float64(s.House.Value)) }

// moment is a state in positive magnitudes: house to outside, house to zone,
// zone to outside (P = p + z), fan flow.
type moment struct{ P, p, z, Q float64 }

// moment draws the state's readings with their errors, or takes them as they
// stand. Where both zone pressures were read, the amount by which p + z misses
// P is shared out in proportion to the three variances.
func (s State) moment(d *draw) moment {
	dir := s.direction()
	m := moment{P: dir * d.pressure(s.House)}
	if s.Fan != nil {
		m.Q = d.flow(*s.Fan)
	}
	switch {
	case s.FullyOpen == HouseSide:
		m.z = m.P
	case s.FullyOpen == OutsideSide:
		m.p = m.P
	case s.ZoneToOutside == nil:
		m.p = -dir * d.pressure(*s.ZoneToHouse)
		m.z = m.P - m.p
	case s.ZoneToHouse == nil:
		m.z = dir * d.pressure(*s.ZoneToOutside)
		m.p = m.P - m.z
	default:
		m.p = -dir * d.pressure(*s.ZoneToHouse)
		m.z = dir * d.pressure(*s.ZoneToOutside)
		m.reconcile(s)
	}
	return m
}

func (m *moment) reconcile(s State) {
	vP, vp, vz := sq(s.House.SD), sq(s.ZoneToHouse.SD), sq(s.ZoneToOutside.SD)
	sum := vP + vp + vz
	if sum == 0 {
		vp, vz, sum = 1, 1, 2
	}
	miss := m.p + m.z - m.P
	m.P += miss * vP / sum
	m.p -= miss * vp / sum
	m.z -= miss * vz / sum
}

func sq(p units.Pressure) float64 { return float64(p) * float64(p) }

// at50 returns the state scaled to a hold of 50 Pa, n being the exponent of the
// house as a whole.
func (m moment) at50(n float64) moment {
	k := pressure.ReferencePressure / m.P
	return moment{P: pressure.ReferencePressure, p: m.p * k, z: m.z * k, Q: m.Q * math.Pow(k, n)}
}
