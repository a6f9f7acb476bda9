package survey

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"holdbook/internal/sheet"
	"holdbook/pressure"
	"holdbook/units"
	"holdbook/zonal"
)

// Limits of the closing error, and of a reading on the wrong side (standard deviations; Pa).
const (
	ManySD       = 3.0
	closureBlock = units.Pressure(5)
)

// Closing is a zone read to the house and to outside in one hold: together the two make a
// house pressure, and what they miss that of the hold by is their closing error. One of the
// two may be missing.
type Closing struct {
	Zone               string
	In, Out            sheet.Pressure // to the house and to outside, as they stand in the sheet
	ToHouse, ToOutside units.Pressure // with the signs that the hold gives them
	House              units.Pressure // of the hold, as read, with its sign
	Last               sheet.Pos      // of the later of the two

	gauge     pressure.Gauge
	asWritten bool // the two close in the signs they were written with
}

// Closings are the zones of a hold that were read to the house or to outside, in that order.
// house is the pressure of the hold as read, with its sign; g the gauge in it.
func Closings(h *sheet.Hold, house units.Pressure, g pressure.Gauge) []*Closing {
	var list []*Closing
	for _, x := range h.Readings {
		of, to, v := x.Of.Name, x.To.Name, x.Pressure.Value
		if isEnd(of) {
			of, to, v = to, of, -v
		}
		if !x.Pressure.Given || isEnd(of) || !isEnd(to) {
			continue
		}
		i := slices.IndexFunc(list, func(z *Closing) bool { return z.Zone == of })
		if i < 0 {
			i, list = len(list), append(list, &Closing{Zone: of, House: house, gauge: g})
		}
		z := list[i]
		z.Last = x.Pressure.Pos
		if to == sheet.HouseName {
			z.In, z.ToHouse = x.Pressure, v
		} else {
			z.Out, z.ToOutside = x.Pressure, v
		}
	}
	for _, z := range list {
		z.asWritten = z.Closes()
		if len(h.Fans) == 0 && !z.asWritten {
			z.right()
		}
	}
	return list
}

// isEnd tells whether a space is one of the two that the fan holds apart.
func isEnd(space string) bool { return space == sheet.HouseName || space == sheet.OutsideName }

// right gives each of the two the only sign it can have under a single fan. Where they close
// as they were written they stay, for a baseline can put a zone on either side of outside.
func (z *Closing) right() {
	const zone = zonal.Outside + 1 // any
	z.ToHouse = turned(z.ToHouse, ExpectedSign(zone, zonal.House, z.House))
	z.ToOutside = turned(z.ToOutside, ExpectedSign(zone, zonal.Outside, z.House))
}

// turned is a reading with the sign it must have, unless it is too small to tell.
func turned(v units.Pressure, sign float64) units.Pressure {
	if float64(v)*sign < 0 && units.Abs(v) > 1 {
		return -v
	}
	return v
}

// Both tells whether the zone was read both ways.
func (z *Closing) Both() bool { return z.In.Given && z.Out.Given }

// Implied is the house pressure that the two make.
func (z *Closing) Implied() units.Pressure { return z.ToOutside - z.ToHouse }

// Off is the closing error.
func (z *Closing) Off() units.Pressure { return z.Implied() - z.House }

// SD is the standard deviation (Pa) of the closing error.
func (z *Closing) SD() float64 {
	return math.Hypot(math.Hypot(float64(z.gauge.PressureSD(z.ToHouse)), float64(z.gauge.PressureSD(z.ToOutside))), float64(z.gauge.PressureSD(z.House)))
}

// Closes tells whether the two make the house pressure.
func (z *Closing) Closes() bool { return z.Both() && float64(units.Abs(z.Off())) <= ManySD*z.SD() }

// Blocks tells whether the closing error is too large for the hold to be used.
func (z *Closing) Blocks() bool { return units.Abs(z.Off()) > closureBlock }

// checkClosing refuses a hold with a zone that does not close on the house pressure, and
// warns of one that hardly does. name is the hold's.
func checkClosing(c *Case, log *Log, s *LaidHold, name string) error {
	zones := Closings(s.Hold, s.Raw, s.Gauge)
	slices.SortFunc(zones, func(a, b *Closing) int { return cmp.Compare(c.Spaces[a.Zone], c.Spaces[b.Zone]) })
	for _, z := range zones {
		switch off := units.Fixed(float64(z.Off()), 1); {
		case !z.Both():
		case z.Blocks():
			return c.ErrorAt(z.Last, fmt.Sprintf("%s: read to the house and to outside it does not close on the house pressure by %s Pa; read both again", units.Sanitize(z.Zone), off))
		case !z.Closes():
			log.Notice(Warning, name+", "+z.Zone, "its two references miss the house pressure by %s Pa; look at the hoses", off)
		}
	}
	return nil
}
