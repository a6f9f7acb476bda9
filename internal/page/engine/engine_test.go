package engine

import (
	"bytes"
	"encoding/json"
	"errors"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbook/internal/report"
	"holdbook/internal/sheet"
	"holdbook/internal/survey"
	"holdbook/internal/walk"
)

// clock stands still.
func clock() time.Time { return time.Date(2026, 3, 14, 10, 0, 0, 0, time.UTC) }

// ask gives the answer to a request.
func ask[T any](t *testing.T, e *Engine, r request) (v T) {
	t.Helper()
	out := e.Answer(encoded(t, r))
	var f fault
	require.False(t, json.Unmarshal(out, &f) == nil && f.Error != "", "%s: %s", r.Do, out)
	require.NoError(t, json.Unmarshal(out, &v), "%s", out)
	return v
}

// refused gives the error that a request comes to.
func refused(t *testing.T, e *Engine, r request) (f fault) {
	t.Helper()
	out := e.Answer(encoded(t, r))
	require.NoError(t, json.Unmarshal(out, &f), "%s", out)
	require.NotEmpty(t, f.Error, "%s", out)
	return f
}

func encoded(t *testing.T, r request) []byte {
	t.Helper()
	in, err := json.Marshal(r)
	require.NoError(t, err)
	return in
}

var attic = request{Do: "start", Start: start{Job: "Quillet Way 7", Units: "ip", Pressure: "Pa", Flow: "cfm", Volume: "14400", Spaces: []space{{"", "attic"}, {"Anna's <b>garage</b>", "garage"}}}}

// upTo answers question after question until one of a step is asked.
func upTo(t *testing.T, e *Engine, step string, answers map[string]string) {
	t.Helper()
	for range 60 {
		a := ask[asked](t, e, request{Do: "ask"})
		require.NotNil(t, a.Question, "the visit is at its end")
		if a.Question.Step == step {
			return
		}
		text, ok := answers[a.Question.Step]
		switch q := a.Question; {
		case ok:
		case q.Skip && q.Field != "":
			text = "skip"
		case len(q.Choices) > 0 && q.Several:
			text = "none"
		case len(q.Choices) > 0:
			text = q.Choices[0].Answer
		}
		r := ask[replied](t, e, request{Do: "answer", Text: text})
		require.False(t, r.Refused, "%s: %s: %s", a.Question.Step, text, r.Said)
	}
	t.Fatalf("%s is never asked", step)
}

var readings = map[string]string{"baseline": "-1.2", "house": "-51.2", "fan": "2280", "range": "open", "attic to house": "43.9", "Anna's <b>garage</b> to house": "47.5"}

// A visit from the form to the first answer, taken up again from its text alone.
func TestVisit(t *testing.T) {
	e := New(clock)
	v := ask[visit](t, e, attic)
	assert.Contains(t, v.Sheet, `name = "Quillet Way 7"`)
	assert.Contains(t, v.Sheet, `volume = "14400 ft3"`)
	assert.Equal(t, []zoneName{{"attic", "attic", false}, {"Anna's <b>garage</b>", "garage", true}}, v.Zones)
	upTo(t, e, "Anna's <b>garage</b> to house", readings)
	a := ask[asked](t, e, request{Do: "ask"})
	assert.Equal(t, "Pa", a.Question.Unit)
	assert.Equal(t, walk.NumberField, a.Question.Field)
	assert.True(t, a.Question.Reading)
	r := ask[replied](t, e, request{Do: "answer", Text: "forty"})
	assert.True(t, r.Refused)
	r = ask[replied](t, e, request{Do: "answer", Text: "47.5"})
	assert.False(t, r.Refused)
	assert.Equal(t, 1, r.Holds)

	again := New(clock)
	assert.Equal(t, r.visit, ask[visit](t, again, request{Do: "open", Sheet: r.Sheet, Name: "visit"}))
	want, got := ask[asked](t, e, request{Do: "ask"}), ask[asked](t, again, request{Do: "ask"})
	assert.Equal(t, want, got)
	assert.Equal(t, "range", got.Question.Step)
	upTo(t, e, "no further readings", readings)
	got = ask[asked](t, e, request{Do: "ask"})
	require.Greater(t, len(got.Question.Choices), 1)
	assert.NotEmpty(t, got.Question.Choices[0].Do)
}

