package check

import (
	"fmt"
	"math"
	"slices"

	"holdbook/internal/survey"
	"holdbook/units"
	"holdbook/zonal"
)

// state is what differs from as found in a hold.
type state struct{ opened, sealed []int }

func stateOf(c *survey.Case, k int) state {
	m := &c.Model.Holds[k]
	s := state{slices.Clone(m.Opened), slices.Clone(m.Sealed)}
	slices.Sort(s.opened)
	slices.Sort(s.sealed)
	return s
}

// sameState tells whether two holds have the same openings, seals and no
// further fans.
func sameState(c *survey.Case, j, k int) bool {
	a, b := stateOf(c, j), stateOf(c, k)
	return slices.Equal(a.opened, b.opened) && slices.Equal(a.sealed, b.sealed) && len(c.Model.Holds[j].Fans)+len(c.Model.Holds[k].Fans) == 0
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
func flowMoved(c *survey.Case, out *slips, k int) {
	for j := range c.Model.Holds {
		if j == k || !plainFan(c, out, j) || !plainFan(c, out, k) || sameSign(c.Model.Holds[j].House, c.Model.Holds[k].House) < 0 {
			continue
		}
		if out.said(c.Held[j].Hold.Fan.Pos) || out.said(c.Held[k].Hold.Fan.Pos) {
			continue // one of the two is named already
		}
		a, b := stateOf(c, j), stateOf(c, k)
		change := math.Log(float64(c.FlowAt50(k) / c.FlowAt50(j)))
		limit := max(leastRatio, clearSD*ratioSD(c, j, k))
		percent := units.Fixed(100*math.Abs(math.Expm1(change)), 0)
		h, name, other := c.Held[k].Hold, c.Model.Holds[k].Name, c.Model.Holds[j].Name
		switch {
		case less(a.opened, b.opened) && slices.Equal(a.sealed, b.sealed) && change < -limit:
			out.say(Warns, h.Fan.Pos, name, fmt.Sprintf("at 50 Pa the fan flow is %s %% below that of %s, although more was open", percent, other),
				"the flow range, the opening, and what else was shut")
			return
		case less(a.sealed, b.sealed) && slices.Equal(a.opened, b.opened) && change > limit:
			out.say(Warns, h.Fan.Pos, name, fmt.Sprintf("at 50 Pa the fan flow is %s %% above that of %s, although more was sealed", percent, other),
				"the flow range, the covers, and what else was opened")
			return
		}
	}
}

// zonesMoved compares the pressure of a zone with that before it was opened.
func zonesMoved(c *survey.Case, out *slips, k int) {
	for j := range c.Model.Holds {
		a, b := stateOf(c, j), stateOf(c, k)
		if !less(a.opened, b.opened) || len(b.opened) != len(a.opened)+1 || !slices.Equal(a.sealed, b.sealed) || len(c.Model.Holds[j].Fans)+len(c.Model.Holds[k].Fans) > 0 ||
			out.doubt[c.Held[j].Hold.Pos] || out.doubt[c.Held[k].Hold.Pos] {
			continue
		}
		for _, i := range b.opened {
			if !slices.Contains(a.opened, i) && zoneMoved(c, out, j, k, c.Model.Openings[i]) {
				return
			}
		}
	}
}

// zoneMoved checks the zone that an opening joins to the house or to outside. It
// tells whether it found something.
func zoneMoved(c *survey.Case, out *slips, j, k int, o zonal.Opening) bool {
	end, z := min(o.A, o.B), max(o.A, o.B)
	was, at1 := zoneAt50(c, j, z)
	is, at2 := zoneAt50(c, k, z)
	if end > zonal.Outside || z <= zonal.Outside || at1 < 0 || at2 < 0 || out.said(c.Held[j].Hold.Readings[at1].Pressure.Pos) {
		return false
	}
	moved := was - is // towards the house
	far := was
	if end == zonal.Outside {
		moved, far = -moved, zonal.Reference-was
	}
	pos := c.Held[k].Hold.Readings[at2].Pressure.Pos
	about := c.Model.Holds[k].Name + ", " + c.Names[z]
	sd := math.Hypot(scaledSD(c, j, at1), scaledSD(c, k, at2))
	if float64(moved) < -clearSD*sd && -moved > littleMove {
		out.say(Warns, pos, about, fmt.Sprintf("opened to the %s, it moved %s the other way", c.Names[end], (-moved).Text(units.Pascal, 1)),
			"the hoses, and which opening was made")
		return true
	}
	return stoodStill(c, out, j, k, o, stillness{pos: c.Held[k].Hold.Pos, reading: pos, about: about, zone: z, moved: moved, far: far, was: was, sd: sd})
}

// scaledSD is the error of a zone reading, scaled to a 50 Pa hold.
func scaledSD(c *survey.Case, k, reading int) float64 {
	m := &c.Model.Holds[k]
	x := c.Held[k].Hold.Readings[reading]
	scale := math.Abs(zonal.Reference / float64(m.House))
	return scale * math.Hypot(float64(c.Gauge.PressureSD(x.Pressure.Value)), float64(m.HouseSD))
}

// zoneAt50 is a zone's pressure to the house, scaled to a 50 Pa hold, and which
// reading of the hold it is from; −1 if there is none.
func zoneAt50(c *survey.Case, k int, z zonal.SpaceID) (units.Pressure, int) {
	m := &c.Model.Holds[k]
	at := -1
	for i, r := range c.Held[k].Hold.Readings {
		if !r.Pressure.Given {
			continue
		}
		at++
		if at >= len(m.Read) {
			break
		}
		x := m.Read[at]
		p := units.Abs(x.Pressure) * zonal.Reference / units.Abs(m.House)
		switch {
		case x.Of == z && x.To == zonal.House, x.Of == zonal.House && x.To == z:
			return p, i
		case x.Of == z && x.To == zonal.Outside, x.Of == zonal.Outside && x.To == z:
			return zonal.Reference - p, i
		}
	}
	return 0, -1
}
