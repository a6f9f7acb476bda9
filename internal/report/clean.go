package report

import (
	"fmt"
	"math"
	"reflect"
	"strings"

	"holdbook/internal/survey"
	"holdbook/units"
)

// maxName is the longest name that is shown, in characters. The record of the
// sheet itself is the sheet; here a name only has to be recognised.
const maxName = 48

// clean returns a copy of f without numbers that are not finite, and with
// every string passed through text (nil keeps strings as they are). Where a
// result had to be left out a notice says so; f itself is not touched.
func clean(f *survey.Findings, text func(name bool, s string) string) (*survey.Findings, error) {
	if f == nil {
		return nil, fmt.Errorf("no findings")
	}
	if text == nil {
		text = func(_ bool, s string) string { return s }
	}
	c := cleaner{text: text}
	v, ok := c.copy(reflect.ValueOf(*f), false)
	if !ok {
		return nil, fmt.Errorf("a result is not a finite number")
	}
	out := v.Interface().(survey.Findings)
	if c.dropped > 0 {
		out.Notices = append(out.Notices, survey.Notice{Level: survey.Warning, Text: fmt.Sprintf(
			"%d of the results came out as no finite number and were left out; check the readings they rest on", c.dropped)})
	}
	return &out, nil
}

// cleaned is clean with names and texts made safe to print.
func cleaned(f *survey.Findings) (*survey.Findings, error) {
	return clean(f, func(name bool, s string) string {
		if name {
			return units.SanitizeTo(s, maxName)
		}
		return plain(s)
	})
}

// cleaner copies values of the findings. A result that is not finite takes
// with it the smallest optional thing that holds it: a pointer, an element of a
// list, a field that may be left out.
type cleaner struct {
	text    func(name bool, s string) string
	dropped int
}

func (c *cleaner) copy(v reflect.Value, name bool) (reflect.Value, bool) {
	out := reflect.New(v.Type()).Elem()
	switch v.Kind() {
	case reflect.Float64:
		out.Set(v)
		return out, !math.IsNaN(v.Float()) && !math.IsInf(v.Float(), 0)
	case reflect.String:
		out.SetString(c.text(name, v.String()))
	case reflect.Pointer:
		return c.pointer(v, out), true
	case reflect.Slice:
		return c.slice(v, out, name), true
	case reflect.Array:
		all := true
		for i := range v.Len() {
			e, ok := c.copy(v.Index(i), name)
			out.Index(i).Set(e)
			all = all && ok
		}
		return out, all
	case reflect.Struct:
		return c.fields(v, out)
	default:
		out.Set(v)
	}
	return out, true
}

func (c *cleaner) pointer(v, out reflect.Value) reflect.Value {
	if v.IsNil() {
		return out
	}
	e, ok := c.copy(v.Elem(), false)
	if !ok {
		c.dropped++
		return out
	}
	out.Set(reflect.New(v.Type().Elem()))
	out.Elem().Set(e)
	return out
}

// slice never returns a nil slice, so that JSON says [] and not null.
func (c *cleaner) slice(v, out reflect.Value, name bool) reflect.Value {
	out.Set(reflect.MakeSlice(v.Type(), 0, v.Len()))
	for i := range v.Len() {
		if e, ok := c.copy(v.Index(i), name); ok {
			out.Set(reflect.Append(out, e))
		} else {
			c.dropped++
		}
	}
	return out
}

func (c *cleaner) fields(v, out reflect.Value) (reflect.Value, bool) {
	all := true
	for i := range v.NumField() {
		tag := v.Type().Field(i).Tag.Get("json")
		key, _, _ := strings.Cut(tag, ",")
		e, ok := c.copy(v.Field(i), nameKeys[key])
		if !ok && v.Field(i).Kind() == reflect.Float64 && strings.Contains(tag, "omitempty") {
			c.dropped++
			continue
		}
		out.Field(i).Set(e)
		all = all && ok
	}
	return out, all
}

// nameKeys are the fields that hold names from the sheet and not prose.
var nameKeys = map[string]bool{"name": true, "between": true, "hold": true, "of": true, "to": true,
	"about": true, "what": true, "by": true, "place": true, "kind": true, "gauge_id": true}

// plain makes a string safe for a line of a terminal without shortening it:
// control characters (escapes among them), direction and other invisible marks
// and line breaks go, white space is one space.
func plain(s string) string { return units.SanitizeTo(s, len(s)+1) }
