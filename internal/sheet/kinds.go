package sheet

import (
	"reflect"
	"slices"
	"strconv"
	"strings"
	"sync"
	"time"
	"unicode/utf8"

	"holdbook/units"
)

// kind is a sort of value: how it is read from a node into the key's field of a
// table, and written from it.
type kind struct {
	name   string       // by which a tag names it, "" where the type of the field does
	of     reflect.Type // of its fields
	sample string       // a value that would do, without quotes
	form   form         // in which it stands in a file
	read   func(d *decoder, n *node, k *Key, table reflect.Value)
	write  func(e *encoder, k *Key, table reflect.Value) string // nil: never
}

// kindOfType makes the kind of a field of a type.
func kindOfType[T any](name, sample string, in form, read func(d *decoder, n *node, k *Key) (T, bool), write func(e *encoder, v T) string) *kind {
	k := &kind{name: name, of: reflect.TypeFor[T](), sample: sample, form: in}
	k.read = func(d *decoder, n *node, k *Key, table reflect.Value) {
		if v, ok := read(d, n, k); ok {
			*field[T](k, table) = v
		}
	}
	k.write = func(e *encoder, k *Key, table reflect.Value) string { return write(e, *field[T](k, table)) }
	return k
}

// field is the key's field of a table, which is a T.
func field[T any](k *Key, table reflect.Value) *T {
	return table.Field(k.index).Addr().Interface().(*T)
}

// kinds are all kinds but that of a table. They are set here as they speak of
// tables, and tables of them.
var kinds func() []*kind

func init() { kinds = sync.OnceValue(allKinds) }

