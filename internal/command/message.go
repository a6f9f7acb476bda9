package command

import (
	"errors"
	"fmt"
	"io"
	"strings"
	"unicode"
	"unicode/utf8"

	"holdbook/internal/sheet"
	"holdbook/units"
)

// Messages, in one place:
//
//   - standard output carries results and nothing else; every message goes to
//     standard error;
//   - each line starts with the program's name and one of "error", "warning"
//     or "hint"; it is lower case and ends without a full stop;
//   - an error says what was wrong and where; a fault in a sheet starts with
//     file:line:column;
//   - a hint is something to type, complete, with the fault put right;
//   - several faults found at once are told at once, a line each.

// Exit statuses.
const (
	exitGood  = 0
	exitData  = 1 // the readings, a file, or the result could not be used
	exitUsage = 2 // the command line could not be understood
)

// usageError is a fault in the command line: exit status 2.
type usageError struct {
	text  string
	hints []string // lines to type instead
}

func (e *usageError) Error() string { return e.text }

// dataError is a fault in a file or in what it says: exit status 1.
type dataError struct {
	err   error
	hints []string
}

func (e *dataError) Error() string { return e.err.Error() }
func (e *dataError) Unwrap() error { return e.err }

func dataErrorf(format string, args ...any) error {
	return &dataError{err: fmt.Errorf(format, args...)}
}

// tell writes an error to w, with its hints, and returns the exit status.
func tell(w io.Writer, err error) int {
	if err == nil {
		return exitGood
	}
	status, hints := exitData, []string(nil)
	if u := (*usageError)(nil); errors.As(err, &u) {
		status, hints = exitUsage, u.hints
	} else if d := (*dataError)(nil); errors.As(err, &d) {
		hints = d.hints
	}
	for _, line := range faults(err) {
		message(w, "error", line)
	}
	for _, h := range hints {
		message(w, "hint", h)
	}
	return status
}

// warn tells of something that does not stop the work.
func (p *program) warn(format string, args ...any) {
	message(p.Stderr, "warning", fmt.Sprintf(format, args...))
}

// message writes one message. Every one passes here, and whatever it quotes (a name
// typed, the path of a file, a line of somebody's results) is made safe for a
// terminal.
func message(w io.Writer, kind, text string) {
	lines := strings.Split(strings.TrimRight(text, "\n"), "\n")
	for i, line := range lines {
		lines[i] = clean(line)
	}
	fmt.Fprintf(w, "%s: %s: %s\n", Name, kind, strings.Join(lines, "\n    "))
}

// clean takes out of a line what is no text. A line that is text stays as it is, its
// blanks included.
func clean(line string) string {
	if utf8.ValidString(line) && !strings.ContainsFunc(line, func(r rune) bool { return !unicode.IsPrint(r) }) {
		return line
	}
	return units.SanitizeTo(line, len(line)+1)
}

// faults splits an error that joins several into its parts.
func faults(err error) []string {
	if problems := (sheet.Problems)(nil); errors.As(err, &problems) {
		lines := make([]string, len(problems))
		for i, one := range problems {
			lines[i] = one.Error()
		}
		return lines
	}
	if d, ok := err.(*dataError); ok {
		return faults(d.err)
	}
	if many, ok := err.(interface{ Unwrap() []error }); ok && err.Error() == errors.Join(many.Unwrap()...).Error() {
		var lines []string
		for _, one := range many.Unwrap() {
			lines = append(lines, faults(one)...)
		}
		return lines
	}
	return []string{err.Error()}
}
