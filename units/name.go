package units

import (
	"strings"
	"unicode"
	"unicode/utf8"
)

// nameLimit is the length in characters of the longest name shown: a table
// of 80 columns still has room for a number.
const nameLimit = 48

// Sanitize makes text from a file safe to show on a terminal: escape
// sequences, control characters and invisible ones (marks that turn the
// writing direction among them) are removed, runs of white space become one
// space, and what is longer than 48 characters ends in "…".
func Sanitize(s string) string { return SanitizeTo(s, nameLimit) }

// SanitizeTo is Sanitize with a length limit of its own, in characters.
func SanitizeTo(s string, limit int) string {
	var b strings.Builder
	space := false
	for s != "" {
		if n := escapeLength(s); n > 0 {
			s = s[n:]
			continue
		}
		r, n := utf8.DecodeRuneInString(s)
		s = s[n:]
		switch {
		case unicode.IsSpace(r):
			space = true
		case !unicode.IsPrint(r) && r != utf8.RuneError:
			// control, format, private or unassigned: dropped
		default:
			if space && b.Len() > 0 {
				b.WriteByte(' ')
			}
			space = false
			b.WriteRune(r)
		}
	}
	return shorten(b.String(), limit)
}

func shorten(s string, limit int) string {
	limit = max(limit, 1)
	count := 0
	for i := range s {
		if count++; count == limit && utf8.RuneCountInString(s[i:]) > 1 {
			return strings.TrimRight(s[:i], " ") + "…"
		}
	}
	return s
}

// escapeLength is the length of the terminal escape sequence that s begins
// with (ECMA-48: a control sequence, or a string up to its terminator), or 0.
func escapeLength(s string) int {
	if len(s) < 2 || s[0] != '\x1b' {
		return 0
	}
	switch s[1] {
	case '[':
		for i := 2; i < len(s); i++ {
			if s[i] >= 0x40 && s[i] <= 0x7e {
				return i + 1
			}
			if s[i] < 0x20 || s[i] > 0x7e {
				return i
			}
		}
		return len(s)
	case ']', 'P', '_', '^', 'X':
		return stringEnd(s)
	}
	return 1
}

// stringEnd is the length of a control string with its terminator, or just of
// its introducer where none follows: the rest is then ordinary text.
func stringEnd(s string) int {
	for i := 2; i < len(s); i++ {
		if s[i] == '\a' {
			return i + 1
		}
		if s[i] == '\x1b' && i+1 < len(s) && s[i+1] == '\\' {
			return i + 2
		}
	}
	return 2
}
