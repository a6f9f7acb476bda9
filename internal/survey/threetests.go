package survey

import (
	"holdbook/units"
	"holdbook/zonal"
	"holdbook/zonal/byhand"
)

// threeTests applies, zone by zone, the three single-fan tests where the sheet
// has them: the house fan with the zone open to outside, the house fan with the
// zone open to the house, and a fan in the zone with the house open to outside.
func threeTests(c *Case, log *Log) (list []HandAnswer) {
	for z := range c.Zones() {
		open, okOpen := houseTest(c, z, zonal.Outside)
		joined, okJoined := houseTest(c, z, zonal.House)
		zone, okZone := zoneTest(c, z)
		if !okOpen || !okJoined || !okZone {
			continue
		}
		result, err := byhand.ThreeTests(open, joined, zone, handErrors(c))
		if result.Method != "" {
			list = append(list, handResult(c, log, c.Names[z], &result)...)
		}
		if err != nil {
			list = append(list, HandAnswer{Method: "three single-fan tests", About: c.Names[z], Quantity: "leakage", Note: err.Error()})
		}
	}
	return list
}

// handErrors is the error model of the three tests: one fan for all of them.
func handErrors(c *Case) byhand.Errors {
	e := byhand.DefaultErrors()
	e.Units, e.Air, e.FanSDLn = c.System, c.Model.Air, c.Gauge.FanCalibration().SD()
	if i := c.Model.PathBetween(zonal.House, zonal.Outside); i >= 0 {
		n := c.Model.Paths[i].Exponent
		e.Direct = units.Measured[units.Ratio]{Value: units.Ratio(n.Mean), SD: units.Ratio(n.SD)}
	}
	return e
}

// houseTest finds a hold of the door fan in which a zone stands open to one of
// its sides, and nothing else was changed.
func houseTest(c *Case, z, to zonal.SpaceID) (byhand.FanTest, bool) {
	for _, i := range c.Order {
		h := &c.Model.Holds[i]
		if h.Fan != nil && len(h.Fans)+len(h.Sealed)+len(h.Covered) == 0 && onlyOpens(c, h, z, to) {
			return fanTestOf(c, i), true
		}
	}
	return byhand.FanTest{}, false
}

// zoneTest finds a hold with a fan between a zone and outside alone, and the
// house open to outside.
func zoneTest(c *Case, z zonal.SpaceID) (byhand.FanTest, bool) {
	for _, i := range c.Order {
		h := &c.Model.Holds[i]
		if h.Fan != nil || len(h.Fans) != 1 || len(h.Sealed)+len(h.Covered) > 0 || !onlyOpens(c, h, zonal.House, zonal.Outside) {
			continue
		}
		f := h.Fans[0]
		if !(f.From == z && f.To == zonal.Outside) && !(f.From == zonal.Outside && f.To == z) {
			continue
		}
		for _, x := range h.Read {
			if x.Of == z && x.To <= zonal.Outside || x.To == z && x.Of <= zonal.Outside {
				return byhand.FanTest{Name: h.Name, Held: units.Measured[units.Pressure]{Value: x.Pressure, SD: x.SD},
					Fan: units.Within(f.Flow, f.SDLn)}, true
			}
		}
	}
	return byhand.FanTest{}, false
}

// onlyOpens tells whether one opening, between two spaces, is all that a hold
// opened.
func onlyOpens(c *Case, h *zonal.Hold, a, b zonal.SpaceID) bool {
	return len(h.Opened) == 1 && c.Model.Openings[h.Opened[0]].Joins(a, b)
}
