package command

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/urfave/cli/v2"
	"golang.org/x/term"
	"holdbook/internal/report"
	_ "holdbook/internal/report/html" // the format
	"holdbook/internal/sheet"
	"holdbook/internal/survey"
)

// answerFlags are the flags of every command that ends in a report.
type answerFlags struct {
	outputFlags
	working, priors bool
}

func newAnswerFlags() *answerFlags {
	return &answerFlags{outputFlags: newOutputFlags("report.html", "text", "markdown", "json", "csv", "html")}
}

func (a *answerFlags) flags() []cli.Flag {
	return append(a.outputFlags.flags("the report: text, markdown, json, csv or html; text unless the name behind -o says otherwise"),
		&cli.BoolFlag{Name: "working", Usage: "show each formula with your numbers in it, and its source", Destination: &a.working},
		&cli.BoolFlag{Name: "priors", Usage: "show what was assumed before any reading", Destination: &a.priors})
}

// otherForms are endings under which a plain text would mislead.
var otherForms = []string{".pdf", ".doc", ".docx", ".odt", ".rtf", ".xls", ".xlsx", ".ods", ".png", ".jpg", ".svg", ".toml"}

// endings are the formats by the ending of an output file's name.
var endings = map[string]string{".md": "markdown", ".markdown": "markdown", ".json": "json", ".csv": "csv", ".html": "html", ".htm": "html"}

// chosenFormat is the form to write in. A report that would overwrite the
// sheet it comes from, input, is refused.
func (a *answerFlags) chosenFormat(input string) (report.Format, error) {
	if err := a.spare(input, "report"); err != nil {
		return report.Text, err
	}
	name := a.format.text
	ending := strings.ToLower(filepath.Ext(a.output.text))
	if slices.Contains(otherForms, ending) && !a.format.given {
		return report.Text, &usageError{text: fmt.Sprintf("%s: no report is written as %s; name it .html to print it, .csv for a spreadsheet, .md or .txt, or choose with --format", safe(a.output.text), safe(ending))}
	}
	if !a.format.given {
		name = endings[ending]
	}
	return formatOf(name)
}

// answer takes a sheet the whole way: survey, report, output.
func (p *program) answer(s *sheet.Sheet, a *answerFlags, format report.Format) error {
	if err := a.printIn(s); err != nil {
		return err
	}
	end := p.working("estimating")
	findings, err := survey.Run(s, survey.Options{Working: a.working || format == report.HTML})
	end()
	if err != nil {
		return &dataError{err: err}
	}
	var b bytes.Buffer
	o := report.Options{Width: p.width(a.output.text), Colour: p.colour(a.output.text), Working: a.working, Priors: a.priors}
	if err := report.Write(&b, findings, format, o); err != nil {
		return &dataError{err: err}
	}
	if err := p.writeResult(b.Bytes(), a.output.text); err != nil || format != report.CSV {
		return err
	}
	for _, line := range report.NoticeLines(findings) { // rows of numbers have no place for them
		fmt.Fprintf(p.Stderr, "%s: %s\n", Name, line)
	}
	return nil
}

// The widths of a text report: what a file or a pipe gets, and the limits of
// what a terminal gets.
const (
	plainWidth    = 80
	widestReport  = 100
	narrowestText = 40
)

// width is the terminal's, within reason; anything but a terminal gets 80
// columns.
func (p *program) width(file string) int {
	f := p.terminal(file)
	if f == nil {
		return plainWidth
	}
	columns, _, err := term.GetSize(int(f.Fd()))
	if err != nil || columns == 0 {
		return plainWidth
	}
	return min(max(columns, narrowestText), widestReport)
}

// terminal is the terminal that a report goes to, nil for a file or a pipe.
func (p *program) terminal(file string) *os.File {
	f, ok := p.Stdout.(*os.File)
	if file != "" || !ok || !term.IsTerminal(int(f.Fd())) {
		return nil
	}
	return f
}

// colour is whether a text report may colour its headings and cautions: on a
// terminal that knows colours, unless NO_COLOR says no (no-color.org).
func (p *program) colour(file string) bool {
	return os.Getenv("NO_COLOR") == "" && os.Getenv("TERM") != "dumb" && p.terminal(file) != nil
}

// noArguments refuses arguments where a command takes none.
func noArguments(c *cli.Context) error {
	if c.NArg() == 0 {
		return nil
	}
	return &usageError{
		text:  fmt.Sprintf("%s takes no argument, and %s is one", helpName(c.Command), quote(c.Args().First())),
		hints: []string{typed(strings.Fields(helpName(c.Command))...)},
	}
}

// oneSheet is the sheet that a command's only argument names.
func (p *program) oneSheet(c *cli.Context) (string, error) {
	switch args := c.Args().Slice(); len(args) {
	case 1:
		return args[0], nil
	case 0:
		return "", &usageError{
			text:  c.Command.Name + " needs the name of a sheet, or - for standard input",
			hints: []string{p.args.appended("house.toml"), Name + " demo --sheet -o house.toml   # an example to edit"},
		}
	default:
		line := slices.DeleteFunc(slices.Clone(p.args), func(w string) bool { return slices.Contains(args[1:], w) && w != args[0] })
		return "", &usageError{
			text:  fmt.Sprintf("one sheet at a time, and %s is a second", quote(args[1])),
			hints: []string{typed(line...)},
		}
	}
}
