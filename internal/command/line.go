package command

import (
	"fmt"
	"slices"
	"strings"
)

// line is a command line as typed, without the program's name. Its methods give what
// to type instead.
type line []string

// appended is the typed line with more words.
func (l line) appended(words ...string) string {
	return typed(slices.Concat(l, words)...)
}

// corrected is the typed line with the word at index i replaced.
func (l line) corrected(i int, word string) string {
	instead := slices.Clone(l)
	instead[i] = word
	return typed(instead...)
}

// badArgument is the error for an argument, with the line that has another in
// its place.
func (l line) badArgument(arg string, err error, instead string) *usageError {
	name, _, _ := cutLast(arg)
	e := &usageError{text: fmt.Sprintf("%s: %v", safe(name), err)}
	for i, a := range l {
		if a == arg && instead != "" {
			e.hints = []string{l.corrected(i, instead)}
		}
	}
	if e.hints == nil {
		e.hints = []string{l.without(arg)}
	}
	return e
}

// twoInOne is the error for an argument that holds several readings.
func (l line) twoInOne(arg string) *usageError {
	parts := strings.FieldsFunc(arg, func(r rune) bool { return strings.ContainsRune(",; ", r) })
	e := &usageError{text: safe(arg) + ": one reading at a time, with a blank between two"}
	if i := slices.Index(l, arg); i >= 0 {
		e.hints = []string{typed(slices.Concat(l[:i], parts, l[i+1:])...)}
	}
	return e
}

// tied is the typed line with "=" between the first name and the value after it,
// and between all such that follow; "" when no value follows the first.
func (l line) tied(first string, check func(string) error) string {
	at := slices.Index(l, first)
	tied := slices.Clone(l[:max(at, 0)])
	for i := max(at, 0); i < len(l); i++ {
		word := l[i]
		if i+1 < len(l) && !strings.ContainsAny(word+l[i+1], "=-") && check(l[i+1]) == nil {
			word += "=" + l[i+1]
			i++
		} else if word == first {
			return ""
		}
		tied = append(tied, word)
	}
	return typed(tied...)
}

// without is the typed line without the last of the words that equal word.
func (l line) without(word string) string {
	for i := len(l) - 1; i >= 0; i-- {
		if l[i] == word {
			return typed(slices.Concat(l[:i], l[i+1:])...)
		}
	}
	return typed(l...)
}
