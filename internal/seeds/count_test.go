package main

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
)

// An end counts as moved beyond one unit of its last digit, in either form of an
// interval, whatever the width of the columns.
func TestCount(t *testing.T) {
	own := "Leaks 1870 cfm (1790–1940)\nattic   43.7  43.2–44.1   0.13  0.12–0.14\nnet   0   -30 to 70"
	for _, c := range []struct {
		other string
		moved []string // the ends
	}{
		{own, nil},
		{strings.Replace(own, "1940", "1950", 1), nil},
		{strings.Replace(own, "1940", "1960", 1), []string{"1940"}},
		{strings.Replace(own, "  43.2–44.1   ", " 43.3–44.2 ", 1), nil},
		{strings.Replace(own, "43.2–", "43.4–", 1), []string{"43.2"}},
		{strings.Replace(own, "-30", "-40", 1), nil},
		{strings.Replace(own, "-30", "-50", 1), []string{"-30"}},
		{strings.Replace(own, "0.12–0.14", "not resolved", 1), []string{"43.2", "44.1", "0.12", "0.14"}},
		{"Leaks 1870 cfm (1790–1940)", []string{"43.2", "44.1", "0.12", "0.14", "-30", "70"}},
	} {
		got := count(own, []string{own, c.other})
		assert.Equal(t, 8, got.ends)
		assert.Equal(t, 12, got.numbers)
		assert.Equal(t, len(c.moved), got.moved, c.other)
		for i, m := range c.moved {
			assert.Contains(t, got.list[i], m+" in")
		}
	}
}

// The zeros before the point count as digits only where the other end shows it; ends
// that are factors apart have units of their own.
func TestUnit(t *testing.T) {
	for _, c := range []struct {
		low, high string
		end       int
		unit      float64
	}{
		{"1200", "1370", 0, 10}, {"1200", "1400", 0, 100}, {"0.30", "0.41", 0, 0.01},
		{"90", "110", 1, 10}, {"8", "100", 1, 100}, {"8", "100", 0, 1}, {"-30", "70", 0, 10}, {"0", "8", 0, 1},
	} {
		assert.InDelta(t, c.unit, unitOf(c.low, c.high, c.end), 1e-12, c.low+"–"+c.high)
	}
}
