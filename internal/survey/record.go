package survey

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"holdbook/internal/sheet"
	"holdbook/units"
	"holdbook/zonal"
)

// Record is the test as another professional checks it, line by line: what the sheet says, in
// the digits that were typed, with what was made of each reading beside it.
type Record struct {
	Standard    string        `json:"standard,omitempty"`
	Method      string        `json:"method,omitempty"`
	Contact     string        `json:"contact,omitempty"`
	Deviations  []string      `json:"deviations"` // from the standard, as stated and as the readings show
	Instruments []Instrument  `json:"instruments"`
	Building    []Given       `json:"building"`
	Condition   []string      `json:"condition"` // of the house during the test
	Spaces      []SpaceRecord `json:"spaces"`
	Readings    []ReadingLine `json:"readings"`
	Other       []Given       `json:"other"`   // all else that the sheet says
	Missing     []string      `json:"missing"` // what such a record usually holds and the sheet does not say
}

// Instrument is a gauge or a fan.
type Instrument struct {
	What       string `json:"what"`
	ID         string `json:"id,omitempty"`
	Calibrated string `json:"calibrated,omitempty"`
	Other      string `json:"other,omitempty"` // what it promises, and notes
}

// Given is something that the sheet says, in its own words.
type Given struct {
	What string `json:"what"`
	Text string `json:"as_written"`
}

// SpaceRecord is a zone, with its openings as they were found and as they were tested.
type SpaceRecord struct {
	Name   string `json:"name"`
	Found  string `json:"found,omitempty"`
	Tested string `json:"tested,omitempty"`
	Other  string `json:"other,omitempty"`
}

// ReadingLine is one reading, or a change of the house, as it was typed.
type ReadingLine struct {
	Hold   string     `json:"hold"`
	Time   string     `json:"time,omitempty"`
	What   string     `json:"reading"`
	AsRead string     `json:"as_read"`
	Read   *float64   `json:"read,omitempty" in:"Unit"`      // the same as a number; the mean of samples
	Made   *float64   `json:"corrected,omitempty" in:"Unit"` // less baseline, or for the air in the leaks
	Unit   units.Unit `json:"unit,omitzero"`
	Note   string     `json:"note,omitempty"`
}

// said is what a sheet says, by the table and its number.
type said struct {
	table string
	of    int
	keys  []sheet.Stated
}

// sayings groups what a sheet says by its tables.
func sayings(s *sheet.Sheet) (list []said) {
	for _, x := range s.Stated() {
		if n := len(list); n == 0 || list[n-1].table != x.Table || list[n-1].of != x.Of {
			list = append(list, said{table: x.Table, of: x.Of})
		}
		last := &list[len(list)-1]
		last.keys = append(last.keys, x)
	}
	return list
}

// text is what a table says, but for some of its keys.
func (t said) text(without ...string) string {
	var parts []string
	for _, k := range t.keys {
		if !slices.Contains(without, k.Key) {
			parts = append(parts, keyWords(k.Key)+" "+k.Text)
		}
	}
	return strings.Join(parts, "; ")
}

// keyWords is a key of the sheet as it is printed.
func keyWords(key string) string { return strings.ReplaceAll(key, "_", " ") }

// value is the text of a key, "" where the table does not have it.
func (t said) value(key string) string {
	for _, k := range t.keys {
		if k.Key == key {
			return k.Text
		}
	}
	return ""
}

// recordOf is the record of a case.
func recordOf(c *Case) *Record {
	j := c.Sheet.Job
	r := &Record{Standard: j.Standard.Value, Method: j.Method.Value, Contact: j.Contact.Value, Deviations: deviations(c), Condition: []string{},
		Missing: missing(c)}
	for _, x := range c.Sheet.House.Condition {
		r.Condition = append(r.Condition, x.Value)
	}
	for _, t := range sayings(c.Sheet) {
		r.add(c, t)
	}
	r.Instruments, r.Building, r.Spaces = OrEmpty(r.Instruments), OrEmpty(r.Building), OrEmpty(r.Spaces)
	r.Readings, r.Other = OrEmpty(r.Readings), OrEmpty(r.Other)
	return r
}

// inJob are the keys of [job] that have a place of their own in the findings.
var inJob = []string{"name", "date", "by", "place", "wind", "hold", "standard", "method", "contact", "deviations", "note"}

