package command

import (
	"bytes"
	"fmt"
	"strings"
	"time"

	"holdbook/internal/advise"
	"holdbook/internal/check"
	"holdbook/internal/learned"
	"holdbook/internal/report"
	"holdbook/internal/sheet"
	"holdbook/internal/survey"
	"holdbook/units"
)

// reply is the way from a sheet to what somebody beside the fan is answered: its slips
// first, and what no house could read left out of the answer.
type reply struct {
	p     *program
	flags *answerFlags
	ducts bool   // the question was about them
	after string // what to mind afterwards
	file  string // the sheet that a further hold is added to, "" where nothing is kept
	step  func(*sheet.Sheet) *report.Step
	again func(space string) string // the line to read a space once more; nil for none
}

// write answers a sheet.
func (r reply) write(s *sheet.Sheet, format report.Format) error {
	if err := r.flags.printIn(s); err != nil {
		return err
	}
	known, err := stockOf(r.flags.stock)
	if err != nil {
		return err
	}
	end := r.p.working("estimating")
	q, err := r.quick(s, format, known)
	end()
	if err != nil {
		return &dataError{err: err}
	}
	o, err := r.flags.reportOptions(r.p, format)
	if err != nil {
		return err
	}
	var b bytes.Buffer
	if err := report.WriteQuick(&b, q, format, o); err != nil {
		return &dataError{err: err}
	}
	return r.p.writeFindings(b.Bytes(), q.Findings, format, r.flags.output.text)
}

// quick works out what the screen says; other forms need the findings alone.
func (r reply) quick(s *sheet.Sheet, format report.Format, known *learned.Stock) (report.Quick, error) {
	q := report.Quick{Ducts: r.ducts, After: r.after, Check: check.Sheet(s, survey.Options{Stock: known}, time.Now())}
	usable, refused := q.Check.Possible(s)
	var err error
	q.Findings, err = survey.Run(usable, survey.Options{Stock: known, Working: r.flags.working || format == report.HTML, Record: format == report.JSON || format == report.CSV})
	if err != nil || format != report.Text && format != report.Markdown {
		return q, err
	}
	switch {
	case refused != nil && r.again != nil:
		q.Next = &report.Step{What: "read the " + strings.Join(refused, " and the ") + " again; it is left out of the answer", Line: r.again(refused[0])}
	case r.step != nil:
		q.Next = r.step(s)
	default:
		q.Next, q.Enough = r.planned(usable, known)
	}
	if q.Next != nil && r.file == "" && strings.HasPrefix(q.Next.Line, typed("add")) {
		q.Next.What += " (first your line again, with --save " + unsavedSheet + " behind it)"
	}
	return q, nil
}

// unsavedSheet is the sheet of lines to type where none was named.
const unsavedSheet = "house.toml"

// planned is the reading that settles most, as the plan for the sheet has it.
func (r reply) planned(s *sheet.Sheet, known *learned.Stock) (step *report.Step, enough string) {
	plan, err := advise.Next(s, advise.NextOptions{Options: survey.Options{Stock: known}})
	switch {
	case err != nil:
		return nil, "" // there is no space to plan for
	case plan.Doubt != "":
		return &report.Step{What: plan.Text}, ""
	case plan.Enough || len(plan.Actions) == 0:
		return nil, plan.Text
	}
	a := plan.Actions[0]
	if a.Outdoor {
		return r.outdoor(a.What), ""
	}
	return &report.Step{Minutes: a.Minutes, What: a.What + held(a.Hold), Caution: a.Caution, Line: report.AddLine(r.sheetName(), a.Hold)}, ""
}

// outdoor is where the temperatures are typed.
func (r reply) outdoor(what string) *report.Step {
	if r.file == "" {
		return &report.Step{What: what + ": your line again, with --indoor 68F --outdoor … behind it"}
	}
	return &report.Step{What: what + ": outdoor = \"…\" under [house] of " + r.file}
}

// sheetName is the sheet to name in a line to type.
func (r reply) sheetName() string {
	if r.file == "" {
		return unsavedSheet
	}
	return r.file
}

// held says what is read once something was changed; a hold as found says it itself.
func held(h sheet.Hold) string {
	if len(h.Opened)+len(h.Sealed)+len(h.Fans)+len(h.Guards) == 0 {
		return ""
	}
	var read []string
	if h.Fan.Given {
		read = append(read, "the fan")
	}
	for _, x := range h.Readings {
		read = append(read, "the "+units.Sanitize(x.Of.Name))
	}
	return fmt.Sprintf(", hold %s Pa, read %s", units.Number(float64(units.Abs(h.House.Value)), 3), strings.Join(read, " and "))
}
