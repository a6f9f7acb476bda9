package command

import (
	"fmt"
	"io"
	"os"
	"time"

	"golang.org/x/term"
	"holdbook/internal/batch"
)

// progress says on a terminal how far a batch is, how fast it goes, and how long
// it will take. Nowhere else does it say anything.
type progress struct {
	w           io.Writer // nil where nothing is said
	start, last time.Time
	skipped     int
	done        int
	total       int // 0 when not known
}

// progressEvery is the time between two changes of the line.
const progressEvery = time.Second / 2

func newProgress(w io.Writer, paths []string) *progress {
	if !isTerminal(w) {
		return &progress{}
	}
	p := &progress{w: w, start: time.Now(), last: time.Now()}
	p.total, _ = batch.Count(paths)
	return p
}

// skip leaves out sheets that an earlier run has done.
func (p *progress) skip(n int) { p.skipped = n }

// step counts a sheet.
func (p *progress) step() {
	p.done++
	if p.w == nil || time.Since(p.last) < progressEvery {
		return
	}
	p.last = time.Now()
	p.clear()
	fmt.Fprint(p.w, p.line(time.Since(p.start)))
}

// line is what is said after a time.
func (p *progress) line(passed time.Duration) string {
	rate := float64(p.done) / passed.Seconds()
	line := fmt.Sprintf("%d sheets, %.0f a second", p.skipped+p.done, rate)
	left := p.total - p.skipped - p.done
	if p.total == 0 || left < 0 || rate == 0 {
		return line
	}
	rest := time.Duration(float64(left) / rate * float64(time.Second)).Round(time.Second)
	return fmt.Sprintf("%d of %d sheets, %.0f a second, %s left", p.skipped+p.done, p.total, rate, rest)
}

// clear takes the line away, so that a message may stand in its place.
func (p *progress) clear() {
	if p.w != nil {
		fmt.Fprint(p.w, "\r\x1b[K")
	}
}

// end takes the line away for good.
func (p *progress) end() { p.clear() }

func isTerminal(w io.Writer) bool {
	f, ok := w.(*os.File)
	return ok && term.IsTerminal(int(f.Fd()))
}

// waitEvery is how long a work takes before it is said on a terminal that it goes
// on, and from one saying to the next.
const waitEvery = time.Second

// working says on a terminal that something is being worked out, and for how long
// by now, until end is called.
func (p *program) working(what string) (end func()) {
	if !isTerminal(p.Stderr) {
		return func() {}
	}
	return wait(p.Stderr, what, waitEvery)
}

func wait(w io.Writer, what string, every time.Duration) (end func()) {
	stop, stopped := make(chan struct{}), make(chan struct{})
	line := progress{w: w, start: time.Now()}
	go func() {
		defer close(stopped)
		tick := time.NewTicker(every)
		defer tick.Stop()
		said := false
		for {
			select {
			case <-stop:
				if said {
					line.end()
				}
				return
			case <-tick.C:
				said = true
				line.clear()
				fmt.Fprintf(w, "%s, %s so far", what, time.Since(line.start).Round(time.Second))
			}
		}
	}()
	return func() {
		close(stop)
		<-stopped
	}
}
