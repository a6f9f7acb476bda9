package command

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"iter"
	"math"
	"os"
	"os/signal"
	"strconv"
	"syscall"
	"time"

	"github.com/urfave/cli/v2"
	"golang.org/x/term"
	"holdbook/internal/batch"
	"holdbook/internal/report"
	"holdbook/internal/survey"
	"holdbook/units"
)

// batchFlags are the flags of batch.
type batchFlags struct {
	units, format, resume, workers, over *value
	summary, curvature                   bool
}

func batchCommand(p *program) *cli.Command {
	a := &batchFlags{units: newChoice("ip", "si"), format: newChoice("jsonl", "csv", "text", "json"), resume: newFile("results.jsonl"),
		workers: newCount(), over: newRate()}
	return &cli.Command{
		Name:      "batch",
		Category:  groupSheet,
		Usage:     "many sheets to one stream of results, on all processors",
		ArgsUsage: "PATH…",
		Description: `PATH is a sheet, a folder searched for sheets, a pattern, or - for lines on
standard input: paths, or sheets as {"sheet": "NAME", "toml": "TEXT"}. Each
sheet gives one line of JSON, in the order of the sheets; one that cannot be
used gives its errors and stops nothing. The status is 1 when any did.`,
		UsageText: `holdbook demo --sheet -o house.toml
holdbook batch house.toml
holdbook batch house.toml --summary
holdbook batch . --format csv
holdbook batch house.toml --resume results.jsonl`,
		Flags: []cli.Flag{
			flag(a.units, "units", "`SYSTEM` of all results: ip or si; each sheet's own unless given"),
			flag(a.format, "format", "`FORM` of the results: jsonl or csv; of a summary: text or json"),
			&cli.BoolFlag{Name: "summary", Usage: "the distribution of each finding over the houses, in place of the rows", Destination: &a.summary},
			flag(a.over, "over", "with --summary: the share of houses above so many air changes at 50 Pa, `LIMIT` such as 5 /h"),
			flag(a.resume, "resume", "write to `FILE` and go on where it ends; no row is repeated or lost"),
			flag(a.workers, "workers", "how many `SHEETS` at a time; all processors unless given"),
			&cli.BoolFlag{Name: "fast", Usage: "intervals from curvature alone, for screening a large stock", Destination: &a.curvature},
		},
		Action: func(c *cli.Context) error { return p.batch(c, a) },
	}
}

// newCount is the flag of a whole number from 1 to 1024.
func newCount() *value {
	v := &value{sample: "2"}
	v.check = func(text string) error {
		if n, err := strconv.Atoi(text); err != nil || n < 1 || n > 1024 {
			return errors.New("write a whole number from 1 to 1024")
		}
		return nil
	}
	return v
}

func newRate() *value {
	return newQuantity("5 /h", func(text string) (units.Rate, error) {
		r, err := units.ParseRateIn(text, units.PerHour)
		if err == nil && !(r > 0) {
			err = errors.New("write air changes an hour, such as 5 /h")
		}
		return r, err
	})
}

func (p *program) batch(c *cli.Context, a *batchFlags) error {
	if c.NArg() == 0 {
		return &usageError{text: "batch needs a sheet, a folder, a pattern or -", hints: []string{"holdbook batch sheets/"}}
	}
	form := a.format.text
	switch {
	case a.summary && (form == "jsonl" || form == "csv"), !a.summary && (form == "text" || form == "json"):
		return &usageError{text: "--format " + form + " does not go with this; rows are jsonl or csv, a summary is text or json"}
	case a.resume.given && (a.summary || form == "csv"):
		return &usageError{text: "--resume goes with rows of jsonl only"}
	}
	for _, path := range c.Args().Slice() {
		if path == standardInput {
			if err := p.claimStdin("the list of sheets"); err != nil {
				return err
			}
		}
	}
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	o := batch.Options{Survey: survey.Options{CurvatureOnly: a.curvature, Units: a.system()}}
	o.Workers, _ = strconv.Atoi(a.workers.text)
	b := &batchRun{program: p, flags: a, out: p.out, progress: newProgress(p.Stderr)}
	return b.run(ctx, batch.Items(c.Args().Slice(), p.Stdin), o)
}

// system is the one asked for on the command line; nil leaves each sheet its own,
// but a summary needs one for all.
func (a *batchFlags) system() *units.System {
	if !a.units.given && !a.summary {
		return nil
	}
	system := units.IP
	if a.units.text == units.SI.String() {
		system = units.SI
	}
	return &system
}

// batchRun is one batch on its way out.
type batchRun struct {
	*program
	flags    *batchFlags
	out      io.Writer
	tally    *batch.Tally
	done     int
	failed   int
	progress *progress
}

// rendered is a row ready to be written, or to be counted.
type rendered struct {
	batch.Row
	text []byte
}

