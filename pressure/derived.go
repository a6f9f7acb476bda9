package pressure

import (
	"cmp"
	"math"

	"holdbook/units"
)

// AirChanges is the air change rate of a house of volume v passing q; at 50 Pa
// this is the figure of codes and standards. The Rate is per second, printed
// per hour. Source: TightVent FAQ; E1827 scope.
func AirChanges(q units.Flow, v units.Volume) (Computed[units.Rate], error) {
	if err := cmp.Or(needPositive("the flow", float64(q)), needPositive("the house volume", float64(v))); err != nil {
		return Computed[units.Rate]{}, err
	}
	return compute[units.Rate](float64(q)/float64(v),
		formula("air changes = {Q}/{V}", "EN 13829, ISO 9972 (n50); TightVent FAQ", asRate, asRate).orIP("air changes = 60·{Q}/{V}"),
		term{"Q", float64(q), asFlow}, term{"V", float64(v), asVolume})
}

// QueryAirChanges asks whether an air change rate at 50 Pa is believable;
// outside 0.1 to 50 per hour a slip of units is likelier (judgement).
func QueryAirChanges(at50 units.Rate) *Fault {
	perHour := float64(at50) * 3600
	if perHour >= 0.1 && perHour <= 50 {
		return nil
	}
	return &Fault{
		What: "the house changes its air " + plain(perHour) + " times an hour at 50 Pa",
		Why:  "houses lie between 0.1 and 50",
		Do:   "check the volume, the flow and their units",
	}
}

// FlowPerArea is a flow for each area of floor or envelope. Source: TightVent
// FAQ (qF50, qE50).
func FlowPerArea(q units.Flow, a units.Area) (Computed[units.SpecificFlow], error) {
	if err := cmp.Or(needPositive("the flow", float64(q)), needPositive("the floor or envelope area", float64(a))); err != nil {
		return Computed[units.SpecificFlow]{}, err
	}
	return compute[units.SpecificFlow](float64(q)/float64(a),
		formula("q = {Q}/{A}", "TightVent FAQ", asSpecificFlow, asSpecificFlow),
		term{"Q", float64(q), asFlow}, term{"A", float64(a), asFloorArea})
}

// SpecificLeakageArea is the leak area at 4 Pa over the floor area, no unit.
// Source: HoF 2021 ch.16.
func SpecificLeakageArea(leak4, floor units.Area) (Computed[units.Ratio], error) {
	if err := cmp.Or(needPositive("the leak area", float64(leak4)), needPositive("the floor area", float64(floor))); err != nil {
		return Computed[units.Ratio]{}, err
	}
	return compute[units.Ratio](float64(leak4/floor),
		formula("SLA = {A}/{floor}", "HoF 2021 ch.16", noUnit, noUnit),
		term{"A", float64(leak4), asSquare}, term{"floor", float64(floor), asSquare})
}

// Speed is a wind speed in metres per second.
type Speed float64

// StackPressure is the pressure difference across the envelope at a height
// below the neutral level (negative above it), from the densities of outdoor
// and house air: positive drives air inwards when it is colder outside.
// Source: HoF 2021 ch.16 eq 24.
func StackPressure(outdoor, house units.Density, belowNeutral units.Length) (Computed[units.Pressure], error) {
	err := cmp.Or(checkDensity("the density of the outdoor air", outdoor), checkDensity("the density of the house air", house),
		needWithin("the height below the neutral level", float64(belowNeutral), -1000, 1000, "m"))
	if err != nil {
		return Computed[units.Pressure]{}, err
	}
	return compute[units.Pressure](float64(outdoor-house)*units.Gravity*float64(belowNeutral),
		formula("Δp = ({ρout} - {ρin})·9.80665·{height}", "HoF 2021 ch.16 eq 24", asPressure, asPressure),
		term{"ρout", float64(outdoor), asDensity}, term{"ρin", float64(house), asDensity}, term{"height", float64(belowNeutral), asMetre})
}

// WindPressure is the pressure of wind of speed u on a face with pressure
// coefficient cp: about +0.6 windward, -0.3 lee, -0.65 sides. Source: HoF 2021
// ch.16 eqs 25 and 26.
func WindPressure(cp units.Ratio, rho units.Density, u Speed) (Computed[units.Pressure], error) {
	err := cmp.Or(needWithin("the pressure coefficient", float64(cp), -3, 3, ""),
		checkDensity("the air density", rho), checkWind(u))
	if err != nil {
		return Computed[units.Pressure]{}, err
	}
	return compute[units.Pressure](float64(cp)*float64(rho)*math.Pow(float64(u), 2)/2,
		formula("p = {Cp}·{ρ}·{U}²/2", "HoF 2021 ch.16 eqs 25 and 26", asPressure, asPressure),
		term{"Cp", float64(cp), noUnit}, term{"ρ", float64(rho), asDensity}, term{"U", float64(u), asSpeed})
}

// checkWind refuses wind speeds that point to a wrong unit.
func checkWind(u Speed) error {
	return needWithin("the wind speed", float64(u), 0, 60, "m/s")
}
