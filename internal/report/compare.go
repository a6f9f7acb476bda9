package report

import (
	"bytes"
	"io"

	"holdbook/internal/survey"
)

// WriteCompare writes a comparison of two sheets as Text, Markdown or JSON.
func WriteCompare(w io.Writer, p *survey.ComparePlan, format Format, o Options) error {
	if format == JSON {
		var b bytes.Buffer
		if err := EncodeJSON(&b, p); err != nil {
			return err
		}
		return flush(w, b.Bytes())
	}
	d := Document{Sections: []Section{compareHead(p), compareTable(p), comparePromise(p), compareNotices(p)}}
	return d.Write(w, format, o)
}

func compareHead(p *survey.ComparePlan) Section {
	s := Section{ID: "house", Heading: "Before and after"}
	if p.Before.Name != "" {
		s.Heading += ": " + p.Before.Name
	}
	lead := "Leaks at 50 Pa " + inline(p.House.Before) + " before, " + inline(p.House.After) + " after: "
	switch {
	case !p.House.Real:
		lead += "no change that the readings can tell."
	default:
		lead += p.House.Text + " by " + inline(p.House.Fall) + "."
	}
	s.Lead = append(s.Lead, lead, "Both tests are estimated together; in brackets: 90 % intervals.")
	return s
}

func compareTable(p *survey.ComparePlan) Section {
	of := func(pick func(survey.ChangeLine) *survey.Q) string { return unitOf(each(p.Paths, pick)...) }
	unit := of(func(l survey.ChangeLine) *survey.Q { return l.Before })
	t := NewTable(Column{Head: "between", Kind: Words}, Column{Head: "before", Unit: unit, Kind: Interval},
		Column{Head: "after", Unit: unit, Kind: Interval}, Column{Head: "fall", Unit: unit, Kind: Interval}, Column{Head: "change", Kind: Words})
	for _, l := range p.Paths {
		text := l.Text
		if !l.Real {
			text = "not told"
		}
		t.Add(Say(l.Between[0]+"–"+l.Between[1]), Est(l.Before), Est(l.After), Est(l.Fall), Say(text))
	}
	return Section{ID: "paths", Heading: "Leak by leak, at 50 Pa across each alone", Table: t}
}

func comparePromise(p *survey.ComparePlan) Section {
	if p.Promise == nil {
		return Section{}
	}
	return Section{ID: "promise", Heading: "What was promised", Lead: []string{
		"Sealing " + p.Promise.Of + " was to save " + inline(p.Promise.Drop50) + "; it saved " + inline(p.Promise.Came) + ": " + p.Promise.Verdict + "."}}
}

func compareNotices(p *survey.ComparePlan) Section {
	s := Section{ID: "notices", Heading: "Notices"}
	for _, n := range p.Notices {
		s.Notices = append(s.Notices, Footnote{Notice: n})
	}
	return s
}
