package engine

import (
	"slices"
	"time"

	"holdbook/internal/check"
	"holdbook/internal/sheet"
	"holdbook/internal/survey"
	"holdbook/internal/walk"
)

// slip is something to look at, with the answer it is about.
type slip struct {
	check.Item
	Step string `json:"step,omitempty"`
	Hold string `json:"hold,omitempty"`
}

// checked is the check of one text of a sheet: an answer and its slips both need it.
type checked struct {
	text   string
	at     time.Time
	report *check.Report
}

// checkOf checks a sheet, unless it has just been.
func (e *Engine) checkOf(text string, s *sheet.Sheet) *check.Report {
	now := e.now()
	if text += "\x00" + s.Job.Units.Value; e.checked.report == nil || e.checked.text != text || now.Sub(e.checked.at) > time.Hour {
		e.checked = checked{text, now, check.Sheet(s, survey.Options{}, now)}
	}
	r := *e.checked.report
	r.Items = slices.Clone(r.Items)
	return &r
}

// check looks the open visit through for slips.
func (e *Engine) check(*request) (any, error) {
	if e.walk == nil {
		return nil, errNoVisit
	}
	return slipsOf(e.checkOf(string(e.book.text), e.book.sheet), e.walk), nil
}

// look looks through a sheet that need not be the open visit.
func (e *Engine) look(r *request) (any, error) {
	s, err := r.sheetOf(r.Sheet)
	if err != nil {
		return nil, err
	}
	b, err := openBook(r.Sheet, "visit")
	if err != nil {
		return nil, err
	}
	return slipsOf(e.checkOf(r.Sheet, s), walk.New(b, nil, e.now)), nil
}

// slipsOf puts the items of a check at the answers of a walk.
func slipsOf(r *check.Report, w *walk.Walk) []slip {
	answers := w.Answers()
	list := []slip{}
	for _, i := range r.Items {
		s := slip{Item: i}
		for _, a := range answers {
			if a.Pos.Line > 0 && a.Pos.Line == i.Line && a.Pos.Column == i.Column {
				s.Step, s.Hold = a.Step, a.Hold
			}
		}
		list = append(list, s)
	}
	return list
}

// withoutOpen leaves out what a check remarks of a hold that is still being read: that it
// has no house pressure yet is on the screen that asks for it.
func withoutOpen(r *check.Report, s *sheet.Sheet) {
	r.Items = slices.DeleteFunc(r.Items, func(i check.Item) bool {
		return i.Level == check.Remarks && slices.ContainsFunc(s.Holds, func(h sheet.Hold) bool { return !h.Finished() && h.Pos.Line == i.Line })
	})
}
