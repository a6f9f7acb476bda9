// Package report writes a survey's findings out: as text for a terminal, and
// as Markdown, JSON and CSV for everything else; a page is made of its document by
// package html. Findings come in SI. Each format writes what package view makes of
// them for a reader, through the same tables and the same rounding, so that two formats
// of one sheet cannot show different numbers; nothing else is computed but layout.
//
// The lines of CSV and the schema of the JSON follow from the tags of the findings'
// fields. Tables are set and written in Markdown by a library; lining numbers up and
// breaking lines to the width of a terminal is done here (draw.go says why).
//
// Names from the sheet are data: each format escapes them in its own way, and
// control and direction characters are taken out before any format sees them
// (JSON keeps them, as escapes).
package report

import (
	"bytes"
	"fmt"
	"io"
	"strings"
	"time"

	"holdbook/internal/survey"
)

// Format is a way of writing findings out.
type Format int

// The formats, in the order help shows them.
const (
	Text Format = iota
	Markdown
	JSON
	CSV
	HTML
	HPXML
	Parts // for a program that lays the report out itself
)

// writer makes the text of a report.
type writer = func(*bytes.Buffer, *survey.Findings, Options) error

// formats is the table a new format is added to. The page and the document for other
// programs are registered by packages of their own.
var formats = [...]struct {
	name  string
	write writer
}{
	Text:     {"text", writeText},
	Markdown: {"markdown", writeMarkdown},
	JSON:     {"json", writeJSON},
	CSV:      {"csv", writeCSV},
	HTML:     {"html", nil},
	HPXML:    {"hpxml", nil},
	Parts:    {"parts", writeParts},
}

// page makes a page of a document; see RegisterPage.
var page func(*bytes.Buffer, *Document) error

// RegisterPage gives the HTML format what makes a page of a document, at the start of the
// program.
func RegisterPage(write func(*bytes.Buffer, *Document) error) {
	page = write
	formats[HTML].write = func(b *bytes.Buffer, f *survey.Findings, _ Options) error {
		d, err := Page(f)
		if err != nil {
			return err
		}
		return page(b, d)
	}
}

// Register gives a format of a package of its own its writer, at the start of the program.
func Register(f Format, write writer) { formats[f].write = write }

// String is the format's name as it is typed.
func (f Format) String() string {
	if f < 0 || int(f) >= len(formats) {
		return fmt.Sprintf("format %d", int(f))
	}
	return formats[f].name
}

// ParseFormat reads a format's name; case does not matter. The error lists the
// names that are accepted.
func ParseFormat(s string) (Format, error) {
	var names []string
	for i := range formats {
		if strings.EqualFold(strings.TrimSpace(s), formats[i].name) {
			return Format(i), nil
		}
		names = append(names, formats[i].name)
	}
	return Text, fmt.Errorf("unknown format %q: write one of %s", oneLine(s), strings.Join(names, ", "))
}

// Options says how findings are written.
type Options struct {
	Width   int  // columns of a text report; 0 means 80, less than 40 counts as 40
	Colour  bool // headings and cautions of a text report are coloured
	Working bool // the formulas with the reader's own numbers, and every reading
	Priors  bool // what was assumed before any reading
	Record  bool // the record of the test at the end of a text report; other formats always have it

	// What a document for other programs tells of itself.
	Version string    // of the program that wrote it
	Created time.Time // when it was made; now unless given

	full bool // every column of a table, for formats that have the room
}

func (o Options) width() int {
	switch {
	case o.Width == 0:
		return 80
	case o.Width < 40:
		return 40
	}
	return o.Width
}

// Write writes the findings f to w in one format. The report is built in
// memory first, so that nothing is written unless all of it can be. The error
// is that of the writer, or says which result could not be written.
func Write(w io.Writer, f *survey.Findings, format Format, o Options) error {
	if format < 0 || int(format) >= len(formats) || formats[format].write == nil {
		return fmt.Errorf("unknown format: %s", format)
	}
	var b bytes.Buffer
	if err := formats[format].write(&b, f, o); err != nil {
		return fmt.Errorf("%s report: %w", format, err)
	}
	return flush(w, b.Bytes())
}

// flush writes all of b and takes a short write without an error for one.
func flush(w io.Writer, b []byte) error {
	n, err := w.Write(b)
	if err == nil && n < len(b) {
		err = io.ErrShortWrite
	}
	return err
}
