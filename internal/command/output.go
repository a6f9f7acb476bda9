package command

import (
	"bytes"
	"fmt"
	"io"
	"path/filepath"
	"slices"
	"strings"

	"github.com/urfave/cli/v2"
	"holdbook/internal/learned"
	"holdbook/internal/report"
	"holdbook/internal/sheet"
	"holdbook/units"
)

// outputFlags say how a result is written: in which units, which form, and where to.
type outputFlags struct {
	units, format, output *value
	stock                 *value // what its stock of houses tells of a house
	working               bool   // the formulas, and what an answer rests on
}

// workingFlag is that of commands that can show how they came to an answer.
func (a *outputFlags) workingFlag(usage string) cli.Flag {
	return &cli.BoolFlag{Name: "working", Usage: usage, Destination: &a.working}
}

// newOutputFlags are those of a result that is written in one of a few forms.
func newOutputFlags(sample string, forms ...string) outputFlags {
	return outputFlags{units: newSystem(), format: newChoice(forms...), output: newFile(sample), stock: newStock()}
}

// newScreenFlags are those of commands that print a screen of their own.
func newScreenFlags() *outputFlags {
	a := newOutputFlags("plan.html", "text", "markdown", "json", "html")
	return &a
}

// flags are the library's flags, with what the help says of the form; own ones stand first.
func (a *outputFlags) flags(form string, own ...cli.Flag) []cli.Flag {
	return append(own,
		flag(a.units, "units", "`SYSTEM` to print in: ip (cfm, in2) or si (m3/h, cm2)"),
		flag(a.format, "format", "`FORM` of "+form),
		flag(a.stock, "stock", stockHelp),
		flag(a.output, "output", "write to `FILE` instead of the screen; whole or not at all", "o"))
}

// formOfScreen is what the help of a screen's flags says of its form.
const formOfScreen = "the screen: text, markdown, json or html; text unless the name behind -o says otherwise"

// newStock is the flag of what a stock of houses tells of each; stockHelp is its help.
func newStock() *value { return newOwnFile("stock.toml") }

const stockHelp = "assume before any reading what the stock in `FILE` tells, as batch --learn wrote it"

// stockOf reads the stock that such a flag names; nil for none.
func stockOf(v *value) (*learned.Stock, error) {
	if !v.given {
		return nil, nil
	}
	s, err := learned.Read(v.text)
	if err != nil {
		return nil, &dataError{err: err}
	}
	return s, nil
}

// newSystem is the flag of a system of units.
func newSystem() *value { return newChoice(units.IP.String(), units.SI.String()) }

// systemOf is the system that such a flag asks for, ip where it was not given.
func systemOf(v *value) units.System {
	s, _ := units.ParseSystem(v.text) // ip for none
	return s
}

// system is the one asked for on the command line, ip when none was.
func (a *outputFlags) system() units.System { return systemOf(a.units) }

// spare refuses what, a report or other output, where it would overwrite the sheet
// that it is made of; "" is a sheet in no file.
func (a *outputFlags) spare(input, what string) error {
	if a.output.given && input != "" && input != standardInput && sameFile(a.output.text, input) {
		return &usageError{text: fmt.Sprintf("the %s would overwrite the sheet %s; name another file", what, safe(input))}
	}
	return nil
}

// printIn lets a sheet be printed in the units asked for, once it is sure that the
// output spares the logs it reads.
func (a *outputFlags) printIn(s *sheet.Sheet) error {
	if a.units.given {
		s.Job.Units = sheet.Word(a.units.text)
	}
	return guardLogs(a.output.text, s)
}

// screenSheets reads the sheets that a screen is made of, and the form to write it in.
func (p *program) screenSheets(a *outputFlags, names ...string) ([]*sheet.Sheet, report.Format, error) {
	var err error
	sheets := make([]*sheet.Sheet, len(names))
	for i, name := range names {
		if sheets[i], err = p.readSheet(name); err == nil {
			err = a.printIn(sheets[i])
		}
		if err != nil {
			return nil, report.Text, err
		}
	}
	format, err := a.chosenFormat("output", names...)
	return sheets, format, err
}

// otherForms are endings under which a plain text would mislead.
var otherForms = []string{".pdf", ".doc", ".docx", ".odt", ".rtf", ".xls", ".xlsx", ".ods", ".png", ".jpg", ".svg", ".toml"}

// endings are the formats by the ending of an output file's name.
var endings = map[string]string{".md": "markdown", ".markdown": "markdown", ".json": "json", ".csv": "csv", ".html": "html", ".htm": "html", ".xml": "hpxml"}

// chosenFormat is the form to write in: the one asked for, or what the ending of the file's
// name says. An ending that the command does not write is refused, and so is what, a report
// or other output, where it would overwrite a sheet it comes from.
func (a *outputFlags) chosenFormat(what string, inputs ...string) (report.Format, error) {
	for _, input := range inputs {
		if err := a.spare(input, what); err != nil {
			return report.Text, err
		}
	}
	name, ending := a.format.text, strings.ToLower(filepath.Ext(a.output.text))
	if a.format.given {
		return writable(formatOf(name))
	}
	name = endings[ending]
	if slices.Contains(otherForms, ending) || name != "" && !slices.Contains(a.format.words, name) {
		return report.Text, &usageError{text: fmt.Sprintf("%s: no %s is written as %s; name it %s, or choose with --format", safe(a.output.text), what, safe(ending), a.endingsThatDo())}
	}
	return writable(formatOf(name))
}

// writable refuses a form that could not be written, before any file is touched.
func writable(format report.Format, err error) (report.Format, error) {
	if err == nil && format == report.HPXML {
		_, err = documentOptions()
	}
	return format, err
}

// endingsThatDo says under which names the forms of a command are written.
func (a *outputFlags) endingsThatDo() string {
	words := ".html to print it, "
	if slices.Contains(a.format.words, "csv") {
		words += ".csv for a spreadsheet, "
	}
	if slices.Contains(a.format.words, report.HPXML.String()) {
		words += ".xml for another program, "
	}
	return words + ".md, .json or .txt"
}

// formatOf is the format of a name; text for none.
func formatOf(name string) (report.Format, error) {
	if name == "" {
		return report.Text, nil
	}
	return report.ParseFormat(name)
}

// screenSheet is screenSheets of the one sheet that a command takes.
func (p *program) screenSheet(c *cli.Context, a *outputFlags) (*sheet.Sheet, report.Format, error) {
	name, err := p.oneSheet(c)
	if err != nil {
		return nil, report.Text, err
	}
	sheets, format, err := p.screenSheets(a, name)
	if err != nil {
		return nil, format, err
	}
	return sheets[0], format, nil
}

// writeScreen writes what is worked out, and says meanwhile what is being done.
func writeScreen[T any](p *program, a *outputFlags, format report.Format, doing string, work func() (T, error),
	write func(io.Writer, T, report.Format, report.Options) error) error {
	end := p.working(doing)
	result, err := work()
	end()
	var b bytes.Buffer
	if err == nil {
		err = write(&b, result, format, report.Options{Width: p.width(a.output.text), Working: a.working})
	}
	if err != nil {
		return &dataError{err: err}
	}
	return p.writeResult(b.Bytes(), a.output.text)
}
