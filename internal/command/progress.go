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
	f, ok := w.(*os.File)
	if !ok || !term.IsTerminal(int(f.Fd())) {
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
