package command

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"iter"
	"os"
	"os/signal"
	"strconv"
	"strings"
	"syscall"

	"github.com/urfave/cli/v2"
	"holdbook/internal/batch"
	"holdbook/internal/report"
	"holdbook/internal/survey"
	"holdbook/units"
)

// batchFlags are the flags of batch.
type batchFlags struct {
	units, format, output, resume, workers, over *value
	stock, learn                                 *value
	summary, curvature                           bool
}

func batchCommand(p *program) *cli.Command {
	a := &batchFlags{units: newSystem(), format: newChoice("jsonl", "csv", "hpxml", "text", "markdown", "json"),
		output: newOwnFile("documents"), resume: newOwnFile("results.jsonl"), workers: newCount(), over: newLimits(), stock: newStock(), learn: newOwnFile("stock.toml")}
	return &cli.Command{
		Name:      "batch",
		Category:  groupSheet,
		Usage:     "many sheets to one stream of results, on all processors",
		ArgsUsage: "PATH…",
		Description: `PATH is a sheet, a folder searched for sheets, a pattern, or - for lines on
standard input: paths, sheets as {"sheet": "NAME", "toml": "TEXT"}, or results
of an earlier run, which are passed on. Each sheet gives one line of JSON, in
the order of the sheets; one that cannot be used gives its errors and stops
nothing. The status is 1 when there is such a sheet.`,
		UsageText: `holdbook demo --sheet -o house.toml
holdbook batch house.toml
# a folder, to a file; the same line again goes on after an interruption
holdbook batch . --resume results.jsonl
# the stock in brief, from the sheets or from results
holdbook batch house.toml --summary --over "5 /h"
holdbook batch - --summary --format json < results.jsonl
# what a stock of houses tells of one more, from a folder of many:
# holdbook batch houses --summary --learn stock.toml
# a table, a line a number
holdbook batch . --format csv
# a document a house for other programs
holdbook batch . --format hpxml -o documents`,
		Flags: []cli.Flag{
			flag(a.units, "units", "`SYSTEM` of all results: ip or si; each sheet's own unless given"),
			flag(a.format, "format", "`FORM` of the rows: jsonl or csv; of a summary: text, markdown or json; hpxml: a document a house"),
			flag(a.output, "output", "with --format hpxml: the `FOLDER` for the documents, made if it is not there", "o"),
			flag(a.resume, "resume", "write to `FILE` and go on where it ends; no row is repeated or lost"),
			&cli.BoolFlag{Name: "summary", Usage: "how each finding spreads over the houses, in place of the rows", Destination: &a.summary},
			flag(a.over, "over", "with --summary: how many houses are over a `LIMIT`, such as 5 /h; several between commas"),
			flag(a.learn, "learn", "with --summary: write what the houses tell of one more of their stock to `FILE`"),
			flag(a.stock, "stock", stockHelp),
			&cli.BoolFlag{Name: "curvature", Usage: "intervals from curvature alone: faster, and less right where readings only bound", Destination: &a.curvature},
			flag(a.workers, "workers", "how many `SHEETS` at a time; as many as there are processors unless given"),
		},
		Action: func(c *cli.Context) error { return p.batch(c.Args().Slice(), a) },
	}
}

// mostWorkers is more than any machine has use for.
const mostWorkers = 1024

// newCount is the flag of a number of workers.
func newCount() *value {
	v := &value{sample: "2"}
	v.check = func(text string) error {
		if n, err := strconv.Atoi(text); err != nil || n < 1 || n > mostWorkers {
			return fmt.Errorf("%s is no whole number from 1 to %d", quote(text), mostWorkers)
		}
		return nil
	}
	return v
}

// newLimits is the flag of limits, between commas.
func newLimits() *value {
	v := &value{sample: "5 /h", mend: mendNumber}
	v.check = func(text string) error {
		_, err := parseLimits(text)
		return err
	}
	return v
}

func parseLimits(text string) ([]batch.Limit, error) {
	var all []batch.Limit
	for _, one := range strings.Split(text, ",") {
		l, err := batch.ParseLimit(one)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", quote(strings.TrimSpace(one)), err)
		}
		all = append(all, l)
	}
	return all, nil
}

// batch works through the sheets that paths stand for.
func (p *program) batch(paths []string, a *batchFlags) error {
	if err := p.checkBatch(paths, a); err != nil {
		return err
	}
	known, err := stockOf(a.stock)
	if err != nil {
		return err
	}
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	o := batch.Options{Survey: survey.Options{CurvatureOnly: a.curvature, Units: a.system(), Stock: known}}
	o.Workers, _ = strconv.Atoi(a.workers.text)
	b := &batchRun{p: p, flags: a, out: p.out, progress: newProgress(p.Stderr, paths)}
	return b.run(ctx, batch.Items(paths, p.Stdin), o)
}