// An answer is gone back to, corrected and taken back.
func TestAnAnswerIsTakenBack(t *testing.T) {
	e := New(clock)
	ask[visit](t, e, attic)
	upTo(t, e, "no further readings", readings)
	ask[visit](t, e, request{Do: "go", Step: "attic to house", Hold: "as found"})
	a := ask[asked](t, e, request{Do: "ask"})
	require.Equal(t, "43.9 Pa", a.Question.Standing)
	r := ask[replied](t, e, request{Do: "answer", Text: "34.9"})
	assert.Contains(t, r.Sheet, `to_house.attic = "34.9 Pa"`)
	assert.Contains(t, r.Sheet, `corrected, was: to_house.attic = "43.9 Pa"`)
	ask[visit](t, e, request{Do: "go", Step: "attic to house", Hold: "as found"})
	r = ask[replied](t, e, request{Do: "answer", Text: "-"})
	s, err := sheet.Parse([]byte(r.Sheet), "x")
	require.NoError(t, err)
	assert.Len(t, s.Holds[0].Readings, 1)
	assert.ErrorContains(t, faultOf(refused(t, e, request{Do: "go", Step: "nothing"})), "gone from the sheet")
}

func faultOf(f fault) error { return errors.New(f.Error) }

// A hold of one's own asks for its readings.
func TestAHoldOfOnesOwn(t *testing.T) {
	e := New(clock)
	ask[visit](t, e, attic)
	upTo(t, e, "no further readings", readings)
	r := ask[replied](t, e, request{Do: "begin", Begin: begin{Opened: [][2]string{{"house", "attic"}}}})
	assert.Equal(t, 1, r.Holds)
	var order []string
	for _, text := range []string{"-50.9", "2600", "12.1", "48.0", "open"} {
		q := ask[asked](t, e, request{Do: "ask"}).Question
		require.Equal(t, "house–attic opened", q.Hold)
		order = append(order, q.Step)
		require.False(t, ask[replied](t, e, request{Do: "answer", Text: text}).Refused)
	}
	assert.Equal(t, []string{"house", "fan", "attic to house", "Anna's <b>garage</b> to house", "range"}, order)
	r = ask[replied](t, e, request{Do: "begin", Begin: begin{Opened: [][2]string{{"house", "nowhere"}}}})
	assert.True(t, r.Refused)
}

// A slip stands at the answer that it is about.
func TestSlipsStandAtTheirAnswers(t *testing.T) {
	e := New(clock)
	ask[visit](t, e, attic)
	slipped := map[string]string{}
	for k, v := range readings {
		slipped[k] = v
	}
	slipped["attic to house"] = "439"
	upTo(t, e, "Anna's <b>garage</b> to house", slipped)
	list := ask[[]slip](t, e, request{Do: "check"})
	require.NotEmpty(t, list)
	assert.True(t, slices.ContainsFunc(list, func(s slip) bool {
		return s.Step == "attic to house" && s.Hold == "as found" && strings.Contains(s.Text, "439")
	}), "%+v", list)
}

// reading is a hold with what is read in it, which the sheet has once it was.
func (b begin) reading(of begin) begin {
	b.Reads, b.Fans = of.Reads, of.Fans
	return b
}

var digits = regexp.MustCompile(`[0-9]+(\.[0-9]+)?`)

// The numbers of the page are those of the command line.
func TestResultsAreThoseOfTheCommandLine(t *testing.T) {
	demo, err := os.ReadFile("../../../testdata/demo.toml")
	require.NoError(t, err)
	e := New(clock)
	for _, system := range []string{"ip", "si"} {
		s, err := sheet.Parse(demo, "demo")
		require.NoError(t, err)
		s.Job.Units = sheet.Word(system)
		f, err := survey.Run(s, survey.Options{Working: true})
		require.NoError(t, err)
		var want bytes.Buffer
		require.NoError(t, report.Write(&want, f, report.Parts, report.Options{}))
		got := e.Answer(encoded(t, request{Do: "report", Sheet: string(demo), Units: system}))
		assert.Equal(t, want.String(), string(got))
		assert.Greater(t, len(digits.FindAllString(string(got), -1)), 500)
	}
	for _, r := range []request{{Do: "seal"}, {Do: "seal", Target: "1500 cfm", Fraction: "0.8"}, {Do: "quick", Curvature: true}, {Do: "quick"}, {Do: "compare", Before: string(demo)}} {
		r.Sheet = string(demo)
		d := ask[struct{ Sections []struct{ ID string } }](t, e, r)
		assert.NotEmpty(t, d.Sections, r.Do)
	}
}

