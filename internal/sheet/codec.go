package sheet

import (
	"math"
	"strconv"
	"strings"

	"holdbook/units"
)

func itoa(n int) string { return strconv.Itoa(n) }

// rule is a further demand on a quantity: "" when v keeps it, else what is
// wrong and what to do.
type rule[Q ~float64] func(v Q) string

func aboveZero[Q ~float64](v Q) string {
	if v <= 0 {
		return "must be above zero; leave it out when it was not read"
	}
	return ""
}

func notBelowZero[Q ~float64](v Q) string {
	if v < 0 {
		return "is below zero; write it without the minus"
	}
	return ""
}

func notZero[Q ~float64](v Q) string {
	if v == 0 {
		return "is zero; leave it out when it was not read"
	}
	return ""
}

// between bounds a number, ends included.
func between(low, high float64) rule[units.Ratio] {
	return func(v units.Ratio) string {
		if float64(v) < low || float64(v) > high {
			return "must lie between " + plain(low) + " and " + plain(high) + "; correct it, or leave it out"
		}
		return ""
	}
}

func whole(v units.Ratio) string {
	if v != units.Ratio(math.Trunc(float64(v))) {
		return "must be a whole number; write it without decimals"
	}
	return ""
}

func plain(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }

// quantity is a key whose value is one quantity with its unit.
func quantity[T any, Q ~float64](name string, dim *dimension[Q], at func(*T) *Quantity[Q], rules ...rule[Q]) key[T] {
	return key[T]{
		name: name,
		read: func(d *decoder, n *node, to *T) {
			if q, ok := readQuantity(d, n, dim, rules); ok {
				*at(to) = q
			}
		},
		write: func(e *encoder, from *T) string { return writeQuantity(e, dim, *at(from)) },
	}
}

// measured is a quantity in whose place a list of samples may stand, or a
// column of a gauge's log.
func measured[T any, Q ~float64](name string, dim *dimension[Q], at func(*T) *Quantity[Q], rules ...rule[Q]) key[T] {
	k := quantity(name, dim, at, rules...)
	single := k.read
	k.read = func(d *decoder, n *node, to *T) {
		if n.form != listForm && !n.isLog() {
			single(d, n, to)
		} else if q, ok := readSamples(d, n, dim, rules); ok {
			*at(to) = q
		}
	}
	return k
}

// samples is a key that gives the samples of a reading that another key would
// give in one value.
func samples[T any, Q ~float64](name, instead string, dim *dimension[Q], at func(*T) *Quantity[Q], rules ...rule[Q]) key[T] {
	return key[T]{name: name, read: func(d *decoder, n *node, to *T) {
		if at(to).Given {
			d.fault(n.nameAt, name+" and "+instead+" both give one reading; keep one of the two")
		} else if n.form != listForm && !n.isTable() {
			d.fault(n.at, name+" is a list; write "+name+" = ["+dim.example+", "+dim.example+`], or { file = "log.csv", column = "…", unit = "…" }`)
		} else if q, ok := readSamples(d, n, dim, rules); ok {
			*at(to) = q
		}
	}}
}

func readSamples[Q ~float64](d *decoder, n *node, dim *dimension[Q], rules []rule[Q]) (Quantity[Q], bool) {
	if n.isTable() {
		return readColumn(d, n, dim, rules)
	}
	if len(n.items) == 0 {
		d.fault(n.at, "the list of samples is empty; write the samples, or leave the key out")
		return Quantity[Q]{}, false
	}
	if len(n.items) > MaxSamples {
		d.fault(n.items[MaxSamples].at, "too many samples; there may be "+itoa(MaxSamples))
		return Quantity[Q]{}, false
	}
	q := Quantity[Q]{Pos: d.src.pos(n.at), Given: true}
	good := true
	for _, c := range n.items {
		s, ok := readQuantity(d, c, dim, rules)
		q.Samples = append(q.Samples, s.Value)
		q.Value += s.Value / Q(len(n.items))
		good = good && ok
		if q.Text == "" {
			q.Text = s.Text
		}
	}
	return q, good
}

