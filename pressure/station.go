package pressure

import (
	"cmp"
	"math"

	"holdbook/units"
)

// The exponent assumed where it was not measured: mean and standard deviation
// over houses. Mean: HoF 2021 ch.16, typical value; spread from memory.
const (
	DefaultExponent   units.Ratio = 0.65
	DefaultExponentSD units.Ratio = 0.06
)

// Station is one hold as a test of the whole house: what the fan had to move
// to hold one pressure.
type Station struct {
	Name       string         // of the hold, for messages
	Pressure   units.Pressure // house to outside, baseline subtracted; the sign does not matter
	PressureSD units.Pressure // standard deviation of Pressure
	Flow       units.Flow     // envelope flow
	Repeat     units.Ratio    // sd of ln Flow that is this reading's own
	Range      string         // flow range in use, any label; one label is one calibration error
}

// dp is the magnitude of the pressure.
func (s Station) dp() float64 { return math.Abs(float64(s.Pressure)) }

// label names the station in messages.
func (s Station) label() string {
	if s.Name == "" {
		return "the hold"
	}
	return "hold " + s.Name
}

// check refuses a station that carries no information.
func (s Station) check() error {
	err := cmp.Or(
		needFinite("the house pressure of "+s.label(), float64(s.Pressure)),
		needPositive("the flow of "+s.label(), float64(s.Flow)),
		needWithin("the standard deviation of the house pressure of "+s.label(), float64(s.PressureSD), 0, 1e3, "Pa"),
		needWithin("the repeat error of the flow of "+s.label(), float64(s.Repeat), 0, 1, ""),
	)
	if err != nil {
		return err
	}
	if s.dp() == 0 || s.dp() < 3*float64(s.PressureSD) {
		return &Fault{
			What: "the house pressure of " + s.label() + " is " + plain(s.dp()) + " Pa after the baseline",
			Why:  "that cannot be told from the error of the gauge and the wind",
			Do:   "hold the house at a higher pressure, or check the baseline",
		}
	}
	return nil
}

// ownVariance is the variance of ln Q at the station's nominal pressure, for a
// leak of exponent n, without calibration errors.
func (s Station) ownVariance(n float64) float64 {
	return math.Pow(float64(s.Repeat), 2) + math.Pow(n*float64(s.PressureSD)/s.dp(), 2)
}

// Curve is a leakage curve known to within an interval: from one, two or
// several stations.
type Curve interface {
	// FlowAt is the flow at a pressure above zero, with its interval.
	FlowAt(units.Pressure) (units.Estimate[units.Flow], error)
}

// AreaOf is the leak area of a curve for air of density rho, with the interval
// of its flow at the area's reference pressure.
func AreaOf(c Curve, r AreaReference, rho units.Density) (units.Estimate[units.Area], error) {
	if err := r.check(); err != nil {
		return units.Estimate[units.Area]{}, err
	}
	q, err := c.FlowAt(r.Pressure)
	if err != nil {
		return units.Estimate[units.Area]{}, err
	}
	return Propagate(q, func(q units.Flow) (Computed[units.Area], error) { return AreaOfFlow(q, r, rho) })
}

// AirChangesAt is the air change rate of a curve at a pressure, for a house of
// volume v taken as exact.
func AirChangesAt(c Curve, p units.Pressure, v units.Volume) (units.Estimate[units.Rate], error) {
	q, err := c.FlowAt(p)
	if err != nil {
		return units.Estimate[units.Rate]{}, err
	}
	return Propagate(q, func(q units.Flow) (Computed[units.Rate], error) { return AirChanges(q, v) })
}
