package report

import (
	"fmt"
	"io"

	"holdbook/internal/check"
)

// WriteCheck writes the check of a sheet as Text, Markdown or JSON.
func WriteCheck(w io.Writer, c *check.Report, format Format, o Options) error {
	if format == JSON {
		return encode(w, c)
	}
	d := Document{Sections: []Section{checkHead(c), checkAnswers(c)}}
	return d.Write(w, format, o)
}

// checkHead lists what to look at, each with its place.
func checkHead(c *check.Report) Section {
	s := Section{ID: "check", Heading: "Check of " + c.Sheet}
	blocks, warnings := c.Count(check.Blocks), c.Count(check.Warns)
	switch {
	case blocks > 0:
		s.Lead = append(s.Lead, fmt.Sprintf("It cannot be used yet: %d to mend.", blocks))
		if warnings > 0 {
			s.Lead = append(s.Lead, fmt.Sprintf("%d more to look at.", warnings))
		}
	case warnings > 0:
		s.Lead = append(s.Lead, fmt.Sprintf("It can be used; %d to look at.", warnings))
	case doubts(c) > 0:
		s.Lead = append(s.Lead, fmt.Sprintf("It can be used; %d may tell of a slip.", doubts(c)))
	case len(c.Items) > 0:
		s.Lead = append(s.Lead, fmt.Sprintf("No slip to be seen; %d to note.", len(c.Items)))
	default:
		s.Lead = append(s.Lead, "No slip to be seen.")
	}
	if c.Read > 0 {
		s.Lead = append(s.Lead, checked(c))
	}
	for _, i := range c.Items {
		s.After = append(s.After, checkLine(c.Sheet, i))
	}
	return s
}

// doubts counts the notes that may tell of a slip.
func doubts(c *check.Report) (n int) {
	for _, i := range c.Items {
		if i.Doubt {
			n++
		}
	}
	return n
}

// checked says how many readings others would show a slip in, and what to do for the rest.
func checked(c *check.Report) string {
	const rest = " shows only where no house could read so. To check a reading, read its space to outside too."
	switch c.Checked {
	case c.Read:
		return fmt.Sprintf("All %d readings have others that would show a slip in them.", c.Read)
	case 0:
		return fmt.Sprintf("None of the %d readings has another to check it yet: a slip", c.Read) + rest
	}
	return fmt.Sprintf("%d of %d readings have others that would show a slip in them; a slip in the rest", c.Checked, c.Read) + rest
}

// checkLine is "FILE:3:9: warning, as found, attic: what; look at …".
func checkLine(file string, i check.Item) string {
	place := file
	if i.Line > 0 {
		place += fmt.Sprintf(":%d:%d", i.Line, i.Column)
	}
	line := place + ": " + string(i.Level)
	if i.About != "" {
		line += ", " + i.About
	}
	line += ": " + i.Text
	if i.Look != "" {
		line += "; look at: " + i.Look
	}
	return line
}

func checkAnswers(c *check.Report) Section {
	t := NewTable(Column{Head: "space"}, Column{Head: "its readings tell"}, Column{Head: "for more"})
	for _, a := range c.Answers {
		t.Add(Say(a.Space), Say(a.Can), Say(a.Needs))
	}
	return Section{ID: "answers", Heading: "What the readings can answer", Table: t,
		After: []string{"For more: the usual way; holdbook next ranks all that could be read."}}
}
