package sheet

import (
	"fmt"
	"slices"
	"strings"
)

// encoder writes a sheet; system says in which units quantities stand that
// have no text of their own.
type encoder struct{ system string }

// Encode writes a sheet built in memory as a readings file. What it gives
// back reads as the same sheet; the error, when it cannot, says why.
func Encode(s *Sheet) ([]byte, error) {
	e := &encoder{s.Job.PrintUnits()}
	written := *s
	written.Zones = slices.DeleteFunc(slices.Clone(s.Zones), func(z Zone) bool { return z.Implied })
	var b strings.Builder
	writeKeys(&b, e, &sheetTable, &written)
	for _, k := range sheetTable.keys {
		if k.section != nil {
			b.WriteString(k.section(e, &written))
		}
	}
	data := []byte(b.String())
	if _, err := Parse(data, s.File); err != nil {
		return nil, fmt.Errorf("this sheet cannot be written: %w", err)
	}
	return data, nil
}

// EncodeHold writes one [[hold]] block, its quantities in the units of a
// system ("ip" or "si") where they have no text of their own.
func EncodeHold(h Hold, system string) string {
	return strings.TrimLeft(writeSection(&encoder{system}, "[[hold]]", &holdTable, &h), "\n")
}

// EncodeWalk writes one [[walk]] block.
func EncodeWalk(w Walk) string {
	return strings.TrimLeft(writeSection(&encoder{}, "[[walk]]", &walkTable, &w), "\n")
}

// writeKeys writes the keys of a table, one a line.
func writeKeys[T any](b *strings.Builder, e *encoder, t *table[T], from *T) {
	for _, k := range t.keys {
		if k.write == nil || t.name == "" && k.section != nil {
			continue
		}
		if v := k.write(e, from); v != "" {
			fmt.Fprintf(b, "%s = %s\n", k.name, v)
		}
	}
}

func writeSection[T any](e *encoder, header string, t *table[T], from *T) string {
	var b strings.Builder
	writeKeys(&b, e, t, from)
	if b.Len() == 0 && !strings.HasPrefix(header, "[[") {
		return ""
	}
	return "\n" + header + "\n" + b.String()
}

func writeSections[T any](e *encoder, name string, t *table[T], list []T) string {
	var b strings.Builder
	for i := range list {
		b.WriteString(writeSection(e, "[["+name+"]]", t, &list[i]))
	}
	return b.String()
}

// writeBraces writes a table on one line, or nothing when it has no keys.
func writeBraces[T any](e *encoder, t *table[T], from *T) string {
	var parts []string
	for _, k := range t.keys {
		if k.write == nil {
			continue
		}
		if v := k.write(e, from); v != "" {
			parts = append(parts, k.name+" = "+v)
		}
	}
	if len(parts) == 0 {
		return ""
	}
	return "{ " + strings.Join(parts, ", ") + " }"
}

// writeList writes tables as a list, each on its line when there are several.
func writeList[T any](e *encoder, t *table[T], list []T) string {
	items := make([]string, len(list))
	for i := range list {
		items[i] = writeBraces(e, t, &list[i])
	}
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
		return writeText(dim.write(q.Value, q.Text, e.system))
	}
	items := make([]string, len(q.Samples))
	for i, v := range q.Samples {
		items[i] = writeText(dim.write(v, "", e.system))
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

// everyday says whether a reading fits the form to_house or to_outside: the
// first pressure of its zone to that space, and nothing else.
func (r Reading) everyday(to string, before []Reading) bool {
	bare := r.Pressure.Given && !r.Baseline.Given && !r.PressureSD.Given && !r.Note.Given()
	return bare && fold(r.To.spelled()) == to && r.Form != "readings" &&
		!slices.ContainsFunc(before, func(o Reading) bool {
			return fold(o.Of.spelled()) == fold(r.Of.spelled()) && fold(o.To.spelled()) == to
		})
}

func writePressuresTo(e *encoder, h *Hold, to string) string {
	var parts []string
	for i, r := range h.Readings {
		if r.everyday(to, h.Readings[:i]) {
			parts = append(parts, KeyText(r.Of.spelled())+" = "+writeQuantity(e, pressureOf, r.Pressure))
		}
	}
	if len(parts) == 0 {
		return ""
	}
	return "{ " + strings.Join(parts, ", ") + " }"
}

// KeyText is a name as a key, in quotes where TOML wants them.
func KeyText(name string) string {
	if shown(name) == name {
		return name
	}
	return StringText(name)
}

func writeReadings(e *encoder, h *Hold) string {
	var rest []Reading
	for i, r := range h.Readings {
		if !r.everyday(HouseName, h.Readings[:i]) && !r.everyday(OutsideName, h.Readings[:i]) {
			rest = append(rest, r)
		}
	}
	return writeList(e, &readingTable, rest)
}

func writeSD(e *encoder, r *Reading) string {
	if r.PressureSD.Given {
		return writeQuantity(e, pressureOf, r.PressureSD)
	}
	if r.SD.Given {
		return writeText(shareOf.write(r.SD.Value, "", e.system))
	}
	return ""
}