// checkBatch refuses what does not go together on the command line.
func (p *program) checkBatch(paths []string, a *batchFlags) error {
	if len(paths) == 0 {
		return &usageError{text: "batch needs a sheet, a folder, a pattern or - for standard input",
			hints: []string{p.args.appended("sheets"), "ls sheets/*.toml | " + p.args.appended("-")}}
	}
	rows := a.format.text == "jsonl" || a.format.text == "csv" || a.documents()
	switch {
	case a.format.given && a.summary == rows:
		return &usageError{text: fmt.Sprintf("--format %s does not go with this; rows are jsonl, csv or hpxml, a summary is text, markdown or json", a.format.text)}
	case a.documents() != a.output.given:
		return &usageError{text: "--format hpxml and -o go together: the documents go into a folder, a line for each to the screen", hints: []string{"holdbook batch . --format hpxml -o documents"}}
	case a.resume.given && (a.summary || a.format.text == "csv" || a.documents()):
		return &usageError{text: "--resume goes with rows of jsonl only; a summary is made of them afterwards",
			hints: []string{"holdbook batch - --summary < " + shellQuote(a.resume.text)}}
	case a.learn.given && !a.summary:
		return &usageError{text: "--learn goes with --summary", hints: []string{p.args.appended("--summary")}}
	case a.over.given && !a.summary:
		return &usageError{text: "--over goes with --summary", hints: []string{p.args.appended("--summary")}}
	}
	for _, path := range paths {
		if path == standardInput {
			if err := p.claimStdin("the list of sheets"); err != nil {
				return err
			}
		}
	}
	return nil
}

// documents says whether a document a house is asked for.
func (a *batchFlags) documents() bool { return a.format.text == report.HPXML.String() }

// system is the one asked for on the command line; nil leaves each sheet its own,
// but a summary needs one for all.
func (a *batchFlags) system() *units.System {
	if !a.units.given && !a.summary {
		return nil
	}
	system := systemOf(a.units)
	return &system
}

// batchRun is one batch on its way out.
type batchRun struct {
	p            *program
	flags        *batchFlags
	out          io.Writer
	tally        *batch.Tally
	done, failed int
	progress     *progress
	resumed      *batch.Resumed // nil for none
	folder       *batch.Folder  // for documents; nil for none
	about        report.Options // what they say of themselves
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
		b.resumed, b.out, items = r, r, r.Rest(items, o, &mismatch)
		b.progress.skip(r.Done)
	}
	if b.flags.summary {
		var limits []batch.Limit
		if b.flags.over.given {
			limits, _ = parseLimits(b.flags.over.text)
		}
		b.tally = batch.NewTally(*b.flags.system(), limits...)
	}
	if err := b.openFolder(); err != nil {
		return err
	}
	if b.flags.format.text == "csv" {
		if _, err := b.out.Write(report.CSVHead()); err != nil {
			return wrapWrite(err)
		}
	}
	stopped := batch.Run(ctx, items, o, b.render, b.row)
	b.progress.end()
	return b.verdict(stopped, mismatch)
}

// verdict is what the run comes to: what stopped it, or that rows are errors.
func (b *batchRun) verdict(err, mismatch error) error {
	switch {
	case mismatch != nil:
		return &dataError{err: mismatch}
	case errors.Is(err, context.Canceled) && b.folder != nil:
		return dataErrorf("interrupted after %d sheets, each with its whole document; the same line begins anew", b.done)
	case errors.Is(err, context.Canceled):
		return dataErrorf("interrupted after %d sheets, each with its whole row; with --resume the same line goes on from there", b.done)
	case err != nil:
		return err
	case b.tally != nil:
		if err := b.writeStock(); err != nil {
			return err
		}
	}
	if r := b.resumed; r != nil {
		if b.failed += r.Failed; r.Anew > 0 {
			b.p.warn("rows done anew, as their sheets, or the units or intervals asked for, have changed since: %d", r.Anew)
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
	case r.Raw != nil:
		text = r.Raw
	case b.flags.summary:
	case b.folder != nil && r.Findings != nil:
		text, err = b.document(r)
	case b.flags.format.text == "csv":
		text, err = report.CSVRows(r.Sheet, r.Findings, r.Errors)
	default:
		text, err = report.JSONRow(r.Sheet, r.Findings, r.Errors, r.MadeOf)
	}
	return rendered{r, text}, err
}

// row writes one row in one piece, or takes it into the summary, which has no
// place for the errors of a sheet: they are told.
func (b *batchRun) row(r rendered) error {
	b.done++
	if b.folder != nil && r.Findings != nil {
		if err := b.put(&r); err != nil {
			return err
		}
	}
	if r.Findings == nil && r.Raw == nil {
		b.failed++
	}
	if b.tally == nil {
		_, err := b.out.Write(r.text)
		b.progress.step()
		return wrapWrite(err)
	}
	b.tally.Add(r.Row)
	for _, e := range r.Errors {
		b.progress.clear()
		b.p.warn("%s", e)
	}
	b.progress.step()
	return nil
}

// writeStock prints the summary.
func (b *batchRun) writeStock() error {
	format, err := formatOf(b.flags.format.text)
	var out bytes.Buffer
	if err == nil {
		err = report.WriteStock(&out, b.tally.Stock(), format, report.Options{Width: b.p.width("")})
	}
	if err != nil {
		return &dataError{err: err}
	}
	if err := b.p.writeResult(out.Bytes(), ""); err != nil || !b.flags.learn.given {
		return err
	}
	return b.writeLearned(b.flags.learn.text)
}
