package pressure

import (
	"cmp"
	"math"

	"holdbook/units"
)

// Direction is which way a door fan drives the house.
type Direction int

// The two directions of a hold.
const (
	Depressurised Direction = iota // house air leaves through the fan
	Pressurised                    // outdoor air enters through the fan
)

// String names the direction.
func (d Direction) String() string {
	if d == Pressurised {
		return "pressurised"
	}
	return "depressurised"
}

// DirectionOf is the direction of a hold from its signed house pressure.
func DirectionOf(house units.Pressure) Direction {
	if house > 0 {
		return Pressurised
	}
	return Depressurised
}

// FanAir picks the density of the air in the fan.
func (d Direction) FanAir(house, outdoor units.Density) units.Density {
	if d == Pressurised {
		return outdoor
	}
	return house
}

// LeakAir picks the density of the air in the leaks: outdoor air in a
// depressurised house, house air in a pressurised one.
func (d Direction) LeakAir(house, outdoor units.Density) units.Density {
	if d == Pressurised {
		return house
	}
	return outdoor
}

// checkDensity refuses what cannot be air.
func checkDensity(name string, rho units.Density) error {
	return needWithin(name, float64(rho), 0.1, 3, "kg/m³")
}

// TrueFlow is the true volume flow of the air in the fan, from the flow
// indicated by a pressure-difference device calibrated for air of density
// calibrated. Not for a flow that the gauge has corrected already. Derived
// from the orifice equation, no separate source.
func TrueFlow(indicated units.Flow, calibrated, inFan units.Density) (Computed[units.Flow], error) {
	err := cmp.Or(needPositive("the indicated flow", float64(indicated)),
		checkDensity("the density the fan is calibrated for", calibrated), checkDensity("the density of the air in the fan", inFan))
	if err != nil {
		return Computed[units.Flow]{}, err
	}
	return compute[units.Flow](float64(indicated)*math.Sqrt(float64(calibrated/inFan)),
		formula("Q = {indicated}·√({ρcal}/{ρfan})", "derived from the orifice equation", asFlow, asFlow),
		term{"indicated", float64(indicated), asFlow}, term{"ρcal", float64(calibrated), asDensity}, term{"ρfan", float64(inFan), asDensity})
}

// Unscaled gives back the flow at the pressure held, from one that the gauge
// showed scaled to another pressure with exponent n. The pressures are taken
// by magnitude; held is what the gauge scaled from. Derived from the power law.
func Unscaled(shown units.Flow, held, scaledTo units.Pressure, n units.Ratio) (Computed[units.Flow], error) {
	p, to := math.Abs(float64(held)), math.Abs(float64(scaledTo))
	err := cmp.Or(needPositive("the flow shown", float64(shown)), needPositive("the pressure held", p),
		needPositive("the pressure the flow was scaled to", to), needExponent(n))
	if err != nil {
		return Computed[units.Flow]{}, err
	}
	return compute[units.Flow](float64(shown)*math.Pow(p/to, float64(n)),
		formula("Q = {shown}·({Δp}/{scaled to})^{n}", "HoF 2021 ch.16 eq 40", asFlow, asFlow),
		term{"shown", float64(shown), asFlow}, term{"Δp", p, asPressure}, term{"scaled to", to, asPressure}, term{"n", float64(n), noUnit})
}

// densityPair checks the two densities that join fan and envelope flow.
func densityPair(q units.Flow, house, outdoor units.Density) error {
	return cmp.Or(needPositive("the flow", float64(q)),
		checkDensity("the density of the house air", house), checkDensity("the density of the outdoor air", outdoor))
}

// EnvelopeFlow is the volume flow through the leaks, in the air that is in
// them, from the true volume flow in the fan: mass is conserved. Source: ATTMA
// TSL1:2010 eq 6 (depressurised) and eq 5 (pressurised).
func EnvelopeFlow(fan units.Flow, d Direction, house, outdoor units.Density) (Computed[units.Flow], error) {
	if err := densityPair(fan, house, outdoor); err != nil {
		return Computed[units.Flow]{}, err
	}
	return compute[units.Flow](float64(fan)*float64(d.FanAir(house, outdoor)/d.LeakAir(house, outdoor)),
		formula("Q = {fan}·{ρfan}/{ρleak}", "ATTMA TSL1:2010 eqs 5 and 6", asFlow, asFlow),
		term{"fan", float64(fan), asFlow}, term{"ρfan", float64(d.FanAir(house, outdoor)), asDensity},
		term{"ρleak", float64(d.LeakAir(house, outdoor)), asDensity})
}

// FanFlow is the true volume flow in the fan that goes with a volume flow
// through the leaks, the inverse of EnvelopeFlow.
func FanFlow(envelope units.Flow, d Direction, house, outdoor units.Density) (Computed[units.Flow], error) {
	if err := densityPair(envelope, house, outdoor); err != nil {
		return Computed[units.Flow]{}, err
	}
	return compute[units.Flow](float64(envelope)*float64(d.LeakAir(house, outdoor)/d.FanAir(house, outdoor)),
		formula("Qfan = {Q}·{ρleak}/{ρfan}", "ATTMA TSL1:2010 eqs 5 and 6", asFlow, asFlow),
		term{"Q", float64(envelope), asFlow}, term{"ρleak", float64(d.LeakAir(house, outdoor)), asDensity},
		term{"ρfan", float64(d.FanAir(house, outdoor)), asDensity})
}
