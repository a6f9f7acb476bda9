package sheet

import (
	"slices"
	"strings"
)

// A key says how one key of a table is read and written. T is the table's
// type, so each table of the file is a list of keys and a new key is one line.
type key[T any] struct {
	name  string
	read  func(d *decoder, n *node, to *T)
	write func(e *encoder, from *T) string // "" leaves the key out
	// section writes the table or tables of the key under headers.
	section func(e *encoder, from *T) string
	// want is an example of the value where the key must stand.
	want string
}

// must makes a key one that its table cannot do without.
func (k key[T]) must(example string) key[T] {
	k.want = example
	return k
}

// table is a table of the file: its keys, and what to check once they are
// read.
type table[T any] struct {
	name   string // as its header says it
	each   string // one of them in a message, when that is not its header
	pos    func(*T) *Pos
	keys   []key[T]
	finish func(d *decoder, n *node, t *T)
}

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

// decode reads the entries of a table, in the order of its keys so that the
// result does not hang on the order of the file, and reports every entry that
// is no key.
func (t *table[T]) decode(d *decoder, n *node, to *T) {
	if !n.isTable() {
		d.fault(n.at, t.name+" is a table; write its keys under "+t.header(n)+" or between { and }")
		return
	}
	*t.pos(to) = d.src.pos(n.at)
	for _, k := range t.keys {
		if c := n.child(k.name); c != nil {
			k.read(d, c, to)
		} else if k.want != "" && !d.broken {
			d.fault(n.at, t.the()+" has no "+k.name+"; write "+k.name+" = "+k.want)
		}
	}
	for _, c := range n.items {
		if !slices.ContainsFunc(t.keys, func(k key[T]) bool { return k.name == c.name }) {
			d.fault(c.nameAt, t.unknown(c, len(d.problems) < MaxProblems))
		}
	}
	if t.finish != nil {
		t.finish(d, n, to)
	}
}

// the names the table with its article, for a message.
func (t *table[T]) the() string {
	if t.each != "" {
		return t.each
	}
	return "this " + t.name
}

func (t *table[T]) header(n *node) string {
	if t.name == "" || n.name == "" {
		return "its header"
	}
	return "[" + shown(n.name) + "]"
}

// unknown says what to do with an entry that is no key of the table, with a
// suggestion where one is wanted: they cost time, and none is shown beyond the
// first hundred problems.
func (t *table[T]) unknown(c *node, suggest bool) string {
	if !suggest {
		return "unknown key " + quoted(c.name)
	}
	names := make([]string, len(t.keys))
	for i, k := range t.keys {
		names[i] = k.name
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

// one is a key whose value is a table that may stand once.
func one[T, E any](name string, t *table[E], at func(*T) *E) key[T] {
	return key[T]{
		name: name,
		read: func(d *decoder, n *node, to *T) {
			if n.form == tablesForm {
				d.fault(n.items[min(1, len(n.items)-1)].at, quoted(name)+" stands once only; write ["+name+"] with one bracket")
				return
			}
			t.decode(d, n, at(to))
		},
		write:   func(e *encoder, from *T) string { return writeBraces(e, t, at(from)) },
		section: func(e *encoder, from *T) string { return writeSection(e, "["+name+"]", t, at(from)) },
	}
}

// optional is a key whose value is a table that is nil when it is left out.
func optional[T, E any](name string, t *table[E], at func(*T) **E) key[T] {
	inner := one(name, t, func(to *T) *E {
		if *at(to) == nil {
			*at(to) = new(E)
		}
		return *at(to)
	})
	inner.section = func(e *encoder, from *T) string {
		if *at(from) == nil {
			return ""
		}
		return writeSection(e, "["+name+"]", t, *at(from))
	}
	return inner
}

// many is a key whose value is a list of tables, as [[name]] or in brackets.
func many[T, E any](name string, limit int, t *table[E], at func(*T) *[]E) key[T] {
	return key[T]{
		name:    name,
		read:    func(d *decoder, n *node, to *T) { *at(to) = append(*at(to), readMany(d, n, name, limit, t)...) },
		write:   func(e *encoder, from *T) string { return writeList(e, t, *at(from)) },
		section: func(e *encoder, from *T) string { return writeSections(e, name, t, *at(from)) },
	}
}

func readMany[E any](d *decoder, n *node, name string, limit int, t *table[E]) []E {
	switch {
	case n.form == headerForm || n.form == implicitForm:
		d.fault(n.at, "there may be several "+t.name+" tables; write [["+name+"]] with two brackets")
		return nil
	case n.form != tablesForm && n.form != listForm && t.name == "[["+name+"]]":
		d.fault(n.at, quoted(name)+" begins a table; write [["+name+"]] and its keys on the lines below")
		return nil
	case n.form != tablesForm && n.form != listForm:
		d.fault(n.at, quoted(name)+" is a list; write "+name+" = [ { … } ]")
		return nil
	case len(n.items) > limit:
		d.fault(n.items[limit].at, "too many "+t.name+" tables; there may be "+itoa(limit))
		return nil
	}
	list := make([]E, len(n.items))
	for i, c := range n.items {
		t.decode(d, c, &list[i])
	}
	return list
}
