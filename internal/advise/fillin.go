package advise

import (
	"fmt"
	"slices"
	"strings"

	"holdbook/internal/sheet"
	"holdbook/internal/survey"
	"holdbook/units"
	"holdbook/zonal"
)

// toFillIn is the hold of a candidate as it would stand in the sheet: what is still to be
// read is given, without a value.
func toFillIn(c *survey.Case, name string, of zonal.Candidate) sheet.Hold {
	m := of.Holds[0]
	h := sheet.Hold{Name: sheet.Word(name), House: toHold(c)}
	h.House.Value = m.House // to be held, as near as the fan does it
	if m.Fan != nil {
		h.Fan, h.Range = toRead[units.Flow](c.System.Flow()), sheet.Word(lastRange(c))
	}
	for _, x := range m.Read {
		h.Readings = append(h.Readings, sheet.Reading{Of: sheet.Ref(c.Names[x.Of]), To: sheet.Ref(c.Names[x.To]), Pressure: toRead[units.Pressure](units.Pascal)})
	}
	for _, i := range m.Opened {
		o := of.Openings[i-len(c.Model.Openings)]
		opened := sheet.Opening{Between: sheet.Between(c.Names[o.B], c.Names[o.A])}
		if o.Area > 0 {
			opened.Area = sheet.Written(o.Area, o.Area.Text(c.System.Area(), 0))
		}
		h.Opened = append(h.Opened, opened)
	}
	for _, i := range m.Sealed {
		p := c.Model.Paths[i]
		h.Sealed = append(h.Sealed, sheet.Seal{Between: sheet.Between(c.Names[p.A], c.Names[p.B])})
	}
	for _, f := range m.Fans {
		h.Fans = append(h.Fans, sheet.Fan{Name: sheet.Word(secondFan), From: sheet.Ref(c.Names[f.From]), To: sheet.Ref(c.Names[f.To]), Flow: toRead[units.Flow](c.System.Flow())})
	}
	return h
}

// toHold is a house pressure that is still to be read, with its sign where the others of the
// sheet have one.
func toHold(c *survey.Case) sheet.Pressure {
	q := toRead[units.Pressure](units.Pascal)
	signed := slices.ContainsFunc(c.Sheet.Holds, func(h sheet.Hold) bool { return h.Finished() && h.House.Signed() })
	switch {
	case !signed:
	case c.Below():
		q.Text = "-" + q.Text
	default:
		q.Text = "+" + q.Text
	}
	return q
}

// baselineToFillIn is the hold of the sheet that a baseline is written in: the first that is
// as found, with the baselines that it has.
func baselineToFillIn(c *survey.Case, z zonal.SpaceID) sheet.Hold {
	var at *sheet.Hold
	for _, k := range c.Order {
		if h := c.Held[k].Hold; at == nil || h.AsFound() && !at.AsFound() {
			at = h
		}
	}
	h := sheet.Hold{Name: at.Name, Baseline: at.Baseline, ZoneBaselines: slices.Clone(at.ZoneBaselines)}
	if z == zonal.House {
		h.Baseline = toRead[units.Pressure](units.Pascal)
		return h
	}
	h.ZoneBaselines = append(h.ZoneBaselines, sheet.Reading{Of: sheet.Ref(c.Names[z]), To: sheet.Ref(sheet.HouseName), Pressure: toRead[units.Pressure](units.Pascal)})
	return h
}

// toRead stands for what is still to be read: whoever holds the gauge puts a number in
// place of the "…".
func toRead[Q ~float64](u units.Unit) sheet.Quantity[Q] {
	return sheet.Quantity[Q]{Text: "… " + u.Symbol(), Given: true}
}

// lastRange is the flow range that was last in use.
func lastRange(c *survey.Case) string {
	for _, h := range slices.Backward(c.Sheet.Holds) {
		if h.Fan.Given {
			return h.Range.Value
		}
	}
	return ""
}

// unusedName makes a name that no hold of the sheet has, so that the hold can be
// added to it as it stands.
func unusedName(c *survey.Case, name string) string {
	for k := 2; ; k++ {
		if !slices.ContainsFunc(c.Sheet.Holds, func(h sheet.Hold) bool { return survey.SameName(h.Name.Value, name) }) {
			return name
		}
		if k > 2 {
			name = name[:strings.LastIndexByte(name, ' ')]
		}
		name = fmt.Sprintf("%s %d", name, k)
	}
}
