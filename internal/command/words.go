package command

import (
	"holdbook/internal/sheet"
	shell "holdbook/internal/typed"
	"holdbook/units"
)

// nearest returns the known word that the typed one may have been meant for, or
// "" when there is none.
func nearest(word string, known []string) string {
	best, _ := sheet.Nearest(word, known)
	return best
}

// typed is a command line as it would be typed into a shell.
func typed(words ...string) string { return shell.Line(words...) }

// shellQuote puts a word in quotes where a shell would take it apart.
func shellQuote(word string) string { return shell.Quote(word) }

// quote shows a typed word in a message.
func quote(word string) string { return `"` + safe(word) + `"` }

// safe makes typed text fit for a terminal.
func safe(text string) string { return units.Sanitize(text) }

// dashed is a flag's name as it is typed.
func dashed(name string) string {
	if len(name) == 1 {
		return "-" + name
	}
	return "--" + name
}
