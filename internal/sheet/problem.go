package sheet

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"holdbook/units"
)

// MaxProblems is how many problems are reported of one file; the rest are
// counted.
const MaxProblems = 100

// Problem is one fault of a readings file.
type Problem struct {
	File string
	Pos  Pos    // zero when the fault has no place in a file
	Text string // what is wrong, what to write
}

// Error gives "file:line:column: what is wrong, what to write".
func (p Problem) Error() string {
	file := units.SanitizeTo(p.File, 1000)
	if file != "" {
		file += ":"
	}
	if p.Pos.Line == 0 {
		return strings.TrimSpace(file + " " + p.Text)
	}
	return fmt.Sprintf("%s%d:%d: %s", file, p.Pos.Line, p.Pos.Column, p.Text)
}

// Problems is every fault found in one reading of a file, in the order of the
// file. It is never empty when it is an error.
type Problems []Problem

// Error gives one line a problem.
func (p Problems) Error() string {
	lines := make([]string, len(p))
	for i, one := range p {
		lines[i] = one.Error()
	}
	return strings.Join(lines, "\n")
}

// sorted puts problems in the order of the file, drops repetitions and counts
// what is beyond MaxProblems.
func (p Problems) sorted() Problems {
	slices.SortStableFunc(p, func(a, b Problem) int {
		return cmp.Or(cmp.Compare(a.Pos.Line, b.Pos.Line), cmp.Compare(a.Pos.Column, b.Pos.Column))
	})
	p = slices.Compact(p)
	if len(p) > MaxProblems {
		more := len(p) - MaxProblems
		last := p[MaxProblems]
		last.Text = fmt.Sprintf("and %d more from here on; correct these first", more)
		p = append(p[:MaxProblems:MaxProblems], last)
	}
	return p
}

// quoted shows a piece of the file inside a message.
func quoted(s string) string { return `"` + units.SanitizeTo(s, 60) + `"` }

// listed joins words as "a, b or c".
func listed(words []string) string {
	if len(words) < 2 {
		return strings.Join(words, "")
	}
	return strings.Join(words[:len(words)-1], ", ") + " or " + words[len(words)-1]
}

// Nearest gives the candidate within two edits of a word, without regard to
// case, or false. A word of up to three letters may be one edit away only.
func Nearest(word string, candidates []string) (string, bool) {
	word = strings.ToLower(units.SanitizeTo(word, 60))
	limit := 2
	if len(word) <= 3 {
		limit = 1
	}
	best, found := "", false
	for _, c := range candidates {
		if d := edits(word, strings.ToLower(c), limit); d <= limit && d < len(c) { // something of the word was typed
			best, limit, found = c, d-1, true
		}
	}
	return best, found
}

// edits counts insertions, deletions, replacements and swaps of neighbours
// that make a of b; anything above the limit is only known to be above it.
func edits(a, b string, limit int) int {
	x, y := []rune(a), []rune(b)
	if len(x)-len(y) > limit || len(y)-len(x) > limit {
		return limit + 1
	}
	before, row, next := make([]int, len(y)+1), make([]int, len(y)+1), make([]int, len(y)+1)
	for j := range row {
		row[j] = j
	}
	for i := range x {
		next[0] = i + 1
		for j := range y {
			next[j+1] = row[j] + 1
			if x[i] == y[j] {
				next[j+1] = row[j]
			}
			next[j+1] = min(next[j+1], row[j+1]+1, next[j]+1)
			if i > 0 && j > 0 && x[i] == y[j-1] && x[i-1] == y[j] {
				next[j+1] = min(next[j+1], before[j-1]+1)
			}
		}
		before, row, next = row, next, before
	}
	return row[len(y)]
}
