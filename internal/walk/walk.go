// Package walk leads through a visit one question at a time: from the safety
// list over baseline, holds and readings to the list that puts the house back.
// It knows nothing of terminals: it says what to ask, takes an answer as text,
// and writes it to the sheet before it says what to ask next.
//
// It keeps nothing to itself. Which question is next follows from the sheet
// alone – from its readings, and from its [[walk]] records for what is no
// reading – so that a walk that was killed takes up where it was.
package walk

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"holdbook/internal/sheet"
	"holdbook/units"
)

// Question is what is asked next.
type Question struct {
	Lines   []string // to be shown before it, each a sentence or a line of a list
	Once    []string // the same, but shown the first time only
	Ask     string   // the question itself: "attic to house (Pa)"
	Default string   // what an empty answer stands for; empty when nothing does
	Help    []string // what "?" shows: hints, and the words that every question takes
	Hints   []string // of this question alone, without what is to be typed for a choice

	Step, Hold string   // its name in the records of the sheet, and the hold it is asked of
	Field      Field    // what may be typed
	Unit       string   // of a bare number
	Parts      []Part   // numbers that make up the answer together, with a blank between
	Choices    []Choice // answers that may be picked instead
	Several    bool     // more than one of them
	Skip       bool     // it can be left out
	Reading    bool     // it may turn out not readable
	Standing   string   // the answer that the sheet has, when it is gone back to
}

// Part is one number of an answer that has several.
type Part struct{ Ask, Unit string }

// Field is what may be typed as an answer.
type Field string

// The fields. Without one an answer is picked.
const (
	NoField     Field = ""
	NumberField Field = "number"
	TextField   Field = "text"
)

// Choice is an answer that may be picked, with what to do for it and what to take care of.
type Choice struct {
	Answer, Text string
	Do, Caution  string
}

// Reply is what became of an answer.
type Reply struct {
	Said []string // what to show
	// Refused says that the answer was not taken and the question stands.
	Refused bool
	// Unwritten is what could not be written to the sheet, as the sheet would have
	// it, and Err why. The question stands, the answer being its default.
	Unwritten string
	Err       error
	Stopped   bool // the walk is to be left for now
}

// Walk is one walk over a sheet.
type Walk struct {
	book    Book
	adviser Adviser
	visit   visit

	at    key // the step gone back to; zero: the first open one
	kept  kept
	known []Known
	said  map[string]bool // warnings shown already
	lacks bool            // the sheet was read again and lacked lines, which are not kept yet
}

// visit is a visit as its sheet has it now.
type visit struct {
	book   Book
	now    func() time.Time
	latest *offers
}

// kept is an answer that could not be written yet, and to what.
type kept struct {
	key
	text string
}

// key names a step: what is asked, and of which hold.
type key struct{ step, hold string }

// New starts or takes up a walk. The adviser may be nil: nothing is then said
// of what is known, and no further reading is proposed.
func New(b Book, a Adviser, now func() time.Time) *Walk {
	w := &Walk{book: b, adviser: a, visit: visit{b, now, &offers{adviser: a}}, said: map[string]bool{}}
	w.learn("")
	return w
}

// Next is the question to ask now; false when the walk is at its end.
func (w *Walk) Next() (Question, bool) {
	s, ok := w.present()
	if !ok {
		return Question{}, false
	}
	q := Question{Ask: s.ask, Default: w.offered(s), Help: slices.Concat(s.write, s.help, commands(s)), Hints: s.help,
		Step: s.key.step, Hold: s.key.hold, Field: s.field, Several: s.several, Skip: !s.must, Reading: s.kind.reading, Standing: s.answer}
	if s.kind.unit != nil {
		q.Unit, q.Field = s.kind.unit(w.visit), cmp.Or(s.field, NumberField)
	}
	if s.lines != nil {
		q.Lines = s.lines(s.of)
	}
	if s.choices != nil {
		q.Choices = s.choices(s.of)
	}
	if s.parts != nil {
		q.Parts = s.parts(w.visit)
	}
	q.Once = s.once
	return q, true
}

