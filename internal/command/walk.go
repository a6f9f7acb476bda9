package command

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"
	"slices"
	"strings"
	"syscall"
	"time"

	"github.com/urfave/cli/v2"
	"golang.org/x/term"
	"holdbook/internal/files"
	"holdbook/internal/sheet"
	"holdbook/internal/survey"
	"holdbook/internal/walk"
)

func walkCommand(p *program) *cli.Command {
	return &cli.Command{
		Name:      "walk",
		Category:  groupStart,
		Usage:     "one question at a time beside the fan, every answer kept at once",
		ArgsUsage: "SHEET",
		Description: `Leads through the visit: what must be safe first, baseline, 25 Pa, 50 Pa and
the fan flow, each space, ducts and registers, what to open next, and the list
that puts the house back as found. Every answer is on disk before the next
question, so a walk that was broken off goes on where it was. SHEET is made if
there is none; one written by hand is gone on with. At any question: ? for
help, - for what could not be read, back, skip, stop.`,
		UsageText: `holdbook walk visit.toml < /dev/null
# answers can come from a file as well
printf 'none\ndepressurised\nyes\nyes\nstop\n' | holdbook walk visit.toml`,
		Action: func(c *cli.Context) error {
			name, err := walkTarget(c)
			if err != nil {
				return err
			}
			if err := p.claimStdin("the answers"); err != nil {
				return err
			}
			return p.walk(name)
		},
	}
}

// walkTarget is the sheet to write to.
func walkTarget(c *cli.Context) (string, error) {
	switch {
	case c.NArg() != 1:
		return "", &usageError{text: "walk takes one sheet", hints: []string{typed("walk", "visit.toml")}}
	case c.Args().First() == standardInput:
		return "", &usageError{text: "walk writes to its sheet, so it takes a file; the answers come from standard input", hints: []string{typed("walk", "visit.toml")}}
	}
	return c.Args().First(), nil
}

// walk runs one walk over a file.
func (p *program) walk(name string) error {
	if _, err := os.Stat(name); err == nil {
		if _, err := readable(sheet.Read(name)); err != nil { // a folder, or no sheet: nothing is made beside it
			return err
		}
	}
	lock, err := walk.TakeLock(name)
	if err != nil {
		return &dataError{err: err}
	}
	defer lock.Release()
	files.Sweep(name)
	if info, err := os.Stat(name); err == nil && files.Links(info) > 1 {
		return &dataError{err: &sheet.FileError{File: name, Why: sheet.ErrLinked.Error(), Err: sheet.ErrLinked}}
	}
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	context.AfterFunc(ctx, stop) // a second one ends the program at once
	defer stop()
	t := &talk{ctx: ctx, in: bufio.NewReaderSize(p.Stdin, longestLine), out: p.out, width: p.width(""), echo: !p.interactive(), working: p.working}
	if _, err := os.Stat(name); errors.Is(err, os.ErrNotExist) {
		if _, err := sheet.CreateText(name, []byte(newWalkSheet(time.Now()))); err != nil {
			return &dataError{err: err}
		}
		t.say(safe(name) + " is new.")
	}
	book, err := walk.OpenFile(name)
	if err != nil {
		return &dataError{err: err}
	}
	defer book.Close()
	w := walk.New(book, adviser{p.working}, time.Now)
	return t.run(w)
}

// leave says how to go on with a walk that is not at its end.
func (t *talk) leave(w *walk.Walk, because error) error {
	lost := t.rescue(w)
	t.whole("Go on with: " + typed("walk", w.File()))
	return errors.Join(lost, unwritten(w, because))
}

// rescue writes what stood in a sheet that another program has emptied or removed
// to a new file, as nobody is there any more to be asked.
func (t *talk) rescue(w *walk.Walk) error {
	switch name, why, err := w.Rescue(); {
	case why == nil:
		return nil
	case err != nil:
		return dataErrorf("the sheet is no longer what this walk wrote: %w; and it could not be written elsewhere: %s", why, err)
	default:
		return dataErrorf("the sheet is no longer what this walk wrote: %w; all that stood in it is in %s now", why, name)
	}
}

func newWalkSheet(now time.Time) string {
	return fmt.Sprintf("# Readings of one visit, in the order in which they were taken.\nsheet = 1\n\n[job]\ndate = %s\n", now.Format("2006-01-02"))
}

// interactive tells whether somebody types the answers.
func (p *program) interactive() bool {
	f, ok := p.Stdin.(*os.File)
	return ok && term.IsTerminal(int(f.Fd()))
}

// talk is the conversation: plain lines, which work in any terminal, over a
// remote shell, and from a file.
type talk struct {
	ctx   context.Context // its end breaks the walk off
	in    *bufio.Reader
	out   io.Writer
	width int
	echo  bool // answers do not show by themselves

	working func(what string) (end func()) // says that something takes long
}

// longestLine is how many bytes of a line are taken; a longer one is no answer.
const longestLine = 4096