func allKinds() []*kind {
	return []*kind{
		baselineKind(), pressureOf.kind(""), flowOf.kind(""), fanFlowOf.kind("flow of a fan"), areaOf.kind(""), holeOf.kind("hole"), lengthOf.kind(""), altitudeOf.kind("altitude"),
		volumeOf.kind(""), temperatureOf.kind(""), powerOf.kind(""), resistanceOf.kind(""), degreeDaysOf.kind(""), speedOf.kind(""), ppmOf.kind(""), shareOf.kind("share"),
		kindOfType("", "0.65", numberForm, readPlain, writePlain),
		kindOfType("fraction", "0.65", numberForm, readFraction, writePlain),
		textKind("", "…", MaxName), textKind("note", "…", MaxNote),
		kindOfType("word", "", stringForm, func(d *decoder, n *node, k *Key) (Text, bool) { return readWord(d, n, k.Words) }, spellText),
		kindOfType("texts", "", listForm, readTexts, writeWords),
		kindOfType("", "", listForm, readWords, writeWords),
		kindOfType("pressure unit", "Pa", stringForm, unitSymbol(units.ParsePressureUnit), spellText),
		kindOfType("flow unit", "cfm", stringForm, unitSymbol(units.ParseFlowUnit), spellText),
		kindOfType("", "true", boolForm, readFlag, writeFlag),
		whenKind("date", "2026-03-14", dateLayout), whenKind("time", "10:42:00", clockLayout),
		whenKind("moment", "2026-03-14T10:42:00", "2006-01-02T15:04:05", "2006-01-02 15:04:05", clockLayout),
		kindOfType("", "attic", stringForm, readSpaceKey, func(_ *encoder, r SpaceRef) string { return writeText(r.spelled()) }),
		kindOfType("", "house, outside", listForm, readSpaces, func(_ *encoder, refs []SpaceRef) string { return writeSpaces(refs) }),
		kindOfType("", "house, attic", listForm, readPair, func(_ *encoder, p Pair) string { return writeSpaces(p[:]) }),
		parsedKind("1500 cfm", parseTarget, func(t *Target, at Pos) { t.Flow.Pos, t.AirChanges.Pos = at, at }, Target.spelled),
		parsedKind("1 % or 0.25 Pa", parseTolerance, func(t *Tolerance, at Pos) { t.Pos = at }, Tolerance.spelled),
		parsedKind("24 in x 30 in", ParseLeaf, func(l *Leaf, at Pos) { l.Pos = at }, Leaf.spelled),
		parsedKind("1.35 per therm", parsePrice, func(p *Price, at Pos) { p.Pos = at }, func(p Price, _ *encoder) string { return p.Text }),
		parsedKind("3 1/h", parseAmount, func(a *Amount, at Pos) { a.Pos = at }, func(a Amount, _ *encoder) string { return a.Text }),
		kindOfType("rows", "1, 120", listForm, readRows, func(*encoder, [2]int) string { return "" }), // a log is never written to
		{name: "version", sample: strconv.Itoa(Version), form: numberForm, read: readVersion,
			write: func(*encoder, *Key, reflect.Value) string { return strconv.Itoa(Version) }},
		{name: "samples of the reading", sample: `["44 Pa", "44.3 Pa"]`, form: braceForm, read: later},
		{name: "error of the reading", sample: "1 Pa", read: later, write: writeSD},
	}
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

// textKind is free text of so many characters at most.
func textKind(name, sample string, limit int) *kind {
	return kindOfType(name, sample, stringForm, func(d *decoder, n *node, _ *Key) (Text, bool) { return readText(d, n, limit) }, spellText)
}

func spellText(_ *encoder, t Text) string { return writeText(t.Value) }

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

func readWords(d *decoder, n *node, k *Key) (list []Text, ok bool) {
	if n.form != listForm || len(n.items) > len(k.Words) {
		d.fault(n.at, k.Name+` is a list of words; write `+k.Name+` = `+bracketed(inQuotes(k.Words))+`, or one of them`)
		return nil, false
	}
	for _, c := range n.items {
		if t, ok := readWord(d, c, k.Words); ok {
			list = append(list, t)
		}
	}
	return list, true
}

// mostTexts is how many texts a list may have.
const mostTexts = 50

// readTexts reads a list of free texts, or one.
func readTexts(d *decoder, n *node, k *Key) (list []Text, ok bool) {
	items := n.items
	switch {
	case n.form == stringForm:
		items = []*node{n}
	case n.form != listForm || len(items) > mostTexts:
		d.fault(n.at, k.Name+" is a list of at most "+itoa(mostTexts)+" texts; write "+k.Name+" = "+k.Example())
		return nil, false
	}
	for _, c := range items {
		if t, ok := readText(d, c, MaxNote); ok {
			list = append(list, t)
		}
	}
	return list, true
}

func writeWords(_ *encoder, words []Text) string {
	var list []string
	for _, t := range words {
		list = append(list, writeText(t.Value))
	}
	return bracketed(list)
}

// unitSymbol reads a text that is the symbol of a unit.
func unitSymbol[U any](parse func(string) (U, error)) func(*decoder, *node, *Key) (Text, bool) {
	return func(d *decoder, n *node, _ *Key) (Text, bool) {
		t, ok := readText(d, n, MaxName)
		if !ok {
			return t, false
		}
		if _, err := parse(t.Value); err != nil {
			d.fault(n.at, err.Error())
			return t, false
		}
		return t, true
	}
}

func readFlag(d *decoder, n *node, _ *Key) (Flag, bool) {
	if n.form != boolForm {
		d.fault(n.at, label(n)+"is yes or no; write true or false without quotes")
		return Flag{}, false
	}
	return Flag{n.text == "true", true, d.src.pos(n.at)}, true
}

func writeFlag(_ *encoder, f Flag) string {
	if f.Given {
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
func whenKind(name, sample string, layouts ...string) *kind {
	return kindOfType(name, sample, whenForm, func(d *decoder, n *node, k *Key) (When, bool) {
		if n.form == whenForm {
			for _, layout := range layouts {
				if t, err := time.Parse(layout, n.text); err == nil && !strings.Contains(n.text, ",") {
					return When{Text: n.text, Time: onFirstDay(t, layout), Pos: d.src.pos(n.at)}, true
				}
			}
		}
		d.fault(n.at, label(n)+"cannot be read as a date or time; write it without quotes, such as "+k.Sample)
		return When{}, false
	}, func(_ *encoder, w When) string { return w.Text })
}

// onFirstDay puts a time of day on 1 January of year 1.
func onFirstDay(t time.Time, layout string) time.Time {
	if layout == clockLayout {
		return t.AddDate(1, 0, 0)
	}
	return t
}

// readVersion looks at the version of the format, which no field keeps.
func readVersion(d *decoder, n *node, _ *Key, _ reflect.Value) {
	if n.form != numberForm || n.text != strconv.Itoa(Version) {
		d.fault(n.at, "sheet is the version of the file's format, and this program reads version 1; write sheet = 1")
	}
}

func (s *Sheet) finish(d *decoder, n *node) {
	if n.child("sheet") == nil && !d.broken {
		d.fault(0, "the file does not say which version of the format it has; write sheet = 1 as its first line")
	}
}

// finish gives what follows the units of its bare numbers.
func (j *Job) finish(d *decoder, _ *node) { d.bare = j.Bare }
