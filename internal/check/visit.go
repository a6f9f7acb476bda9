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
	temperatureSlips(v, out)
	timeSlips(v, out)
}

// sizeSlips checks volume, areas and heights. The ranges are judgement: what
// dwellings are.
func sizeSlips(v *visit, out *slips) {
	h := v.sheet.House
	if volume := h.Volume; volume.Given && (volume.Value < 30 || volume.Value > 8000) {
		out.say(Warns, volume.Pos, "house", "a volume of "+volume.Value.Text(v.system.Volume(), 0)+" is hardly that of a house", "its unit, ft3 or m3")
	} else if h.Volume.Given && h.FloorArea.Given && h.FloorArea.Value > 0 {
		ceilingSlip(v, out, h)
	}
	if a := h.FloorArea; a.Given && (a.Value < 12 || a.Value > 2000) {
		out.say(Warns, a.Pos, "house", "a floor area of "+a.Value.Text(v.system.FloorArea(), 0)+" is hardly that of a house", "its unit, ft2 or m2")
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

// temperatureSlips checks those of the air: °F and °C are easily taken for each
// other.
func temperatureSlips(v *visit, out *slips) {
	h := v.sheet.House
	temperatureSlip(v, out, h.Indoor, "house", "indoors", 278, 313)
	temperatureSlip(v, out, h.Outdoor, "house", "outdoors", 228, 325)
	for i := range v.sheet.Holds {
		x := &v.sheet.Holds[i]
		temperatureSlip(v, out, x.Indoor, survey.HoldName(i, x), "indoors", 278, 313)
		temperatureSlip(v, out, x.Outdoor, survey.HoldName(i, x), "outdoors", 228, 325)
	}
	for _, z := range v.sheet.Zones {
		temperatureSlip(v, out, z.Temperature, units.Sanitize(z.Name.Value), "in a zone", 228, 345)
	}
}

func temperatureSlip(v *visit, out *slips, t sheet.Temperature, about, where string, low, high units.Temperature) {
	if t.Given && (t.Value < low || t.Value > high) {
		out.say(Warns, t.Pos, about, t.Value.Text(v.system.Temperature(), 0)+" "+where+" is hardly so", "its unit, °F or °C")
	}
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
