package sheet

import (
	"cmp"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"sync"
)

// Key is one key of a table of the sheet, as the tags of its field tell it:
//
//	key      its name
//	is       what its value is, where the type of the field leaves that open
//	words    the few texts it may be, parted by bars
//	samples  "in its place": a list or a column of samples may stand in place of
//	         one value; any other word: so they may, and also under a key of that name
//	rule     what is demanded of a quantity or number (rules.go)
//	max      how many tables there may be
//	each     one of the tables, in a message
//	to       of readings: spaces that have an everyday form to_SPACE
//	must     a sample of a key that its table cannot do without
//	sample   a value that would do, where that of its kind would not
//	default  what is taken where the sheet leaves the key out
//	help     what it is, for people
type Key struct {
	Table   string // the header or the key of the table it stands in, "" at the top of the sheet
	Name    string
	Path    string   // with the keys of the tables it lies in: "hold.opened.between"; set by Keys
	Words   []string // the few values it may have; nil for others
	Sample  string   // a value that would do, without quotes; "" for a table
	Default string   // what is taken where it is left out; "" for nothing, or for what its help says
	Help    string
	Must    bool // its table cannot do without it
	Max     int  // how many tables there may be, 0 for one

	kind    *kind
	index   int           // of its field
	rules   []rule        // on its number
	often   bool          // samples may stand in place of its value
	instead string        // of a key for samples: the key that gives the same reading in one value
	inner   func() *table // of a key that is a table, or several
}

// table is a table of the file: its keys in the order in which they are read
// and written.
type table struct {
	name string // as its header says it
	each string // one of them in a message
	pos  int    // index of the field for its place, −1 for none
	keys []*Key
}

// finisher is a table with something to check or to settle once it is read.
type finisher interface{ finish(d *decoder, n *node) }

// root is the sheet itself. The tables in it are made when they are first met,
// so that a sheet costs no more than the tables it has.
var root = sync.OnceValue(func() *table { return tableOf(reflect.TypeFor[Sheet](), "", "") })

// tableOf makes a table from the tags of a struct.
func tableOf(of reflect.Type, name, each string) *table {
	t := &table{name: name, each: each, pos: -1}
	for i := range of.NumField() {
		f := of.Field(i)
		if f.Name == "Pos" {
			t.pos = i
		}
		if key := f.Tag.Get("key"); key != "" {
			t.keys = append(t.keys, keysOf(t, key, f, i)...)
		}
	}
	return t
}

// keysOf are the keys that fill one field: most often one.
func keysOf(t *table, name string, f reflect.StructField, index int) []*Key {
	tag := f.Tag
	k := &Key{Table: t.name, Name: name, Default: tag.Get("default"), Help: tag.Get("help"), index: index, rules: rulesOf(tag.Get("rule"))}
	k.Max, _ = strconv.Atoi(tag.Get("max"))
	if words := tag.Get("words"); words != "" {
		k.Words = strings.Split(words, "|")
	}
	k.Sample, k.Must = tag.Lookup("must")
	k.kind = kindOf(k, f)
	k.Sample = cmp.Or(k.Sample, tag.Get("sample"), k.Default, strings.Join(k.Words[:min(1, len(k.Words))], ""), k.kind.sample)
	keys := []*Key{k}
	samples, often := tag.Lookup("samples")
	if k.often = often; often && samples != "in its place" {
		more := *k
		more.Name, more.instead, more.Help = samples, name, "the single values of "+name
		keys = append(keys, &more)
	}
	for i, space := range strings.Fields(tag.Get("to")) {
		everyday := &Key{Table: t.name, Name: "to_" + space, Help: "pressures of zones to " + space, Max: k.Max, index: index, kind: pressuresTo(space), Sample: `{ attic = "44 Pa" }`}
		keys = slices.Insert(keys, i, everyday)
	}
	return keys
}

// kindOf is the kind of a field: by its tag, by its words, or by its type; any other
// field is a table.
func kindOf(k *Key, f reflect.StructField) *kind {
	is := f.Tag.Get("is")
	if is == "kind of zone" {
		is, k.Words = "word", KindWords()
	} else if k.Words != nil && f.Type == reflect.TypeFor[Text]() {
		is = "word"
	}
	for _, one := range kinds() {
		if one.name == is && (is != "" || one.of == f.Type) {
			return one
		}
	}
	if is != "" {
		panic("sheet: a tag names the kind " + is + ", which there is not")
	}
	of, header := f.Type, "["+k.Name+"]"
	if of.Kind() == reflect.Slice {
		header = "[[" + k.Name + "]]"
	}
	if of.Kind() != reflect.Struct {
		of = of.Elem()
	}
	if k.Table != "" {
		header = k.Name
	}
	each := f.Tag.Get("each")
	k.inner = sync.OnceValue(func() *table { return tableOf(of, header, each) })
	if of == reflect.TypeFor[Reading]() {
		return &kind{read: readTables, write: writeReadings}
	}
	return &kind{read: readTables, write: writeTables}
}

// Keys lists every key of the sheet, those of a table behind the key of the
// table, in the order in which a sheet is written.
func Keys() []Key { return root().all("") }

func (t *table) all(under string) []Key {
	var list []Key
	for _, k := range t.keys {
		one := *k
		one.Path = under + k.Name
		list = append(list, one)
		if k.inner != nil {
			list = append(list, k.inner().all(one.Path+".")...)
		}
	}
	return list
}

// LookUp finds a key by its path, such as "house.volume", "hold.fan" or
// "hold.opened.area". A path that there is not is a mistake in the program.
func LookUp(path string) *Key {
	t, k := root(), (*Key)(nil)
	for _, name := range strings.Split(path, ".") {
		if k = t.key(name); k == nil {
			panic("sheet: no key " + path)
		}
		if k.inner != nil {
			t = k.inner()
		}
	}
	return k
}

// Example is a value of the key as the file would have it; "" for a table.
func (k *Key) Example() string {
	switch {
	case k.kind.form == listForm:
		return bracketed(inQuotes(strings.Split(k.Sample, ", ")))
	case k.instead != "":
		return bracketed(inQuotes([]string{k.Sample}))
	case k.kind.form == stringForm:
		return writeText(k.Sample)
	}
	return k.Sample
}

// wanted is what may stand where the key is missing.
func (k *Key) wanted() string {
	if k.Words != nil {
		return listed(inQuotes(k.Words))
	}
	return k.Example()
}

// key finds a key of the table, nil for none.
func (t *table) key(name string) *Key {
	for _, k := range t.keys {
		if k.Name == name {
			return k
		}
	}
	return nil
}
