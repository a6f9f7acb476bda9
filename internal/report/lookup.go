package report

import (
	"io"
	"slices"
	"strings"

	"holdbook/ductleak"
	"holdbook/internal/sheet"
	"holdbook/units"
)

// listedKey is a key of the sheet as JSON has it.
type listedKey struct {
	Key     string `json:"key"`
	Type    string `json:"type"`
	Example string `json:"example,omitempty"`
	Default string `json:"default,omitempty"`
	Must    bool   `json:"must,omitempty"`
	Help    string `json:"help"`
}

// WriteKeys writes a list of keys of the sheet as Text, Markdown or JSON, those of a
// table together.
func WriteKeys(w io.Writer, keys []sheet.Key, format Format, o Options) error {
	if format == JSON {
		list := []listedKey{}
		for _, k := range keys {
			list = append(list, listedKey{k.Path, k.Type(), k.Example(), k.Default, k.Must, k.Help})
		}
		return encode(w, list)
	}
	d := &Document{}
	for _, k := range keys {
		at := strings.TrimSuffix(strings.TrimSuffix(k.Path, k.Name), ".")
		i := slices.IndexFunc(d.Sections, func(s Section) bool { return s.ID == "keys-"+at })
		if i < 0 {
			i = len(d.Sections)
			d.Sections = append(d.Sections, keysOf(at))
		}
		meaning := k.Help + choice(&k)
		if k.Default != "" {
			meaning += "; " + k.Default + " where it is left out"
		}
		if k.Must {
			meaning += "; needed"
		}
		d.Sections[i].Table.Add(Say(k.Name), sayIf(k.Example()), Say(meaning))
	}
	return d.Write(w, format, o)
}

// choice is the type of a key where its example shows only one of several ways to write it.
func choice(k *sheet.Key) string {
	switch t := k.Type(); {
	case strings.HasSuffix(t, ", or samples"):
		return "; or a list of samples"
	case t != "true or false" && strings.Contains(t, " or "):
		return "; " + t
	}
	return ""
}

// keysOf is an empty section for the keys of a table.
func keysOf(at string) Section {
	heading := "The tables of a sheet, and the keys before them"
	if at != "" {
		k := sheet.LookUp(at)
		table := "[" + at + "]"
		if top := !strings.Contains(at, "."); top && k.Max > 0 {
			table = "[[" + at + "]]"
		} else if !top {
			table = at + " = { … }"
			if k.Max > 0 {
				table = at + " = [ { … } ]"
			}
		}
		heading = table + ": " + k.Help
	}
	return Section{ID: "keys-" + at, Heading: heading, Table: NewTable(Column{Head: "key", Kind: Typed}, Column{Head: "example"}, Column{Head: "meaning"})}
}

// listedLimit is a published limit as JSON has it.
type listedLimit struct {
	Name      string `json:"name"`
	Quantity  string `json:"quantity"`
	Limit     string `json:"limit"`
	Condition string `json:"condition,omitempty"`
	Document  string `json:"document"`
	Edition   string `json:"edition,omitempty"`
	Known     string `json:"known"`
	Source    string `json:"source"`
}

// WriteLimits writes a list of published limits as Text, Markdown or JSON, in a system of
// units.
func WriteLimits(w io.Writer, limits []ductleak.Limit, s units.System, format Format, o Options) error {
	list := []listedLimit{}
	for _, l := range limits {
		list = append(list, listedLimit{l.ID, string(l.Quantity), l.Text(s), l.Condition, l.Document, l.Edition, l.Known, l.Source})
	}
	if format == JSON {
		return encode(w, list)
	}
	d := &Document{}
	for _, l := range list {
		heading := sentence(quantity(l.Quantity))
		at := slices.IndexFunc(d.Sections, func(s Section) bool { return s.Heading == heading })
		if at < 0 {
			at = len(d.Sections)
			d.Sections = append(d.Sections, Section{ID: "limits-" + l.Quantity, Heading: heading,
				Table: NewTable(Column{Head: "name", Kind: Typed}, Column{Head: "limit"}, Column{Head: "document, edition"}, Column{Head: "text"})})
		}
		d.Sections[at].Table.Add(Say(l.Name), Say(joinWords(", ", l.Limit, l.Condition)), Say(joinWords(", ", l.Document, l.Edition)), Say(l.Known))
	}
	d.Sections = append(d.Sections, Section{ID: "use", After: []string{
		"Text: published where the document itself was read, second text where it is known through another.",
		"Which limit is in force is for the local code to say."}, Block: "[[limit]]\nname = " + inQuotes(list[0].Name)})
	return d.Write(w, format, o)
}
