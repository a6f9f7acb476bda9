package command

import (
	"bytes"
	"errors"
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"

	"holdbook/internal/advise"
	"holdbook/internal/sheet"
	"holdbook/units"
)

// Values of flags just within and just beyond what is taken.
func TestValuesAtTheirLimits(t *testing.T) {
	fraction := func(text string) error { _, err := advise.ParseShare(text); return err }
	minutes := func(text string) error { _, err := parseMinutes(text); return err }
	target := func(text string) error { _, _, err := advise.ParseTarget(text, units.IP); return err }
	flow := func(text string) error { _, err := parseFlow(text); return err }
	for _, c := range []struct {
		name    string
		check   func(string) error
		in, out []string
	}{
		{"fraction", fraction, []string{"0.01", "1", "1 %", "100 %"}, []string{"0.0099", "0", "1.001", "101 %", "-0.5"}},
		{"minutes", minutes, []string{"0.1", "1", "20 min"}, []string{"0", "-1"}},
		{"target", target, []string{"0.1 cfm", "0.1 /h", "30"}, []string{"29.9", "0", "-1500", "0 cfm", "0 /h", "-1 cfm", "-1 /h"}},
		{"flow", flow, []string{"0", "0.1"}, []string{"-0.1"}},
		{"workers", newCount().check, []string{"1", "1024"}, []string{"0", "1025", "-1", "1.5"}},
	} {
		for _, text := range c.in {
			assert.NoError(t, c.check(text), "%s %s", c.name, text)
		}
		for _, text := range c.out {
			assert.Error(t, c.check(text), "%s %s", c.name, text)
		}
	}
}

// The status: 0 good, 1 for data, 2 for usage, however deep the error is wrapped, and
// a line for each of several faults.
func TestStatuses(t *testing.T) {
	usage := &usageError{text: "u", hints: []string{"h"}}
	for _, c := range []struct {
		err    error
		status int
		lines  int
	}{
		{nil, 0, 0}, {errors.New("x"), 1, 1}, {dataErrorf("x"), 1, 1}, {usage, 2, 2}, {fmt.Errorf("deep: %w", usage), 2, 2},
		{errors.Join(errors.New("a"), errors.New("b")), 1, 2}, {errors.Join(errors.New("a"), usage), 2, 3},
		{sheet.Problems{{File: "f", Text: "a"}, {File: "f", Text: "b"}}, 1, 2},
	} {
		var out bytes.Buffer
		assert.Equal(t, c.status, tell(&out, c.err), "%v", c.err)
		assert.Equal(t, c.lines, strings.Count(out.String(), "\n"), out.String())
	}
}

// A batch with one sheet that could not be used ends with status 1, one without 0; a
// batch that was interrupted is never good.
func TestVerdictOfABatch(t *testing.T) {
	const good, bad = "{\"sheet\":\"a\",\"toml\":\"sheet = 1\"}\n", "{\"sheet\":\"b\",\"toml\":\"sheet = 2\"}\n"
	for in, status := range map[string]int{good: exitGood, good + bad: exitData, bad: exitData} {
		r := run(in, "batch", "-")
		assert.Equal(t, status, r.status, in)
		assert.Equal(t, strings.Count(in, "\n"), strings.Count(r.out, "\n"), "a row a sheet, whatever its status")
	}
}

// A check finds its status by the worst it finds: a warning counts only with --strict.
func TestStatusOfACheck(t *testing.T) {
	const clean = "sheet = 1\n[[hold]]\nhouse = \"-50 Pa\"\nfan = \"2000 cfm\"\n"
	warned := strings.Replace(clean, "-50", "-4", 1)
	for _, c := range []struct {
		text   string
		strict bool
		status int
	}{{clean, false, 0}, {clean, true, 0}, {warned, false, 0}, {warned, true, 1}} {
		words := []string{"check", "-"}
		if c.strict {
			words = append(words, "--strict")
		}
		r := run(c.text, words...)
		assert.Equal(t, c.status, r.status, "%+v: %s", c, r.errors)
		assert.NotEmpty(t, r.out, "what was found is told either way")
	}
}

// The time left is what is left at the rate so far; what an earlier run did counts
// as done, and not as fast.
func TestProgressLine(t *testing.T) {
	p := &progress{skipped: 50, done: 50, total: 150}
	assert.Equal(t, "100 of 150 sheets, 5 a second, 10s left", p.line(10*time.Second))
	p.total = 0
	assert.Equal(t, "100 sheets, 5 a second", p.line(10*time.Second))
	p.total = 99 // more were found than were counted
	assert.Equal(t, "100 sheets, 5 a second", p.line(10*time.Second))
}

// A target without a unit is a flow in the unit of the system.
func TestBareTarget(t *testing.T) {
	flow, rate, err := advise.ParseTarget("1500", units.IP)
	assert.NoError(t, err)
	assert.Zero(t, rate)
	assert.InDelta(t, 1500, units.CFM.FromSI(float64(flow)), 1e-9)
	flow, _, err = advise.ParseTarget("1500", units.SI)
	assert.NoError(t, err)
	assert.InDelta(t, 1500, units.CubicMetrePerHour.FromSI(float64(flow)), 1e-9)
}
