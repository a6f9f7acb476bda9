package sheet

import (
	"bytes"
	"errors"
	"strconv"

	"github.com/pelletier/go-toml/v2/unstable"
)

// form is what a node of the file is.
type form int

const (
	stringForm form = iota
	numberForm
	boolForm
	whenForm
	listForm     // [ … ]
	tablesForm   // made by [[name]] headers
	headerForm   // a table made by its [name] header
	implicitForm // a table that only lends its name to [name.other]
	dottedForm   // a table made by a dotted key
	braceForm    // { … }
)

// node is a value of the file with its place.
type node struct {
	form   form
	name   string // its key, when it stands in a table
	nameAt int
	at     int    // offset of the value, or of the header
	raw    string // as written
	text   string // of a string, unquoted; otherwise as raw
	items  []*node
	index  map[string]*node // of a table with many items
}

func (n *node) isTable() bool { return n.form >= headerForm }

// child finds an entry of a table, or nil.
func (n *node) child(name string) *node {
	if n.index != nil {
		return n.index[name]
	}
	for _, c := range n.items {
		if c.name == name {
			return c
		}
	}
	return nil
}

func (n *node) add(c *node) *node {
	n.items = append(n.items, c)
	if len(n.items) == 16 {
		n.index = make(map[string]*node)
		for _, c := range n.items {
			n.index[c.name] = c
		}
	} else if n.index != nil {
		n.index[c.name] = c
	}
	return c
}

// builder makes the tree of a file and holds it to the rules of TOML about
// tables and keys: the parser checks the form of each line only.
type builder struct {
	src      *source
	root     *node
	current  *node // the table under the last header; nil after a bad one
	parser   unstable.Parser
	base     int // offset in the file where the parser's text starts
	read     int // offset of the end of the last key or value that was read
	problems Problems
	broken   bool // a line could not be read, so keys may be missing
}

var errDropped = errors.New("dropped")

func (b *builder) fault(at int, text string) error {
	b.problems = append(b.problems, Problem{b.src.file, b.src.pos(at), text})
	return errDropped
}

// maxBrokenLines ends the reading of a file that is no TOML at all.
const maxBrokenLines = 20

// build reads the whole file, going on after a broken line where it can.
func (b *builder) build() {
	b.root = &node{form: headerForm}
	b.current = b.root
	for lines := 0; lines < maxBrokenLines; lines++ {
		b.parser.Reset(b.src.data[b.base:])
		b.read = b.base
		for b.parser.NextExpression() {
			b.expression(b.parser.Expression())
		}
		if b.parser.Error() == nil {
			return
		}
		b.broken = true
		next, ok := b.syntax(b.parser.Error())
		if !ok {
			return
		}
		b.base = next
	}
}

func (b *builder) offset(r unstable.Range) int { return b.base + int(r.Offset) }

func (b *builder) expression(e *unstable.Node) {
	switch e.Kind {
	case unstable.Table:
		b.openedBy(b.keys(e), headerForm)
	case unstable.ArrayTable:
		b.openedBy(b.keys(e), tablesForm)
	case unstable.KeyValue:
		b.read = b.offset(e.Raw) + int(e.Raw.Length)
		if b.current == nil {
			return // under a header that could not be placed
		}
		if err := b.keyValue(b.current, e, 0); err != nil {
			b.broken = true
		}
	}
}

// openedBy goes on in the table that a header opens.
func (b *builder) openedBy(parts []part, f form) {
	b.read = parts[len(parts)-1].end
	b.current = b.header(parts, f)
}

// part is one part of a dotted key.
type part struct {
	name    string
	at, end int
}

func (b *builder) keys(e *unstable.Node) []part {
	var parts []part
	for it := e.Key(); it.Next(); {
		k := it.Node()
		at := b.offset(k.Raw)
		parts = append(parts, part{string(k.Data), at, at + int(k.Raw.Length)})
	}
	return parts
}

// header places [a.b] or [[a.b]] and returns the table it opens, or nil.
func (b *builder) header(parts []part, f form) *node {
	t := b.root
	for _, p := range parts[:len(parts)-1] {
		if t = b.descend(t, p); t == nil {
			return nil
		}
	}
	last := parts[len(parts)-1]
	if f == tablesForm {
		return b.nextTable(t, last)
	}
	return b.openTable(t, last)
}

// descend goes through a table named in a longer header, making it if need be.
func (b *builder) descend(t *node, p part) *node {
	c := t.child(p.name)
	switch {
	case c == nil:
		return t.add(&node{form: implicitForm, name: p.name, nameAt: p.at, at: p.at})
	case c.form == tablesForm:
		return c.items[len(c.items)-1]
	case c.isTable() && c.form != braceForm:
		return c
	}
	b.taken(p, c)
	return nil
}

