package walk

import (
	"holdbook/internal/sheet"
)

// Answered is a question that has been answered or passed over.
type Answered struct {
	Step, Hold string // its name in the records of the sheet, and the hold it was asked of
	Ask        string
	State      string    // "done", "skipped" or "not readable"
	Answer     string    // as it stands in the sheet; "" for none
	Pos        sheet.Pos // of the answer, where it has a place of its own
}

// Answers are the questions settled so far, in the order of work.
func (w *Walk) Answers() []Answered {
	var list []Answered
	for _, s := range w.visit.steps() {
		if s.state == "" {
			continue
		}
		a := Answered{Step: s.key.step, Hold: s.key.hold, Ask: s.ask, State: s.state, Answer: s.answer}
		if s.kind.place != nil {
			a.Pos = s.kind.place(s.of)
		}
		list = append(list, a)
	}
	return list
}

// Go goes back to a question that has been answered or passed over, to correct it.
// There is none of that name where it says false.
func (w *Walk) Go(step, hold string) bool {
	s, ok := w.stepOf(key{step, hold})
	if !ok || s.state == "" {
		return false
	}
	w.at = s.key
	return true
}

// Begin makes the hold of a further reading of one's own, whose readings are then asked
// for: the name, what is opened or sealed, and what to read are those of the offer.
func (w *Walk) Begin(o Offer) Reply {
	s := furtherRow.in(scene{visit: w.visit})
	return w.write(s, o.Hold.Name.Value, w.visit.begin(o), Reply{})
}