func readQuantity[Q ~float64](d *decoder, n *node, dim *dimension[Q], rules []rule[Q]) (Quantity[Q], bool) {
	text, ok := quantityText(d, n, dim)
	if !ok {
		return Quantity[Q]{}, false
	}
	v, err := dim.check(text)
	if err != nil {
		d.fault(n.at, err.Error())
		return Quantity[Q]{}, false
	}
	for _, r := range rules {
		if wrong := r(v); wrong != "" {
			d.fault(n.at, label(n)+wrong)
			return Quantity[Q]{}, false
		}
	}
	return Quantity[Q]{Value: v, Text: units.SanitizeTo(text, MaxName), Pos: d.src.pos(n.at), Given: true}, true
}

// label begins a message about a key's value.
func label(n *node) string {
	if n.name == "" {
		return "this "
	}
	return shown(n.name) + " "
}

// quantityText is a quantity as its parser wants it: a string, or a bare
// number with the unit that [job] bare gives to its kind.
func quantityText[Q ~float64](d *decoder, n *node, dim *dimension[Q]) (string, bool) {
	unit := ""
	if dim.fill != nil {
		unit = dim.fill(d).Value
	}
	switch n.form {
	case stringForm:
		if _, rest := splitNumber(n.text); rest == "" && unit != "" {
			return n.text + " " + unit, true
		}
		return n.text, true
	case numberForm:
		return bareText(d, n, unit, dim.example)
	}
	d.fault(n.at, label(n)+"is a quantity; write it in quotes with its unit, such as "+dim.example)
	return "", false
}

func bareText(d *decoder, n *node, unit, example string) (string, bool) {
	v, ok := readNumber(d, n)
	if !ok {
		return "", false
	}
	if unit == "" {
		_, usual := splitNumber(strings.Trim(example, `"`))
		d.fault(n.at, label(n)+"is a bare number; write it in quotes with its unit, such as "+
			`"`+plain(v)+" "+usual+`"`)
		return "", false
	}
	return strings.ReplaceAll(n.text, "_", "") + " " + unit, true
}

// readNumber reads a number of TOML; nan and inf are no readings.
func readNumber(d *decoder, n *node) (float64, bool) {
	if n.form == stringForm {
		if v, err := strconv.ParseFloat(strings.TrimSpace(n.text), 64); err == nil && math.Abs(v) < 1e12 {
			d.fault(n.at, label(n)+"is a plain number; write it without quotes: "+plain(v))
			return 0, false
		}
	}
	if n.form != numberForm {
		d.fault(n.at, label(n)+"is a plain number; write it without quotes and unit, such as 2 or 0.65")
		return 0, false
	}
	v, err := strconv.ParseFloat(strings.ReplaceAll(n.text, "_", ""), 64)
	if err != nil || math.IsNaN(v) || math.Abs(v) > 1e12 {
		d.fault(n.at, quoted(n.text)+" is no reading; write a decimal number, or leave the key out")
		return 0, false
	}
	return v, true
}

// number is a key whose value is a plain number.
func number[T any](name string, at func(*T) *Number, rules ...rule[units.Ratio]) key[T] {
	return key[T]{
		name: name,
		read: func(d *decoder, n *node, to *T) {
			v, ok := readNumber(d, n)
			if !ok {
				return
			}
			for _, r := range rules {
				if wrong := r(units.Ratio(v)); wrong != "" {
					d.fault(n.at, label(n)+wrong)
					return
				}
			}
			*at(to) = Number{Value: units.Ratio(v), Text: n.text, Pos: d.src.pos(n.at), Given: true}
		},
		write: func(_ *encoder, from *T) string {
			if !at(from).Given {
				return ""
			}
			return plain(float64(at(from).Value))
		},
	}
}

// fraction is a key that takes "92 %" as well as 0.92.
func fraction[T any](name string, high float64, at func(*T) *Number) key[T] {
	k := number(name, at, aboveZero, between(0, high))
	plainNumber := k.read
	share := *shareOf
	share.high = units.Ratio(high)
	k.read = func(d *decoder, n *node, to *T) {
		if n.form != stringForm || !strings.Contains(n.text, "%") {
			plainNumber(d, n, to)
		} else if q, ok := readQuantity(d, n, &share, []rule[units.Ratio]{aboveZero[units.Ratio]}); ok {
			*at(to) = q
		}
	}
	return k
}
