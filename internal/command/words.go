package command

import (
	"strings"

	"holdbook/units"
)

// maxEdits is how far a mistyped word may be from a known one for it to be
// offered: farther away it is a guess.
const maxEdits = 2

// nearest returns the known word within two edits of the typed one that takes
// the fewest, or "" when there is none. Words of one or two letters are not
// offered for anything longer than themselves plus one.
func nearest(word string, known []string) string {
	best, least := "", maxEdits+1
	for _, k := range known {
		d := edits(strings.ToLower(word), k)
		if d >= len(k) { // nothing of the known word was typed
			continue
		}
		if d < least || d == least && k < best {
			best, least = k, d
		}
	}
	return best
}

// edits is the number of letters to add, drop, change or swap with their
// neighbour to turn a into b.
func edits(a, b string) int {
	ra, rb := []rune(a), []rune(b)
	rows := make([][]int, len(ra)+1)
	for i := range rows {
		rows[i] = make([]int, len(rb)+1)
		rows[i][0] = i
	}
	for j := range rows[0] {
		rows[0][j] = j
	}
	for i := 1; i <= len(ra); i++ {
		for j := 1; j <= len(rb); j++ {
			rows[i][j] = oneEdit(rows, ra, rb, i, j)
		}
	}
	return rows[len(ra)][len(rb)]
}

func oneEdit(rows [][]int, a, b []rune, i, j int) int {
	cost := 1
	if a[i-1] == b[j-1] {
		cost = 0
	}
	d := min(rows[i-1][j]+1, rows[i][j-1]+1, rows[i-1][j-1]+cost)
	if i > 1 && j > 1 && a[i-1] == b[j-2] && a[i-2] == b[j-1] {
		d = min(d, rows[i-2][j-2]+1)
	}
	return d
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
	word = safe(word)
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
