package check

import (
	"fmt"
	"strings"

	"holdbook/internal/sheet"
	"holdbook/internal/survey"
	"holdbook/units"
)

// closingSlips checks that what a zone reads to the house and to outside makes the
// house pressure, and where it does not says which of the three is to blame.
func closingSlips(v *visit, out *slips, i int, name string) {
	h := &v.sheet.Holds[i]
	var bad []*survey.Closing
	for _, z := range v.closed[i] {
		if z.Both() && !z.Closes() {
			bad = append(bad, z)
		}
	}
	if len(bad) == 0 {
		return
	}
	if len(bad) > 1 && units.Abs(bad[0].Implied()-bad[1].Implied()) < 2 || len(bad) == 1 && houseSlip(bad[0]) {
		closeHouse(out, h, bad, name)
		return
	}
	for _, z := range bad {
		closeZone(v, out, h, z, name)
	}
}

// closingLevel blocks where survey does.
func closingLevel(z *survey.Closing) Level {
	if z.Blocks() {
		return Blocks
	}
	return Warns
}

// closeHouse blames the house pressure, which all its zones contradict.
func closeHouse(out *slips, h *sheet.Hold, bad []*survey.Closing, name string) {
	level := Warns
	out.doubt[h.Pos] = true
	for _, z := range bad {
		out.open[z.Last] = true
		if closingLevel(z) == Blocks {
			level = Blocks
		}
	}
	out.say(level, h.House.Pos, name+", house", fmt.Sprintf("the zones, read to the house and to outside, make a house pressure of %s, not %s",
		bad[0].Implied().Text(units.Pascal, 1), bad[0].House.Text(units.Pascal, 1)), "the house pressure, its decimal point and unit")
}

// closeZone blames one of a zone's two readings: by the slip that closes it, by
// another hold in the same state, or by a reading that was carried over.
func closeZone(v *visit, out *slips, h *sheet.Hold, z *survey.Closing, name string) {
	out.open[z.Last] = true
	text := fmt.Sprintf("read to the house and to outside, it misses the house pressure by %s", z.Off().Text(units.Pascal, 1))
	pos, look := z.Last, "the hoses and the decimal point of both, and read both again"
	inWhy, outWhy := slipOf(z.ToHouse, z.ToOutside-z.House, z), slipOf(z.ToOutside, z.ToHouse+z.House, z)
	blame := blameByOthers(v, h, z)
	inFrom, outFrom := carried(v, h, z, sheet.HouseName), carried(v, h, z, sheet.OutsideName)
	switch {
	case inFrom != "":
		blame, inWhy = inReading, "the reading to the house is that of "+inFrom+", to the last figure"
	case outFrom != "":
		blame, outWhy = outReading, "the reading to outside is that of "+outFrom+", to the last figure"
	case inWhy != "" && outWhy == "":
		blame = inReading
	case outWhy != "" && inWhy == "":
		blame = outReading
	}
	const beyond = "it is more than the house pressure itself"
	if inWhy == "" && units.Abs(z.ToHouse) > units.Abs(z.House)+overHouse && len(h.Fans) == 0 {
		blame, inWhy = inReading, beyond
	}
	if outWhy == "" && units.Abs(z.ToOutside) > units.Abs(z.House)+overHouse && len(h.Fans) == 0 {
		blame, outWhy = outReading, beyond
	}
	switch blame {
	case inReading:
		pos, text, look = z.In.Pos, because(text, inWhy), "the reading to the house first"
	case outReading:
		pos, text, look = z.Out.Pos, because(text, outWhy), "the reading to outside first"
	}
	out.say(closingLevel(z), pos, name+", "+units.Sanitize(z.Zone), text, look)
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
func blameByOthers(v *visit, h *sheet.Hold, z *survey.Closing) blamed {
	if !h.AsFound() {
		return neither
	}
	for i := range v.sheet.Holds {
		x := &v.sheet.Holds[i]
		if x == h || !x.Finished() || !x.AsFound() || survey.SignedHouse(v.sheet, x)*z.House <= 0 {
			continue
		}
		for _, o := range v.closed[i] {
			if o.Zone != z.Zone || !o.In.Given || o.Both() && !o.Closes() {
				continue
			}
			want := o.ToHouse * z.House / o.House
			missIn, missOut := units.Abs(z.ToHouse-want), units.Abs(z.ToOutside-want-z.House)
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
func carried(v *visit, h *sheet.Hold, z *survey.Closing, to string) string {
	mine := z.In
	if to == sheet.OutsideName {
		mine = z.Out
	}
	if !strings.Contains(mine.Text, ".") || units.Abs(mine.Value) <= 3 {
		return ""
	}
	for i := range v.sheet.Holds {
		x := &v.sheet.Holds[i]
		if x == h {
			return ""
		}
		for _, r := range x.Readings {
			if r.Of.Name == z.Zone && r.To.Name == to && r.Pressure.Text == mine.Text {
				return survey.HoldName(i, x)
			}
		}
	}
	return ""
}

// slipOf says which slip makes of what was read what it should be; empty if none.
func slipOf(read, want units.Pressure, z *survey.Closing) string {
	near := units.Pressure(survey.ManySD * z.SD())
	for _, s := range []struct {
		value units.Pressure
		text  string
	}{
		{read * inchSlip, "it would close if the reading were in inches of water"},
		{read * 10, "it would close if the reading were ten times as large"},
		{read / 10, "it would close if the reading were a tenth"},
		{-read, "it would close with the other sign"},
		{read + z.House, otherReference},
		{read - z.House, otherReference},
		{-read + z.House, otherReference},
		{-read - z.House, otherReference},
	} {
		// A slip must be large beside the error to be told.
		if units.Abs(s.value-want) <= near && units.Abs(s.value-read) > 2*near {
			return s.text
		}
	}
	return ""
}

const otherReference = "it would close had it been read to the other reference"

// inchSlip is how much too small a pressure in inches of water is as pascals.
var inchSlip = units.Pressure(units.InchWater.ToSI(1))

// houseSlip tells whether only a slip in the house pressure closes a zone.
func houseSlip(z *survey.Closing) bool {
	return slipOf(z.House, z.Implied(), z) != "" && slipOf(z.ToHouse, z.ToOutside-z.House, z) == "" && slipOf(z.ToOutside, z.ToHouse+z.House, z) == ""
}
