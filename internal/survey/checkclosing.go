package survey

import (
	"fmt"
	"strings"

	"holdbook/internal/sheet"
	"holdbook/units"
	"holdbook/zonal"
)

// bothWays is a zone read to the house and to outside in one hold, in the signs
// the hold gives them.
type bothWays struct {
	zone          string
	in, out       sheet.Pressure
	toIn, toOut   units.Pressure
	last          sheet.Pos // of the later of the two, where survey names it
	hasIn, hasOut bool
}

// closing checks that what a zone reads to the house and to outside makes the
// house pressure, and where it does not says which of the three is to blame.
func (c *checker) closing(h *sheet.Hold, name string) {
	house := c.houseOf(h)
	var bad []*bothWays
	for _, z := range c.pairs(h) {
		if z.hasIn && z.hasOut && float64(abs(z.toOut-z.toIn-house)) > manySD*c.closingSD(z, house) {
			bad = append(bad, z)
		}
	}
	if len(bad) == 0 {
		return
	}
	if len(bad) > 1 && abs(implied(bad[0])-implied(bad[1])) < 2 || len(bad) == 1 && c.houseSlip(bad[0], house) {
		c.closeHouse(h, bad, house, name)
		return
	}
	for _, z := range bad {
		c.closeZone(h, z, house, name)
	}
}

// implied is the house pressure that a zone's two readings make.
func implied(z *bothWays) units.Pressure { return z.toOut - z.toIn }

func (c *checker) closingSD(z *bothWays, house units.Pressure) float64 {
	return closingSD(c.gauge, z.toIn, z.toOut, house)
}

// pairs are the zones of a hold with their readings to the house and to outside.
func (c *checker) pairs(h *sheet.Hold) []*bothWays {
	var list []*bothWays
	at := map[string]*bothWays{}
	for _, x := range h.Readings {
		of, to := x.Of.Name, x.To.Name
		v := x.Pressure.Value
		if spaceNumber(of) < 2 {
			of, to, v = to, of, -v
		}
		if !x.Pressure.Given || spaceNumber(of) < 2 || spaceNumber(to) >= 2 {
			continue
		}
		z := at[of]
		if z == nil {
			z = &bothWays{zone: of}
			at[of], list = z, append(list, z)
		}
		z.last = x.Pressure.Pos
		if spaceNumber(to) == zonal.House {
			z.in, z.toIn, z.hasIn = x.Pressure, v, true
		} else {
			z.out, z.toOut, z.hasOut = x.Pressure, v, true
		}
	}
	for _, z := range list {
		switch house := c.houseOf(h); {
		case len(h.Fans) > 0:
		case z.hasIn && z.hasOut:
			z.toIn, z.toOut = righted(c.gauge, z.toIn, z.toOut, house)
		default:
			z.toIn = turned(z.toIn, expectedSign(zonal.Outside+1, zonal.House, house))
		}
	}
	return list
}

// closingLevel blocks where survey does.
func closingLevel(off units.Pressure) CheckLevel {
	if abs(off) > closureBlock {
		return Blocks
	}
	return Warns
}

// closeHouse blames the house pressure, which all its zones contradict.
func (c *checker) closeHouse(h *sheet.Hold, bad []*bothWays, house units.Pressure, name string) {
	level := Warns
	c.doubt[h.Pos] = true
	for _, z := range bad {
		c.open[z.last] = true
		if closingLevel(implied(z)-house) == Blocks {
			level = Blocks
		}
	}
	c.say(level, h.House.Pos, name+", house", fmt.Sprintf("the zones, read to the house and to outside, make a house pressure of %s, not %s",
		implied(bad[0]).Text(units.Pascal, 1), house.Text(units.Pascal, 1)), "the house pressure, its decimal point and unit")
}

