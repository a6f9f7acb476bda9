package command

import (
	"errors"
	"fmt"
	"io/fs"
	"strings"

	"holdbook/internal/sheet"
)

// notSaved is the error of --save; to a sheet that is there a hold is added.
func (a *asked) notSaved(err error) error {
	e := &dataError{err: err}
	if !errors.Is(err, fs.ErrExist) {
		return e
	}
	e.err = fmt.Errorf("%s: a file of this name exists; add the hold to it, or choose another name", safe(a.save.text))
	words := []string{"add", a.save.text, "NAME"}
	if a.name != zoneQuick.name {
		e.hints = []string{typed(append(words, "--house", "50", "--fan", "…")...)}
		return e
	}
	for i, w := range a.p.args[1:] {
		if given := strings.HasPrefix(w, "--save"); !given && a.p.args[i] != "--save" {
			words = append(words, w)
		}
	}
	e.hints = []string{typed(words...)}
	return e
}

// withoutPlaces gives each problem with the line it is about in place of that
// line's number.
func withoutPlaces(problems sheet.Problems, text string) error {
	lines := strings.Split(text, "\n")
	errs := make([]error, len(problems))
	for i, one := range problems {
		about := ""
		if n := one.Pos.Line; n > 0 && n <= len(lines) {
			about = safe(strings.TrimSpace(lines[n-1])) + ": "
		}
		errs[i] = errors.New(about + one.Text)
	}
	return errors.Join(errs...)
}
