package report

import (
	"bytes"
	"regexp"
	"slices"
	"strings"

	"holdbook/internal/survey"
)

// The parts of a document for a program that lays them out itself: the words and the
// digits of every other format, with nothing in them that a page or a terminal might obey.

type partsDocument struct {
	Title    string         `json:"title,omitempty"`
	Sections []partsSection `json:"sections"`
}

type partsSection struct {
	ID      string        `json:"id"`
	Heading string        `json:"heading,omitempty"`
	Lead    []string      `json:"lead,omitempty"`
	Table   *partsTable   `json:"table,omitempty"`
	After   []string      `json:"after,omitempty"`
	Block   string        `json:"block,omitempty"`
	Notices []partsNotice `json:"notices,omitempty"`
	Fill    string        `json:"fill,omitempty"` // what is written in by hand

	Drawings []partsDrawing `json:"drawings,omitempty"`
}

type partsDrawing struct {
	SVG     string `json:"svg"` // an element, its texts escaped
	Caption string `json:"caption,omitempty"`
}

type partsNotice struct {
	Level string `json:"level"`
	Text  string `json:"text"`
}

type partsTable struct {
	Heads []string      `json:"heads"`
	Right []bool        `json:"right"` // columns of numbers
	Rows  [][]partsCell `json:"rows"`
}

type partsCell struct {
	Value    string `json:"value,omitempty"`
	Interval string `json:"interval,omitempty"`
}

// writeParts writes the findings as parts, with everything that Page has but the work
// order, which is a screen of its own.
func writeParts(b *bytes.Buffer, f *survey.Findings, _ Options) error {
	d, err := Page(f)
	if err != nil {
		return err
	}
	d.Order = nil
	return d.inParts(b)
}

// inParts writes the document as parts, without the sections that are blank.
func (d *Document) inParts(b *bytes.Buffer) error {
	out := partsDocument{Title: oneLine(d.Title), Sections: []partsSection{}}
	if d.Owner != nil {
		out.Sections = append(out.Sections, partsSection{ID: "owner", Lead: linesOf(d.Owner.Sentences), Drawings: drawn(d.Owner.Pictures...)})
	}
	for _, s := range d.parts() {
		if s.Blank() && s.Drawing.SVG == "" {
			continue
		}
		p, err := s.parts()
		if err != nil {
			return err
		}
		out.Sections = append(out.Sections, p)
	}
	return encodeJSON(b, out, "")
}

func (s Section) parts() (partsSection, error) {
	p := partsSection{ID: s.ID, Heading: oneLine(s.Heading), Lead: linesOf(s.Lead), After: linesOf(s.After),
		Block: s.Block, Fill: fills(s.Fill), Drawings: drawn(s.Drawing)}
	for _, n := range s.Notices {
		p.Notices = append(p.Notices, partsNotice{string(n.Level), withoutCommands(oneLine(n.String()))})
	}
	if s.Table == nil || s.Table.Rows() == 0 {
		return p, nil
	}
	columns, rows, err := s.Table.Aligned("", "")
	if err != nil {
		return p, err
	}
	p.Table = &partsTable{}
	for _, c := range columns {
		p.Table.Heads = append(p.Table.Heads, c.Title())
		p.Table.Right = append(p.Table.Right, c.Kind == Numbers || c.Kind == Interval)
	}
	for _, row := range rows {
		var cells []partsCell
		for _, c := range row {
			if c.Blank {
				c = Aligned{}
			}
			cells = append(cells, partsCell{c.Value, c.Interval})
		}
		p.Table.Rows = append(p.Table.Rows, cells)
	}
	return p, nil
}

// drawn are the drawings that there are.
func drawn(list ...Drawing) (out []partsDrawing) {
	for _, d := range list {
		if d.SVG != "" {
			out = append(out, partsDrawing(d))
		}
	}
	return out
}

// linesOf are paragraphs as they are printed.
func linesOf(list []string) []string {
	var out []string
	for _, p := range list {
		if line := withoutCommands(oneLine(p)); line != "" {
			out = append(out, line)
		}
	}
	return out
}

// commandLine finds what is to be typed on a command line.
var commandLine = regexp.MustCompile(`(?:^|\s)(?:--[a-z]|holdbook (?:check|next|report|seal|walk|add|compare|limits|keys)\b)`)

// withoutCommands leaves out the sentences that say what to type: who reads parts has
// buttons.
func withoutCommands(text string) string {
	if !commandLine.MatchString(text) {
		return text
	}
	kept := strings.Split(text, ". ")
	for i := range kept[:len(kept)-1] {
		kept[i] += "."
	}
	return strings.Join(slices.DeleteFunc(kept, commandLine.MatchString), " ")
}
