package main

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"

	"holdbook/units"
)

// tally counts the numbers of a report, and of these the ends of intervals.
type tally struct {
	numbers, ends, moved int
	list                 []string // what moved
}

func (t *tally) add(o tally) {
	t.numbers, t.ends, t.moved = t.numbers+o.numbers, t.ends+o.ends, t.moved+o.moved
}

// share is the share of all numbers that moved.
func (t *tally) share() float64 { return float64(t.moved) / float64(max(1, t.numbers)) }

// An interval is printed as "241–399", or as "-7 to 15" where an end is negative.
var (
	interval = regexp.MustCompile(`(-?[0-9][0-9.]*)(?:–| to )(-?[0-9][0-9.]*)`)
	anyEnd   = regexp.MustCompile(`-?[0-9][0-9.]*`)
	step     = regexp.MustCompile(`^(?:[0-9]+|-) +`) // of an order of sealing, which may change
)

// count sets a report beside others of the same sheet, line by line. Lines are told by the
// words they begin with: behind those a report may say of one house "not resolved" and of
// another a number. A line that others lack counts with all its ends as moved.
func count(own string, others []string) tally {
	var t tally
	texts := make([]map[string][]string, len(others))
	for i, o := range others {
		texts[i] = byLabel(o)
	}
	seen := map[string]int{}
	for _, line := range strings.Split(own, "\n") {
		label, ends := labelOf(line), endsOf(line)
		moved, missing := make([]bool, len(ends)), false
		for i := range others {
			same := texts[i][label]
			if seen[label] >= len(same) {
				missing = true
				continue
			}
			missing = !compare(ends, endsOf(same[seen[label]]), moved) || missing
		}
		seen[label]++
		t.take(line, ends, moved, missing)
	}
	return t
}

// compare marks the ends that differ by more than a unit; false where there are others.
func compare(ends, other []string, moved []bool) bool {
	if len(ends) != len(other) {
		return false
	}
	for j, e := range other {
		first := j &^ 1 // low and high stand in pairs
		moved[j] = moved[j] || beyond(ends[j], e, unitOf(ends[first], ends[first+1], j-first))
	}
	return true
}

// take counts the ends of a line.
func (t *tally) take(line string, ends []string, moved []bool, missing bool) {
	t.numbers += len(anyEnd.FindAllString(line, -1))
	t.ends += len(ends)
	note := ""
	if missing {
		note = "(not in all) "
	}
	for j, e := range ends {
		if moved[j] || missing {
			t.moved++
			t.list = append(t.list, fmt.Sprintf("%s in: %s%s", e, note, line))
		}
	}
}

// byLabel are the lines of a report by the words they begin with.
func byLabel(report string) map[string][]string {
	lines := map[string][]string{}
	for _, line := range strings.Split(report, "\n") {
		label := labelOf(line)
		lines[label] = append(lines[label], line)
	}
	return lines
}

// labelOf is what stands in front of the first number, and of what may stand for one.
func labelOf(line string) string {
	label, _, _ := strings.Cut(anyEnd.ReplaceAllString(step.ReplaceAllString(line, ""), "#"), "#")
	label, _, _ = strings.Cut(label, "not resolved")
	return strings.Join(strings.Fields(strings.Trim(label, " (")), " ")
}

// endsOf are the ends of the intervals of a line.
func endsOf(line string) (ends []string) {
	for _, m := range interval.FindAllStringSubmatch(line, -1) {
		ends = append(ends, m[1], m[2])
	}
	return ends
}

// beyond tells whether a number differs from another by more than one unit.
func beyond(own, other string, unit float64) bool {
	a, errA := strconv.ParseFloat(own, 64)
	b, errB := strconv.ParseFloat(other, 64)
	if errA != nil || errB != nil {
		return own != other
	}
	const rounding = 1e-9
	return math.Abs(a-b) > unit*(1+rounding)
}

// unitOf is the worth of the last digit of an end, low (0) or high (1), of an interval.
// Both ends have the same, so that a zero before the point counts as a digit where the
// other end shows that it does; but each its own where they are factors apart.
func unitOf(low, high string, end int) float64 {
	own := [2]float64{unit(low), unit(high)}
	l, _ := strconv.ParseFloat(low, 64) // what interval has matched
	h, _ := strconv.ParseFloat(high, 64)
	if units.FactorsApart(l, h) {
		return own[end]
	}
	return min(own[0], own[1])
}

// unit is the worth of the last digit that is not a zero before the point.
func unit(text string) float64 {
	if _, decimals, has := strings.Cut(text, "."); has {
		return math.Pow10(-len(decimals))
	}
	digits := strings.TrimPrefix(text, "-")
	return math.Pow10(len(digits) - max(1, len(strings.TrimRight(digits, "0"))))
}
