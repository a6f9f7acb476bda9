package survey

import (
	"holdbook/internal/sheet"
	"holdbook/pressure"
	"holdbook/units"
	"holdbook/zonal"
)

// layFan brings the door-fan flow to what passes the envelope.
func layFan(c *Case, log *Log, m *zonal.Hold, s *LaidHold, name string) error {
	h := s.Hold
	if !h.Fan.Given {
		return nil
	}
	unscaled, err := unscaledFlow(c, log, h.Fan.Value, h.FanScaledTo, m.House, name)
	if err != nil {
		return c.ErrorAt(h.Fan.Pos, err.Error())
	}
	air := airOf(c, log, h)
	q, err := trueFlow(c, log, unscaled, pressure.DirectionOf(m.House).FanAir(air.house.density, air.outdoor.density), name)
	if err != nil {
		return c.ErrorAt(h.Fan.Pos, err.Error())
	}
	if air.Known {
		got, err := pressure.EnvelopeFlow(q, pressure.DirectionOf(m.House), air.house.density, air.outdoor.density)
		if err != nil {
			return c.ErrorAt(h.Fan.Pos, err.Error())
		}
		log.worked(name, got.Worked(c.System))
		q = got.Value
	} else {
		log.Notice(Note, "", "indoor and outdoor temperatures are not both given; fan flows are taken without a density correction")
	}
	s.fan = q
	s.fanRatio = float64(q / unscaled)
	m.Fan = &zonal.FlowReading{Flow: q, SDLn: repeatOf(c.Gauge.Repeat, h.Fan), Cal: layFanErrors(c, "fan", h.Range.Value)}
	return nil
}

// unscaledFlow undoes what a gauge did that showed the flow scaled to a pressure.
func unscaledFlow(c *Case, log *Log, shown units.Flow, scaledTo sheet.Pressure, house units.Pressure, name string) (units.Flow, error) {
	if !scaledTo.Given {
		return shown, nil
	}
	got, err := pressure.Unscaled(shown, house, scaledTo.Value, pressure.DefaultExponent)
	if err != nil {
		return 0, err
	}
	log.worked(name, got.Worked(c.System))
	return got.Value, nil
}

// trueFlow is the volume flow of the air in a fan, of density inFan (zero: not
// known), from what its gauge shows.
func trueFlow(c *Case, log *Log, q units.Flow, inFan units.Density, name string) (units.Flow, error) {
	if !c.Sheet.Gauge.Indicated() {
		return q, nil
	}
	if inFan == 0 {
		log.Notice(Warning, "", "the fan shows the flow of standard air, but the temperatures that would correct it are missing")
		return q, nil
	}
	got, err := pressure.TrueFlow(q, pressure.StandardDensity, inFan)
	if err != nil {
		return 0, err
	}
	log.worked(name, got.Worked(c.System))
	return got.Value, nil
}

// furtherFan brings the flow of a further fan to the air in the leaks. Fans of
// one name share one calibration.
func furtherFan(c *Case, log *Log, f sheet.Fan, m *zonal.Hold, h *sheet.Hold) (zonal.FanSource, error) {
	name := "further fan"
	if f.Name.Given() {
		name = "fan " + units.Sanitize(f.Name.Value)
	}
	air := airOf(c, log, h)
	inFan := densityIn(c, f.From.Name, air)
	q, err := unscaledFlow(c, log, f.Flow.Value, f.ScaledTo, m.House, name)
	if err == nil {
		q, err = trueFlow(c, log, q, inFan, name)
	}
	if err == nil && air.Known && inFan > 0 {
		var got pressure.Computed[units.Flow]
		got, err = pressure.EnvelopeFlow(q, pressure.Depressurised, inFan, pressure.DirectionOf(m.House).LeakAir(air.house.density, air.outdoor.density))
		log.worked(name, got.Worked(c.System))
		q = got.Value
	}
	return zonal.FanSource{From: c.Spaces[f.From.Name], To: c.Spaces[f.To.Name],
		FlowReading: zonal.FlowReading{Flow: q, SDLn: repeatOf(c.Gauge.Repeat, f.Flow), Cal: layFanErrors(c, name, f.Range.Value)}}, err
}

// densityIn is the density of the air that leaves a space; zero where its
// temperature is not known.
func densityIn(c *Case, space string, air AirPair) units.Density {
	switch space {
	case sheet.HouseName:
		return air.house.density
	case sheet.OutsideName:
		return air.outdoor.density
	}
	z, ok := c.Sheet.Zone(space)
	if !ok || !z.Temperature.Given || !air.Known {
		return 0
	}
	a, err := c.airAt(z.Temperature.Value)
	if err != nil {
		return 0
	}
	return a.density
}
