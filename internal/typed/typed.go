// Package typed writes command lines as they would be typed into a shell: for hints, and
// for what to do next.
package typed

import (
	"strings"

	"holdbook/units"
)

// Program is the program's name, as typed and as it stands before each message.
const Program = "holdbook"

// Line is a command line of the program.
func Line(words ...string) string {
	line := Program
	for _, w := range words {
		line += " " + Quote(w)
	}
	return line
}

// Quote puts a word in quotes where a shell would take it apart.
func Quote(word string) string {
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
