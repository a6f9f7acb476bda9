package command

import (
	"bytes"
	"errors"
	"io"
	"os"
	"runtime/debug"
	"strconv"
	"time"

	"holdbook/internal/advise"
	"holdbook/internal/batch"
	"holdbook/internal/report"
	"holdbook/internal/report/hpxml"
	"holdbook/internal/sheet"
	"holdbook/internal/survey"
)

// epoch is the variable that sets the time a document says it was made at, in seconds
// since 1970 (reproducible-builds.org, "SOURCE_DATE_EPOCH specification").
const epoch = "SOURCE_DATE_EPOCH"

// documentOptions are what a document for other programs says of itself.
func documentOptions() (report.Options, error) {
	o := report.Options{Created: time.Now()}
	if text := os.Getenv(epoch); text != "" {
		seconds, err := strconv.ParseInt(text, 10, 64)
		if err != nil || seconds < 0 || seconds > lastSecond {
			return o, dataErrorf("%s is %s, which is no number of seconds since 1970; set it right, or leave it unset", epoch, quote(text))
		}
		o.Created = time.Unix(seconds, 0)
	}
	info, _ := debug.ReadBuildInfo()
	o.Version = versionOf(info)
	return o, nil
}

// lastSecond is the last of the years that a date has four figures for.
const lastSecond = 253402300799

// openFolder makes the folder ready that documents of a batch are asked for in.
func (b *batchRun) openFolder() (err error) {
	if !b.flags.documents() {
		return nil
	}
	if b.about, err = documentOptions(); err == nil {
		b.folder, err = batch.OpenFolder(b.flags.output.text, ".xml", hpxml.Mark)
	}
	if err != nil {
		return &dataError{err: err}
	}
	return nil
}

// document is that of one sheet of a batch.
func (b *batchRun) document(r batch.Row) ([]byte, error) {
	var text bytes.Buffer
	err := report.Write(&text, r.Findings, report.HPXML, b.about)
	return text.Bytes(), err
}

// put writes a document to its file; the row then tells which, or why not.
func (b *batchRun) put(r *rendered) error {
	path, err := b.folder.Write(r.Sheet, r.text)
	if other := (*batch.NotOursError)(nil); errors.As(err, &other) {
		r.Findings = nil
		r.text, err = report.JSONRow(r.Sheet, nil, []string{other.Error()}, r.MadeOf)
		return err
	}
	if err != nil {
		return &dataError{err: err}
	}
	r.text, err = report.DocumentRow(r.Sheet, path)
	return err
}

// comparison is visits compared, with what each allows by itself.
type comparison struct {
	plans  []*advise.ComparePlan
	visits []*survey.Findings
}

// writeExchange writes visits to one house as a document for other programs.
func writeExchange(p *program, a *outputFlags, sheets []*sheet.Sheet, o advise.CompareOptions) error {
	about, err := documentOptions()
	if err != nil {
		return err
	}
	work := func() (c comparison, err error) {
		c.plans, err = advise.CompareVisits(sheets, o)
		for _, s := range sheets {
			if err == nil {
				var f *survey.Findings
				f, err = survey.Run(s, o.Options)
				c.visits = append(c.visits, f)
			}
		}
		return c, err
	}
	return writeScreen(p, a, report.HPXML, "comparing", work, func(w io.Writer, c comparison, _ report.Format, _ report.Options) error {
		return hpxml.WriteComparison(w, c.plans, c.visits, about)
	})
}