// offered is what an empty answer stands for.
func (w *Walk) offered(s step) string {
	if w.kept.key == s.key && w.kept.text != "" {
		return w.kept.text
	}
	if s.answer == "" && s.preset != nil {
		return s.preset(s.of)
	}
	return s.answer
}

// commands are the words that every question takes.
func commands(s step) []string {
	list := []string{"back: to correct the answer before", "stop: go on later, everything is kept"}
	if !s.must {
		list = append([]string{"skip: leave it out"}, list...)
	}
	if s.kind.reading {
		list = append([]string{"-: it could not be read"}, list...)
	}
	return list
}

// present is the step that is asked now.
func (w *Walk) present() (step, bool) {
	var open step
	found := false
	for _, s := range w.visit.steps() {
		if w.at != (key{}) && s.key == w.at {
			return s, true
		}
		if s.state == "" && !found {
			open, found = s, true
		}
	}
	return open, found
}

// Answer takes the answer to the present question.
func (w *Walk) Answer(text string) Reply {
	s, ok := w.present()
	if !ok {
		return Reply{Stopped: true}
	}
	text = units.SanitizeTo(text, maxAnswer)
	if text == "" {
		if text = w.offered(s); text == "" {
			return refused("nothing was written; write the answer, or ? for what can be written")
		}
	}
	switch strings.ToLower(text) {
	case "?", "help":
		q, _ := w.Next()
		return Reply{Said: q.Help, Refused: true}
	case "back":
		return w.back(s)
	case "stop", "quit", "exit":
		return w.stop(s)
	case "keep":
		if r, ok := w.keep(); ok {
			return r
		}
	case "skip":
		return w.pass(s, "skip", "skipped")
	case "-", "–":
		return w.pass(s, "-", "not readable")
	}
	if text == s.answer && w.at == s.key {
		w.at = key{} // looked at again, and left as it is
		return Reply{}
	}
	return w.take(s, text)
}

// maxAnswer is how many characters of an answer are looked at; the sheet has
// shorter limits of its own.
const maxAnswer = 500

func refused(format string, args ...any) Reply {
	return Reply{Said: []string{fmt.Sprintf(format, args...)}, Refused: true}
}

// take writes a proper answer.
func (w *Walk) take(s step, text string) Reply {
	changes, said, err := s.row.take(s.of, s.key, text)
	switch {
	case err != nil:
		return refused("%s", err)
	case len(changes) == 0:
		return Reply{Said: said, Refused: true}
	}
	r := w.write(s, text, changes, Reply{Said: said})
	if !r.Refused && s.kind.reading {
		r.Said = append(r.Said, w.learn(s.key.hold)...)
	}
	return r
}

// write makes the changes that an answer asks for, and then replies. An answer
// that cannot be written is kept.
func (w *Walk) write(s step, text string, changes []change, good Reply) Reply {
	err := write(w.book, changes)
	if err == nil {
		w.written(s)
		return good
	}
	if errors.Is(err, sheet.ErrChanged) {
		missing, _ := w.book.Missing()
		if err = w.book.Reload(); err == nil {
			return w.overtaken(s, text, missing)
		}
	}
	if problems := (sheet.Problems)(nil); errors.As(err, &problems) && !w.broken() {
		if w.kept == (kept{s.key, text}) {
			w.kept = kept{}
		}
		return refused("that cannot be kept: %s", problems[0].Text)
	}
	w.kept = kept{s.key, text}
	return Reply{Refused: true, Unwritten: text, Err: err,
		Said: []string{"NOT WRITTEN: your answer " + text + ". " + w.standing() + " Put that right, then press Enter to write it."}}
}

// written is called when the answer to a step has got into the sheet. An answer
// to another step that has not stays kept.
func (w *Walk) written(s step) {
	w.at = key{}
	if w.kept.key == s.key {
		w.kept = kept{}
	}
}

// Unwritten is an answer that was given and is not in the sheet; "" for none.
func (w *Walk) Unwritten() string { return w.kept.text }

