package advise

import (
	"fmt"
	"slices"

	"holdbook/internal/survey"
	"holdbook/units"
	"holdbook/zonal"
)

const (
	restMinutes = 1.0 // the fan off, and a reading that settles: judgement
	// typedStackSD is how well the stack (Pa/m) is known from temperatures that were
	// typed: they stand for a house within a degree or two. Judgement.
	typedStackSD = 0.05
)

// proposeWeather proposes what tells the weather of the visit: the temperatures, which only
// have to be typed, and baselines, for which the fan is off for a minute.
func proposeWeather(c *survey.Case, a aim) (list []proposal) {
	if c.Estimated.Weather == nil {
		return nil
	}
	if c.Estimated.Weather.Stack == zonal.UnknownStack() {
		list = append(list, proposal{NextAction{What: "type the outdoor temperature", Outdoor: true,
			How: "write it under [house] of the sheet, with that indoors: it costs nothing, and tells how warm air drives the leaks and what the fan's flow is"},
			zonal.Candidate{StackSD: typedStackSD}})
	}
	if !atRestRead(c, zonal.House) {
		list = append(list, proposeBaseline(c, zonal.House)...)
	}
	for z := range c.Zones() {
		if a.asks(z) && !atRestRead(c, z) {
			list = append(list, proposeBaseline(c, z)...)
		}
	}
	return list
}

// atRestRead tells whether the baseline of a space was read as found, or is off its readings
// already.
func atRestRead(c *survey.Case, z zonal.SpaceID) bool {
	return slices.ContainsFunc(c.Estimated.Holds, func(h zonal.Hold) bool {
		if z == zonal.House && h.LessRest {
			return true
		}
		asFound := h.Rest && len(h.Opened)+len(h.Sealed) == 0
		return slices.ContainsFunc(h.Read, func(r zonal.PressureReading) bool {
			return (r.Of == z && (asFound || r.LessRest)) || z == zonal.House && asFound && r.To == zonal.Outside
		})
	})
}

// proposeBaseline reads a space with the fan off, in the house as found.
func proposeBaseline(c *survey.Case, z zonal.SpaceID) []proposal {
	to := zonal.House
	if z == zonal.House {
		to = zonal.Outside
	}
	sd := max(c.Gauge.Wobble/2, restSD)
	p := proposal{NextAction{What: fmt.Sprintf("read the baseline of %s", survey.TheName(c, z)), Minutes: restMinutes, Rest: true,
		How: fmt.Sprintf("fan off and covered, everything as found, one minute; the %s to %s as the gauge shows it; it stands in the hold that the sheet has, as below", nameOf(c, z), survey.TheName(c, to))},
		zonal.Candidate{Holds: []zonal.Hold{{Name: "baseline", Rest: true, Read: []zonal.PressureReading{{Of: z, To: to, SD: sd}}}}}}
	p.Hold = baselineToFillIn(c, z)
	return []proposal{p}
}

// restSD is the least error (Pa) of a baseline.
const restSD = units.Pressure(0.05)
