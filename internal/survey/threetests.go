package survey

import (
	"math"

	"holdbook/units"
	"holdbook/zonal"
	"holdbook/zonal/byhand"
)

// threeTests applies, zone by zone, the three single-fan tests where the sheet
// has them: the house fan with the zone open to outside, the house fan with the
// zone open to the house, and a fan in the zone with the house open to outside.
func (r *run) threeTests() {
	for z := zonal.SpaceID(2); int(z) < len(r.names); z++ {
		open, okOpen := r.houseTest(z, zonal.Outside)
		joined, okJoined := r.houseTest(z, zonal.House)
		zone, okZone := r.zoneTest(z)
		if !okOpen || !okJoined || !okZone {
			continue
		}
		result, err := byhand.ThreeTests(open, joined, zone, r.handErrors())
		if result.Method != "" {
			r.handResult(r.names[z], &result)
		}
		if err != nil {
			r.f.Hand = append(r.f.Hand, HandAnswer{Method: "three single-fan tests", About: r.names[z], Quantity: "leakage", Note: err.Error()})
		}
	}
}

// handErrors is the error model of the three tests: one fan for all of them.
func (r *run) handErrors() byhand.Errors {
	e := byhand.DefaultErrors()
	c := r.gauge.FanCalibration()
	e.Units, e.Air, e.FanSDLn = r.system, r.model.Air, math.Hypot(float64(c.Common), float64(c.PerRange))
	if i := r.pathBetween(zonal.House, zonal.Outside, false); i >= 0 {
		n := r.model.Paths[i].Exponent
		e.Direct = units.Measured[units.Ratio]{Value: units.Ratio(n.Mean), SD: units.Ratio(n.SD)}
	}
	return e
}

// houseTest finds a hold of the door fan in which a zone stands open to one of
// its sides, and nothing else was changed.
func (r *run) houseTest(z, to zonal.SpaceID) (byhand.FanTest, bool) {
	for _, i := range r.order {
		h := &r.model.Holds[i]
		if h.Fan != nil && len(h.Fans)+len(h.Sealed)+len(h.Covered) == 0 && r.onlyOpens(h, z, to) {
			return byhand.FanTest{Name: h.Name, Held: units.Measured[units.Pressure]{Value: h.House, SD: h.HouseSD},
				Fan: units.Within(h.Fan.Flow, h.Fan.SDLn)}, true
		}
	}
	return byhand.FanTest{}, false
}

// zoneTest finds a hold with a fan between a zone and outside alone, and the
// house open to outside.
func (r *run) zoneTest(z zonal.SpaceID) (byhand.FanTest, bool) {
	for _, i := range r.order {
		h := &r.model.Holds[i]
		if h.Fan != nil || len(h.Fans) != 1 || len(h.Sealed)+len(h.Covered) > 0 || !r.onlyOpens(h, zonal.House, zonal.Outside) {
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
func (r *run) onlyOpens(h *zonal.Hold, a, b zonal.SpaceID) bool {
	if len(h.Opened) != 1 {
		return false
	}
	o := r.model.Openings[h.Opened[0]]
	return o.A == a && o.B == b || o.A == b && o.B == a
}
