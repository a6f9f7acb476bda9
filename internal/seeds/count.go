package main

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"
)

// tally counts the ends of the intervals of a report.
type tally struct {
	ends, moved, reworded int
	list                  []string // what moved
}

func (t *tally) add(o tally) {
	t.ends, t.moved, t.reworded = t.ends+o.ends, t.moved+o.moved, t.reworded+o.reworded
}

// An interval is printed as "241–399", or as "-7 to 15" where an end is negative.
var (
	interval = regexp.MustCompile(`(-?[0-9][0-9.]*)(?:–| to )(-?[0-9][0-9.]*)`)
	anyEnd   = regexp.MustCompile(`-?[0-9][0-9.]*`)
	blanks   = regexp.MustCompile(`[\s─●·-]+`)
)

// count sets a report beside others of the same sheet, line by line. A line that stands
// in none of the others with the same words, such as one that says "not resolved" there,
// counts with all its ends as moved.
func count(own string, others []string) tally {
	var t tally
	texts := make([]map[string][]string, len(others))
	for i, o := range others {
		texts[i] = byWords(o)
	}
	seen := map[string]int{}
	for _, line := range strings.Split(own, "\n") {
		words := wordsOf(line)
		k := seen[words]
		seen[words]++
		ends := endsOf(line)
		moved := make([]bool, len(ends))
		reworded := false
		for i := range others {
			same := texts[i][words]
			if k >= len(same) {
				reworded = true
				continue
			}
			for j, e := range endsOf(same[k]) {
				moved[j] = moved[j] || beyond(ends[j], e, unitOf(ends[j&^1:j&^1+2]))
			}
		}
		t.ends += len(ends)
		for j, e := range ends {
			if moved[j] || reworded {
				t.moved++
				t.list = append(t.list, fmt.Sprintf("%s in: %s", e, line))
			}
		}
		if reworded {
			t.reworded++
		}
	}
	return t
}

// byWords are the lines of a report by what they say but for their numbers.
func byWords(report string) map[string][]string {
	lines := map[string][]string{}
	for _, line := range strings.Split(report, "\n") {
		w := wordsOf(line)
		lines[w] = append(lines[w], line)
	}
	return lines
}

func wordsOf(line string) string {
	line = interval.ReplaceAllString(line, "#–#")
	return blanks.ReplaceAllString(anyEnd.ReplaceAllString(line, "#"), " ")
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

// unitOf is the worth of the last digit of the ends of one interval: a zero before the
// point counts as a digit only where the other end shows that it does.
func unitOf(ends []string) float64 { return min(unit(ends[0]), unit(ends[1])) }

// unit is the worth of the last digit that is not a zero before the point.
func unit(text string) float64 {
	if _, decimals, has := strings.Cut(text, "."); has {
		return math.Pow10(-len(decimals))
	}
	digits := strings.TrimPrefix(text, "-")
	return math.Pow10(len(digits) - max(1, len(strings.TrimRight(digits, "0"))))
}