// What is proposed can be begun as it stands.
func TestWhatIsProposedCanBeBegun(t *testing.T) {
	e := New(clock)
	ask[visit](t, e, attic)
	upTo(t, e, "no further readings", readings)
	sheet := string(e.book.text)
	p := ask[struct {
		Parts   struct{ Sections []struct{ ID string } }
		Actions []action
	}](t, e, request{Do: "next", Sheet: sheet})
	require.NotEmpty(t, p.Parts.Sections)
	require.Greater(t, len(p.Actions), 2)
	for _, a := range p.Actions {
		ask[visit](t, e, request{Do: "open", Sheet: sheet})
		r := ask[replied](t, e, request{Do: "begin", Begin: a.Hold})
		require.False(t, r.Refused, "%s: %s", a.What, r.Said)
		q := ask[asked](t, e, request{Do: "ask"}).Question
		require.NotNil(t, q)
		assert.NotEmpty(t, q.Hold, a.What)
		s, err := openBook(r.Sheet, "x")
		require.NoError(t, err)
		assert.Equal(t, a.Hold, holdOf(s.sheet.Holds[1]).reading(a.Hold), a.What) // what differs is in the sheet as proposed
	}
	assert.True(t, slices.ContainsFunc(p.Actions, func(a action) bool { return len(a.Hold.Sizes) > 0 && a.Hold.Sizes[0].Ajar != "" }))
}

// What is wrong comes back as an answer, with its place.
func TestFaults(t *testing.T) {
	e := New(clock)
	f := refused(t, e, request{Do: "open", Sheet: "sheet = 1\n[[hold]]\nhouse = \"50 cubits\"\n"})
	require.Len(t, f.Problems, 1)
	assert.Equal(t, 3, f.Problems[0].Line)
	assert.Contains(t, f.Problems[0].Text, "cubits")
	for _, do := range []string{"ask", "answer", "go", "begin", "check"} {
		assert.Equal(t, "no visit is open", refused(t, e, request{Do: do}).Error, do)
	}
	assert.Contains(t, refused(t, e, request{Do: "fly"}).Error, "no such request")
	assert.Contains(t, string(e.Answer([]byte("{"))), "error")
	for _, c := range []struct {
		r     request
		field string
	}{
		{request{Do: "seal", Target: "many", Sheet: "sheet = 1\n"}, "target"},
		{request{Do: "seal", Fraction: "2", Sheet: "sheet = 1\n"}, "fraction"},
		{request{Do: "start", Start: start{Volume: "large", Units: "ip"}}, "volume"},
		{request{Do: "start", Start: start{Units: "metric"}}, "units"},
		{request{Do: "start", Start: start{Spaces: []space{{"den", "attic"}, {"Den", "room"}}}}, "spaces"},
	} {
		f := refused(t, e, c.r)
		require.Len(t, f.Fields, 1, "%+v", f)
		assert.Equal(t, c.field, f.Fields[0].Field)
		assert.NotEmpty(t, strings.TrimSpace(f.Fields[0].Text))
	}
	// A log beside the sheet is not to be had here.
	f = refused(t, e, request{Do: "open", Sheet: "sheet = 1\n[[hold]]\nhouse = \"50 Pa\"\n[[hold.readings]]\nof = \"attic\"\nto = \"house\"\nsamples = { file = \"log.csv\", column = 2, unit = \"Pa\" }\n"})
	require.NotEmpty(t, f.Problems)
}

