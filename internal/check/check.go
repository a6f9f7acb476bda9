// Package check looks a sheet through for what makes an answer wrong without a trace: slips of
// sign, unit and decimal point, closing errors, numbers that no house has, readings that do not
// fit the others. It says where each stands, what to look at on site, and what the readings can
// answer.
package check

import (
	"cmp"
	"errors"
	"slices"
	"time"

	"holdbook/internal/sheet"
	"holdbook/internal/survey"
	"holdbook/pressure"
	"holdbook/units"
)

// Level says what a finding of a check does to the sheet.
type Level string

// The levels: a block keeps the sheet from being used, a warning is a likely
// slip, a note is worth knowing.
const (
	Blocks  Level = "blocks"
	Warns   Level = "warning"
	Remarks Level = "note"
)

// Item is one thing to look at.
type Item struct {
	Level  Level  `json:"level"`
	Line   int    `json:"line,omitempty"`
	Column int    `json:"column,omitempty"`
	About  string `json:"about,omitempty"`
	Text   string `json:"text"`
	Look   string `json:"look,omitempty"` // what to look at on site
	// Doubt marks a note that may tell of a slip, as a warning does.
	Doubt bool `json:"doubt,omitempty"`
	// Impossible marks a pressure that no house could read: an answer does better without it.
	Impossible bool `json:"impossible,omitempty"`
}

// Answerable says of one space, or of the ducts, what its readings can and
// cannot answer.
type Answerable struct {
	Space string `json:"space"`
	Can   string `json:"can"`
	Needs string `json:"needs,omitempty"`
}

// Report is the check of a sheet.
type Report struct {
	Check   int          `json:"check"` // version of this format: 1
	Sheet   string       `json:"sheet"`
	Usable  bool         `json:"usable"` // nothing blocks
	Read    int          `json:"readings"`
	Checked int          `json:"checkable"` // readings that the others know well enough to show a slip in them
	Items   []Item       `json:"items"`
	Answers []Answerable `json:"answers"`
}

// Count is how many items of a level there are.
func (c *Report) Count(l Level) int {
	n := 0
	for _, i := range c.Items {
		if i.Level == l {
			n++
		}
	}
	return n
}

// visit is the sheet as it was brought from the visit: with the holds that a case is made without.
type visit struct {
	sheet  *sheet.Sheet
	system units.System
	gauge  pressure.Gauge
	now    time.Time
	closed [][]*survey.Closing // the zones of each hold that were read to the house or to outside
}

// slips gathers what is found: what is named already is not named again.
type slips struct {
	items  []Item
	open   map[sheet.Pos]bool // closing errors already named, by the place survey names them at
	unlike Level              // of the clearest difference between fan flows of one state
	doubt  map[sheet.Pos]bool // holds whose pressure or state is in doubt: nothing is compared with them
}

// Sheet looks a sheet through for slips that can be seen before or beside the
// computing. What keeps it from being used is an item, not an error; a hold
// that is blocked is set aside, and the others are checked without it.
func Sheet(s *sheet.Sheet, o survey.Options, now time.Time) *Report {
	o.CurvatureOnly = true // which readings fit does not hang on the shape of the intervals
	v := &visit{sheet: s, system: survey.SystemOf(s, o), gauge: survey.GaugeOf(s.Gauge), now: now}
	for i := range s.Holds {
		h := &s.Holds[i]
		v.closed = append(v.closed, survey.Closings(h, survey.SignedHouse(s, h), survey.GaugeIn(s, v.gauge, i)))
	}
	out := &slips{open: map[sheet.Pos]bool{}, doubt: map[sheet.Pos]bool{}}
	r := &Report{Check: 1, Sheet: s.File}
	visitSlips(v, out)
	slipsAlone(v, out)
	c := buildCase(v, out, o)
	if c != nil {
		slipsTogether(c, v, out)
	}
	ductSlips(v, out)
	cazSlips(v, out)
	if c != nil {
		e, checks := misfits(c, out, o)
		r.Read, r.Checked = countChecked(checks)
		r.Answers = whatAnswers(c, v, e, out)
	}
	r.Items, r.Answers = survey.OrEmpty(out.items), survey.OrEmpty(r.Answers)
	r.Usable = r.Count(Blocks) == 0
	slices.SortStableFunc(r.Items, func(a, b Item) int {
		return cmp.Or(cmp.Compare(rank(a.Level), rank(b.Level)), cmp.Compare(a.Line, b.Line), cmp.Compare(a.Column, b.Column))
	})
	return r
}

func rank(l Level) int { return slices.Index([]Level{Blocks, Warns, Remarks}, l) }

// buildCase makes the case of a sheet, setting aside one blocked hold after the other;
// nil when none can be made.
func buildCase(v *visit, out *slips, o survey.Options) *survey.Case {
	usable := v.sheet
	for {
		c, err := survey.NewCase(usable, o, survey.NewLog(false))
		if err == nil {
			return c
		}
		k := holdAt(usable, blocked(v, out, err))
		if k < 0 {
			return nil
		}
		usable = withoutHold(usable, k)
	}
}

// blocked turns what stops the survey into items, and returns its place.
func blocked(v *visit, out *slips, err error) sheet.Pos {
	var list sheet.Problems
	if !errors.As(err, &list) || len(list) == 0 {
		out.say(Blocks, sheet.Pos{}, "", err.Error(), "the readings of the hold it names")
		return sheet.Pos{}
	}
	for _, p := range list {
		if out.open[p.Pos] {
			continue
		}
		out.say(Blocks, p.Pos, aboutOf(v, p.Pos), p.Text, "")
	}
	return list[0].Pos
}

// aboutOf names the hold a place belongs to.
func aboutOf(v *visit, pos sheet.Pos) string {
	if k := holdAt(v.sheet, pos); k >= 0 {
		return survey.HoldName(k, &v.sheet.Holds[k])
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
		t.Holds[i].Name.Value = survey.HoldName(i, &t.Holds[i])
	}
	if h := t.Holds[k]; k+1 < len(t.Holds) && !t.Holds[k+1].Baseline.Given {
		t.Holds[k+1].Baseline = h.Baseline
	}
	t.Holds = slices.Delete(t.Holds, k, k+1)
	return &t
}

func (out *slips) say(l Level, pos sheet.Pos, about, text, look string) {
	out.add(Item{Level: l, Line: pos.Line, Column: pos.Column, About: about, Text: text, Look: look})
}

// doubtful is say for what may tell of a slip even where it is only worth a note.
func (out *slips) doubtful(l Level, pos sheet.Pos, about, text, look string) {
	out.add(Item{Level: l, Line: pos.Line, Column: pos.Column, About: about, Text: text, Look: look, Doubt: l == Remarks})
}

// add adds an item, once.
func (out *slips) add(i Item) {
	if !slices.Contains(out.items, i) {
		out.items = append(out.items, i)
	}
}

// said tells whether something worse than a note stands at a place.
func (out *slips) said(pos sheet.Pos) bool {
	return slices.ContainsFunc(out.items, func(i Item) bool {
		return i.Level != Remarks && i.Line == pos.Line && i.Column == pos.Column
	})
}
