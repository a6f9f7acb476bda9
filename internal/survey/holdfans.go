package survey

import (
	"holdbook/internal/sheet"
	"holdbook/pressure"
	"holdbook/units"
	"holdbook/zonal"
)

// layFan brings the door-fan flow to what passes the envelope.
func (r *run) layFan(m *zonal.Hold, s *heldState, name string) error {
	h := s.hold
	if !h.Fan.Given {
		return nil
	}
	s.shown = h.Fan.Value
	unscaled, err := r.unscaled(h.Fan.Value, h.FanScaledTo, m.House, name)
	if err != nil {
		return r.place(h.Fan.Pos, err.Error())
	}
	air := r.airOf(h)
	q, err := r.trueFlow(unscaled, pressure.DirectionOf(m.House).FanAir(air.house, air.outdoor), name)
	if err != nil {
		return r.place(h.Fan.Pos, err.Error())
	}
	if air.known {
		c, err := pressure.EnvelopeFlow(q, pressure.DirectionOf(m.House), air.house, air.outdoor)
		if err != nil {
			return r.place(h.Fan.Pos, err.Error())
		}
		r.worked(name, c.Worked(r.system))
		q = c.Value
	} else {
		r.notice(Note, "", "indoor and outdoor temperatures are not both given; fan flows are taken without a density correction")
	}
	s.fan = q
	s.perShown = float64(q / unscaled)
	m.Fan = &zonal.FlowReading{Flow: q, SDLn: repeatOf(r.gauge.Repeat, h.Fan), Cal: r.fanErrors("fan", h.Range.Value)}
	return nil
}

// defaultExponent undoes the scaling a gauge has made: common practice.
const defaultExponent = units.Ratio(0.65)

// unscaled undoes what a gauge did that showed the flow scaled to a pressure.
func (r *run) unscaled(shown units.Flow, scaledTo sheet.Pressure, house units.Pressure, name string) (units.Flow, error) {
	if !scaledTo.Given {
		return shown, nil
	}
	c, err := pressure.Unscaled(shown, house, scaledTo.Value, defaultExponent)
	if err != nil {
		return 0, err
	}
	r.worked(name, c.Worked(r.system))
	return c.Value, nil
}

// trueFlow is the volume flow of the air in a fan, of density inFan (zero: not
// known), from what its gauge shows.
func (r *run) trueFlow(q units.Flow, inFan units.Density, name string) (units.Flow, error) {
	if !r.sheet.Gauge.Indicated() {
		return q, nil
	}
	if inFan == 0 {
		r.notice(Warning, "", "the fan shows the flow of standard air, but the temperatures that would correct it are missing")
		return q, nil
	}
	c, err := pressure.TrueFlow(q, pressure.StandardDensity, inFan)
	if err != nil {
		return 0, err
	}
	r.worked(name, c.Worked(r.system))
	return c.Value, nil
}

// furtherFan brings the flow of a further fan to the air in the leaks. Fans of
// one name share one calibration.
func (r *run) furtherFan(f sheet.Fan, m *zonal.Hold, h *sheet.Hold) (zonal.FanSource, error) {
	name := "further fan"
	if f.Name.Given() {
		name = "fan " + units.Sanitize(f.Name.Value)
	}
	air := r.airOf(h)
	inFan := r.densityIn(f.From.Name, air)
	q, err := r.unscaled(f.Flow.Value, f.ScaledTo, m.House, name)
	if err == nil {
		q, err = r.trueFlow(q, inFan, name)
	}
	if err == nil && air.known && inFan > 0 {
		var c pressure.Computed[units.Flow]
		c, err = pressure.EnvelopeFlow(q, pressure.Depressurised, inFan, pressure.DirectionOf(m.House).LeakAir(air.house, air.outdoor))
		r.worked(name, c.Worked(r.system))
		q = c.Value
	}
	return zonal.FanSource{From: r.spaces[f.From.Name], To: r.spaces[f.To.Name],
		FlowReading: zonal.FlowReading{Flow: q, SDLn: repeatOf(r.gauge.Repeat, f.Flow), Cal: r.fanErrors(name, f.Range.Value)}}, err
}

// densityIn is the density of the air that leaves a space; zero where its
// temperature is not known.
func (r *run) densityIn(space string, air airPair) units.Density {
	switch space {
	case sheet.HouseName:
		return air.house
	case sheet.OutsideName:
		return air.outdoor
	}
	z, ok := r.sheet.Zone(space)
	if !ok || !z.Temperature.Given || !air.known {
		return 0
	}
	rho, err := pressure.Air{Temperature: z.Temperature.Value, Barometer: air.houseAir.Barometer}.Density()
	if err != nil {
		return 0
	}
	return rho.Value
}
