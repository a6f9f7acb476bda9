package engine

import (
	"cmp"
	"errors"
	"fmt"
	"strings"

	"holdbook/internal/advise"
	"holdbook/internal/sheet"
	"holdbook/internal/survey"
	"holdbook/internal/walk"
	"holdbook/units"
	"holdbook/zonal"
)

// start is the form that a visit starts with.
type start struct {
	Job      string  `json:"job"`
	Units    string  `json:"units"`    // results: ip or si
	Pressure string  `json:"pressure"` // the units that the gauges show
	Flow     string  `json:"flow"`
	Volume   string  `json:"volume"`
	Spaces   []space `json:"spaces"`
}

// space is one beside the house: by its kind, which then is its name, by a name that says
// its kind, or by both.
type space struct {
	Name string `json:"name"`
	Kind string `json:"kind"`
}

// kinds are the kinds of space that a name alone may say.
func (e *Engine) kinds(*request) (any, error) {
	var list []string
	for _, k := range zonal.Kinds() {
		if k != zonal.Other {
			list = append(list, string(k))
		}
	}
	return list, nil
}

// visit is what the page is told of an open sheet.
type visit struct {
	Sheet string     `json:"sheet"`
	Job   string     `json:"job"`
	Date  string     `json:"date"`
	Units string     `json:"units"`
	Below bool       `json:"below"` // held below outdoors
	Zones []zoneName `json:"zones"`
	Holds int        `json:"holds"` // that were finished: with a house pressure
}

type zoneName struct {
	Name string `json:"name"`
	Kind string `json:"kind"`
	Fan  bool   `json:"fan"` // a second fan can stand in it
}

// start makes the sheet of a new visit.
func (e *Engine) start(r *request) (any, error) {
	s, f := &sheet.Sheet{}, r.Start
	var faults fieldErrors
	set := func(name, text string, path ...string) {
		if text = strings.TrimSpace(text); text == "" {
			return
		}
		if err := s.Set(text, path...); err != nil {
			faults = append(faults, field{name, said(err)})
		}
	}
	set("date", e.now().Format("2006-01-02"), "job", "date")
	set("job", f.Job, "job", "name")
	set("units", f.Units, "job", "units")
	set("pressure", f.Pressure, "job", "bare", "pressure")
	set("flow", f.Flow, "job", "bare", "flow")
	set("volume", withUnit(f.Volume, f.Units), "house", "volume")
	for i, z := range f.Spaces {
		name := cmp.Or(units.Sanitize(z.Name), z.Kind)
		set("spaces", name, "zone", fmt.Sprint(i+1), "name")
		set("spaces", cmp.Or(z.Kind, string(sheet.KindOf(name))), "zone", fmt.Sprint(i+1), "kind")
	}
	if faults != nil {
		return nil, faults
	}
	text := "# Readings of one visit, in the order in which they were taken.\n" + string(sheet.Draft(s))
	if err := e.read(text, "visit"); err != nil {
		var list sheet.Problems
		if errors.As(err, &list) { // names that clash: the one thing the fields cannot tell
			return nil, fieldErrors{{"spaces", list[0].Text}}
		}
		return nil, err
	}
	return e.shown(), nil
}

// withUnit is a volume with the unit of a system behind a bare number.
func withUnit(text, system string) string {
	text = strings.TrimSpace(text)
	s, err := units.ParseSystem(system)
	if _, bad := units.ParseVolume(text); text == "" || err != nil || bad == nil {
		return text
	}
	return text + " " + s.Volume().Symbol()
}

// said is an error of sheet.Set without the key that it starts with.
func said(err error) string {
	_, text, ok := strings.Cut(err.Error(), ": ")
	if !ok {
		return err.Error()
	}
	return text
}

// open takes up the visit of a sheet.
func (e *Engine) open(r *request) (any, error) {
	if err := e.read(r.Sheet, r.Name); err != nil {
		return nil, err
	}
	return e.shown(), nil
}

func (e *Engine) read(text, name string) error {
	b, err := openBook(text, name)
	if err != nil {
		return err
	}
	e.book, e.walk = b, walk.New(b, adviser{e}, e.now)
	return nil
}

func (e *Engine) shown() visit {
	s := e.book.sheet
	v := visit{Sheet: string(e.book.text), Job: units.Sanitize(s.Job.Name.Value), Date: s.Job.Date.Text, Units: s.Job.PrintUnits(), Below: s.Job.Depressurised(), Zones: []zoneName{}}
	for _, z := range s.Zones {
		v.Zones = append(v.Zones, zoneName{z.Name.Value, string(z.Kind), advise.TakesFan(z.Kind)})
	}
	for i := range s.Holds {
		if s.Holds[i].Finished() {
			v.Holds++
		}
	}
	return v
}

// asked is the present question, and what has been answered.
type asked struct {
	Question *walk.Question  `json:"question"` // null at the end of the visit
	Answers  []walk.Answered `json:"answers"`
	Lacks    bool            `json:"lacks"` // the proposals that belong to the question
}

var errNoVisit = errors.New("no visit is open")

// ask gives the present question.
func (e *Engine) ask(r *request) (any, error) {
	if e.walk == nil {
		return nil, errNoVisit
	}
	if r.Proposed != nil {
		e.proposed = r.Proposed
	}
	e.later = r.Later
	defer func() { e.later = false }()
	a := asked{Answers: survey.OrEmpty(e.walk.Answers())}
	if q, ok := e.walk.Next(); ok {
		a.Question = &q
		a.Lacks = q.Step == furtherStep && r.Later && !e.proposed.of(e.book)
	}
	return a, nil
}

// furtherStep is the question that the proposals stand at.
const furtherStep = "no further readings"

// replied is what became of an answer.
type replied struct {
	visit
	Said    []string `json:"said"`
	Refused bool     `json:"refused"`
}

// answer takes the answer to the present question.
func (e *Engine) answer(r *request) (any, error) {
	if e.walk == nil {
		return nil, errNoVisit
	}
	return e.reply(e.walk.Answer(r.Text)), nil
}

func (e *Engine) reply(a walk.Reply) replied {
	return replied{e.shown(), survey.OrEmpty(a.Said), a.Refused}
}

// goTo goes back to an answer, to correct it.
func (e *Engine) goTo(r *request) (any, error) {
	if e.walk == nil {
		return nil, errNoVisit
	}
	if !e.walk.Go(r.Step, r.Hold) {
		return nil, errors.New("that question is gone from the sheet")
	}
	return e.shown(), nil
}