// stop leaves the walk, with an answer that is not in the sheet yet written
// first. That it was left here is noted where it can be.
func (w *Walk) stop(s step) Reply {
	if text := w.kept.text; text != "" {
		at, ok := w.stepOf(w.kept.key)
		if !ok {
			return Reply{Stopped: true, Unwritten: text, Said: []string{"NOT WRITTEN: your answer " + text + ": its question is gone from the sheet"}}
		}
		if r := w.take(at, text); r.Refused {
			return Reply{Stopped: true, Unwritten: text, Err: r.Err,
				Said: []string{"NOT WRITTEN: your answer " + text + ". Note it elsewhere. " + w.standing()}}
		}
	}
	if err := write(w.book, []change{w.visit.noted(s.key, "stopped", "")}); err != nil {
		if _, broken := w.book.Missing(); broken != nil {
			return Reply{Stopped: true} // which Rescue tells of
		}
		return Reply{Stopped: true, Said: []string{"everything is kept, but that the walk was left here could not be noted"}}
	}
	w.written(s)
	return Reply{Stopped: true, Said: []string{"everything is kept"}}
}

// stepOf finds a step by its key.
func (w *Walk) stepOf(k key) (step, bool) {
	for _, s := range w.visit.steps() {
		if s.key == k {
			return s, true
		}
	}
	return step{}, false
}

// overtaken says what becomes of an answer when the sheet was changed by
// someone else, and has been read again. It is not written by itself: it may
// not be wanted any more.
func (w *Walk) overtaken(s step, text string, missing int) Reply {
	was := "the sheet was changed by someone else meanwhile and has been read again; "
	if missing > 0 {
		w.lacks = true
		was += fmt.Sprintf("%d of the lines that stood in it are not there any more (write keep to have it in another file as it was); ", missing)
	}
	if now, ok := w.present(); !ok || now.key != s.key {
		w.kept = kept{}
		return refused(was+"the question has been settled there, and your answer %s was not written", text)
	}
	w.kept = kept{s.key, text}
	return refused(was+"press Enter to write your answer %s", text)
}

// broken tells whether the file on disk is no good sheet now, so that it is not
// the answer that is at fault.
func (w *Walk) broken() bool {
	problems := sheet.Problems(nil)
	_, err := sheet.Read(w.book.Sheet().File)
	return errors.As(err, &problems)
}

// back goes to the answer before the present question.
func (w *Walk) back(from step) Reply {
	before := key{}
	for _, s := range w.visit.steps() {
		if s.key == from.key {
			break
		}
		if s.state != "" {
			before = s.key
		}
	}
	if before == (key{}) {
		return refused("this is the first question")
	}
	w.at = before
	return Reply{}
}

// pass leaves a question without an answer, and writes that down.
func (w *Walk) pass(s step, word, state string) Reply {
	note := []change{w.visit.noted(s.key, state, "")}
	switch {
	case s.must:
		return refused("this one cannot be left out; answer it, or write stop")
	case state == "not readable" && !s.kind.reading:
		return refused("this is no reading; write skip to leave it out")
	case s.answer != "" && state == "skipped":
		w.at = key{} // what stands is left as it is
		return Reply{}
	case s.answer != "":
		changes := s.withdrawal()
		if changes == nil {
			return refused("what stands can only be corrected here; take it out in an editor")
		}
		note = andThen(changes, note[0])
	}
	return w.command(s, word, note)
}

// command writes what a word like skip asks for. Where that cannot be written, an
// answer given before is kept, not the word.
func (w *Walk) command(s step, word string, changes []change) Reply {
	before := w.kept
	r := w.write(s, word, changes, Reply{})
	if r.Refused && before.key == s.key && before.text != "" {
		w.kept = before
	}
	return r
}

// andThen makes one more change after each of several.
func andThen(changes []change, more change) []change {
	list := make([]change, len(changes))
	for i, c := range changes {
		list[i] = both(c, more)
	}
	return list
}

// noted is a [[walk]] record at the end of the sheet.
func (v visit) noted(k key, state, answer string) change {
	return atEnd("\n" + sheet.EncodeWalk(sheet.Walk{Step: sheet.Word(k.step), State: sheet.Word(state),
		Hold: sheet.Word(k.hold), Answer: sheet.Word(answer), Time: sheet.When{Text: v.stamp()}}))
}

func (v visit) stamp() string { return v.now().Format("2006-01-02T15:04:05") }
