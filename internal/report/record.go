package report

import (
	"strings"

	"holdbook/internal/survey"
)

// testRecord is the record of the test that another professional can check line by line and
// sign. All formats with words end with it.
func testRecord(f *survey.Findings) []Section {
	r := f.Record
	if r == nil {
		return nil
	}
	return []Section{recordHead(f, r), instruments(r), building(r), spacesRecord(r), readingLines(r), otherGiven(r), signature(r)}
}

// recordHead is who tested what, when and by what.
func recordHead(f *survey.Findings, r *survey.Record) Section {
	j := f.Job
	s := Section{ID: "test-record", Heading: "Test record"}
	line := func(what, text string) {
		if text != "" {
			s.Lead = append(s.Lead, what+": "+text)
		}
	}
	line("House", joinWords("; ", j.Name, j.Place))
	line("Tested", joinWords(", ", j.Date, prefixed("by ", j.By), r.Contact))
	line("Standard", joinWords("; ", r.Standard, prefixed("method: ", r.Method)))
	line("Deviations", strings.Join(r.Deviations, "; "))
	line("Held", j.Hold)
	line("Wind", j.Wind)
	line("Condition", strings.Join(r.Condition, "; "))
	return s
}

func instruments(r *survey.Record) Section {
	s := Section{ID: "instruments", Heading: "Instruments"}
	s.Table = NewTable(Column{Head: "instrument"}, Column{Head: "id"}, Column{Head: "calibrated"}, Column{Head: "as the sheet says"})
	for _, x := range r.Instruments {
		s.Table.Add(Say(x.What), sayIf(x.ID), sayIf(x.Calibrated), sayIf(x.Other))
	}
	return s
}

func building(r *survey.Record) Section {
	return Section{ID: "building", Heading: "Building and air, as the sheet says", Table: asWritten("quantity", r.Building)}
}

// asWritten is what the sheet says in its own words, each beside what it is about.
func asWritten(head string, list []survey.Given) *Table {
	t := NewTable(Column{Head: head}, Column{Head: "as written"})
	for _, x := range list {
		t.Add(Say(x.What), Say(x.Text))
	}
	return t
}

func spacesRecord(r *survey.Record) Section {
	s := Section{ID: "spaces", Heading: "Spaces beside the house"}
	s.Table = NewTable(Column{Head: "space"}, Column{Head: "as found"}, Column{Head: "as tested"}, Column{Head: "else"})
	for _, x := range r.Spaces {
		s.Table.Add(Say(x.Name), sayIf(x.Found), sayIf(x.Tested), sayIf(x.Other))
	}
	return s
}

// readingLines are the readings as read, each beside what was made of it.
func readingLines(r *survey.Record) Section {
	s := Section{ID: "as-read", Heading: "Readings as read"}
	s.Table = NewTable(Column{Head: "hold"}, Column{Head: "reading"}, Column{Head: "as read"}, Column{Head: "corrected", Kind: Numbers}, Column{Head: "unit"}, Column{Head: "with"})
	before := ""
	for _, x := range r.Readings {
		hold := joinWords(", ", x.Hold, x.Time)
		if hold == before {
			hold = "″"
		} else {
			before = hold
		}
		made, unit := Cell{}, ""
		if x.Made != nil {
			made, unit = Value(*x.Made), x.Unit.Pretty()
		}
		s.Table.Add(Say(hold), Say(x.What), sayIf(x.AsRead), made, sayIf(unit), sayIf(x.Note))
	}
	if len(r.Readings) > 0 {
		s.After = []string{"Corrected: a pressure less its baseline; a flow as it passes the leaks, for the density of the air where both temperatures are given, and for the pressure it was carried to."}
	}
	return s
}

func otherGiven(r *survey.Record) Section {
	return Section{ID: "as-written", Heading: "All else that the sheet says", Table: asWritten("about", r.Other)}
}

// signature says once what is missing, and leaves room to sign.
func signature(r *survey.Record) Section {
	s := Section{ID: "signature", Heading: "Signed"}
	if len(r.Missing) > 0 {
		s.Lead = append(s.Lead, "Not stated in the sheet: "+strings.Join(r.Missing, ", ")+".")
	}
	s.Lead = append(s.Lead, "Name, contact: "+toWriteIn, "Date, signature: "+toWriteIn)
	return s
}

// toWriteIn is room to write in.
const toWriteIn = "________________________________________"
