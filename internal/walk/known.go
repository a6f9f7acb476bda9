package walk

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"holdbook/internal/sheet"
	"holdbook/units"
)

// Known is one answer as far as the sheet's readings give it.
type Known struct {
	Of               string // "house at 50 Pa"
	Value, Low, High float64
	Unit             string
	Resolved         bool
	Says             string // in place of all that: what it is, in words
}

// Warning is something about a reading that the reader should look at.
type Warning struct{ About, Text string }

// Offer is a further reading or change worth making.
type Offer struct {
	What, How, Caution string
	Minutes            float64
	Gain               float64    // share of the intervals' width expected to go
	Hold               sheet.Hold // with what is opened or sealed, and the readings to take
}

// Adviser says what a sheet's readings tell.
type Adviser interface {
	// Known gives the answers known now, and warnings about single readings.
	Known(*sheet.Sheet) ([]Known, []Warning, error)
	// Next gives the readings worth taking, the most useful first, and in a line
	// what to make of them; ErrLater where they are still being worked out.
	Next(*sheet.Sheet) ([]Offer, string, error)
}

// leastNarrowing is the share of an interval's width that must go for it to be
// worth a word.
const leastNarrowing = 0.02

// nothingNarrower is what is said of a reading that told nothing.
const nothingNarrower = "nothing became narrower by this: "

// mostShown is how many answers are shown after a reading.
const mostShown = 2

// learn works out what is known now, and says in a line or two how that differs
// from before; hold is the one just read in, for its warnings.
func (w *Walk) learn(hold string) []string {
	if w.adviser == nil {
		return nil
	}
	now, warnings, err := w.adviser.Known(w.book.Sheet())
	if err != nil {
		return []string{"the readings do not go together: " + problemText(err) + "; write back to correct one"}
	}
	before := w.known
	w.known = now
	said := compared(before, now)
	if hold == "" && len(said) > 0 && strings.HasPrefix(said[0], nothingNarrower) {
		said = nil // of the house itself: nobody expects it
	}
	return append(said, w.fresh(warnings, hold)...)
}

// problemText is an error without the place in the file, which is not what
// somebody at a gauge wants to know.
func problemText(err error) string {
	if problems, ok := err.(sheet.Problems); ok && len(problems) > 0 {
		return problems[0].Text
	}
	return err.Error()
}

// fresh gives the warnings about a hold that were not shown before.
func (w *Walk) fresh(warnings []Warning, hold string) []string {
	var lines []string
	for _, x := range warnings {
		id := x.About + "\x00" + x.Text
		if w.said[id] {
			continue
		}
		w.said[id] = true
		ofHouse := hold == "" && x.About == sheet.HouseName
		if ofHouse || hold != "" && (x.About == units.Sanitize(hold) || strings.HasPrefix(x.About, units.Sanitize(hold)+", ")) {
			lines = append(lines, "look: "+x.About+": "+x.Text)
		}
	}
	return lines
}

// narrowed is one answer with the share of its interval that went.
type narrowed struct {
	Known
	share float64
	isNew bool
}

// compared says what became known, or narrower, from one reading to the next.
func compared(before, now []Known) []string {
	var list []narrowed
	for _, k := range now {
		n := narrowed{Known: k, isNew: true}
		for _, b := range before {
			if b.Of == k.Of {
				n.isNew, n.share = false, 1-width(k)/math.Max(width(b), 1e-9)
			}
		}
		if n.isNew || n.share >= leastNarrowing {
			list = append(list, n)
		}
	}
	slices.SortStableFunc(list, rank)
	var lines []string
	for _, n := range list[:min(len(list), mostShown)] {
		lines = append(lines, n.line())
	}
	if len(lines) == 0 && len(now) > 0 {
		lines = []string{nothingNarrower + now[0].text()}
	}
	return lines
}

// rank puts what became known first, and then what narrowed most.
func rank(a, b narrowed) int {
	switch {
	case a.isNew && !b.isNew:
		return -1
	case b.isNew && !a.isNew:
		return 1
	}
	return cmp.Compare(b.share, a.share)
}

// width is that of an interval in the logarithm, the measure that suits sizes
// known within a factor; an interval that reaches zero is as wide as can be.
func width(k Known) float64 {
	if !(k.Low > 0) || !(k.High > 0) {
		return 20
	}
	return math.Log(k.High / k.Low)
}

func (n narrowed) line() string {
	if n.isNew {
		return "known now: " + n.text()
	}
	return fmt.Sprintf("known now: %s, %.0f %% narrower", n.text(), 100*n.share)
}

func (k Known) text() string {
	if k.Says != "" {
		return k.Says
	}
	value, low, high := units.FormatInterval(k.Value, k.Low, k.High)
	unit := " " + k.Unit
	if k.Unit == units.One.Symbol() {
		unit = ""
	}
	if !k.Resolved {
		return fmt.Sprintf("%s not resolved yet (%s–%s%s)", k.Of, low, high, unit)
	}
	return fmt.Sprintf("%s %s%s (%s–%s)", k.Of, value, unit, low, high)
}
