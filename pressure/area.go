package pressure

import (
	"cmp"
	"math"

	"holdbook/units"
)

// AreaReference is what a leak area is stated for. An area without its
// pressure and coefficient means nothing: the two usual ones differ by a
// factor of nearly two.
type AreaReference struct {
	Pressure units.Pressure
	Cd       units.Ratio // discharge coefficient
}

// The two usual leak areas. Source: HoF 2021 ch.16.
var (
	At4Pa  = AreaReference{Pressure: 4, Cd: 1}      // effective leakage area
	At10Pa = AreaReference{Pressure: 10, Cd: 0.611} // equivalent leakage area
)

// check refuses a reference that gives no area.
func (r AreaReference) check() error {
	return cmp.Or(needPositive("the reference pressure of the area", float64(r.Pressure)), checkCd(r.Cd))
}

// checkCd refuses discharge coefficients no opening has.
func checkCd(cd units.Ratio) error {
	return needWithin("the discharge coefficient", float64(cd), 0.1, 1, "")
}

// Area is the area that passes q at the reference for air of density rho, the orifice
// equation solved for it: (Q/Cd)·√(ρ/(2·Δp)). It checks nothing; AreaOfFlow checks and
// can show its working. Source: HoF 2021 ch.16 eq 41.
func (r AreaReference) Area(q units.Flow, rho units.Density) units.Area {
	return units.Area(float64(q) / float64(r.Cd) * math.Sqrt(float64(rho)/(2*float64(r.Pressure))))
}

// Area is the leak area of a leak for air of density rho. It checks nothing
// and allocates nothing: for use on many samples; LeakArea checks and can show
// its working.
func (l Leak) Area(r AreaReference, rho units.Density) units.Area {
	return r.Area(l.Flow(r.Pressure), rho)
}

// AreaOfFlow is the leak area of a flow q at the area's own reference
// pressure, for air of density rho. Source: HoF 2021 ch.16 eq 41.
func AreaOfFlow(q units.Flow, r AreaReference, rho units.Density) (Computed[units.Area], error) {
	err := cmp.Or(needPositive("the flow at the reference pressure", float64(q)), r.check(), checkDensity("the air density", rho))
	if err != nil {
		return Computed[units.Area]{}, err
	}
	return compute[units.Area](float64(r.Area(q, rho)),
		formula("A = ({Q}/{Cd})·√({ρ}/(2·{Δp}))", "HoF 2021 ch.16 eq 41", asSquare, asArea),
		term{"Q", float64(q), asCubicMetre}, term{"Cd", float64(r.Cd), noUnit},
		term{"ρ", float64(rho), asDensity}, term{"Δp", float64(r.Pressure), asPascal})
}

// LeakArea is the leak area of a leak for air of density rho: AreaOfFlow of its
// flow at the reference pressure. Source: HoF 2021 ch.16 eqs 41 and 44.
func LeakArea(l Leak, r AreaReference, rho units.Density) (Computed[units.Area], error) {
	if err := cmp.Or(l.check(), r.check()); err != nil {
		return Computed[units.Area]{}, err
	}
	return AreaOfFlow(l.Flow(r.Pressure), r, rho)
}

// LeakOfArea is the leak with exponent n that has a leak area a for air of
// density rho, the inverse of LeakArea. Source: HoF 2021 ch.16 eq 45.
func LeakOfArea(a units.Area, r AreaReference, n units.Ratio, rho units.Density) (Leak, error) {
	q, err := HoleFlow(a, r.Cd, r.Pressure, rho)
	if err != nil {
		return Leak{}, err
	}
	return NewLeak(q.Value, r.Pressure, n)
}

