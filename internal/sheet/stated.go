package sheet

import (
	"reflect"
	"strings"
)

// Stated is a key of the sheet with its value as it was written, without quotes.
type Stated struct {
	Table string // its header, "" at the top of the sheet
	Of    int    // which of several such tables, from 1; 0 for one that stands once
	Key   string
	Text  string
}

// Stated lists what a sheet says, key by key in the order in which a sheet is written: nothing of
// it is left out. Where samples stand in place of a value each is given.
func (s *Sheet) Stated() []Stated {
	e := &encoder{system: s.Job.PrintUnits(), typed: true}
	of := reflect.ValueOf(s).Elem()
	list := e.stated(root(), of, 0)
	for _, k := range root().keys {
		for i, one := range k.tables(of) {
			n := 0
			if k.Max > 0 {
				n = i + 1
			}
			list = append(list, e.stated(k.inner(), one, n)...)
		}
	}
	return list
}

// stated lists the keys of one table.
func (e *encoder) stated(t *table, of reflect.Value, n int) (list []Stated) {
	for _, k := range t.keys {
		if k.inner != nil && t == root() {
			continue
		}
		if v := e.value(k, of); v != "" && !(t == root() && k.Name == "sheet") {
			list = append(list, Stated{Table: strings.Trim(t.name, "[]"), Of: n, Key: k.Name, Text: unquoted(v)})
		}
	}
	return list
}

// unquoted is a value of the file without the quotes of its texts, on one line.
func unquoted(v string) string {
	var b strings.Builder
	for i := 0; i < len(v); i++ {
		switch v[i] {
		case '"':
		case '\\':
			if i++; i < len(v) {
				b.WriteByte(v[i])
			}
		case '\n':
			b.WriteByte(' ')
		default:
			b.WriteByte(v[i])
		}
	}
	text := strings.Join(strings.Fields(b.String()), " ")
	if inner, ok := strings.CutPrefix(text, "["); ok && !strings.Contains(inner, "[") && !strings.Contains(inner, "{") {
		return strings.TrimSuffix(inner, "]") // a list needs no brackets
	}
	return text
}

// AsTyped is a quantity in the digits that were typed: its text, or those of its samples.
func (q Quantity[Q]) AsTyped() string {
	if len(q.Typed) > 0 {
		return strings.Join(q.Typed, ", ")
	}
	return q.Text
}
