package sheet

import (
	"fmt"
	"reflect"
	"strconv"
	"strings"
)

// Set gives a key of a sheet built in memory the value that a text says, as a
// file would. The path names the tables and the key, one that may stand several
// times with its number from 1 behind it: "hold", "1", "house". A zone's name
// stands behind to_house and to_outside. The error is the key with what is wrong
// with the text; a path that there is not is a mistake in the program.
func (s *Sheet) Set(text string, path ...string) error {
	of, t := reflect.ValueOf(s).Elem(), root()
	for len(path) > 0 {
		k := t.key(path[0])
		if path = path[1:]; k == nil || k.inner != nil && len(path) == 0 {
			break
		}
		if k.inner == nil {
			return k.set(of, text, path)
		}
		if of = of.Field(k.index); of.Kind() == reflect.Slice {
			n, err := strconv.Atoi(path[0])
			if err != nil || n > k.Max {
				return fmt.Errorf("too many %s tables; there may be %d", k.inner().name, k.Max)
			}
			of, path = nth(of, n), path[1:]
		}
		of, t = whole(of), k.inner()
	}
	panic("sheet: no such key")
}

// nth is an item of a slice, counted from 1, which is made with those before it
// where there are fewer.
func nth(slice reflect.Value, n int) reflect.Value {
	if more := n - slice.Len(); more > 0 {
		slice.Grow(more)
		slice.SetLen(n)
	}
	return slice.Index(n - 1)
}

// whole is the table behind a pointer, which is made where there is none.
func whole(of reflect.Value) reflect.Value {
	if of.Kind() != reflect.Pointer {
		return of
	}
	if of.IsNil() {
		of.Set(reflect.New(of.Type().Elem()))
	}
	return of.Elem()
}

// set reads a text into the key's field of a table; beneath is what stands behind
// the key in a path.
func (k *Key) set(table reflect.Value, text string, beneath []string) error {
	d := &decoder{src: newSource("", nil)}
	n, name := k.node(text), k.Name
	if len(beneath) > 0 {
		name, n.name = beneath[0], beneath[0]
		n = &node{form: braceForm, name: k.Name, items: []*node{n}}
	}
	k.kind.read(d, n, k, table)
	if len(d.problems) == 0 {
		return nil
	}
	return &SetError{Key: name, Text: text, Why: d.problems[0].Text}
}

// SetError is a text that will not do for a key.
type SetError struct{ Key, Text, Why string }

// Error gives "key = "text": why".
func (e *SetError) Error() string {
	return KeyText(e.Key) + " = " + StringText(e.Text) + ": " + e.Why
}

// node is a text as the value of the key in a file.
func (k *Key) node(text string) *node {
	n := &node{form: k.kind.form, name: k.Name, text: text}
	switch {
	case n.form == listForm:
		for _, item := range strings.Split(text, ", ") {
			n.items = append(n.items, &node{text: item})
		}
	case n.form == numberForm && strings.Contains(text, "%"), n.form == braceForm:
		n.form = stringForm
	}
	return n
}
