package command

import (
	"strings"

	"holdbook/internal/sheet"
	"holdbook/units"
)

// nearest returns the known word that the typed one may have been meant for, or
// "" when there is none.
func nearest(word string, known []string) string {
	best, _ := sheet.Nearest(word, known)
	return best
}

// typed is a command line as it would be typed into a shell.
func typed(words ...string) string {
	line := Name
	for _, w := range words {
		line += " " + shellQuote(w)
	}
	return line
}

// shellQuote puts a word in quotes where a shell would take it apart.
func shellQuote(word string) string {
	word = units.SanitizeTo(word, 1000) // a path is to be typed whole
	plain := word != "" && !strings.ContainsFunc(word, func(r rune) bool {
		return !strings.ContainsRune("-_./=:,+@%", r) && !isAlphanumeric(r)
	})
	switch {
	case plain:
		return word
	case !strings.ContainsAny(word, "\"$`\\!"):
		return `"` + word + `"`
	}
	return "'" + strings.ReplaceAll(word, "'", `'\''`) + "'"
}

func isAlphanumeric(r rune) bool {
	return r >= '0' && r <= '9' || r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r > 0x7f
}

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
