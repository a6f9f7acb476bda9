package engine

import (
	"cmp"
	"strings"

	"holdbook/internal/sheet"
	"holdbook/internal/walk"
	"holdbook/units"
)

// begin is a hold to be made: what differs from as found, and what is read beside the house
// and the fan. Without that, all spaces are read to the house.
type begin struct {
	Name   string      `json:"name"`
	Opened [][2]string `json:"opened"`
	Sizes  []size      `json:"sizes"` // of what is opened, where they are known
	Sealed [][2]string `json:"sealed"`
	Fans   [][2]string `json:"fans"`   // second fans, from where to where each blows
	Guards []string    `json:"guards"` // neighbours that second fans hold level with the house
	Reads  [][2]string `json:"reads"`
}

// size is that of a hole, or of a hatch or door that stands ajar.
type size struct {
	Area string `json:"area"`
	Ajar string `json:"ajar"`
	Leaf string `json:"leaf"`
}

// give gives an opening its size.
func (z size) give(o *sheet.Opening) error {
	if z.Area != "" {
		a, err := units.ParseArea(z.Area)
		if err != nil {
			return err
		}
		o.Area = sheet.Written(a, z.Area)
	}
	if z.Ajar == "" {
		return nil
	}
	gap, err := units.ParseLength(z.Ajar)
	if err == nil {
		o.Ajar = sheet.Written(gap, z.Ajar)
		o.Leaf, err = sheet.ParseLeaf(z.Leaf)
	}
	return err
}

// hold is the hold in the words of the sheet.
func (b begin) hold() (h sheet.Hold, err error) {
	h.Name = sheet.Word(cmp.Or(units.Sanitize(b.Name), b.called()))
	for i, p := range b.Opened {
		o := sheet.Opening{Between: sheet.Between(p[0], p[1])}
		if i < len(b.Sizes) {
			if err := b.Sizes[i].give(&o); err != nil {
				return h, err
			}
		}
		h.Opened = append(h.Opened, o)
	}
	for _, p := range b.Sealed {
		h.Sealed = append(h.Sealed, sheet.Seal{Between: sheet.Between(p[0], p[1])})
	}
	for _, p := range b.Fans {
		h.Fans = append(h.Fans, sheet.Fan{From: sheet.Ref(p[0]), To: sheet.Ref(p[1])})
	}
	for _, g := range b.Guards {
		h.Guards = append(h.Guards, sheet.Ref(g))
	}
	for _, p := range b.Reads {
		h.Readings = append(h.Readings, sheet.Reading{Of: sheet.Ref(p[0]), To: sheet.Ref(p[1])})
	}
	return h, nil
}

// called is a name for a hold that was given none.
func (b begin) called() string {
	var parts []string
	for _, p := range b.Opened {
		parts = append(parts, p[0]+"–"+p[1]+" opened")
	}
	for _, p := range b.Sealed {
		parts = append(parts, p[0]+"–"+p[1]+" sealed")
	}
	for _, p := range b.Fans {
		parts = append(parts, "second fan, "+p[0]+" to "+p[1])
	}
	for _, g := range b.Guards {
		parts = append(parts, g+" held level")
	}
	return cmp.Or(strings.Join(parts, ", "), "as found again")
}

// holdOf is a proposed hold as the page gives it back to begin with.
func holdOf(h sheet.Hold) begin {
	b := begin{Name: h.Name.Value, Reads: [][2]string{}}
	for _, o := range h.Opened {
		b.Opened = append(b.Opened, [2]string{o.Between[0].Name, o.Between[1].Name})
		b.Sizes = append(b.Sizes, size{o.Area.Text, o.Ajar.Text, o.Leaf.Text})
	}
	for _, c := range h.Sealed {
		b.Sealed = append(b.Sealed, [2]string{c.Between[0].Name, c.Between[1].Name})
	}
	for _, f := range h.Fans {
		b.Fans = append(b.Fans, [2]string{f.From.Name, f.To.Name})
	}
	for _, g := range h.Guards {
		b.Guards = append(b.Guards, g.Name)
	}
	for _, r := range h.Readings {
		b.Reads = append(b.Reads, [2]string{r.Of.Name, r.To.Name})
	}
	return b
}

// begin makes the hold, whose readings are then asked for.
func (e *Engine) begin(r *request) (any, error) {
	if e.walk == nil {
		return nil, errNoVisit
	}
	h, err := r.Begin.hold()
	if err != nil {
		return nil, err
	}
	for _, z := range e.book.sheet.Zones {
		if r.Begin.Reads == nil {
			h.Readings = append(h.Readings, sheet.Reading{Of: sheet.Ref(z.Name.Value), To: sheet.Ref(sheet.HouseName)})
		}
	}
	return e.reply(e.walk.Begin(walk.Offer{Hold: h})), nil
}