// What to read next is worked out by another engine, and this one asks with it.
func TestProposalsFromElsewhere(t *testing.T) {
	e := New(clock)
	ask[visit](t, e, attic)
	upTo(t, e, "no further readings", readings)
	text := string(e.book.text)
	e = New(clock)
	ask[visit](t, e, request{Do: "open", Sheet: text})
	a := ask[asked](t, e, request{Do: "ask", Later: true})
	assert.True(t, a.Lacks)
	assert.Len(t, a.Question.Choices, 1, "none but to go on without")
	p := ask[proposed](t, New(clock), request{Do: "propose", Sheet: text})
	require.NotEmpty(t, p.List)
	again := ask[asked](t, e, request{Do: "ask", Later: true, Proposed: &p})
	assert.False(t, again.Lacks)
	assert.Equal(t, ask[asked](t, New(clock).opened(t, text), request{Do: "ask"}).Question, again.Question, "as the terminal's walk asks it")
	r := ask[replied](t, e, request{Do: "answer", Text: "1"})
	require.False(t, r.Refused, "%q", r.Said)
	assert.Contains(t, r.Sheet, "further reading")
	assert.True(t, ask[asked](t, New(clock).opened(t, text+"# more\n"), request{Do: "ask", Later: true, Proposed: &p}).Lacks, "those of another text")
	p = ask[proposed](t, e, request{Do: "propose", Sheet: "sheet = 1\n[[zone]]\nname = \"attic\"\n"})
	assert.NotEmpty(t, p.Says)
}

func (e *Engine) opened(t *testing.T, text string) *Engine {
	ask[visit](t, e, request{Do: "open", Sheet: text})
	return e
}

// The flow of a second fan is asked for, and stands in the sheet then.
func TestASecondFanOnThePage(t *testing.T) {
	e := New(clock)
	ask[visit](t, e, attic)
	upTo(t, e, "no further readings", readings)
	ask[replied](t, e, request{Do: "begin", Begin: begin{Fans: [][2]string{{"Anna's <b>garage</b>", "outside"}}}})
	for _, text := range []string{"-50.9", "2200", "410"} {
		require.False(t, ask[replied](t, e, request{Do: "answer", Text: text}).Refused)
	}
	h := e.book.sheet.Holds[1]
	require.Len(t, h.Fans, 1)
	assert.Equal(t, "410 cfm", h.Fans[0].Flow.Text)
	assert.Equal(t, "attic to house", ask[asked](t, e, request{Do: "ask"}).Question.Step)
}

// The check of a sheet by itself is that of the open visit.
func TestLookIsTheCheckOfTheVisit(t *testing.T) {
	e := New(clock)
	ask[visit](t, e, attic)
	upTo(t, e, "Anna's <b>garage</b> to house", map[string]string{"baseline": "-1.2", "house": "-51.2", "fan": "2280", "attic to house": "439"})
	want := ask[[]slip](t, e, request{Do: "check"})
	require.NotEmpty(t, want)
	assert.Equal(t, want, ask[[]slip](t, New(clock), request{Do: "look", Sheet: string(e.book.text)}))
}

// Nothing that the page shows is to be typed, and an unread hold is not remarked on.
func TestWordsOfThePage(t *testing.T) {
	e := New(clock)
	ask[visit](t, e, attic)
	typed := regexp.MustCompile(`(^|[;,] )(yes|none|no more|full): |the numbers? of what|holdbook [a-z]|--[a-z]`)
	for range 60 {
		q := ask[asked](t, e, request{Do: "ask", Later: true}).Question
		if q == nil || q.Step == "no further readings" {
			break
		}
		for _, line := range slices.Concat(q.Lines, q.Once, q.Hints, []string{q.Ask}) {
			if !(q.Several && q.Step == "hazards") {
				assert.NotRegexp(t, typed, line, q.Step)
			}
		}
		if q.Step == "house" {
			d := string(e.Answer(encoded(t, request{Do: "quick", Curvature: true, Sheet: string(e.book.text)})))
			assert.NotContains(t, d, "no house pressure yet")
			assert.Contains(t, d, "Danger")
		}
		upTo(t, e, q.Step, nil)
		text := readings[q.Step]
		switch {
		case text != "":
		case q.Step == "25 Pa":
			text = "-26.5 1190"
			require.Len(t, q.Parts, 2)
		case q.Skip:
			text = "skip"
		default:
			text = map[bool]string{true: "none", false: q.Choices[0].Answer}[q.Several]
		}
		require.False(t, ask[replied](t, e, request{Do: "answer", Text: text}).Refused, q.Step)
	}
}