// closeZone blames one of a zone's two readings: by the slip that closes it, by
// another hold in the same state, or by a reading that was carried over.
func (c *checker) closeZone(h *sheet.Hold, z *bothWays, house units.Pressure, name string) {
	off := implied(z) - house
	c.open[z.last] = true
	text := fmt.Sprintf("read to the house and to outside, it misses the house pressure by %s", off.Text(units.Pascal, 1))
	pos, look := z.last, "the hoses and the decimal point of both, and read both again"
	in, out := c.slipOf(z.toIn, z.toOut-house, z, house), c.slipOf(z.toOut, z.toIn+house, z, house)
	blame := c.blameByOthers(h, z, house)
	switch {
	case c.carried(h, z, sheet.HouseName) != "":
		blame, in = inReading, "the reading to the house is that of "+c.carried(h, z, sheet.HouseName)+", to the last figure"
	case c.carried(h, z, sheet.OutsideName) != "":
		blame, out = outReading, "the reading to outside is that of "+c.carried(h, z, sheet.OutsideName)+", to the last figure"
	case in != "" && out == "":
		blame = inReading
	case out != "" && in == "":
		blame = outReading
	}
	const beyond = "it is more than the house pressure itself"
	if in == "" && abs(z.toIn) > abs(house)+overHouse && len(h.Fans) == 0 {
		blame, in = inReading, beyond
	}
	if out == "" && abs(z.toOut) > abs(house)+overHouse && len(h.Fans) == 0 {
		blame, out = outReading, beyond
	}
	switch blame {
	case inReading:
		pos, text, look = z.in.Pos, because(text, in), "the reading to the house first"
	case outReading:
		pos, text, look = z.out.Pos, because(text, out), "the reading to outside first"
	}
	c.say(closingLevel(off), pos, name+", "+units.Sanitize(z.zone), text, look)
}

// Which of two readings is to blame.
type blamed int

const (
	neither blamed = iota
	inReading
	outReading
)

func because(text, why string) string {
	if why == "" {
		return text
	}
	return text + "; " + why
}

// blameByOthers blames the reading that is further from what another hold as
// found, with nothing changed, says of the zone.
func (c *checker) blameByOthers(h *sheet.Hold, z *bothWays, house units.Pressure) blamed {
	if !h.AsFound() {
		return neither
	}
	for i := range c.whole.Holds {
		x := &c.whole.Holds[i]
		if x == h || !x.Finished() || !x.AsFound() || c.houseOf(x)*house <= 0 {
			continue
		}
		for _, o := range c.pairs(x) {
			if o.zone != z.zone || !o.hasIn || o.hasOut && float64(abs(implied(o)-c.houseOf(x))) > manySD*c.closingSD(o, c.houseOf(x)) {
				continue
			}
			want := o.toIn * house / c.houseOf(x)
			missIn, missOut := abs(z.toIn-want), abs(z.toOut-want-house)
			switch {
			case missIn > 2*missOut:
				return inReading
			case missOut > 2*missIn:
				return outReading
			}
		}
	}
	return neither
}

// carried names an earlier hold, held at another pressure or in another state,
// that has the very same reading of a zone; empty if none. Whole pascals agree
// by chance.
func (c *checker) carried(h *sheet.Hold, z *bothWays, to string) string {
	mine := z.in
	if to == sheet.OutsideName {
		mine = z.out
	}
	for i := range c.whole.Holds {
		x := &c.whole.Holds[i]
		if x == h {
			return ""
		}
		for _, r := range x.Readings {
			if r.Of.Name == z.zone && r.To.Name == to && r.Pressure.Text == mine.Text && strings.Contains(mine.Text, ".") && abs(mine.Value) > 3 {
				return holdName(i, x)
			}
		}
	}
	return ""
}

// slipOf says which slip makes of what was read what it should be; empty if none.
func (c *checker) slipOf(read, want units.Pressure, z *bothWays, house units.Pressure) string {
	near := units.Pressure(manySD * c.closingSD(z, house))
	for _, s := range []struct {
		value units.Pressure
		text  string
	}{
		{read * inchSlip, "it would close if the reading were in inches of water"},
		{read * 10, "it would close if the reading were ten times as large"},
		{read / 10, "it would close if the reading were a tenth"},
		{-read, "it would close with the other sign"},
		{read + house, otherReference},
		{read - house, otherReference},
		{-read + house, otherReference},
		{-read - house, otherReference},
	} {
		// A slip must be large beside the error to be told.
		if abs(s.value-want) <= near && abs(s.value-read) > 2*near {
			return s.text
		}
	}
	return ""
}

const otherReference = "it would close had it been read to the other reference"

// inchSlip is how much too small a pressure in inches of water is as pascals.
var inchSlip = units.Pressure(units.InchWater.ToSI(1))

// houseSlip tells whether only a slip in the house pressure closes a zone.
func (c *checker) houseSlip(z *bothWays, house units.Pressure) bool {
	return c.slipOf(house, implied(z), z, 0) != "" && c.slipOf(z.toIn, z.toOut-house, z, house) == "" && c.slipOf(z.toOut, z.toIn+house, z, house) == ""
}