// ConvertArea restates a leak area for another pressure and coefficient; the
// air density drops out. Source: HoF 2021 ch.16 eq 42.
func ConvertArea(a units.Area, from, to AreaReference, n units.Ratio) (Computed[units.Area], error) {
	if err := cmp.Or(needPositive("the leak area", float64(a)), from.check(), to.check(), needExponent(n)); err != nil {
		return Computed[units.Area]{}, err
	}
	return compute[units.Area](float64(a*units.Area(from.Cd/to.Cd))*math.Pow(float64(to.Pressure/from.Pressure), float64(n)-0.5),
		formula("A2 = {A1}·({Cd1}/{Cd2})·({p2}/{p1})^({n} - 0.5)", "HoF 2021 ch.16 eq 42", asArea, asArea),
		term{"A1", float64(a), asArea}, term{"Cd1", float64(from.Cd), noUnit}, term{"Cd2", float64(to.Cd), noUnit},
		term{"p2", float64(to.Pressure), asPascal}, term{"p1", float64(from.Pressure), asPascal}, term{"n", float64(n), noUnit})
}

// HoleFlow is the flow through a known hole of area a at a pressure difference
// dp (Pa, either sign; the flow is a magnitude), for air of density rho.
// Source: HoF 2021 ch.16 eq 36.
func HoleFlow(a units.Area, cd units.Ratio, dp units.Pressure, rho units.Density) (Computed[units.Flow], error) {
	p := math.Abs(float64(dp))
	err := cmp.Or(needPositive("the area of the hole", float64(a)), checkCd(cd),
		needPositive("the pressure across the hole", p), checkDensity("the air density", rho))
	if err != nil {
		return Computed[units.Flow]{}, err
	}
	return compute[units.Flow](float64(cd)*float64(a)*math.Sqrt(2*p/float64(rho)),
		formula("Q = {Cd}·{A}·√(2·{Δp}/{ρ})", "HoF 2021 ch.16 eq 36", asCubicMetre, asFlow),
		term{"Cd", float64(cd), noUnit}, term{"A", float64(a), asSquare},
		term{"Δp", p, asPascal}, term{"ρ", float64(rho), asDensity})
}

// HoleArea is the area of the hole that passes q at dp, the inverse of
// HoleFlow; the sign of dp does not matter.
func HoleArea(q units.Flow, cd units.Ratio, dp units.Pressure, rho units.Density) (Computed[units.Area], error) {
	return AreaOfFlow(q, AreaReference{Pressure: units.Pressure(math.Abs(float64(dp))), Cd: cd}, rho)
}

// Hole is a sharp-edged hole of known area.
type Hole struct {
	Area   units.Area
	AreaSD units.Ratio // relative standard deviation of the area
	Cd     units.Ratio
	CdSD   units.Ratio // standard deviation of Cd, in the units of Cd
}

// SharpCd is the discharge coefficient of a sharp-edged opening, SharpCdSD its standard
// deviation. Source: HoF 2021 ch.16, "about 0.6"; the spread is judgement.
const (
	SharpCd   units.Ratio = 0.60
	SharpCdSD units.Ratio = 0.03
)

// SharpExponent is the exponent of any deliberate opening (an orifice). Source: HoF 2021
// ch.16 eq 36.
const SharpExponent = 0.5

// SharpHole is a hole measured with a tape and cut square: its area as given
// within 3 % (one standard deviation, judgement), with SharpCd.
func SharpHole(a units.Area) Hole {
	return Hole{Area: a, AreaSD: 0.03, Cd: SharpCd, CdSD: SharpCdSD}
}

// Flow is the hole's flow at a pressure difference known to within dpSD (one
// standard deviation, Pa), with its 90 % interval.
func (h Hole) Flow(dp, dpSD units.Pressure, rho units.Density) (units.Estimate[units.Flow], error) {
	q, err := HoleFlow(h.Area, h.Cd, dp, rho)
	if err != nil {
		return units.Estimate[units.Flow]{}, err
	}
	sd := quadrature(float64(h.AreaSD), float64(h.CdSD/h.Cd), 0.5*float64(dpSD)/math.Abs(float64(dp)))
	return LogEstimate(q.Value, sd)
}
