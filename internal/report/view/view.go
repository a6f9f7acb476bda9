// Package view makes of a result in SI what a reader is shown: a copy with its numbers
// in the units of a system, without numbers that are none, and with every text passed
// through a function. It works on any struct with tags: json names a field, and
// in:"Unit" says that a number is in the unit that the field of that name holds.
package view

import (
	"errors"
	"reflect"
	"strings"
	"sync"

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
	if !c.copy(reflect.ValueOf(&shown).Elem(), reflect.ValueOf(&result).Elem(), place{}) {
		var none T
		return none, 0, errors.New("a result is not a finite number")
	}
	return shown, c.leftOut, nil
}

type copier struct {
	system  units.System
	text    Text
	leftOut int
}

// place is what the struct around a value says of it.
type place struct {
	name     bool // it holds names
	from, to units.Unit
}

var unitType = reflect.TypeFor[units.Unit]()

// copy sets out, which is zero, to what is shown of v; false where v is no number.
func (c *copier) copy(out, v reflect.Value, at place) bool {
	switch v.Kind() {
	case reflect.Float64:
		number := units.Convert(v.Float(), at.from, at.to)
		out.SetFloat(number)
		return units.Finite(number)
	case reflect.String:
		out.SetString(c.text(at.name, v.String()))
	case reflect.Pointer:
		if v.IsNil() {
			return true
		}
		out.Set(reflect.New(v.Type().Elem()))
		if !c.copy(out.Elem(), v.Elem(), at) {
			c.leftOut++
			out.SetZero()
		}
	case reflect.Slice:
		c.slice(out, v, at)
	case reflect.Array:
		all := true
		for i := range v.Len() {
			all = c.copy(out.Index(i), v.Index(i), at) && all
		}
		return all
	case reflect.Struct:
		if v.Type() == unitType {
			out.Set(reflect.ValueOf(c.unit(v.Interface().(units.Unit))))
			return true
		}
		return c.fields(out, v)
	default:
		out.Set(v)
	}
	return true
}

// unit is the unit shown in place of u. A currency is the sheet's own text.
func (c *copier) unit(u units.Unit) units.Unit {
	u = c.system.For(u)
	if symbol := c.text(false, u.Symbol()); symbol != u.Symbol() {
		return units.Named(symbol)
	}
	return u
}

// slice never gives a nil slice, so that JSON says [] and not null.
func (c *copier) slice(out, v reflect.Value, at place) {
	out.Set(reflect.MakeSlice(v.Type(), v.Len(), v.Len()))
	n := 0
	for i := range v.Len() {
		if c.copy(out.Index(n), v.Index(i), at) {
			n++
		} else {
			c.leftOut++
			out.Index(n).SetZero()
		}
	}
	out.SetLen(n)
}

func (c *copier) fields(out, v reflect.Value) bool {
	out.Set(v) // what is not for readers stays as it is
	all := true
	for _, f := range fieldsOf(v.Type()) {
		at := place{name: f.name}
		if f.unit >= 0 {
			at.from = v.Field(f.unit).Interface().(units.Unit)
			at.to = c.system.For(at.from)
		}
		to := out.Field(f.index)
		to.SetZero()
		if c.copy(to, v.Field(f.index), at) {
			continue
		}
		if f.optional {
			c.leftOut++
			to.SetZero()
		} else {
			all = false
		}
	}
	return all
}

// field is what the tags of a struct's field say.
type field struct {
	index    int
	name     bool
	unit     int  // the field that holds its unit; -1 for none
	optional bool // a number that may be left out
}

// known are the fields of the types seen before.
var known sync.Map

// fieldsOf are the fields of a struct that a reader sees.
func fieldsOf(of reflect.Type) []field {
	if seen, ok := known.Load(of); ok {
		return seen.([]field)
	}
	var list []field
	for i := range of.NumField() {
		f := of.Field(i)
		key, options, _ := strings.Cut(f.Tag.Get("json"), ",")
		if !f.IsExported() || key == "-" {
			continue
		}
		x := field{index: i, name: nameKeys[key], unit: -1, optional: f.Type.Kind() == reflect.Float64 && strings.HasPrefix(options, "omit")}
		if beside, ok := of.FieldByName(f.Tag.Get("in")); ok {
			x.unit = beside.Index[0]
		}
		list = append(list, x)
	}
	known.Store(of, list)
	return list
}

// nameKeys are the fields that hold names from the sheet and not prose.
var nameKeys = map[string]bool{"name": true, "between": true, "hold": true, "of": true, "to": true,
	"about": true, "what": true, "by": true, "place": true, "kind": true, "gauge_id": true}
