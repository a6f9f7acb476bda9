package sheet

import (
	"fmt"
	"reflect"
	"slices"
	"strings"
)

// encoder writes a sheet; system says in which units quantities stand that
// have no text of their own.
type encoder struct {
	system string
	typed  bool // numbers as they were typed, for people and not for the reader
}

// Encode writes a sheet built in memory as a readings file. What it gives
// back reads as the same sheet; the error, when it cannot, says why.
func Encode(s *Sheet) ([]byte, error) {
	data := Draft(s)
	if _, err := Parse(data, s.File); err != nil {
		return nil, fmt.Errorf("this sheet cannot be written: %w", err)
	}
	return data, nil
}

// Draft writes a sheet built in memory as a readings file that nothing was checked
// of.
func Draft(s *Sheet) []byte {
	written := *s
	written.Zones = slices.DeleteFunc(slices.Clone(s.Zones), func(z Zone) bool { return z.Implied })
	e := &encoder{system: s.Job.PrintUnits()}
	return []byte(e.sheet(reflect.ValueOf(&written).Elem()))
}

// EncodeHold writes one [[hold]] block, its quantities in the units of a
// system ("ip" or "si") where they have no text of their own.
func EncodeHold(h Hold, system string) string {
	return (&encoder{system: system}).block(LookUp("hold").inner(), reflect.ValueOf(&h).Elem())
}

// EncodeZone writes one [[zone]] block.
func EncodeZone(z Zone) string {
	return (&encoder{}).block(LookUp("zone").inner(), reflect.ValueOf(&z).Elem())
}

// EncodeWalk writes one [[walk]] block.
func EncodeWalk(w Walk) string {
	return (&encoder{}).block(LookUp("walk").inner(), reflect.ValueOf(&w).Elem())
}

// sheet writes the keys of the sheet itself, then its tables.
func (e *encoder) sheet(s reflect.Value) string {
	var b strings.Builder
	for _, k := range root().keys {
		if k.inner == nil {
			e.line(&b, k, s)
		}
	}
	for _, k := range root().keys {
		for _, one := range k.tables(s) {
			if text := e.block(k.inner(), one); text != "" {
				b.WriteString("\n" + text)
			}
		}
	}
	return b.String()
}

// tables are the tables that a key has: none, one or several.
func (k *Key) tables(of reflect.Value) []reflect.Value {
	f := of.Field(k.index)
	switch {
	case k.inner == nil || f.Kind() == reflect.Pointer && f.IsNil():
		return nil
	case f.Kind() == reflect.Pointer:
		return []reflect.Value{f.Elem()}
	case f.Kind() == reflect.Struct:
		return []reflect.Value{f}
	}
	list := make([]reflect.Value, f.Len())
	for i := range list {
		list[i] = f.Index(i)
	}
	return list
}

// Gives says whether a key, or a table, stands in the sheet: in one table of several that
// may have it. Its path is that of LookUp.
func (s *Sheet) Gives(path string) bool {
	LookUp(path)
	e := &encoder{system: s.Job.PrintUnits()}
	return e.gives(root(), reflect.ValueOf(s).Elem(), strings.Split(path, "."))
}

func (e *encoder) gives(t *table, of reflect.Value, path []string) bool {
	k := t.key(path[0])
	if k.inner == nil {
		return e.value(k, of) != ""
	}
	tables := k.tables(of)
	if len(path) == 1 {
		return len(tables) > 0
	}
	return slices.ContainsFunc(tables, func(one reflect.Value) bool { return e.gives(k.inner(), one, path[1:]) })
}

// value is the value of a key of a table; "" leaves the key out, as one for samples
// always is: its samples stand in place of the value they make.
func (e *encoder) value(k *Key, table reflect.Value) string {
	if k.kind.write == nil || k.instead != "" {
		return ""
	}
	return k.kind.write(e, k, table)
}

// line writes one key of a table, where it has a value.
func (e *encoder) line(b *strings.Builder, k *Key, table reflect.Value) {
	if v := e.value(k, table); v != "" {
		fmt.Fprintf(b, "%s = %s\n", k.Name, v)
	}
}

// block writes a table under its header; one that may stand once only is left
// out when it has no keys.
func (e *encoder) block(t *table, of reflect.Value) string {
	var b strings.Builder
	for _, k := range t.keys {
		e.line(&b, k, of)
	}
	if b.Len() == 0 && !strings.HasPrefix(t.name, "[[") {
		return ""
	}
	return t.name + "\n" + b.String()
}

// writeTables writes a table inside another: in braces, or several as a list.
func writeTables(e *encoder, k *Key, table reflect.Value) string {
	var items []string
	for _, one := range k.tables(table) {
		items = append(items, e.braces(k.inner(), one))
	}
	if k.Max == 0 {
		return strings.Join(items, "")
	}
	return onLines(items)
}

// braces writes a table on one line, or nothing when it has no keys.
func (e *encoder) braces(t *table, of reflect.Value) string {
	var parts []string
	for _, k := range t.keys {
		if v := e.value(k, of); v != "" {
			parts = append(parts, k.Name+" = "+v)
		}
	}
	return inBraces(parts)
}

func inBraces(parts []string) string {
	if len(parts) == 0 {
		return ""
	}
	return "{ " + strings.Join(parts, ", ") + " }"
}

// onLines writes a list, each item on its line when there are several.
func onLines(items []string) string {
	if len(items) < 2 {
		return bracketed(items)
	}
	return "[\n  " + strings.Join(items, ",\n  ") + ",\n]"
}

func bracketed(items []string) string {
	if len(items) == 0 {
		return ""
	}
	return "[" + strings.Join(items, ", ") + "]"
}

func writeQuantity[Q ~float64](e *encoder, dim *dimension[Q], q Quantity[Q]) string {
	switch {
	case !q.Given:
		return ""
	case len(q.Samples) == 0:
		return writeText(dim.spell(q.Value, q.Text, e.system))
	}
	items := make([]string, len(q.Samples))
	for i, v := range q.Samples {
		typed := ""
		if i < len(q.Typed) {
			typed = q.Typed[i]
		}
		items[i] = writeText(dim.spell(v, typed, e.system))
	}
	return bracketed(items)
}

// writeText writes a string, or nothing when it is empty.
func writeText(s string) string {
	if s == "" {
		return ""
	}
	return StringText(s)
}

// StringText is a text as a basic string of TOML, in quotes.
func StringText(s string) string {
	var b strings.Builder
	b.WriteByte('"')
	for _, r := range s {
		switch {
		case r == '"' || r == '\\':
			b.WriteByte('\\')
			b.WriteRune(r)
		case r < 0x20 || r == 0x7f:
			fmt.Fprintf(&b, `\u%04X`, r)
		default:
			b.WriteRune(r)
		}
	}
	b.WriteByte('"')
	return b.String()
}

// KeyText is a name as a key, in quotes where TOML wants them.
func KeyText(name string) string {
	if shown(name) == name {
		return name
	}
	return StringText(name)
}
