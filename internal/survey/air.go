package survey

import (
	"cmp"
	"fmt"

	"holdbook/internal/sheet"
	"holdbook/pressure"
	"holdbook/units"
)

// knownAir is the air of one side of the envelope, with its density.
type knownAir struct {
	pressure.Air
	density units.Density
}

// AirPair is the air indoors and outdoors; both are zero where the sheet does not give both.
type AirPair struct {
	house, outdoor knownAir
	Known          bool
}

// barometer is the air pressure at the altitude of the house, whose bounds in the sheet
// lie within those of the formula.
func (c *Case) barometer() units.Pressure {
	if p, err := pressure.BarometerAt(c.Sheet.House.Altitude.Or(0)); err == nil {
		return p.Value
	}
	return pressure.StandardBarometer
}

// airAt is the air at the altitude of the house, at some temperature.
func (c *Case) airAt(t units.Temperature) (knownAir, error) {
	a := pressure.Air{Temperature: t, Barometer: c.barometer()}
	rho, err := a.Density()
	return knownAir{a, rho.Value}, err
}

// airOf is the air of a hold: its own temperatures or the house's.
func airOf(c *Case, log *Log, h *sheet.Hold) AirPair {
	indoor, in := firstGiven(h.Indoor, c.Sheet.House.Indoor)
	outdoor, out := firstGiven(h.Outdoor, c.Sheet.House.Outdoor)
	if !in || !out {
		return AirPair{}
	}
	house, errIn := c.airAt(indoor)
	outside, errOut := c.airAt(outdoor)
	if err := cmp.Or(named("indoors", errIn), named("outdoors", errOut)); err != nil {
		log.Notice(Warning, "", "%s; fan flows are taken without a density correction", err)
		return AirPair{}
	}
	return AirPair{house, outside, true}
}

// named puts before an error which air it speaks of.
func named(side string, err error) error {
	if err == nil {
		return nil
	}
	return fmt.Errorf("%s, %w", side, err)
}

// standardAir is standard air, thinned to the altitude of the house.
func (c *Case) standardAir() knownAir {
	b := c.barometer()
	return knownAir{pressure.Air{Temperature: pressure.StandardTemperature, Barometer: b}, pressure.StandardDensity * units.Density(b/pressure.StandardBarometer)}
}

// leakAir is the air in the leaks: outdoor air in a house that is held below outdoors,
// house air in one held above; standard air where no temperatures are given.
func (c *Case) leakAir() knownAir {
	if !c.Outdoor.Known {
		return c.standardAir()
	}
	return c.Outdoor.leaking(c.Below())
}

// leaking is the air in the leaks of a house that is held below outdoors, or above.
func (p AirPair) leaking(below bool) knownAir {
	if below {
		return p.outdoor
	}
	return p.house
}

// houseAir is the density of the air in the rooms and in the air handler, which
// that of the leaks differs from by the temperature outdoors; of standard air where
// no indoor temperature is given.
func (c *Case) houseAir() units.Density {
	if t, given := firstGiven(c.Sheet.House.Indoor, c.climate().Indoor); given {
		if a, err := c.airAt(t); err == nil {
			return a.density
		}
	}
	return c.standardAir().density
}

// firstGiven is the first temperature that the sheet gives.
func firstGiven(list ...sheet.Temperature) (units.Temperature, bool) {
	for _, t := range list {
		if t.Given {
			return t.Value, true
		}
	}
	return 0, false
}
