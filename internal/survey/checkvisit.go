package survey

import (
	"fmt"
	"math"
	"time"

	"holdbook/internal/sheet"
	"holdbook/units"
)

// dateSlack is how far a date may lie ahead of the clock: time zones, and a
// clock that is a little off.
const dateSlack = 36 * time.Hour

// visit checks what the sheet says of the day and the house.
func (c *checker) visit() {
	if d := c.whole.Job.Date; d.Given() && d.Time.After(c.now.Add(dateSlack)) {
		c.say(Warns, d.Pos, "job", "the date lies in the future", "the date of the visit")
	}
	if d := c.whole.Gauge.Calibrated; d.Given() && d.Time.After(c.now.Add(dateSlack)) {
		c.say(Warns, d.Pos, "gauge", "the gauge was calibrated in the future", "the date on its sticker")
	}
	c.sizes()
	c.temperatures()
	c.times()
}

// sizes checks volume, areas and heights. The ranges are judgement: what
// dwellings are.
func (c *checker) sizes() {
	h := c.whole.House
	if v := h.Volume; v.Given && (v.Value < 30 || v.Value > 8000) {
		c.say(Warns, v.Pos, "house", "a volume of "+v.Value.Text(c.system.Volume(), 0)+" is hardly that of a house", "its unit, ft3 or m3")
	} else if h.Volume.Given && h.FloorArea.Given && h.FloorArea.Value > 0 {
		c.ceiling(h)
	}
	if a := h.FloorArea; a.Given && (a.Value < 12 || a.Value > 2000) {
		c.say(Warns, a.Pos, "house", "a floor area of "+a.Value.Text(c.system.FloorArea(), 0)+" is hardly that of a house", "its unit, ft2 or m2")
	}
	if a := h.EnvelopeArea; a.Given && h.FloorArea.Given {
		if share := float64(a.Value / h.FloorArea.Value); share < 0.8 || share > 9 {
			c.say(Warns, a.Pos, "house", fmt.Sprintf("the envelope is %s times the floor area; houses have about twice to four times", figures(share)), "the units of the two areas")
		}
	}
	if t := h.Height; t.Given {
		if each := float64(t.Value) / math.Max(1, float64(h.Storeys.Or(1))); each < 1.9 || each > 7 {
			c.say(Warns, t.Pos, "house", "its height makes storeys of "+units.Length(each).Text(c.system.Length(), 1), "the unit of the height, ft or m, and the storeys")
		}
	}
}

func (c *checker) ceiling(h sheet.House) {
	height := units.Length(float64(h.Volume.Value) / float64(h.FloorArea.Value))
	if height >= 1.9 && height <= 5.5 {
		return
	}
	pos := h.Volume.Pos
	if a := h.FloorArea.Value; a < 30 || a > 600 { // the less usual of the two
		pos = h.FloorArea.Pos
	}
	c.say(Warns, pos, "house", "volume over floor area makes a ceiling of "+height.Text(c.system.Length(), 1),
		"the units of volume and floor area, and whether all floors are in both")
}

// temperatures checks those of the air: °F and °C are easily taken for each
// other.
func (c *checker) temperatures() {
	h := c.whole.House
	c.temperature(h.Indoor, "house", "indoors", 278, 313)
	c.temperature(h.Outdoor, "house", "outdoors", 228, 325)
	for i := range c.whole.Holds {
		x := &c.whole.Holds[i]
		c.temperature(x.Indoor, holdName(i, x), "indoors", 278, 313)
		c.temperature(x.Outdoor, holdName(i, x), "outdoors", 228, 325)
	}
	for _, z := range c.whole.Zones {
		c.temperature(z.Temperature, units.Sanitize(z.Name.Value), "in a zone", 228, 345)
	}
}

func (c *checker) temperature(t sheet.Temperature, about, where string, low, high units.Temperature) {
	if t.Given && (t.Value < low || t.Value > high) {
		c.say(Warns, t.Pos, about, t.Value.Text(c.system.Temperature(), 0)+" "+where+" is hardly so", "its unit, °F or °C")
	}
}

// times checks that the holds follow each other.
func (c *checker) times() {
	last, name := time.Time{}, ""
	for i := range c.whole.Holds {
		h := &c.whole.Holds[i]
		if !h.Time.Given() {
			continue
		}
		if name != "" && h.Time.Time.Before(last) {
			c.say(Warns, h.Time.Pos, holdName(i, h), "it is earlier than "+name+", which stands before it", "the time, or the order of the holds")
		}
		last, name = h.Time.Time, holdName(i, h)
	}
}

// figures prints a ratio with two figures.
func figures(v float64) string {
	if v == 0 {
		return "0"
	}
	places := 1 - int(math.Floor(math.Log10(math.Abs(v))))
	return units.Fixed(v, max(0, min(places, 4)))
}
