package sheet

import (
	"math"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"

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

// measured is a quantity in whose place a list of samples may stand.
func measured[T any, Q ~float64](name string, dim *dimension[Q], at func(*T) *Quantity[Q], rules ...rule[Q]) key[T] {
	k := quantity(name, dim, at, rules...)
	single := k.read
	k.read = func(d *decoder, n *node, to *T) {
		if n.form != listForm {
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
		} else if n.form != listForm {
			d.fault(n.at, name+" is a list; write "+name+" = ["+dim.example+", "+dim.example+"]")
		} else if q, ok := readSamples(d, n, dim, rules); ok {
			*at(to) = q
		}
	}}
}

func readSamples[Q ~float64](d *decoder, n *node, dim *dimension[Q], rules []rule[Q]) (Quantity[Q], bool) {
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

// readText reads a string that must say something on one line.
func readText(d *decoder, n *node, limit int) (Text, bool) {
	switch n.form {
	case stringForm:
	case listForm, tablesForm, headerForm, implicitForm, dottedForm, braceForm:
		d.fault(n.at, label(n)+"is one text; write it in quotes")
		return Text{}, false
	default:
		d.fault(n.at, label(n)+"is text; write it in quotes: "+quoted(n.text))
		return Text{}, false
	}
	s := units.SanitizeTo(n.text, limit+1)
	switch {
	case utf8.RuneCountInString(n.text) > limit:
		d.fault(n.at, label(n)+"is too long; write at most "+itoa(limit)+" characters")
		return Text{}, false
	case s == "":
		d.fault(n.at, label(n)+"is empty; write some text, or leave the key out")
		return Text{}, false
	}
	return Text{s, d.src.pos(n.at)}, true
}

// text is a key whose value is free text.
func text[T any](name string, limit int, at func(*T) *Text) key[T] {
	return key[T]{
		name: name,
		read: func(d *decoder, n *node, to *T) {
			if t, ok := readText(d, n, limit); ok {
				*at(to) = t
			}
		},
		write: func(_ *encoder, from *T) string { return writeText(at(from).Value) },
	}
}

// note is the key that every table has.
func note[T any](at func(*T) *Text) key[T] { return text("note", MaxNote, at) }

// word is a key whose value is one of a few words.
func word[T any](name string, at func(*T) *Text, words ...string) key[T] {
	k := text(name, MaxName, at)
	k.read = func(d *decoder, n *node, to *T) {
		if t, ok := readWord(d, n, words); ok {
			*at(to) = t
		}
	}
	return k
}

func readWord(d *decoder, n *node, words []string) (Text, bool) {
	t, ok := readText(d, n, MaxName)
	if !ok {
		return t, false
	}
	for _, w := range words {
		if w == t.Value {
			return t, true
		}
	}
	quotedWords := make([]string, len(words))
	for i, w := range words {
		quotedWords[i] = `"` + w + `"`
	}
	wrong := label(n) + "cannot be " + quoted(t.Value)
	if near, ok := nearest(t.Value, words); ok {
		d.fault(n.at, wrong+`; did you mean "`+near+`"?`)
	} else {
		d.fault(n.at, wrong+"; write "+listed(quotedWords))
	}
	return t, false
}

// flag is a key whose value is true or false.
func flag[T any](name string, at func(*T) *Flag) key[T] {
	return key[T]{
		name: name,
		read: func(d *decoder, n *node, to *T) {
			if n.form != boolForm {
				d.fault(n.at, label(n)+"is yes or no; write true or false without quotes")
				return
			}
			*at(to) = Flag{n.text == "true", true, d.src.pos(n.at)}
		},
		write: func(_ *encoder, from *T) string {
			if !at(from).Given {
				return ""
			}
			return strconv.FormatBool(at(from).Value)
		},
	}
}

// The layouts of local dates and times in TOML 1.0.
const (
	dateLayout  = "2006-01-02"
	clockLayout = "15:04:05"
)

// when is a key whose value is a date or a time in one of the layouts.
func when[T any](name, example string, at func(*T) *When, layouts ...string) key[T] {
	return key[T]{
		name: name,
		read: func(d *decoder, n *node, to *T) {
			if n.form == whenForm {
				for _, layout := range layouts {
					if t, err := time.Parse(layout, n.text); err == nil && !strings.Contains(n.text, ",") {
						*at(to) = When{Text: n.text, Time: onFirstDay(t, layout), Pos: d.src.pos(n.at)}
						return
					}
				}
			}
			d.fault(n.at, label(n)+"cannot be read as a date or time; write it without quotes, such as "+example)
		},
		write: func(_ *encoder, from *T) string { return at(from).Text },
	}
}

// onFirstDay puts a time of day on 1 January of year 1.
func onFirstDay(t time.Time, layout string) time.Time {
	if layout == clockLayout {
		return t.AddDate(1, 0, 0)
	}
	return t
}

// parsed is a key whose string has a parser of its own.
func parsed[T, V any](name string, parse func(string) (V, error), put func(*T, V, Pos), get func(*T) string) key[T] {
	return key[T]{
		name: name,
		read: func(d *decoder, n *node, to *T) {
			if n.form != stringForm {
				d.fault(n.at, label(n)+"must stand in quotes, with its unit")
			} else if v, err := parse(n.text); err != nil {
				d.fault(n.at, err.Error())
			} else {
				put(to, v, d.src.pos(n.at))
			}
		},
		write: func(_ *encoder, from *T) string { return writeText(get(from)) },
	}
}

// space is a key whose value names a space.
func space[T any](name string, at func(*T) *SpaceRef) key[T] {
	return key[T]{
		name: name,
		read: func(d *decoder, n *node, to *T) { *at(to), _ = readSpace(d, n) },
		write: func(_ *encoder, from *T) string {
			return writeText(at(from).spelled())
		},
	}
}

func (r SpaceRef) spelled() string {
	if r.Name != "" {
		return r.Name
	}
	return r.Text
}

func readSpace(d *decoder, n *node) (SpaceRef, bool) {
	t, ok := readText(d, n, MaxName)
	return SpaceRef{Text: t.Value, Pos: t.Pos}, ok
}

// pair is the key that names the two ends of a path.
func pair[T any](at func(*T) *Pair) key[T] {
	return key[T]{
		name: "between",
		want: `["house", "attic"]`,
		read: func(d *decoder, n *node, to *T) {
			if n.form != listForm || len(n.items) != 2 {
				d.fault(n.at, `between names two spaces; write between = ["house", "attic"]`)
				return
			}
			at(to)[0], _ = readSpace(d, n.items[0])
			at(to)[1], _ = readSpace(d, n.items[1])
		},
		write: func(_ *encoder, from *T) string {
			return "[" + writeText(at(from)[0].spelled()) + ", " + writeText(at(from)[1].spelled()) + "]"
		},
	}
}
