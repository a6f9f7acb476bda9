package command

import (
	"bytes"
	"fmt"
	"os"
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
	priors bool
	record bool   // wanted in the text report
	as     *value // a state of the house that is asked for beside that as found
	sheet  bool   // the answer is of a sheet, which has a record
}

func newAnswerFlags() *answerFlags {
	return &answerFlags{as: newText("hatch open"), outputFlags: newOutputFlags("report.html", "text", "markdown", "json", "csv", "html", "hpxml")}
}

func (a *answerFlags) flags() []cli.Flag {
	return append(a.outputFlags.flags("the report: text, markdown, json, csv, html or hpxml; text unless the name behind -o says otherwise"),
		a.workingFlag("show each formula with your numbers in it, and its source"),
		&cli.BoolFlag{Name: "priors", Usage: "show what was assumed before any reading", Destination: &a.priors})
}

// answer takes a sheet the whole way: survey, report, output.
func (p *program) answer(s *sheet.Sheet, a *answerFlags, format report.Format) error {
	if err := a.printIn(s); err != nil {
		return err
	}
	known, err := stockOf(a.stock)
	if err != nil {
		return err
	}
	end := p.working("estimating")
	findings, err := survey.Run(s, survey.Options{Stock: known, As: a.as.text, Working: a.working || format == report.HTML, WorkOrder: format == report.HTML,
		Record: a.sheet || format == report.JSON || format == report.CSV})
	end()
	if err != nil {
		return &dataError{err: err}
	}
	o, err := a.reportOptions(p, format)
	if err != nil {
		return err
	}
	var b bytes.Buffer
	if err := report.Write(&b, findings, format, o); err != nil {
		return &dataError{err: err}
	}
	return p.writeFindings(b.Bytes(), findings, format, a.output.text)
}

// reportOptions are how a report is written in a form.
func (a *answerFlags) reportOptions(p *program, format report.Format) (report.Options, error) {
	if format == report.HPXML {
		return documentOptions()
	}
	return report.Options{Width: p.width(a.output.text), Colour: p.colour(a.output.text), Working: a.working, Priors: a.priors, Record: a.record}, nil
}

// writeFindings writes a report; what it has to say that rows of numbers have no place for
// is told beside it.
func (p *program) writeFindings(text []byte, findings *survey.Findings, format report.Format, file string) error {
	if err := p.writeResult(text, file); err != nil || format != report.CSV {
		return err
	}
	for _, line := range report.NoticeLines(findings) {
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