var errTooLong = errors.New("that line is far too long for an answer; write it again")

// line waits for one answer, or for the end of the walk.
func (t *talk) line() (string, error) {
	type answer struct {
		text string
		err  error
	}
	got := make(chan answer, 1)
	go func() {
		text, err := t.read()
		got <- answer{text, err}
	}()
	select {
	case <-t.ctx.Done():
		return "", t.ctx.Err()
	case a := <-got:
		return a.text, a.err
	}
}

// read reads one answer.
func (t *talk) read() (string, error) {
	b, err := t.in.ReadSlice('\n')
	long := false
	for errors.Is(err, bufio.ErrBufferFull) {
		long = true
		_, err = t.in.ReadSlice('\n')
	}
	switch {
	case long && (err == nil || errors.Is(err, io.EOF)):
		return "", errTooLong
	case errors.Is(err, io.EOF) && len(b) > 0:
		return string(b), nil // the last line has no end
	}
	return string(b), err
}

// run asks until the walk is at its end, is left, or has no more answers.
func (t *talk) run(w *walk.Walk) error {
	t.say("At any question: ? for help, - could not be read, back, skip, stop.")
	shown, said := "", map[string]bool{} // said: instructions that are shown once
	var because error                    // of an answer that is not in the sheet
	for {
		q, ok := w.Next()
		if !ok {
			lost := t.rescue(w)
			end := t.working("estimating")
			said, command := ending(w.File())
			end()
			t.say(said...)
			t.whole(command)
			t.say("")
			return errors.Join(lost, unwritten(w, because))
		}
		shown = t.introduce(q, shown, said)
		answer, err := t.ask(q)
		switch {
		case errors.Is(err, errTooLong):
			t.say("  " + err.Error())
			continue
		case errors.Is(err, io.EOF):
			t.say("")
			return t.leave(w, because)
		case errors.Is(err, context.Canceled):
			t.say("")
			return errors.Join(dataErrorf("interrupted at this question"), t.leave(w, because))
		case err != nil:
			return dataErrorf("cannot read the answers: %w", err)
		}
		r := w.Answer(answer)
		for _, line := range r.Said {
			t.say("  " + line)
		}
		if r.Err != nil {
			because = r.Err
			t.say("  because: " + r.Err.Error())
		}
		if r.Stopped {
			return t.leave(w, because)
		}
	}
}

// introduce shows what stands before a question: not again what was shown before the last
// one, nor an instruction that was said. It gives what it would have shown.
func (t *talk) introduce(q walk.Question, shown string, said map[string]bool) string {
	intro, lines := strings.Join(q.Lines, "\n"), q.Lines
	if intro == shown {
		lines = nil
	}
	if once := strings.Join(q.Once, "\n"); !said[once] {
		said[once], lines = true, slices.Concat(lines, q.Once)
	}
	if len(lines) > 0 {
		t.say("")
		t.say(lines...)
	}
	return intro
}

// ending says what to do with a sheet that is complete, last the command to type.
func ending(name string) (said []string, command string) {
	s, err := sheet.Read(name)
	if err == nil {
		_, err = survey.Run(s, survey.Options{CurvatureOnly: true})
	}
	if err != nil {
		return []string{"", "The visit is complete, but its readings cannot be used as they are: " + err.Error()}, "Now: " + typed("check", name)
	}
	return []string{""}, "The visit is complete. Now: " + typed("report", name)
}

// unwritten is the error of leaving a walk with an answer that is not in the
// sheet.
func unwritten(w *walk.Walk, because error) error {
	switch text := w.Unwritten(); {
	case text == "":
		return nil
	case because == nil:
		return dataErrorf("the answer %s is not in the sheet, which was changed by someone else; go on with the walk and give it again", safe(text))
	default:
		return dataErrorf("the answer %s is not in the sheet: %w", safe(text), because)
	}
}

// ask puts a question and reads the answer to it.
func (t *talk) ask(q walk.Question) (string, error) {
	prompt := q.Ask
	if q.Default != "" {
		prompt += " [" + q.Default + "]"
	}
	if _, err := fmt.Fprint(t.out, prompt+": "); err != nil {
		return "", err
	}
	answer, err := t.line()
	if t.echo {
		t.say(safe(answer))
	}
	return answer, err
}

// whole shows a line with a command in it, which is not broken, so that it can be
// copied.
func (t *talk) whole(line string) { fmt.Fprintln(t.out, clean(line)) }

// say shows lines, broken to the width of the terminal; a line that starts with
// blanks goes on under its own start.
func (t *talk) say(lines ...string) {
	for _, line := range lines {
		line = clean(line)
		indent := line[:len(line)-len(strings.TrimLeft(line, " "))]
		for i, part := range wrap(line, max(t.width-len(indent)-2, 20)) {
			if i > 0 {
				part = "  " + part
			}
			fmt.Fprintln(t.out, strings.TrimRight(indent+part, " "))
		}
	}
}