// add puts what one table says into its place.
func (r *Record) add(c *Case, t said) {
	switch t.table {
	case "hold":
		r.Readings = append(r.Readings, holdLines(c, t)...)
	case "zone":
		r.Spaces = append(r.Spaces, SpaceRecord{Name: t.value("name"), Found: t.value("found"), Tested: t.value("tested"), Other: t.text("name", "found", "tested")})
	case "gauge", "door_fan":
		r.Instruments = append(r.Instruments, Instrument{What: keyWords(t.table), ID: t.value("id"), Calibrated: t.value("calibrated"), Other: t.text("id", "calibrated")})
	case "house":
		for _, k := range t.keys {
			if k.Key != "condition" {
				r.Building = append(r.Building, Given{keyWords(k.Key), k.Text})
			}
		}
	case "job":
		r.other(keyWords(t.table), t.text(inJob...))
	default:
		name := keyWords(t.table)
		if t.of > 0 {
			name = fmt.Sprintf("%s %d", name, t.of)
		}
		r.other(cmp.Or(name, "sheet"), t.text())
	}
}

func (r *Record) other(what, text string) {
	if text != "" {
		r.Other = append(r.Other, Given{what, text})
	}
}

// holdLines are the readings of a hold, each beside what was made of it, and whatever else
// its table says.
func holdLines(c *Case, t said) []ReadingLine {
	h := &c.Sheet.Holds[t.of-1]
	l := lines{hold: HoldName(t.of-1, h), time: h.Time.Text, scaled: ScaledTo(c.Sheet, h)}
	k := slices.IndexFunc(c.Held, func(s LaidHold) bool { return s.Hold == h })
	var m *zonal.Hold
	if k >= 0 {
		m = &c.Model.Holds[k]
	}
	for _, key := range t.keys {
		switch key.Key {
		case "name", "time", "range", "fan_scaled_to":
		case "house":
			l.house(h, m)
		case "fan":
			l.fan(h, m)
		case "to_house", "to_outside", "readings":
			if !l.readings {
				l.addReadings(h, m)
			}
		case "opened", "sealed", "fans":
			if !l.changes {
				l.addChanges(h, m)
			}
		default:
			l.say(holdKeyWords(key.Key), key.Text, "")
		}
	}
	return l.list
}

// holdKeyWords says what a key of a hold is, where its name alone would not.
func holdKeyWords(key string) string {
	switch key {
	case "baseline", "baseline_after":
		return "house to outside, " + strings.Replace(key, "_", " ", 1)
	}
	return keyWords(key)
}

// lines gathers the lines of one hold.
type lines struct {
	hold, time        string
	scaled            sheet.Pressure // that the fan flow was shown carried to
	readings, changes bool           // of these all are added
	list              []ReadingLine
}

// say adds what is no number.
func (l *lines) say(what, text, note string) {
	l.list = append(l.list, ReadingLine{Hold: l.hold, Time: l.time, What: what, AsRead: text, Note: note})
}

// add adds a reading; made is what was made of it in SI, nil for nothing.
func (l *lines) add(what, typed string, read float64, made *float64, u units.Unit, note string) {
	l.list = append(l.list, ReadingLine{Hold: l.hold, Time: l.time, What: what, AsRead: typed, Read: &read, Made: made, Unit: u.Base(), Note: note})
}

func (l *lines) house(h *sheet.Hold, m *zonal.Hold) {
	var made *float64
	if m != nil {
		made = new(float64(m.House))
	}
	l.add("house to outside", h.House.AsTyped(), float64(h.House.Value), made, units.Pascal, "")
}

func (l *lines) fan(h *sheet.Hold, m *zonal.Hold) {
	var made *float64
	if m != nil && m.Fan != nil {
		made = new(float64(m.Fan.Flow))
	}
	l.add("door fan", h.Fan.AsTyped(), float64(h.Fan.Value), made, units.CubicMetrePerSecond, rangeNote(h.Range, l.scaled))
}

// rangeNote is what a flow was read with.
func rangeNote(flowRange sheet.Text, to sheet.Pressure) string {
	var parts []string
	if flowRange.Given() {
		parts = append(parts, "range "+flowRange.Value)
	}
	if to.Given {
		parts = append(parts, "shown carried to "+to.Text)
	}
	return strings.Join(parts, "; ")
}

// addReadings adds the readings between spaces: pressures less their baselines, flows as
// they are.
func (l *lines) addReadings(h *sheet.Hold, m *zonal.Hold) {
	l.readings = true
	i := 0
	for _, x := range h.Readings {
		what := x.Of.Name + " to " + x.To.Name
		if x.Flow.Given {
			l.add(what+", flow", x.Flow.AsTyped(), float64(x.Flow.Value), nil, units.CubicMetrePerSecond, readingNote(x))
			continue
		}
		var made *float64
		if m != nil && i < len(m.Read) {
			made = new(float64(m.Read[i].Pressure))
		}
		i++
		l.add(what, x.Pressure.AsTyped(), float64(x.Pressure.Value), made, units.Pascal, readingNote(x))
	}
}

