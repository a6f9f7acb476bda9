package sheet

import (
	"math"
	"reflect"
	"strconv"
	"strings"

	"holdbook/units"
)

// kind is that of a quantity of the dimension.
func (dim *dimension[Q]) kind(name string) *kind {
	return &kind{name: name, of: reflect.TypeFor[Quantity[Q]](), sample: dim.example,
		read: func(d *decoder, n *node, k *Key, table reflect.Value) {
			to := field[Quantity[Q]](k, table)
			if q, ok := dim.read(d, n, k, to.Given); ok {
				*to = q
			}
		},
		write: func(e *encoder, k *Key, table reflect.Value) string {
			return writeQuantity(e, dim, *field[Quantity[Q]](k, table))
		}}
}

// read reads what the key says in place of one value: nothing, samples, or nothing
// but them.
func (dim *dimension[Q]) read(d *decoder, n *node, k *Key, given bool) (Quantity[Q], bool) {
	switch {
	case k.instead != "":
		return dim.samples(d, n, k.Name, k.instead, given, k.rules)
	case k.often:
		return dim.measured(d, n, k.rules)
	}
	return dim.one(d, n, k.rules)
}

// measured reads one value, or in its place a list of samples or a column of a
// gauge's log.
func (dim *dimension[Q]) measured(d *decoder, n *node, rules []rule) (Quantity[Q], bool) {
	if n.form != listForm && !n.isLog() {
		return dim.one(d, n, rules)
	}
	return dim.several(d, n, rules)
}

// samples reads a key for the samples of a reading that another key would give
// in one value, and perhaps has given.
func (dim *dimension[Q]) samples(d *decoder, n *node, name, instead string, given bool, rules []rule) (Quantity[Q], bool) {
	if given {
		d.fault(n.nameAt, name+" and "+instead+" both give one reading; keep one of the two")
	} else if n.form != listForm && !n.isTable() {
		such := writeText(dim.example)
		d.fault(n.at, name+" is a list; write "+name+" = ["+such+", "+such+`], or { file = "log.csv", column = "…", unit = "…" }`)
	} else {
		return dim.several(d, n, rules)
	}
	return Quantity[Q]{}, false
}

// several reads a list of samples, or a column of a log.
func (dim *dimension[Q]) several(d *decoder, n *node, rules []rule) (Quantity[Q], bool) {
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
		s, ok := dim.one(d, c, rules)
		q.Samples, q.Typed = append(q.Samples, s.Value), append(q.Typed, s.Text)
		q.Value += s.Value / Q(len(n.items))
		good = good && ok
		if q.Text == "" {
			q.Text = s.Text
		}
	}
	return q, good
}

// one reads a single quantity.
func (dim *dimension[Q]) one(d *decoder, n *node, rules []rule) (Quantity[Q], bool) {
	text, ok := dim.text(d, n)
	if !ok {
		return Quantity[Q]{}, false
	}
	v, err := dim.check(text)
	if err != nil {
		d.fault(n.at, err.Error())
		return Quantity[Q]{}, false
	}
	if wrong := breaks(rules, float64(v)); wrong != "" {
		d.fault(n.at, label(n)+wrong)
		return Quantity[Q]{}, false
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

// text is a quantity as its parser wants it: a string, or a bare number with
// the unit that [job] bare gives to its kind.
func (dim *dimension[Q]) text(d *decoder, n *node) (string, bool) {
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
	d.fault(n.at, label(n)+"is a quantity; write it in quotes with its unit, such as "+writeText(dim.example))
	return "", false
}

func bareText(d *decoder, n *node, unit, example string) (string, bool) {
	v, ok := readNumber(d, n)
	if !ok {
		return "", false
	}
	if unit == "" {
		_, usual := splitNumber(example)
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

func readPlain(d *decoder, n *node, k *Key) (Number, bool) {
	v, ok := readNumber(d, n)
	if !ok {
		return Number{}, false
	}
	if wrong := breaks(k.rules, v); wrong != "" {
		d.fault(n.at, label(n)+wrong)
		return Number{}, false
	}
	return Number{Value: units.Ratio(v), Text: n.text, Pos: d.src.pos(n.at), Given: true}, true
}

func writePlain(e *encoder, x Number) string {
	if x.Given && e.typed && x.Text != "" {
		return x.Text
	}
	if x.Given {
		return plain(float64(x.Value))
	}
	return ""
}

// readFraction reads a number that may be written in per cent: "92 %" as well as
// 0.92.
func readFraction(d *decoder, n *node, k *Key) (Number, bool) {
	if n.form == stringForm && strings.Contains(n.text, "%") {
		return fractionOf.one(d, n, k.rules)
	}
	return readPlain(d, n, k)
}