func (b *builder) openTable(t *node, p part) *node {
	c := t.child(p.name)
	switch {
	case c == nil:
		return t.add(&node{form: headerForm, name: p.name, nameAt: p.at, at: p.at})
	case c.form == implicitForm:
		c.form, c.at, c.nameAt = headerForm, p.at, p.at
		return c
	case c.form == tablesForm:
		b.fault(p.at, "there are several "+quoted(p.name)+" tables; write [["+shown(p.name)+"]] with two brackets")
		return nil
	}
	b.taken(p, c)
	return nil
}

func (b *builder) nextTable(t *node, p part) *node {
	c := t.child(p.name)
	if c == nil {
		c = t.add(&node{form: tablesForm, name: p.name, nameAt: p.at, at: p.at})
	}
	if c.form != tablesForm {
		b.taken(p, c)
		return nil
	}
	if len(c.items) >= MaxListItems {
		b.fault(p.at, "too many "+quoted(p.name)+" tables; a file holds at most "+strconv.Itoa(MaxListItems))
		return nil
	}
	item := &node{form: headerForm, name: p.name, nameAt: p.at, at: p.at}
	c.items = append(c.items, item)
	return item
}

func (b *builder) taken(p part, c *node) error {
	line := b.src.pos(c.nameAt).Line
	return b.fault(p.at, quoted(p.name)+" stands already in line "+strconv.Itoa(line)+"; keep one of the two")
}

// keyValue puts one key = value into a table.
func (b *builder) keyValue(t *node, e *unstable.Node, depth int) error {
	parts := b.keys(e)
	last := parts[len(parts)-1]
	value, err := b.value(e.Value(), b.valueStart(last.end), depth)
	if err != nil {
		return err
	}
	for _, p := range parts[:len(parts)-1] {
		c := t.child(p.name)
		if c == nil {
			c = t.add(&node{form: dottedForm, name: p.name, nameAt: p.at, at: p.at})
		}
		if c.form != dottedForm {
			return b.taken(p, c)
		}
		t = c
	}
	if c := t.child(last.name); c != nil {
		return b.taken(last, c)
	}
	if len(t.items) >= MaxListItems {
		return b.fault(last.at, "too many keys in one table; it holds at most "+strconv.Itoa(MaxListItems))
	}
	value.name, value.nameAt = last.name, last.at
	t.add(value)
	return nil
}

// valueStart skips blanks and the equals sign after a key.
func (b *builder) valueStart(at int) int {
	for at < len(b.src.data) && bytes.IndexByte([]byte(" \t="), b.src.data[at]) >= 0 {
		at++
	}
	return at
}

// value copies a value of the parser, which starts at an offset, into a node.
func (b *builder) value(v *unstable.Node, at, depth int) (*node, error) {
	if depth > MaxDepth {
		return nil, b.fault(at, "lists and tables stand too deep inside one another; a sheet needs at most "+strconv.Itoa(MaxDepth)+" levels")
	}
	switch v.Kind {
	case unstable.Array:
		return b.list(v, at, depth)
	case unstable.InlineTable:
		return b.braces(v, at, depth)
	}
	n := &node{at: at, raw: string(b.src.data[at : at+int(v.Raw.Length)]), text: string(v.Data)}
	switch v.Kind {
	case unstable.String:
		n.form = stringForm
	case unstable.Bool:
		n.form = boolForm
	case unstable.Integer, unstable.Float:
		n.form = numberForm
	default:
		n.form = whenForm
	}
	return n, nil
}

func (b *builder) list(v *unstable.Node, at, depth int) (*node, error) {
	n := &node{form: listForm, at: at}
	for it := v.Children(); it.Next(); {
		if len(n.items) >= MaxListItems {
			return nil, b.fault(at, "the list is too long; it holds at most "+strconv.Itoa(MaxListItems)+" items")
		}
		c, err := b.value(it.Node(), b.itemStart(it.Node(), at), depth+1)
		if err != nil {
			return nil, err
		}
		n.items = append(n.items, c)
	}
	return n, nil
}

// itemStart is where an item of a list begins. The parser does not tell it of a
// list in a list: that begins with the bracket before its first item, and one
// without items is put where the outer list is.
func (b *builder) itemStart(v *unstable.Node, list int) int {
	if v.Kind != unstable.Array {
		return b.offset(v.Raw)
	}
	it := v.Children()
	if !it.Next() {
		return list
	}
	return bytes.LastIndexByte(b.src.data[:b.itemStart(it.Node(), list)], '[')
}

func (b *builder) braces(v *unstable.Node, at, depth int) (*node, error) {
	n := &node{form: braceForm, at: at}
	for it := v.Children(); it.Next(); {
		if err := b.keyValue(n, it.Node(), depth+1); err != nil {
			return nil, err
		}
	}
	return n, nil
}
