package sheet

import (
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
	if near, ok := Nearest(t.Value, words); ok {
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
