package walk

import (
	"bytes"
	"slices"
	"strings"

	"holdbook/internal/sheet"
)

// A change makes new text of a sheet out of the old. Where one cannot know how
// a sheet written by hand is laid out, several changes are offered, and the
// first that leaves a good sheet is taken.
type change func(old []byte) []byte

// newline is the line end of a file.
func newline(old []byte) string {
	if bytes.Contains(old, []byte("\r\n")) {
		return "\r\n"
	}
	return "\n"
}

// atEnd adds lines after everything that stands.
func atEnd(lines string) change {
	return func(old []byte) []byte {
		nl := newline(old)
		data := bytes.Clone(old)
		if len(data) > 0 && data[len(data)-1] != '\n' {
			data = append(data, nl...)
		}
		return append(data, strings.ReplaceAll(strings.TrimRight(lines, "\n")+"\n", "\n", nl)...)
	}
}

// both makes two changes as one: the second is made of what the first left.
func both(first, second change) change {
	return func(old []byte) []byte { return second(first(old)) }
}

// start is the offset at which a line begins, counted from 1; the end of the
// text for a line behind it.
func start(text []byte, line int) int {
	at := 0
	for ; line > 1; line-- {
		i := bytes.IndexByte(text[at:], '\n')
		if i < 0 {
			return len(text)
		}
		at += i + 1
	}
	return at
}

// afterLine puts a line after another.
func afterLine(line int, add string) change {
	return func(old []byte) []byte {
		at, nl := start(old, line+1), newline(old)
		head := bytes.Clone(old[:at])
		if len(head) > 0 && head[len(head)-1] != '\n' {
			head = append(head, nl...)
		}
		return append(append(head, add+nl...), old[at:]...)
	}
}

// inBraces puts an entry before another that stands in a table in braces.
func inBraces(at sheet.Pos, entry string) change {
	return func(old []byte) []byte {
		i := offset(old, at)
		return append(append(bytes.Clone(old[:i]), entry+", "...), old[i:]...)
	}
}

// behind puts an entry behind a value that stands in a table in braces.
func behind(at sheet.Pos, entry string) change {
	return func(old []byte) []byte {
		i := offset(old, at)
		i += tokenLength(old[i:])
		return slices.Concat(old[:i], []byte(", "+entry), old[i:])
	}
}

// intoTable makes a table in braces of a value that stands alone: the value under a key, and
// an entry behind it.
func intoTable(at sheet.Pos, key, entry string) change {
	return func(old []byte) []byte {
		i := offset(old, at)
		end := i + tokenLength(old[i:])
		return slices.Concat(old[:i], []byte("{ "+key+" = "), old[i:end], []byte(", "+entry+" }"), old[end:])
	}
}

// offset is the place of a position; columns count characters.
func offset(text []byte, at sheet.Pos) int {
	from := start(text, at.Line)
	line := string(text[from:start(text, at.Line+1)])
	column := 1
	for i := range line {
		if column == at.Column {
			return from + i
		}
		column++
	}
	return from + len(line)
}

// corrected puts another value in the place of one, and keeps the line as it
// was as a comment above.
func corrected(at sheet.Pos, value, stamp string) change {
	return func(old []byte) []byte {
		from, i := start(old, at.Line), offset(old, at)
		end := i + tokenLength(old[i:])
		was := remark(old, at.Line, stamp+" corrected, was")
		fresh := append([]byte(was), old[from:i]...)
		fresh = append(fresh, value...)
		return append(append(bytes.Clone(old[:from]), fresh...), old[end:]...)
	}
}

// withdrawn makes a comment of the line on which a value stands; what else
// stands there in braces stays.
func withdrawn(at sheet.Pos, stamp string) change {
	return func(old []byte) []byte {
		from, to := start(old, at.Line), start(old, at.Line+1)
		fresh := remark(old, at.Line, stamp+" withdrawn, was")
		if i := offset(old, at); bytes.ContainsRune(old[from:i], '{') {
			fresh += string(withoutEntry(old, from, i, to))
		}
		return append(append(bytes.Clone(old[:from]), fresh...), old[to:]...)
	}
}

// withoutEntry is the line from–to without the entry in braces whose value
// starts at i.
func withoutEntry(old []byte, from, i, to int) []byte {
	begin := from + bytes.LastIndexAny(old[from:i], "{,") + 1
	end := i + tokenLength(old[i:])
	rest := bytes.TrimLeft(old[end:to], " \t")
	switch {
	case bytes.HasPrefix(rest, []byte(",")):
		rest = rest[1:]
	case old[begin-1] == ',':
		begin--
		rest = append([]byte(" "), rest...)
	}
	return append(bytes.Clone(old[from:begin]), rest...)
}

// remark is a line as a comment.
func remark(old []byte, line int, why string) string {
	text := strings.TrimSpace(string(old[start(old, line):start(old, line+1)]))
	return "# " + why + ": " + text + newline(old)
}

// tokenLength is how long the value at the start of a text is: a string, or
// what reaches to the next blank or bracket.
func tokenLength(text []byte) int {
	if len(text) == 0 {
		return 0
	}
	quote := text[0]
	if quote != '"' && quote != '\'' {
		if i := bytes.IndexAny(text, " \t\r\n,]}#"); i >= 0 {
			return i
		}
		return len(text)
	}
	for i := 1; i < len(text) && text[i] != '\n'; i++ {
		switch {
		case text[i] == '\\' && quote == '"':
			i++
		case text[i] == quote:
			return i + 1
		}
	}
	return len(text)
}
