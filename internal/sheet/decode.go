package sheet

import (
	"reflect"
	"slices"
	"strings"
)

// decoder turns the tree of a file into a Sheet.
type decoder struct {
	src      *source
	bare     Bare
	problems Problems
	broken   bool // lines are missing, so a missing key may be no fault
}

func (d *decoder) fault(at int, text string) {
	d.problems = append(d.problems, Problem{d.src.file, d.src.pos(at), text})
}

// decode reads the entries of a table into a struct, in the order of its keys
// so that the result does not hang on the order of the file, and reports every
// entry that is no key.
func (t *table) decode(d *decoder, n *node, to reflect.Value) {
	if !n.isTable() {
		d.fault(n.at, t.name+" is a table; write its keys under "+t.header(n)+" or between { and }")
		return
	}
	if t.pos >= 0 {
		*to.Field(t.pos).Addr().Interface().(*Pos) = d.src.pos(n.at)
	}
	for _, k := range t.keys {
		if c := n.child(k.Name); c != nil {
			k.kind.read(d, c, k, to)
		} else if k.Must && !d.broken {
			d.fault(n.at, t.the()+" has no "+k.Name+"; write "+k.Name+" = "+k.wanted())
		}
	}
	for _, c := range n.items {
		if t.key(c.name) == nil {
			d.fault(c.nameAt, t.unknown(c, len(d.problems) < MaxProblems))
		}
	}
	if f, ok := to.Addr().Interface().(finisher); ok {
		f.finish(d, n)
	}
}

func inQuotes(words []string) []string {
	list := make([]string, len(words))
	for i, w := range words {
		list[i] = writeText(w)
	}
	return list
}

// the names the table with its article, for a message.
func (t *table) the() string {
	if t.each != "" {
		return t.each
	}
	return "this " + t.name
}

func (t *table) header(n *node) string {
	if t.name == "" || n.name == "" {
		return "its header"
	}
	return "[" + shown(n.name) + "]"
}

// unknown says what to do with an entry that is no key of the table, with a
// suggestion where one is wanted: they cost time, and none is shown beyond the
// first hundred problems.
func (t *table) unknown(c *node, suggest bool) string {
	if !suggest {
		return "unknown key " + quoted(c.name)
	}
	names := make([]string, len(t.keys))
	for i, k := range t.keys {
		names[i] = k.Name
	}
	where := "at the top of the sheet"
	if t.name != "" {
		where = "in " + t.name
	}
	what := "unknown key"
	if c.form >= tablesForm && c.form <= implicitForm {
		what = "unknown table"
	}
	if near, ok := Nearest(c.name, names); ok {
		if quoted(c.name) == quoted(near) {
			return what + " " + where + ": it looks like " + near + " but holds invisible signs; write it anew"
		}
		return what + " " + quoted(c.name) + " " + where + "; did you mean " + near + "?"
	}
	slices.Sort(names)
	return what + " " + quoted(c.name) + " " + where + "; known are " + strings.Join(names, ", ")
}

// shown is a key as the file would have it.
func shown(name string) string {
	bare := name != "" && !strings.ContainsFunc(name, func(r rune) bool {
		return !(r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9' || r == '-' || r == '_')
	})
	if bare {
		return name
	}
	return quoted(name)
}

// readTables reads a table inside another: a struct, a pointer that is nil when it
// is left out, or a list, as [[name]] or in brackets.
func readTables(d *decoder, n *node, k *Key, table reflect.Value) {
	to := table.Field(k.index)
	if to.Kind() == reflect.Slice {
		k.readMany(d, n, to)
		return
	}
	if n.form == tablesForm {
		d.fault(n.items[min(1, len(n.items)-1)].at, quoted(k.Name)+" stands once only; write ["+k.Name+"] with one bracket")
		return
	}
	if to.Kind() == reflect.Pointer {
		to.Set(reflect.New(to.Type().Elem()))
		to = to.Elem()
	}
	k.inner().decode(d, n, to)
}

// readMany reads a list of tables, as [[name]] or in brackets.
func (k *Key) readMany(d *decoder, n *node, to reflect.Value) {
	t := k.inner()
	switch {
	case n.form == headerForm || n.form == implicitForm:
		d.fault(n.at, "there may be several "+t.name+" tables; write [["+k.Name+"]] with two brackets")
		return
	case n.form != tablesForm && n.form != listForm && t.name == "[["+k.Name+"]]":
		d.fault(n.at, quoted(k.Name)+" begins a table; write [["+k.Name+"]] and its keys on the lines below")
		return
	case n.form != tablesForm && n.form != listForm:
		d.fault(n.at, quoted(k.Name)+" is a list; write "+k.Name+" = [ { … } ]")
		return
	case len(n.items) > k.Max:
		d.fault(n.items[k.Max].at, "too many "+t.name+" tables; there may be "+itoa(k.Max))
		return
	}
	before := to.Len()
	to.Grow(len(n.items))
	to.SetLen(before + len(n.items))
	for i, c := range n.items {
		t.decode(d, c, to.Index(before+i))
	}
}
