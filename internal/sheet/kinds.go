package sheet

import (
	"reflect"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"

	"holdbook/units"
)

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

// textKind is free text, which is a string of so many characters at most.
type textKind struct{ limit int }

func (textKind) sample() string { return "…" }

func (t textKind) read(d *decoder, n *node, k *Key, table reflect.Value) {
	if s, ok := readText(d, n, t.limit); ok {
		*field[Text](k, table) = s
	}
}

func (textKind) write(_ *encoder, k *Key, table reflect.Value) string {
	return writeText(field[Text](k, table).Value)
}

// wordKind is a text that is one of the key's words.
type wordKind struct{ textKind }

func (wordKind) read(d *decoder, n *node, k *Key, table reflect.Value) {
	if t, ok := readWord(d, n, k.Words); ok {
		*field[Text](k, table) = t
	}
}

func readWord(d *decoder, n *node, words []string) (Text, bool) {
	t, ok := readText(d, n, MaxName)
	if !ok || slices.Contains(words, t.Value) {
		return t, ok
	}
	wrong := label(n) + "cannot be " + quoted(t.Value)
	if near, ok := Nearest(t.Value, words); ok {
		d.fault(n.at, wrong+`; did you mean "`+near+`"?`)
	} else {
		d.fault(n.at, wrong+"; write "+listed(inQuotes(words)))
	}
	return t, false
}

// wordsKind is a list of the key's words.
type wordsKind struct{}

func (wordsKind) sample() string { return "" }

func (wordsKind) read(d *decoder, n *node, k *Key, table reflect.Value) {
	if n.form != listForm || len(n.items) > len(k.Words) {
		d.fault(n.at, k.Name+` is a list of words; write `+k.Name+` = `+bracketed(inQuotes(k.Words))+`, or one of them`)
		return
	}
	for _, c := range n.items {
		if t, ok := readWord(d, c, k.Words); ok {
			to := field[[]Text](k, table)
			*to = append(*to, t)
		}
	}
}

func (wordsKind) write(_ *encoder, k *Key, table reflect.Value) string {
	var list []string
	for _, t := range *field[[]Text](k, table) {
		list = append(list, writeText(t.Value))
	}
	return bracketed(list)
}

// unitKind is a text that is the symbol of a unit.
type unitKind struct {
	usual string
	known func(string) error
}

// knowsUnit is what a parser of units says of a symbol.
func knowsUnit[U any](parse func(string) (U, error)) func(string) error {
	return func(s string) error {
		_, err := parse(s)
		return err
	}
}

func (u unitKind) sample() string { return u.usual }

func (u unitKind) read(d *decoder, n *node, k *Key, table reflect.Value) {
	t, ok := readText(d, n, MaxName)
	if !ok {
		return
	}
	if err := u.known(t.Value); err != nil {
		d.fault(n.at, err.Error())
		return
	}
	*field[Text](k, table) = t
}

func (unitKind) write(e *encoder, k *Key, table reflect.Value) string {
	return textKind{}.write(e, k, table)
}

// flagKind is true or false.
type flagKind struct{}

func (flagKind) sample() string { return "true" }

func (flagKind) read(d *decoder, n *node, k *Key, table reflect.Value) {
	if n.form != boolForm {
		d.fault(n.at, label(n)+"is yes or no; write true or false without quotes")
		return
	}
	*field[Flag](k, table) = Flag{n.text == "true", true, d.src.pos(n.at)}
}

func (flagKind) write(_ *encoder, k *Key, table reflect.Value) string {
	if f := field[Flag](k, table); f.Given {
		return strconv.FormatBool(f.Value)
	}
	return ""
}

// The layouts of local dates and times in TOML.
const (
	dateLayout  = "2006-01-02"
	clockLayout = "15:04:05"
)

// whenKind is a date or a time in one of the layouts.
type whenKind struct {
	example string
	layouts []string
}

func (w whenKind) sample() string { return w.example }

func (w whenKind) read(d *decoder, n *node, k *Key, table reflect.Value) {
	if n.form == whenForm {
		for _, layout := range w.layouts {
			if t, err := time.Parse(layout, n.text); err == nil && !strings.Contains(n.text, ",") {
				*field[When](k, table) = When{Text: n.text, Time: onFirstDay(t, layout), Pos: d.src.pos(n.at)}
				return
			}
		}
	}
	d.fault(n.at, label(n)+"cannot be read as a date or time; write it without quotes, such as "+k.Sample)
}

func (whenKind) write(_ *encoder, k *Key, table reflect.Value) string {
	return field[When](k, table).Text
}

// onFirstDay puts a time of day on 1 January of year 1.
func onFirstDay(t time.Time, layout string) time.Time {
	if layout == clockLayout {
		return t.AddDate(1, 0, 0)
	}
	return t
}

// versionKind is the version of the format, which no field keeps.
type versionKind struct{}

func (versionKind) sample() string { return strconv.Itoa(Version) }

func (versionKind) read(d *decoder, n *node, _ *Key, _ reflect.Value) {
	if n.form != numberForm || n.text != strconv.Itoa(Version) {
		d.fault(n.at, "sheet is the version of the file's format, and this program reads version 1; write sheet = 1")
	}
}

func (v versionKind) write(*encoder, *Key, reflect.Value) string { return v.sample() }

func (s *Sheet) finish(d *decoder, n *node) {
	if n.child("sheet") == nil && !d.broken {
		d.fault(0, "the file does not say which version of the format it has; write sheet = 1 as its first line")
	}
}

// finish gives what follows the units of its bare numbers.
func (j *Job) finish(d *decoder, _ *node) { d.bare = j.Bare }
