package survey

import (
	"fmt"
	"math"
	"slices"

	"holdbook/units"
	"holdbook/zonal"
)

// state is what differs from as found in a hold.
type state struct{ opened, sealed []int }

func (c *checker) stateOf(k int) state {
	m := &c.model.Holds[k]
	s := state{slices.Clone(m.Opened), slices.Clone(m.Sealed)}
	slices.Sort(s.opened)
	slices.Sort(s.sealed)
	return s
}

// sameState tells whether two holds have the same openings, seals and no
// further fans.
func (c *checker) sameState(j, k int) bool {
	a, b := c.stateOf(j), c.stateOf(k)
	return slices.Equal(a.opened, b.opened) && slices.Equal(a.sealed, b.sealed) && len(c.model.Holds[j].Fans)+len(c.model.Holds[k].Fans) == 0
}

// less tells whether every element of a is in b and b has more.
func less(a, b []int) bool {
	for _, v := range a {
		if !slices.Contains(b, v) {
			return false
		}
	}
	return len(a) < len(b)
}

// flowMoved compares a hold's fan flow with a hold that has fewer openings, or
// fewer seals: more openings never lower it, more seals never raise it.
func (c *checker) flowMoved(k int) {
	for j := range c.model.Holds {
		if j == k || !c.plainFan(j) || !c.plainFan(k) || sameSign(c.model.Holds[j].House, c.model.Holds[k].House) < 0 {
			continue
		}
		if c.said(c.held[j].hold.Fan.Pos) || c.said(c.held[k].hold.Fan.Pos) {
			continue // one of the two is named already
		}
		a, b := c.stateOf(j), c.stateOf(k)
		change := math.Log(c.at50(k) / c.at50(j))
		limit := max(leastRatio, clearSD*c.ratioSD(j, k))
		percent := units.Fixed(100*math.Abs(math.Expm1(change)), 0)
		h, name, other := c.held[k].hold, c.model.Holds[k].Name, c.model.Holds[j].Name
		switch {
		case less(a.opened, b.opened) && slices.Equal(a.sealed, b.sealed) && change < -limit:
			c.say(Warns, h.Fan.Pos, name, fmt.Sprintf("at 50 Pa the fan flow is %s %% below that of %s, although more was open", percent, other),
				"the flow range, the opening, and what else was shut")
			return
		case less(a.sealed, b.sealed) && slices.Equal(a.opened, b.opened) && change > limit:
			c.say(Warns, h.Fan.Pos, name, fmt.Sprintf("at 50 Pa the fan flow is %s %% above that of %s, although more was sealed", percent, other),
				"the flow range, the covers, and what else was opened")
			return
		}
	}
}

// zonesMoved compares the pressure of a zone with that before it was opened.
func (c *checker) zonesMoved(k int) {
	for j := range c.model.Holds {
		a, b := c.stateOf(j), c.stateOf(k)
		if !less(a.opened, b.opened) || len(b.opened) != len(a.opened)+1 || !slices.Equal(a.sealed, b.sealed) || len(c.model.Holds[j].Fans)+len(c.model.Holds[k].Fans) > 0 ||
			c.doubt[c.held[j].hold.Pos] || c.doubt[c.held[k].hold.Pos] {
			continue
		}
		for _, i := range b.opened {
			if !slices.Contains(a.opened, i) && c.zoneMoved(j, k, c.model.Openings[i]) {
				return
			}
		}
	}
}

// zoneMoved checks the zone that an opening joins to the house or to outside. It
// tells whether it found something.
func (c *checker) zoneMoved(j, k int, o zonal.Opening) bool {
	end, z := min(o.A, o.B), max(o.A, o.B)
	was, at1 := c.toHouse(j, z)
	is, at2 := c.toHouse(k, z)
	if end > zonal.Outside || z <= zonal.Outside || at1 < 0 || at2 < 0 || c.said(c.held[j].hold.Readings[at1].Pressure.Pos) {
		return false
	}
	moved := was - is // towards the house
	far := was
	if end == zonal.Outside {
		moved, far = -moved, zonal.Reference-was
	}
	pos := c.held[k].hold.Readings[at2].Pressure.Pos
	about := c.model.Holds[k].Name + ", " + c.names[z]
	sd := math.Hypot(c.scaledSD(j, at1), c.scaledSD(k, at2))
	if float64(moved) < -clearSD*sd && -moved > littleMove {
		c.say(Warns, pos, about, fmt.Sprintf("opened to the %s, it moved %s the other way", c.names[end], (-moved).Text(units.Pascal, 1)),
			"the hoses, and which opening was made")
		return true
	}
	return c.still(j, k, o, stillness{pos: c.held[k].hold.Pos, reading: pos, about: about, zone: z, moved: moved, far: far, was: was, sd: sd})
}

// scaledSD is the error of a zone reading, scaled to a 50 Pa hold.
func (c *checker) scaledSD(k, reading int) float64 {
	m := &c.model.Holds[k]
	x := c.held[k].hold.Readings[reading]
	scale := math.Abs(zonal.Reference / float64(m.House))
	return scale * math.Hypot(float64(c.gauge.PressureSD(x.Pressure.Value)), float64(m.HouseSD))
}

// toHouse is a zone's pressure to the house, scaled to a 50 Pa hold, and which
// reading of the hold it is from; −1 if there is none.
func (c *checker) toHouse(k int, z zonal.SpaceID) (units.Pressure, int) {
	m := &c.model.Holds[k]
	at := -1
	for i, r := range c.held[k].hold.Readings {
		if !r.Pressure.Given {
			continue
		}
		at++
		if at >= len(m.Read) {
			break
		}
		x := m.Read[at]
		p := abs(x.Pressure) * zonal.Reference / abs(m.House)
		switch {
		case x.Of == z && x.To == zonal.House, x.Of == zonal.House && x.To == z:
			return p, i
		case x.Of == z && x.To == zonal.Outside, x.Of == zonal.Outside && x.To == z:
			return zonal.Reference - p, i
		}
	}
	return 0, -1
}