func readingNote(x sheet.Reading) string {
	var parts []string
	if x.Baseline.Given {
		parts = append(parts, "baseline "+x.Baseline.AsTyped())
	}
	if sd := cmp.Or(x.PressureSD.Text, x.SD.Text); sd != "" {
		parts = append(parts, "sd "+sd)
	}
	if x.Note.Given() {
		parts = append(parts, x.Note.Value)
	}
	return strings.Join(parts, "; ")
}

// addChanges adds what was opened, sealed and blown.
func (l *lines) addChanges(h *sheet.Hold, m *zonal.Hold) {
	l.changes = true
	pair := func(p sheet.Pair) string { return p[0].Name + "–" + p[1].Name }
	join := func(parts ...string) string {
		return strings.Join(slices.DeleteFunc(parts, func(s string) bool { return s == "" }), ", ")
	}
	labelled := func(label, text string) string {
		if text == "" {
			return ""
		}
		return label + " " + text
	}
	for _, o := range h.Opened {
		l.say("opened", join(pair(o.Between), o.Name.Value, o.Area.Text, labelled("cd", o.Cd.Text), labelled("ajar", o.Ajar.Text), labelled("leaf", o.Leaf.Text)), o.Note.Value)
	}
	for _, s := range h.Sealed {
		l.say("sealed", pair(s.Between), s.Note.Value)
	}
	for i, f := range h.Fans {
		var made *float64
		if m != nil && i < len(m.Fans) {
			made = new(float64(m.Fans[i].Flow))
		}
		atRest := ""
		if f.AtBaseline.Or(false) {
			atRest = "ran at the baseline too"
		}
		l.add(join("fan "+f.From.Name+" to "+f.To.Name, f.Name.Value), f.Flow.AsTyped(), float64(f.Flow.Value), made, units.CubicMetrePerSecond,
			join(rangeNote(f.Range, f.ScaledTo), atRest, f.Note.Value))
	}
}

// missing is what a record of a test usually holds and the sheet does not say.
func missing(c *Case) []string {
	s, list := c.Sheet, []string{}
	for _, x := range []stating{
		{"name or place of the house", s.Job.Name.Given() || s.Job.Place.Given()}, {"date", s.Job.Date.Given()}, {"who tested", s.Job.By.Given()},
		{"contact", s.Job.Contact.Given()}, {"standard", s.Job.Standard.Given()}, {"method", s.Job.Method.Given()},
		{"volume", s.House.Volume.Given}, {"floor area", s.House.FloorArea.Given}, {"envelope area", s.House.EnvelopeArea.Given},
		{"height", s.House.Height.Given}, {"altitude", s.House.Altitude.Given}, {"temperatures indoors and outdoors", c.Outdoor.Known},
		{"wind", s.Job.Wind.Given()}, {"condition of openings and appliances", len(s.House.Condition) > 0},
		{"gauge and its calibration", s.Gauge.ID.Given() && s.Gauge.Calibrated.Given()},
		{"door fan and its calibration", s.DoorFan.ID.Given() && s.DoorFan.Calibrated.Given()},
		{"baseline before", given(s, func(h *sheet.Hold) bool { return h.Baseline.Given })},
		{"baseline after", given(s, func(h *sheet.Hold) bool { return h.BaselineAfter.Given })},
		missingOf(s, "time", func(h *sheet.Hold) bool { return !h.Time.Given() }),
		missingOf(s, "flow range", func(h *sheet.Hold) bool { return h.Fan.Given && !h.Range.Given() }),
	} {
		if !x.said {
			list = append(list, x.what)
		}
	}
	return list
}

// stating is whether a sheet states something.
type stating struct {
	what string
	said bool
}

// missingOf tells of how many holds something is not stated.
func missingOf(s *sheet.Sheet, what string, lacks func(*sheet.Hold) bool) stating {
	n := 0
	for i := range s.Holds {
		if lacks(&s.Holds[i]) {
			n++
		}
	}
	if n == len(s.Holds) {
		return stating{what + " of each hold", n == 0}
	}
	return stating{fmt.Sprintf("%s of %d of %d holds", what, n, len(s.Holds)), n == 0}
}

// given tells whether some hold has what is asked for.
func given(s *sheet.Sheet, has func(*sheet.Hold) bool) bool {
	for i := range s.Holds {
		if has(&s.Holds[i]) {
			return true
		}
	}
	return false
}
