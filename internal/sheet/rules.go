package sheet

import (
	"math"
	"strconv"
	"strings"
)

// rule is a further demand on a number, in SI: "" when v keeps it, else what is
// wrong and what to do.
type rule func(v float64) string

// rulesOf reads the demands of a tag: "above zero, 0..10".
func rulesOf(tag string) []rule {
	if tag == "" {
		return nil
	}
	var list []rule
	for _, one := range strings.Split(tag, ", ") {
		if low, high, ok := strings.Cut(one, ".."); ok {
			list = append(list, between(low, high))
		} else {
			list = append(list, rules(one))
		}
	}
	return list
}

// between bounds a number, ends included.
func between(low, high string) rule {
	from, err1 := strconv.ParseFloat(low, 64)
	to, err2 := strconv.ParseFloat(high, 64)
	if err1 != nil || err2 != nil {
		panic("sheet: a tag bounds a number by " + low + " and " + high)
	}
	return func(v float64) string {
		if v < from || v > to {
			return "must lie between " + low + " and " + high + "; correct it, or leave it out"
		}
		return ""
	}
}

// rules are the demands that have a name.
func rules(name string) rule {
	switch name {
	case "above zero":
		return broken(func(v float64) bool { return v <= 0 }, "must be above zero; leave it out when it was not read")
	case "not below zero":
		return broken(func(v float64) bool { return v < 0 }, "is below zero; write it without the minus")
	case "not zero":
		return broken(func(v float64) bool { return v == 0 }, "is zero; leave it out when it was not read")
	case "whole":
		return broken(func(v float64) bool { return v != math.Trunc(v) }, "must be a whole number; write it without decimals")
	case "factor":
		return broken(func(v float64) bool { return v <= 1 || v > 1000 }, "is a factor; write a number above 1, such as 3 for a third to three times")
	}
	panic("sheet: a tag names the rule " + name + ", which there is not")
}

func broken(by func(float64) bool, says string) rule {
	return func(v float64) string {
		if by(v) {
			return says
		}
		return ""
	}
}

// breaks is what the first of the rules that v does not keep says of it.
func breaks(rules []rule, v float64) string {
	for _, r := range rules {
		if wrong := r(v); wrong != "" {
			return wrong
		}
	}
	return ""
}

func itoa(n int) string { return strconv.Itoa(n) }

func plain(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }
