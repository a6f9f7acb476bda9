package survey

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"time"

	"holdbook/internal/sheet"
	"holdbook/units"
	"holdbook/zonal"
)

// CheckLevel says what a finding of a check does to the sheet.
type CheckLevel string

// The levels: a block keeps the sheet from being used, a warning is a likely
// slip, a note is worth knowing.
const (
	Blocks  CheckLevel = "blocks"
	Warns   CheckLevel = "warning"
	Remarks CheckLevel = "note"
)

// CheckItem is one thing to look at.
type CheckItem struct {
	Level  CheckLevel `json:"level"`
	Line   int        `json:"line,omitempty"`
	Column int        `json:"column,omitempty"`
	About  string     `json:"about,omitempty"`
	Text   string     `json:"text"`
	Look   string     `json:"look"` // what to look at on site
}

// Answerable says of one space what its readings can and cannot answer.
type Answerable struct {
	Space string `json:"space"`
	Can   string `json:"can"`
	Needs string `json:"needs,omitempty"`
}

// CheckReport is the check of a sheet.
type CheckReport struct {
	Check   int          `json:"check"` // version of this format: 1
	Sheet   string       `json:"sheet"`
	Items   []CheckItem  `json:"items"`
	Answers []Answerable `json:"answers"`
}

// Count is how many items of a level there are.
func (c *CheckReport) Count(l CheckLevel) int {
	n := 0
	for _, i := range c.Items {
		if i.Level == l {
			n++
		}
	}
	return n
}

// checker gathers what is found.
type checker struct {
	*run
	out *CheckReport
	now time.Time
}

// Check looks a sheet through for slips that can be seen before or beside the
// computing. What keeps it from being used is an item, not an error.
func Check(s *sheet.Sheet, o Options, now time.Time) *CheckReport {
	c := &checker{out: &CheckReport{Check: 1, Sheet: s.File}, now: now}
	r, err := prepare(s, o)
	if err != nil {
		c.run = &run{sheet: s, system: systemOf(s, o), gauge: gaugeOf(s.Gauge), f: &Findings{}, seen: map[Notice]bool{}}
		c.blocked(err)
	} else {
		c.run = r
	}
	c.visit()
	c.holdsAlone()
	c.ductSlips()
	if err == nil {
		c.holdsTogether()
		c.fits()
		c.answers()
	}
	c.out.Items, c.out.Answers = orEmpty(c.out.Items), orEmpty(c.out.Answers)
	slices.SortStableFunc(c.out.Items, func(a, b CheckItem) int {
		return cmp.Or(cmp.Compare(rank(a.Level), rank(b.Level)), cmp.Compare(a.Line, b.Line), cmp.Compare(a.Column, b.Column))
	})
	return c.out
}

func rank(l CheckLevel) int { return slices.Index([]CheckLevel{Blocks, Warns, Remarks}, l) }

// blocked turns what stops the survey into items.
func (c *checker) blocked(err error) {
	var list sheet.Problems
	if !errors.As(err, &list) {
		c.say(Blocks, sheet.Pos{}, "", err.Error(), "look at the readings of the hold it names")
		return
	}
	for _, p := range list {
		c.say(Blocks, p.Pos, "", p.Text, "read it again before the fan is taken down")
	}
}

func (c *checker) say(l CheckLevel, pos sheet.Pos, about, text, look string) {
	i := CheckItem{Level: l, Line: pos.Line, Column: pos.Column, About: about, Text: text, Look: look}
	if !slices.Contains(c.out.Items, i) {
		c.out.Items = append(c.out.Items, i)
	}
}

// visit checks what the sheet says of the day and the house.
func (c *checker) visit() {
	j, h := c.sheet.Job, c.sheet.House
	if j.Date.Given() && j.Date.Time.After(c.now.Add(36*time.Hour)) {
		c.say(Warns, j.Date.Pos, "job", "the date lies in the future", "the date of the visit")
	}
	if h.Volume.Given && h.FloorArea.Given && h.FloorArea.Value > 0 {
		height := units.Length(float64(h.Volume.Value) / float64(h.FloorArea.Value))
		if height < 1.9 || height > 5.5 {
			c.say(Warns, h.Volume.Pos, "house", fmt.Sprintf("volume over floor area makes a ceiling of %s", height.Text(c.system.Length(), 1)), "the units of volume and floor area, and whether all floors are in both")
		}
	}
	if t := h.Indoor; t.Given && (t.Value < 273.15 || t.Value > 313.15) {
		c.say(Warns, t.Pos, "house", "an indoor temperature of "+t.Value.Text(c.system.Temperature(), 0)+" is hardly one", "degrees F or C")
	}
	if t := h.Outdoor; t.Given && (t.Value < 223.15 || t.Value > 325) {
		c.say(Warns, t.Pos, "house", "an outdoor temperature of "+t.Value.Text(c.system.Temperature(), 0)+" is hardly one", "degrees F or C")
	}
	last := time.Time{}
	for i := range c.sheet.Holds {
		hold := &c.sheet.Holds[i]
		if !hold.Time.Given() {
			continue
		}
		if !last.IsZero() && hold.Time.Time.Before(last) {
			c.say(Warns, hold.Time.Pos, holdName(i, hold), "it is earlier than the hold before it", "the time, or the order of the holds")
		}
		last = hold.Time.Time
	}
}

// answers says of each space what its readings carry.
func (c *checker) answers() {
	for id := zonal.SpaceID(2); int(id) < len(c.names); id++ {
		read, opened := c.reach(id)
		a := Answerable{Space: c.names[id]}
		switch {
		case read == 0 && !opened:
			a.Can, a.Needs = "nothing of it was read as found", "a pressure, with everything as found"
		case opened && c.fans() > 1:
			a.Can = "how it is joined, and the size of its leaks"
		case read == 1:
			a.Can, a.Needs = "one pressure: how it is joined, not how large its leaks are", "a change with the fan read: open it to the house or to outside, or add a hole of known size"
		default:
			a.Can, a.Needs = "how it is joined, each reading checked by the others", "a change with the fan read, for the size of its leaks"
		}
		c.out.Answers = append(c.out.Answers, a)
	}
}

// reach counts the readings of a zone as found, and tells whether it was opened,
// sealed or blown in some hold.
func (c *checker) reach(id zonal.SpaceID) (read int, changed bool) {
	for k := range c.model.Holds {
		m := &c.model.Holds[k]
		if c.held[k].hold.AsFound() {
			for _, x := range m.Read {
				if x.Of == id || x.To == id {
					read++
				}
			}
		}
		for _, o := range m.Opened {
			changed = changed || c.model.Openings[o].A == id || c.model.Openings[o].B == id
		}
		for _, p := range m.Sealed {
			changed = changed || c.model.Paths[p].A == id || c.model.Paths[p].B == id
		}
		for _, f := range m.Fans {
			changed = changed || f.From == id || f.To == id
		}
	}
	return read, changed
}
