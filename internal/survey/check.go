package survey

import (
	"cmp"
	"errors"
	"slices"
	"time"

	"holdbook/internal/sheet"
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
	Look   string     `json:"look,omitempty"` // what to look at on site
}

// Answerable says of one space, or of the ducts, what its readings can and
// cannot answer.
type Answerable struct {
	Space string `json:"space"`
	Can   string `json:"can"`
	Needs string `json:"needs,omitempty"`
}

// CheckReport is the check of a sheet.
type CheckReport struct {
	Check   int          `json:"check"` // version of this format: 1
	Sheet   string       `json:"sheet"`
	Usable  bool         `json:"usable"` // nothing blocks
	Read    int          `json:"readings"`
	Checked int          `json:"checkable"` // readings that the others know well enough to show a slip in them
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

// checker gathers what is found. Its run is of the holds that can be used;
// whole is the sheet with all of them.
type checker struct {
	*run
	whole  *sheet.Sheet
	out    *CheckReport
	now    time.Time
	open   map[sheet.Pos]bool // closing errors already named, by the place survey names them at
	unlike CheckLevel         // of the clearest difference between fan flows of one state
	doubt  map[sheet.Pos]bool // holds whose pressure or state is in doubt: nothing is compared with them
}

// Check looks a sheet through for slips that can be seen before or beside the
// computing. What keeps it from being used is an item, not an error; a hold
// that is blocked is set aside, and the others are checked without it.
func Check(s *sheet.Sheet, o Options, now time.Time) *CheckReport {
	o.CurvatureOnly = true // which readings fit does not hang on the shape of the intervals
	c := &checker{whole: s, out: &CheckReport{Check: 1, Sheet: s.File}, now: now, open: map[sheet.Pos]bool{}, doubt: map[sheet.Pos]bool{}}
	c.run = &run{sheet: s, system: systemOf(s, o), gauge: gaugeOf(s.Gauge)}
	c.visit()
	c.holdsAlone()
	usable := c.prepare(o)
	if usable {
		c.holdsTogether()
	}
	c.ductSlips()
	if usable {
		c.fits()
		c.answers()
	}
	c.out.Usable = c.out.Count(Blocks) == 0
	c.out.Items, c.out.Answers = orEmpty(c.out.Items), orEmpty(c.out.Answers)
	slices.SortStableFunc(c.out.Items, func(a, b CheckItem) int {
		return cmp.Or(cmp.Compare(rank(a.Level), rank(b.Level)), cmp.Compare(a.Line, b.Line), cmp.Compare(a.Column, b.Column))
	})
	return c.out
}

func rank(l CheckLevel) int { return slices.Index([]CheckLevel{Blocks, Warns, Remarks}, l) }

// prepare builds the model, setting aside one blocked hold after the other. It
// is false when no model can be built.
func (c *checker) prepare(o Options) bool {
	usable := c.whole
	for {
		r, err := prepare(usable, o)
		if err == nil {
			c.run = r
			return true
		}
		pos := c.blocked(err)
		k := holdAt(usable, pos)
		if k < 0 {
			return false
		}
		usable = withoutHold(usable, k)
	}
}

// blocked turns what stops the survey into items, and returns its place.
func (c *checker) blocked(err error) sheet.Pos {
	var list sheet.Problems
	if !errors.As(err, &list) || len(list) == 0 {
		c.say(Blocks, sheet.Pos{}, "", err.Error(), "the readings of the hold it names")
		return sheet.Pos{}
	}
	for _, p := range list {
		if c.open[p.Pos] {
			continue
		}
		c.say(Blocks, p.Pos, c.aboutOf(p.Pos), p.Text, "")
	}
	return list[0].Pos
}

// aboutOf names the hold a place belongs to.
func (c *checker) aboutOf(pos sheet.Pos) string {
	if k := holdAt(c.whole, pos); k >= 0 {
		return holdName(k, &c.whole.Holds[k])
	}
	return ""
}

// holdAt is the hold a place of the sheet lies in; −1 if none.
func holdAt(s *sheet.Sheet, pos sheet.Pos) int {
	at := -1
	for k := range s.Holds {
		if p := s.Holds[k].Pos; p.Line > 0 && p.Line <= pos.Line && (at < 0 || p.Line > s.Holds[at].Pos.Line) {
			at = k
		}
	}
	return at
}

// withoutHold is the sheet with one hold taken out: the next inherits its
// baseline, and the others keep their names.
func withoutHold(s *sheet.Sheet, k int) *sheet.Sheet {
	t := *s
	t.Holds = slices.Clone(s.Holds)
	for i := range t.Holds {
		t.Holds[i].Name.Value = holdName(i, &t.Holds[i])
	}
	if h := t.Holds[k]; k+1 < len(t.Holds) && !t.Holds[k+1].Baseline.Given {
		t.Holds[k+1].Baseline = h.Baseline
	}
	t.Holds = slices.Delete(t.Holds, k, k+1)
	return &t
}

func (c *checker) say(l CheckLevel, pos sheet.Pos, about, text, look string) {
	i := CheckItem{Level: l, Line: pos.Line, Column: pos.Column, About: about, Text: text, Look: look}
	if !slices.Contains(c.out.Items, i) {
		c.out.Items = append(c.out.Items, i)
	}
}

// said tells whether something worse than a note stands at a place.
func (c *checker) said(pos sheet.Pos) bool {
	return slices.ContainsFunc(c.out.Items, func(i CheckItem) bool {
		return i.Level != Remarks && i.Line == pos.Line && i.Column == pos.Column
	})
}
