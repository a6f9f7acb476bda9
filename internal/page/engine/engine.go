// Package engine is the whole of holdbook behind the page for a phone: it takes a
// request, which holds all that it needs, and gives the answer, both as JSON. The visit is
// that of package walk, over a sheet in memory; results are what package report makes of
// them, so that the page says what the command line prints.
//
// It touches no file, no network and no clock but the one it is given, and it runs
// wherever Go does: the page's worker calls it through WebAssembly, tests call it directly.
package engine

import (
	"encoding/json"
	"errors"
	"fmt"
	"time"

	"holdbook/internal/sheet"
	"holdbook/internal/walk"
)

// Engine answers requests, one at a time. It remembers the visit that was opened last, and
// in it the question that was gone back to; everything else is in the requests.
type Engine struct {
	now  func() time.Time
	book *book
	walk *walk.Walk

	proposed *proposed // what to read next, for one text of the sheet
	later    bool      // it is not to be worked out now
	checked  checked
}

// New is an engine; now is the clock.
func New(now func() time.Time) *Engine { return &Engine{now: now} }

// request is what the page asks for. Each operation uses some of it.
type request struct {
	Do    string `json:"do"`
	Sheet string `json:"sheet"` // the text of a sheet
	Name  string `json:"name"`  // of the sheet, for messages
	Units string `json:"units"` // to print in; those of the sheet for ""

	Start start `json:"start"`

	Text string `json:"text"` // an answer
	Step string `json:"step"` // a question
	Hold string `json:"hold"`

	Begin begin `json:"begin"`

	Later    bool      `json:"later"`    // no proposals with the question but those of Proposed
	Proposed *proposed `json:"proposed"` // worked out elsewhere

	Curvature bool   `json:"curvature"` // no sampling
	Target    string `json:"target"`
	Fraction  string `json:"fraction"`
	Before    string `json:"before"` // the sheet before the work, of a comparison
	Sealed    string `json:"sealed"`
}

// fault is an error as the page shows it.
type fault struct {
	Error    string    `json:"error"`
	Problems []problem `json:"problems,omitempty"` // of a sheet
	Fields   []field   `json:"fields,omitempty"`   // of a form
}

// problem is a fault of a sheet with the line it is about.
type problem struct {
	Line int    `json:"line,omitempty"`
	Text string `json:"text"`
}

// field is what is wrong with a field of a form.
type field struct {
	Field string `json:"field"`
	Text  string `json:"text"`
}

// operations are what a request can ask for.
var operations = map[string]func(*Engine, *request) (any, error){
	"kinds":   (*Engine).kinds,
	"start":   (*Engine).start,
	"open":    (*Engine).open,
	"ask":     (*Engine).ask,
	"answer":  (*Engine).answer,
	"go":      (*Engine).goTo,
	"begin":   (*Engine).begin,
	"check":   (*Engine).check,
	"look":    (*Engine).look,
	"propose": (*Engine).propose,
	"quick":   (*Engine).quick,
	"report":  (*Engine).report,
	"next":    (*Engine).next,
	"seal":    (*Engine).seal,
	"compare": (*Engine).compare,
}

// Answer gives the answer to a request. Whatever goes wrong is told in it.
func (e *Engine) Answer(in []byte) (out []byte) {
	defer func() {
		if p := recover(); p != nil {
			out = told(fmt.Errorf("a fault in the program: %v; what was typed is kept", p))
		}
	}()
	var r request
	if err := json.Unmarshal(in, &r); err != nil {
		return told(err)
	}
	do, ok := operations[r.Do]
	if !ok {
		return told(fmt.Errorf("no such request: %q", r.Do))
	}
	v, err := do(e, &r)
	if err != nil {
		return told(err)
	}
	if raw, ok := v.(json.RawMessage); ok {
		return raw
	}
	out, err = json.Marshal(v)
	if err != nil {
		return told(err)
	}
	return out
}

// told is an error as an answer.
func told(err error) []byte {
	f := fault{Error: err.Error()}
	var list sheet.Problems
	var fields fieldErrors
	switch {
	case errors.As(err, &list):
		f.Error = "this sheet cannot be used as it is"
		for _, p := range list {
			f.Problems = append(f.Problems, problem{p.Pos.Line, p.Text})
		}
	case errors.As(err, &fields):
		f.Fields = fields
	}
	out, _ := json.Marshal(f) // of texts and numbers
	return out
}

// fieldErrors are faults of a form.
type fieldErrors []field

// Error implements error.
func (f fieldErrors) Error() string { return "some fields need a look" }
