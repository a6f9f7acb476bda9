package report

import (
	"bytes"
	"reflect"
	"strconv"
	"strings"

	"holdbook/internal/survey"
	"holdbook/units"
)

// writeCSV writes one tidy table, a line for each number: its key in the
// results, what it is about, the value, the interval and the unit. The value
// of a result that is not resolved is left out; its bounds stay. A reading has
// no bounds. Notices have no place in it: see NoticeLines.
func writeCSV(b *bytes.Buffer, f *survey.Findings, _ Options) error {
	f, err := printed(f)
	if err != nil {
		return err
	}
	lines := [][]string{csvColumns()}
	for _, e := range entries(f) {
		lines = append(lines, e.cells())
	}
	b.Write(csvLines(lines))
	return nil
}

// entry is one number of the findings: a line of the table, whose columns are its
// fields by their tags.
type entry struct {
	Key   string `csv:"quantity"`
	About string `csv:"between"`
	Value string `csv:"value"`
	Low   string `csv:"low"`
	High  string `csv:"high"`
	Unit  string `csv:"unit"`
}

// csvColumns are the heads of the table.
func csvColumns() []string {
	var heads []string
	for f := range reflect.TypeFor[entry]().Fields() {
		heads = append(heads, f.Tag.Get("csv"))
	}
	return heads
}

// cells is the line, texts kept from being formulas.
func (e entry) cells() []string {
	e.Key, e.About, e.Unit = harmless(e.Key), harmless(e.About), harmless(e.Unit)
	var cells []string
	for _, v := range reflect.ValueOf(e).Fields() {
		cells = append(cells, v.String())
	}
	return cells
}

// exact is the shortest text that reads back as v.
func exact(v float64) string { return strconv.FormatFloat(v, 'g', -1, 64) }

// harmless keeps a spreadsheet from taking a text for a formula: one that
// begins like a formula gets an apostrophe before it.
func harmless(s string) string {
	if strings.IndexAny(s, "=+-@|%\t\r\n＝＋－＠−") == 0 {
		return "'" + s
	}
	return s
}

// entries is every number of the findings once, in the order of the results.
func entries(f *survey.Findings) []entry {
	var l entryList
	l.add(reflect.ValueOf(f), "", "")
	return l
}

// entryList gathers the numbers of a result by the tags of its fields; see package
// survey.
type entryList []entry

func (l *entryList) add(v reflect.Value, key, about string) {
	switch v.Kind() {
	case reflect.Pointer:
		if !v.IsNil() {
			l.add(v.Elem(), key, about)
		}
	case reflect.Slice:
		for i := range v.Len() {
			l.add(v.Index(i), key, about)
		}
	case reflect.Struct:
		if named := subject(v.Interface()); named != "" {
			about = named
		}
		for i := range v.NumField() {
			if f := v.Type().Field(i); f.IsExported() {
				l.field(v, f, key, about)
			}
		}
	}
}

// field adds the numbers of one field of a struct.
func (l *entryList) field(of reflect.Value, f reflect.StructField, key, about string) {
	name, _, _ := strings.Cut(f.Tag.Get("json"), ",")
	counts := true
	for _, option := range strings.Split(f.Tag.Get("csv"), ",") {
		what, field, _ := strings.Cut(option, "=")
		switch what {
		case "-":
			return
		case "as":
			name = of.FieldByName(field).String()
		case "if":
			field, negated := strings.CutPrefix(field, "!")
			counts = of.FieldByName(field).IsZero() == negated
		}
	}
	v := of.FieldByIndex(f.Index)
	if v.Kind() == reflect.Pointer && !v.IsNil() {
		v = v.Elem()
	}
	e := entry{Key: strings.TrimPrefix(key+"."+name, "."), About: about}
	q, estimate := v.Interface().(survey.Q)
	switch {
	case estimate:
		e.Low, e.High, e.Unit = exact(q.Low), exact(q.High), q.Unit.Symbol()
		if counts {
			e.Value = exact(q.Value)
		}
	case v.Kind() != reflect.Float64:
		l.add(v, e.Key, about)
		return
	default:
		e.Value, e.Unit = exact(v.Float()), f.Tag.Get("unit")
		if in := f.Tag.Get("in"); in != "" {
			e.Unit = of.FieldByName(in).Interface().(units.Unit).Symbol()
		} else if e.Unit == "" || !counts {
			return
		}
	}
	*l = append(*l, e)
}

// subject is what the numbers of a part of the results are about.
func subject(part any) string {
	switch x := part.(type) {
	case survey.Path:
		return between(x.Between)
	case survey.Zone:
		return x.Name
	case survey.Opening:
		return joinWords(", ", between(x.Between), x.Name, x.Hold)
	case survey.Point:
		return x.Hold
	case survey.Register:
		return x.Name
	case survey.DuctTest:
		return x.Name
	case survey.OnOffPoint:
		return "house at " + exact(x.Pressure) + " Pa"
	case survey.Loss:
		return x.Cause
	case survey.RoomPressure:
		return x.Name
	case survey.SealChoice:
		return sealName(x)
	case survey.HandAnswer:
		return joinWords(", ", x.About, x.Method)
	case survey.LimitCheck:
		return joinWords(" ", x.Document, x.Edition)
	case survey.Hold:
		return x.Name
	case survey.Samples:
		return joinWords(", ", x.Reading, x.Hold)
	case survey.Reading:
		return joinWords(", ", pressureName(x.Of, x.To), x.Hold)
	case survey.CAZ:
		return x.Name
	case survey.Standard:
		return joinWords(", ", x.Standard, x.Direction)
	case survey.ReadingLine:
		return joinWords(", ", x.What, x.Hold)
	case survey.Prior:
		return x.Of
	}
	return ""
}