func (b *batchRun) run(ctx context.Context, items iter.Seq[batch.Item], o batch.Options) (err error) {
	var mismatch error
	if name := b.flags.resume.text; name != "" {
		r, err := batch.Resume(name)
		if err != nil {
			return &dataError{err: err}
		}
		defer func() {
			if closed := r.Close(); err == nil && closed != nil {
				err = cannot("write", name, closed)
			}
		}()
		b.failed, b.out, items = r.Failed, r, r.Rest(items, &mismatch)
	}
	if b.flags.summary {
		limit := 0.0
		if b.flags.over.given {
			r, _ := units.ParseRateIn(b.flags.over.text, units.PerHour)
			limit = r.In(units.PerHour)
		}
		b.tally = batch.NewTally(limit)
	}
	if b.flags.format.text == "csv" {
		if _, err := b.out.Write(report.CSVHead()); err != nil {
			return wrapWrite(err)
		}
	}
	failed := batch.Run(ctx, items, o, b.render, b.row)
	b.progress.end()
	return b.verdict(failed, mismatch)
}

// verdict is what the run comes to: what stopped it, or that rows are errors.
func (b *batchRun) verdict(err, mismatch error) error {
	switch {
	case mismatch != nil:
		return &dataError{err: mismatch}
	case errors.Is(err, context.Canceled):
		return dataErrorf("interrupted after %d sheets; each has its whole row, and --resume goes on from there", b.done)
	case err != nil:
		return &dataError{err: err}
	case b.tally != nil:
		if err := b.summary(); err != nil {
			return err
		}
	}
	if b.failed > 0 {
		return dataErrorf("sheets that could not be used: %d; their rows say why", b.failed)
	}
	return nil
}

// render makes the text of a row. It runs in the workers.
func (b *batchRun) render(r batch.Row) (rendered, error) {
	var text []byte
	var err error
	switch {
	case b.flags.summary:
	case b.flags.format.text == "csv":
		text, err = report.CSVRows(r.Sheet, r.Findings, r.Errors)
	default:
		text, err = report.JSONRow(r.Sheet, r.Findings, r.Errors)
	}
	return rendered{r, text}, err
}

// row writes one row in one piece, or takes it into the summary.
func (b *batchRun) row(r rendered) error {
	b.done++
	b.progress.step()
	if r.Findings == nil {
		b.failed++
	}
	if b.tally != nil {
		b.tally.Add(r.Row)
		return nil
	}
	_, err := b.out.Write(r.text)
	return wrapWrite(err)
}

// summary prints the distributions.
func (b *batchRun) summary() error {
	s := b.tally.Summary()
	var out bytes.Buffer
	if b.flags.format.text == "json" {
		if err := report.EncodeJSON(&out, s); err != nil {
			return &dataError{err: err}
		}
		return b.writeResult(out.Bytes(), "")
	}
	// words, not numbers: quantities of different size share a column
	column := func(head string) report.Column { return report.Column{Head: head, Kind: report.Words} }
	t := report.NewTable(column("finding"), column("houses"), column("5 %"), column("25 %"), column("half"), column("75 %"), column("95 %"))
	for _, d := range s.Findings {
		of := d.Of
		if d.Unit != "" {
			of += " (" + d.Unit + ")"
		}
		cells := []report.Cell{report.Say(of), report.Say(strconv.Itoa(d.Houses))}
		for _, q := range d.Quantiles {
			cells = append(cells, report.Say(threeFigures(q)))
		}
		t.Add(cells...)
	}
	lead := []string{fmt.Sprintf("%d houses; %d sheets could not be used.", s.Houses, s.Failed)}
	if s.Over != nil {
		lead = append(lead, fmt.Sprintf("Above %g air changes at 50 Pa: %.0f %% of %d houses, %.0f %% with their whole interval.", s.Over.Limit, 100*s.Over.Above, s.Over.Houses, 100*s.Over.Certain))
	}
	d := report.Document{Sections: []report.Section{{ID: "summary", Heading: "The stock of houses", Lead: lead, Table: t,
		After: []string{"Each column is the value that so many of the houses stay below."}}}}
	if err := d.Write(&out, report.Text, report.Options{Width: b.width("")}); err != nil {
		return &dataError{err: err}
	}
	return b.writeResult(out.Bytes(), "")
}

// threeFigures prints a number that is only a quantile of many.
func threeFigures(v float64) string {
	if v == 0 {
		return "0"
	}
	return units.Fixed(v, max(0, 2-int(math.Floor(math.Log10(math.Abs(v))))))
}

// progress says on a terminal how far a batch is.
type progress struct {
	w     io.Writer
	start time.Time
	last  time.Time
	rows  int
}

// newProgress is silent unless w is a terminal.
func newProgress(w io.Writer) *progress {
	if f, ok := w.(*os.File); !ok || !term.IsTerminal(int(f.Fd())) {
		return &progress{}
	}
	return &progress{w: w, start: time.Now()}
}

func (p *progress) step() {
	p.rows++
	if p.w == nil || time.Since(p.last) < time.Second/2 {
		return
	}
	p.last = time.Now()
	fmt.Fprintf(p.w, "\r%d sheets, %.0f a second ", p.rows, float64(p.rows)/time.Since(p.start).Seconds())
}

func (p *progress) end() {
	if p.w != nil {
		fmt.Fprintln(p.w)
	}
}
