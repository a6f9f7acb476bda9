package check

import (
	"fmt"
	"math"
	"time"

	"holdbook/internal/sheet"
	"holdbook/internal/survey"
	"holdbook/units"
)

// dateSlack is how far a date may lie ahead of the clock: time zones, and a
// clock that is a little off.
const dateSlack = 36 * time.Hour

// visitSlips checks what the sheet says of the day and the house.
func visitSlips(v *visit, out *slips) {
	if d := v.sheet.Job.Date; d.Given() && d.Time.After(v.now.Add(dateSlack)) {
		out.say(Warns, d.Pos, "job", "the date lies in the future", "the date of the visit")
	}
	if d := v.sheet.Gauge.Calibrated; d.Given() && d.Time.After(v.now.Add(dateSlack)) {
		out.say(Warns, d.Pos, "gauge", "the gauge was calibrated in the future", "the date on its sticker")
	}
	sizeSlips(v, out)
	out.outOfRange(airRanges(v)...)
	timeSlips(v, out)
}

// sizeSlips checks volume, areas and heights. The ranges are judgement: what
// dwellings are.
func sizeSlips(v *visit, out *slips) {
	h := v.sheet.House
	out.outOfRange(houseRanges(v)...)
	if h.Volume.Given && !out.said(h.Volume.Pos) && h.FloorArea.Given && h.FloorArea.Value > 0 {
		ceilingSlip(v, out, h)
	}
	if a := h.EnvelopeArea; a.Given && h.FloorArea.Given {
		if share := float64(a.Value / h.FloorArea.Value); share < 0.8 || share > 9 {
			out.say(Warns, a.Pos, "house", fmt.Sprintf("the envelope is %s times the floor area; houses have about twice to four times", figures(share)), "the units of the two areas")
		}
	}
	if t := h.Height; t.Given {
		if each := float64(t.Value) / math.Max(1, float64(h.Storeys.Or(1))); each < 1.9 || each > 7 {
			out.say(Warns, t.Pos, "house", "its height makes storeys of "+units.Length(each).Text(v.system.Length(), 1), "the unit of the height, ft or m, and the storeys")
		}
	}
}

func ceilingSlip(v *visit, out *slips, h sheet.House) {
	height := units.Length(float64(h.Volume.Value) / float64(h.FloorArea.Value))
	if height >= 1.9 && height <= 5.5 {
		return
	}
	pos := h.Volume.Pos
	if a := h.FloorArea.Value; a < 30 || a > 600 { // the less usual of the two
		pos = h.FloorArea.Pos
	}
	out.say(Warns, pos, "house", "volume over floor area makes a ceiling of "+height.Text(v.system.Length(), 1),
		"the units of volume and floor area, and whether all floors are in both")
}

// timeSlips checks that the holds follow each other.
func timeSlips(v *visit, out *slips) {
	last, name := time.Time{}, ""
	for i := range v.sheet.Holds {
		h := &v.sheet.Holds[i]
		if !h.Time.Given() {
			continue
		}
		if name != "" && h.Time.Time.Before(last) {
			out.say(Warns, h.Time.Pos, survey.HoldName(i, h), "it is earlier than "+name+", which stands before it", "the time, or the order of the holds")
		}
		last, name = h.Time.Time, survey.HoldName(i, h)
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
