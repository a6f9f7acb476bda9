package report

import (
	"errors"
	"fmt"

	"holdbook/internal/report/view"
	"holdbook/internal/survey"
	"holdbook/units"
)

// maxName is the longest name that is shown, in characters. The record of the
// sheet itself is the sheet; here a name only has to be recognised.
const maxName = 48

// View is the findings as a reader is shown them, in the units that the job names.
// Texts are those of the sheet. A notice says so where a result had to be left out;
// f itself is not touched.
func View(f *survey.Findings) (*survey.Findings, error) { return viewFindings(f, nil) }

// Printed is View with names and texts made safe to print, none cut short.
func Printed(f *survey.Findings) (*survey.Findings, error) {
	return viewFindings(f, func(_ bool, s string) string { return oneLine(s) })
}

// printed is View with names and texts made safe to print.
func printed(f *survey.Findings) (*survey.Findings, error) {
	return viewFindings(f, func(name bool, s string) string {
		if name {
			return units.SanitizeTo(s, maxName)
		}
		return oneLine(s)
	})
}

func viewFindings(f *survey.Findings, text view.Text) (*survey.Findings, error) {
	if f == nil {
		return nil, errors.New("no findings")
	}
	return viewed(f, f.Job, func(f *survey.Findings) *[]survey.Notice { return &f.Notices }, text)
}

// viewed is a result of a job with what notices a reader is shown.
func viewed[T any](result *T, j survey.Job, notices func(*T) *[]survey.Notice, text view.Text) (*T, error) {
	shown, leftOut, err := view.Of(*result, systemOf(j), text)
	if err != nil {
		return nil, err
	}
	if leftOut > 0 {
		n := notices(&shown)
		*n = append(*n, survey.Notice{Level: survey.Warning, Text: fmt.Sprintf(
			"%d of the results came out as no finite number and were left out; check the readings they rest on", leftOut)})
	}
	return &shown, nil
}

// systemOf is the system of units that a job's results are told in.
func systemOf(j survey.Job) units.System {
	system, _ := units.ParseSystem(j.Units)
	return system
}

// oneLine makes a string safe for a line of a terminal without shortening it:
// control characters (escapes among them), direction and other invisible marks
// and line breaks go, white space is one space.
func oneLine(s string) string { return units.SanitizeTo(s, len(s)+1) }
