package report

import (
	"math"
	"strings"

	"holdbook/internal/survey"
)

// barWidth is the width of an interval drawn in characters.
const barWidth = 14

// bars draws intervals on one logarithmic scale, so that equal lengths are
// equal factors.
type bars struct{ low, high float64 }

func newBars(qs []*survey.Q) bars {
	b := bars{math.Inf(1), 0}
	for _, q := range qs {
		if q != nil && q.Low > 0 {
			b.low, b.high = min(b.low, q.Low), max(b.high, q.High)
		}
	}
	return b
}

// draw is "   ──●────  ", dotted and without its middle where not resolved,
// and "" where there is nothing to draw.
func (b bars) draw(q *survey.Q, resolved bool) string {
	if q == nil || q.Low <= 0 || !(b.high > b.low) {
		return ""
	}
	from := b.place(q.Low)
	to := max(from, b.place(q.High))
	at := min(max(from, b.place(q.Value)), to)
	line, middle := "─", "●"
	if !resolved {
		line, middle = "·", "·"
	}
	return strings.Repeat(" ", from) + strings.Repeat(line, at-from) + middle + strings.Repeat(line, to-at)
}

func (b bars) place(v float64) int {
	return int(math.Round(scale{low: b.low, high: b.high, to: barWidth - 1, log: true}.at(v)))
}
