package sheet

import (
	"bytes"
	"sort"
	"unicode/utf8"
)

// Limits on what a readings file may hold; those on the number of tables stand
// with their keys. They are far above any house and keep a hostile file from
// costing more than a moment.
const (
	MaxSize      = 1 << 20 // bytes
	MaxDepth     = 6       // tables and lists inside one another
	MaxListItems = 20000   // in one list or one table
	MaxName      = 100     // characters of a name
	MaxNote      = 10000   // characters of a note
	MaxSamples   = 10000   // of one reading
)

// source is the text of a file with the starts of its lines.
type source struct {
	file  string
	logs  logs // beside the file
	data  []byte
	lines []int
}

func newSource(file string, data []byte) *source {
	s := &source{file: file, data: data, lines: []int{0}}
	for i, c := range data {
		if c == '\n' {
			s.lines = append(s.lines, i+1)
		}
	}
	return s
}

// pos turns a byte offset into a place; columns count characters.
func (s *source) pos(at int) Pos {
	at = min(max(at, 0), len(s.data))
	line := sort.SearchInts(s.lines, at+1) - 1
	return Pos{line + 1, utf8.RuneCount(s.data[s.lines[line]:at]) + 1}
}

// lineEnd is the offset of the end of the line that holds at, without its
// line break.
func (s *source) lineEnd(at int) int {
	if i := bytes.IndexByte(s.data[at:], '\n'); i >= 0 {
		end := at + i
		if end > at && s.data[end-1] == '\r' {
			end--
		}
		return end
	}
	return len(s.data)
}

// lineStart is the offset of the start of the line that holds at.
func (s *source) lineStart(at int) int {
	return s.lines[s.pos(at).Line-1]
}

// unreadable names what makes a file no text at all, with the offset where it
// shows; it is empty when the file is fine.
func unreadable(data []byte) (string, int) {
	switch {
	case len(data) > MaxSize:
		return "the file is over 1 MiB, which no readings file needs; check that this is the right file", 0
	case len(data) == 0:
		return `the file is empty; begin with the line sheet = 1`, 0
	case bytes.HasPrefix(data, []byte{0xEF, 0xBB, 0xBF}):
		return "the file begins with a byte order mark (BOM); save it as UTF-8 without BOM", 0
	case bytes.HasPrefix(data, []byte{0xFF, 0xFE}), bytes.HasPrefix(data, []byte{0xFE, 0xFF}), looksUTF16(data):
		return "the file is UTF-16; save it as UTF-8", 0
	}
	if i := bytes.IndexByte(data, 0); i >= 0 {
		return "the file holds NUL bytes, so it is no text; check that this is the right file, or restore it from a copy", i
	}
	if i := invalidUTF8(data); i >= 0 {
		return "the file is not UTF-8; save it as UTF-8 (an old encoding such as Latin-1 or Windows-1252 is likely)", i
	}
	if len(bytes.TrimSpace(data)) == 0 {
		return `the file holds nothing but blanks; begin with the line sheet = 1`, 0
	}
	return "", 0
}

// looksUTF16 recognises UTF-16 without its mark: every other byte of the
// start is zero.
func looksUTF16(data []byte) bool {
	n := min(len(data), 64) &^ 1
	even, odd := 0, 0
	for i := 0; i < n; i += 2 {
		if data[i] == 0 {
			even++
		}
		if data[i+1] == 0 {
			odd++
		}
	}
	return n >= 4 && (even*4 >= n && odd == 0 || odd*4 >= n && even == 0)
}

func invalidUTF8(data []byte) int {
	if utf8.Valid(data) {
		return -1
	}
	for i := 0; i < len(data); {
		r, n := utf8.DecodeRune(data[i:])
		if r == utf8.RuneError && n <= 1 {
			return i
		}
		i += n
	}
	return -1
}
