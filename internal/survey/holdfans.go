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
	s.air = airOf(c, log, h)
	air, d := s.air, pressure.DirectionOf(m.House)
	unscaled, q, err := leakFlow(c, log, h.Fan, ScaledTo(c.Sheet, h), m.House,
		d.FanAir(air.house.density, air.outdoor.density), d.LeakAir(air.house.density, air.outdoor.density), name)
	if err != nil {
		return c.ErrorAt(h.Fan.Pos, err.Error())
	}
	if !air.Known {
		log.Background("", "indoor and outdoor temperatures are not both given; fan flows are taken without a density correction")
	}
	s.fan = q
	s.fanRatio = float64(q / unscaled)
	m.Fan = &zonal.FlowReading{Flow: q, SDLn: repeatOf(c.Gauge.Repeat, h.Fan), Cal: layFanErrors(c, "fan", h.Range.Value)}
	return nil
}

// leakFlow brings what the gauge of a fan shows to the air in the leaks; unscaled is what
// it shows at the pressure held. A density that is zero is not known, and corrects nothing.
func leakFlow(c *Case, log *Log, shown sheet.Flow, scaledTo sheet.Pressure, house units.Pressure, inFan, inLeaks units.Density, name string) (unscaled, q units.Flow, err error) {
	if unscaled, err = unscaledFlow(c, log, shown.Value, scaledTo, house, name); err != nil {
		return 0, 0, err
	}
	q, err = trueFlow(c, log, unscaled, inFan, name)
	if err != nil || inFan == 0 || inLeaks == 0 {
		return unscaled, q, err
	}
	// which air is where is settled: that of the house stands for the fan's, as when it blows out
	got, err := pressure.EnvelopeFlow(q, pressure.Depressurised, inFan, inLeaks)
	log.worked(name, got.Worked(c.System))
	return unscaled, got.Value, err
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
	inLeaks := pressure.DirectionOf(m.House).LeakAir(air.house.density, air.outdoor.density)
	_, q, err := leakFlow(c, log, f.Flow, f.ScaledTo, m.House, densityIn(c, f.From.Name, air), inLeaks, name)
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
