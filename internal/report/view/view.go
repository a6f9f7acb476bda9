// Package view makes of a result in SI what a reader is shown: a copy with its numbers
// in the units of a system, without numbers that are none, and with every text passed
// through a function. It works on any struct with tags: json names a field, and
// in:"Unit" says that a number is in the unit that the field of that name holds.
package view

import (
	"errors"
	"math"
	"reflect"
	"strings"

	"holdbook/units"
)

// Text changes a text on its way to a reader; name tells a name of the sheet from prose.
type Text func(name bool, s string) string

// Of copies a result into units of the system; a nil text keeps texts as they are. A
// number that is not finite takes with it the smallest optional thing that holds it:
// a pointer, an element of a list, a field that may be left out. It says how many were
// left out, or, where all of the result would go, gives an error. The result itself is
// not touched.
func Of[T any](result T, system units.System, text Text) (shown T, leftOut int, err error) {
	if text == nil {
		text = func(_ bool, s string) string { return s }
	}
	c := copier{system: system, text: text}
	v, ok := c.copy(reflect.ValueOf(result), field{})
	if !ok {
		return shown, 0, errors.New("a result is not a finite number")
	}
	return v.Interface().(T), c.leftOut, nil
}

type copier struct {
	system  units.System
	text    Text
	leftOut int
}

// field is what the struct around a value says of it.
type field struct {
	name     bool // holds names
	from, to units.Unit
}

var unitType = reflect.TypeFor[units.Unit]()

func (c *copier) copy(v reflect.Value, f field) (reflect.Value, bool) {
	out := reflect.New(v.Type()).Elem()
	switch v.Kind() {
	case reflect.Float64:
		number := units.Convert(v.Float(), f.from, f.to)
		out.SetFloat(number)
		return out, !math.IsNaN(number) && !math.IsInf(number, 0)
	case reflect.String:
		out.SetString(c.text(f.name, v.String()))
	case reflect.Pointer:
		return c.pointer(v, out, f), true
	case reflect.Slice:
		return c.slice(v, out, f), true
	case reflect.Array:
		all := true
		for i := range v.Len() {
			e, ok := c.copy(v.Index(i), f)
			out.Index(i).Set(e)
			all = all && ok
		}
		return out, all
	case reflect.Struct:
		if v.Type() == unitType {
			out.Set(reflect.ValueOf(c.unit(v.Interface().(units.Unit))))
			return out, true
		}
		return c.fields(v, out)
	default:
		out.Set(v)
	}
	return out, true
}

// unit is the unit shown in place of u. A currency is the sheet's own text.
func (c *copier) unit(u units.Unit) units.Unit {
	u = c.system.For(u)
	if symbol := c.text(false, u.Symbol()); symbol != u.Symbol() {
		return units.Named(symbol)
	}
	return u
}

func (c *copier) pointer(v, out reflect.Value, f field) reflect.Value {
	if v.IsNil() {
		return out
	}
	e, ok := c.copy(v.Elem(), f)
	if !ok {
		c.leftOut++
		return out
	}
	out.Set(reflect.New(v.Type().Elem()))
	out.Elem().Set(e)
	return out
}

// slice never returns a nil slice, so that JSON says [] and not null.
func (c *copier) slice(v, out reflect.Value, f field) reflect.Value {
	out.Set(reflect.MakeSlice(v.Type(), 0, v.Len()))
	for i := range v.Len() {
		if e, ok := c.copy(v.Index(i), f); ok {
			out.Set(reflect.Append(out, e))
		} else {
			c.leftOut++
		}
	}
	return out
}

func (c *copier) fields(v, out reflect.Value) (reflect.Value, bool) {
	all := true
	out.Set(v) // what is not for readers stays as it is
	for i := range v.NumField() {
		tag := v.Type().Field(i).Tag
		key, options, _ := strings.Cut(tag.Get("json"), ",")
		if !v.Type().Field(i).IsExported() || key == "-" {
			continue
		}
		f := field{name: nameKeys[key]}
		if in := tag.Get("in"); in != "" {
			f.from = v.FieldByName(in).Interface().(units.Unit)
			f.to = c.system.For(f.from)
		}
		e, ok := c.copy(v.Field(i), f)
		if !ok && v.Field(i).Kind() == reflect.Float64 && strings.HasPrefix(options, "omit") {
			c.leftOut++
			e, ok = reflect.Zero(e.Type()), true
		}
		out.Field(i).Set(e)
		all = all && ok
	}
	return out, all
}

// nameKeys are the fields that hold names from the sheet and not prose.
var nameKeys = map[string]bool{"name": true, "between": true, "hold": true, "of": true, "to": true,
	"about": true, "what": true, "by": true, "place": true, "kind": true, "gauge_id": true}
