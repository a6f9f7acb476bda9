package walk

import (
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbook/internal/sheet"
	"holdbook/units"
)

// memory is a book that lies in memory and can be made to fail.
type memory struct {
	text  []byte
	sheet *sheet.Sheet
	fail  error
	edits int
}

func newMemory(t *testing.T, text string) *memory {
	t.Helper()
	s, err := sheet.Parse([]byte(text), "memory.toml")
	require.NoError(t, err)
	return &memory{text: []byte(text), sheet: s}
}

func (m *memory) Sheet() *sheet.Sheet { return m.sheet }

func (m *memory) Edit(c func([]byte) []byte) error {
	if m.fail != nil {
		return m.fail
	}
	next := c(m.text)
	s, err := sheet.Parse(next, "memory.toml")
	if err != nil {
		return err
	}
	m.text, m.sheet = next, s
	m.edits++
	return nil
}

func (m *memory) Reload() error {
	s, err := sheet.Parse(m.text, "memory.toml")
	if err == nil {
		m.sheet, m.fail = s, nil
	}
	return err
}

func (m *memory) Missing() (int, error) { return 0, nil }
func (m *memory) Keep() (string, error) { return "", errors.ErrUnsupported }

// clock ticks a second at every look.
func clock() func() time.Time {
	t := time.Date(2026, 3, 14, 10, 0, 0, 0, time.UTC)
	return func() time.Time { t = t.Add(time.Second); return t }
}

// answers gives one answer after the other and returns the last reply.
func answers(t *testing.T, w *Walk, list ...string) Reply {
	t.Helper()
	var r Reply
	for _, a := range list {
		_, ok := w.Next()
		require.True(t, ok, "the walk ended before %q", a)
		if r = w.Answer(a); r.Err != nil {
			return r
		}
	}
	return r
}

func asked(t *testing.T, w *Walk) string {
	t.Helper()
	q, ok := w.Next()
	require.True(t, ok, "the walk is at its end")
	return q.Ask
}

// upToHouse are the answers before the house pressure as found.
var upToHouse = []string{"none", "", "yes", "yes", "", "attic, garage", "-1.2", "yes", "skip"}

// theHouse are those about the house itself.
var theHouse = []string{"68", "31", "14400", "1800", "3"}

// readThrough are the answers up to the house pressure, those given then, and those about
// the house behind them.
func readThrough(then ...string) []string { return slices.Concat(upToHouse, then, theHouse) }

func TestOrderOfWork(t *testing.T) {
	m := newMemory(t, "sheet = 1\n")
	w := New(m, nil, clock())
	var order []string
	for _, a := range append(readThrough("-51.2", "2280", "43.9", "47.5", ""), "none", "-1.1", "yes") {
		order = append(order, asked(t, w))
		require.False(t, w.Answer(a).Refused, "%s: %s", order[len(order)-1], a)
	}
	_, more := w.Next()
	assert.False(t, more)
	assert.Equal(t, []string{
		"which of these are there: their numbers, or none",
		"house held depressurised or pressurised",
		"all of that is done", "all of that is done",
		"units the gauges show: pressure and flow",
		"spaces beside the house, with commas between",
		"baseline, house to outside, fan covered (Pa)",
		"25 Pa held, and every room walked through",
		"at 25 Pa: house (Pa) and fan flow, as the gauges show them",
		"as found: house to outside (Pa)", "as found: fan flow (cfm)",
		"as found: attic to house (Pa)", "as found: garage to house (Pa)", "as found: flow range of the fan, as its label says",
		"indoor temperature (°F)", "outdoor temperature (°F)", "volume of the house (ft³), for air changes", "floor area of the house (ft²)", "bedrooms, how many",
		"which of these is read next: its number, or none",
		"baseline again, fan covered (Pa)",
		"all of that is done",
	}, order)
	h := m.sheet.Holds[0]
	assert.InDelta(t, -1.2, float64(h.Baseline.Value), 1e-12)
	assert.InDelta(t, -1.1, float64(h.BaselineAfter.Value), 1e-12)
	assert.InDelta(t, -51.2, float64(h.House.Value), 1e-12)
	assert.Equal(t, "2280 cfm", h.Fan.Text)
	assert.Equal(t, "open", h.Range.Value)
	require.Len(t, h.Readings, 2)
	assert.Equal(t, "garage", h.Readings[1].Of.Name)
}

// A new walk over the same sheet asks what the old one would have asked, after
// every single answer.
func TestTakesUpWhereItWas(t *testing.T) {
	m := newMemory(t, "sheet = 1\n")
	now := clock()
	for _, a := range append(readThrough("-51.2", "-", "43.9", "skip"), "none", "-", "yes") {
		w := New(m, nil, now)
		before := m.edits
		r := w.Answer(a)
		require.False(t, r.Refused, "%q: %q", a, r.Said)
		assert.Greater(t, m.edits, before, "%q is on disk before the next question", a)
		next, _ := w.Next()
		again, _ := New(m, nil, now).Next()
		assert.Equal(t, next, again, "after %q", a)
	}
	states := map[string]string{}
	for _, r := range m.sheet.Walk {
		states[r.Step.Value] = r.State.Value
	}
	assert.Equal(t, "not readable", states["fan"])
	assert.Equal(t, "skipped", states["garage to house"])
}

func TestHazards(t *testing.T) {
	for _, row := range []struct{ answer, want string }{
		{"none", "house held depressurised or pressurised"},
		{"9", "house held depressurised or pressurised"},
		{"1", "back when that has changed, or stop"},
		{"2 9", "back when that has changed, or stop"},
		{"3, 6", "back when that has changed, or stop"},
	} {
		w := New(newMemory(t, "sheet = 1\n"), nil, clock())
		answers(t, w, row.answer)
		assert.Equal(t, row.want, asked(t, w), row.answer)
		if strings.HasPrefix(row.want, "back") {
			q, _ := w.Next()
			assert.Regexp(t, "no fan test in either direction|do not hold the house", strings.Join(q.Lines, "\n"), "what to do instead")
			for _, a := range []string{"yes", "skip", "-", "go on", ""} {
				assert.True(t, w.Answer(a).Refused, a)
			}
			answers(t, w, "back", "none")
			assert.Equal(t, "house held depressurised or pressurised", asked(t, w))
		}
	}
	for _, bad := range []string{"0", "10", "yes", "1.5", "-3", ",", "1 x"} {
		w := New(newMemory(t, "sheet = 1\n"), nil, clock())
		assert.True(t, w.Answer(bad).Refused, bad)
	}
}

// Where only pressurising is allowed, no way leads to a hold below outdoors.
func TestPressuriseOnly(t *testing.T) {
	for _, text := range []string{"sheet = 1\n", "sheet = 1\n[job]\nhold = \"depressurised\"\n"} {
		m := newMemory(t, text)
		w := New(m, nil, clock())
		answers(t, w, "4")
		q, _ := w.Next()
		assert.Contains(t, strings.Join(q.Lines, " "), "pressurising only")
		assert.True(t, w.Answer("depressurised").Refused)
		assert.True(t, w.Answer("skip").Refused)
		answers(t, w, "pressurised")
		assert.Equal(t, "pressurised", m.sheet.Job.Hold.Value)
		assert.Equal(t, "all of that is done", asked(t, w))
	}
}

// A safety list is acknowledged or the walk stops; one that was acknowledged
// yesterday is asked again, as long as the house is not put back.
func TestAcknowledged(t *testing.T) {
	m := newMemory(t, "sheet = 1\n")
	w := New(m, nil, clock())
	answers(t, w, "none", "")
	for _, a := range []string{"", "no", "skip", "-", "43.9"} {
		assert.True(t, w.Answer(a).Refused, a)
	}
	answers(t, w, "yes", "done")
	assert.Contains(t, asked(t, w), "units")
	tomorrow := func() time.Time { return time.Date(2026, 3, 15, 9, 0, 0, 0, time.UTC) }
	assert.Contains(t, asked(t, New(m, nil, tomorrow)), "which of these are there")
}

func TestFullSpeedAndNoFlow(t *testing.T) {
	m := newMemory(t, "sheet = 1\n")
	w := New(m, nil, clock())
	answers(t, w, upToHouse...)
	r := answers(t, w, "full")
	assert.True(t, r.Refused)
	assert.Contains(t, strings.Join(r.Said, " "), "larger opening")
	r = answers(t, w, "-38")
	assert.Contains(t, strings.Join(r.Said, " "), "held at 38.0 Pa")
	for _, a := range []string{"none", "0", "0 cfm"} {
		r = answers(t, w, a)
		assert.True(t, r.Refused)
		assert.Contains(t, strings.Join(r.Said, " "), "next smaller one and tell the gauge", a)
	}
	answers(t, w, "-")
	assert.Contains(t, asked(t, w), "attic to house")
	assert.InDelta(t, -38, float64(m.sheet.Holds[0].House.Value), 1e-12)
}

func TestBackKeepsWhatWas(t *testing.T) {
	m := newMemory(t, "sheet = 1\n")
	w := New(m, nil, clock())
	answers(t, w, append(upToHouse, "-51.2", "2280", "49.3")...)
	answers(t, w, "back")
	q, _ := w.Next()
	assert.Equal(t, "49.3 Pa", q.Default)
	answers(t, w, "back", "back")
	assert.Contains(t, asked(t, w), "house to outside")
	answers(t, w, "") // as it is
	assert.Contains(t, asked(t, w), "garage to house")
	answers(t, w, "back", "43.9")
	assert.Contains(t, asked(t, w), "garage to house")
	assert.Regexp(t, `\n# 2026-03-14T10:[0-9:]+ corrected, was: to_house.attic = "49.3 Pa"\nto_house.attic = "43.9 Pa"\n`, string(m.text))
	answers(t, w, "back", "-") // could not be read after all
	assert.Regexp(t, `\n# 2026-03-14T10:[0-9:]+ withdrawn, was: to_house.attic = "43.9 Pa"\n`, string(m.text))
	assert.Empty(t, m.sheet.Holds[0].Readings)
	answers(t, w, "47.5")
	assert.Equal(t, "garage", m.sheet.Holds[0].Readings[0].Of.Name)
	assert.True(t, New(newMemory(t, "sheet = 1\n"), nil, clock()).Answer("back").Refused)
}

const byHand = "# my sheet\nsheet = 1\n\n[job]   # the visit\nname = \"by hand\"\n\n[[hold]]\nname = \"as found\" # first\n" +
	"to_house = { attic = \"44 Pa\", garage = \"47 Pa\" } # both at once\nhouse = \"-50 Pa\"\n# the end"

// A sheet written by hand keeps every line of it; readings go where they
// belong.
func TestByHand(t *testing.T) {
	for _, nl := range []string{"\n", "\r\n"} {
		text := strings.ReplaceAll(byHand, "\n", nl)
		m := newMemory(t, text)
		w := New(m, nil, clock())
		answers(t, w, "none", "", "yes", "yes", "", "-1.2", "yes", "skip")
		assert.Contains(t, asked(t, w), "fan flow", "what is there is not asked")
		answers(t, w, "2280", "", "68", "31", "skip", "skip", "skip", "none", "-1", "yes")
		for _, line := range strings.Split(text, nl) {
			assert.Contains(t, string(m.text), line+nl)
		}
		if nl == "\r\n" {
			assert.Equal(t, strings.Count(string(m.text), "\n"), strings.Count(string(m.text), "\r\n"))
		}
		assert.Len(t, m.sheet.Holds, 1)
		assert.True(t, m.sheet.Holds[0].Fan.Given && m.sheet.Holds[0].Baseline.Given)
		assert.Less(t, strings.Index(string(m.text), "# my sheet"), strings.Index(string(m.text), "by hand"))
	}
}

// One of several readings in braces is withdrawn or corrected alone.
func TestBraces(t *testing.T) {
	for _, gone := range []string{"attic", "garage"} {
		m := newMemory(t, byHand)
		w := New(m, nil, clock())
		answers(t, w, "none", "", "yes", "yes", "", "-1.2", "yes", "skip", "2280", "", "68", "31", "skip", "skip", "skip")
		assert.Contains(t, asked(t, w), "which of these is read next")
		for !strings.Contains(asked(t, w), gone+" to house") {
			require.False(t, answers(t, w, "back").Refused)
		}
		answers(t, w, "-")
		require.Len(t, m.sheet.Holds[0].Readings, 1, string(m.text))
		assert.NotEqual(t, gone, m.sheet.Holds[0].Readings[0].Of.Name)
		for !strings.Contains(asked(t, w), gone+" to house") {
			require.False(t, answers(t, w, "back").Refused)
		}
		answers(t, w, "30")
		assert.Len(t, m.sheet.Holds[0].Readings, 2, string(m.text))
		assert.Contains(t, string(m.text), "withdrawn, was: to_house = { attic = \"44 Pa\", garage = \"47 Pa\" } # both at once")
	}
}

func TestDucts(t *testing.T) {
	m := newMemory(t, "sheet = 1\n")
	w := New(m, nil, clock())
	answers(t, w, "none", "", "yes", "yes", "", "ducts", "-1.2", "yes", "skip", "-50", "2280", "", "68", "31", "skip", "skip", "skip")
	assert.Contains(t, asked(t, w), "where the ducts run")
	assert.True(t, w.Answer("attic").Refused, "a space that was not named")
	answers(t, w, "outside")
	assert.Equal(t, "outside", m.sheet.Zones[0].Touches[1].Name)
	assert.Contains(t, asked(t, w), "they are covered")
	answers(t, w, "yes", "-50", "2150", "41", "", "kitchen", "1.4", "hall return", "-", "Kitchen")
	assert.Contains(t, asked(t, w), "a register to read", "a name that is taken is refused")
	answers(t, w, "")
	require.Len(t, m.sheet.Holds, 2)
	assert.True(t, m.sheet.Holds[1].Sealed[0].Between.Same("house", "ducts"))
	require.Len(t, m.sheet.Registers, 2)
	assert.Equal(t, "1.4 Pa", m.sheet.Registers[0].Cover.Text)
	assert.Equal(t, "return", m.sheet.Registers[1].Side.Value)
	assert.Contains(t, asked(t, w), "which of these is read next")
}

// counsel is an adviser whose answers become narrower with every hold.
type counsel struct{ err error }

func (c counsel) Known(s *sheet.Sheet) ([]Known, []Warning, error) {
	n := float64(len(s.Holds))
	var warn []Warning
	if len(s.Holds) > 0 && s.Holds[0].Fan.Given {
		warn = []Warning{{"as found", "the fan is odd"}, {"elsewhere", "not this"}}
	}
	return []Known{{Of: "through the attic", Value: 100, Low: 100 / (4 - n), High: 100 * (4 - n), Unit: "cfm", Resolved: n > 1}}, warn, c.err
}

func (counsel) Next(*sheet.Sheet) ([]Offer, string, error) {
	return []Offer{
		{What: "by a second fan", Minutes: 20, Gain: 0.5, Hold: sheet.Hold{Name: sheet.Word("second fan, garage"),
			Fans:     []sheet.Fan{{From: sheet.Ref("garage"), To: sheet.Ref("outside")}},
			Readings: []sheet.Reading{{Of: sheet.Ref("garage"), To: sheet.Ref("house")}}}},
		{What: "add a hole", Minutes: 5, Gain: 0.4, Caution: "look first", Hold: sheet.Hold{Name: sheet.Word("as found"),
			Opened:   []sheet.Opening{{Between: sheet.Between("house", "attic"), Area: sheet.Value(units.Area(0.02))}},
			Readings: []sheet.Reading{{Of: sheet.Ref("attic"), To: sheet.Ref("house")}, {Of: sheet.Ref("garage"), To: sheet.Ref("outside")}}}},
	}, "read next: a hole", nil
}

// brief is a counsel that says nothing beyond its proposals.
type brief struct{ counsel }

func (b brief) Next(s *sheet.Sheet) ([]Offer, string, error) {
	list, _, err := b.counsel.Next(s)
	return list, "", err
}

func TestKnownAndProposed(t *testing.T) {
	m := newMemory(t, "sheet = 1\n")
	w := New(m, counsel{}, clock())
	r := answers(t, w, upToHouse[:7]...)
	assert.Equal(t, []string{"known now: through the attic not resolved yet (30–300 cfm), 21 % narrower"}, r.Said)
	answers(t, w, "yes", "skip", "-51.2")
	r = answers(t, w, "2280")
	assert.Contains(t, r.Said[0], "nothing became narrower")
	assert.Equal(t, "look: as found: the fan is odd", r.Said[1])
	r = answers(t, w, "43.9", "47.5")
	assert.Len(t, r.Said, 1, "a warning is shown once: %q", r.Said)
	answers(t, w, append([]string{""}, theHouse...)...)
	q, _ := w.Next()
	lines := strings.Join(q.Lines, "\n")
	assert.Equal(t, "With the fan still running, what would settle most (read next: a hole):", q.Lines[0])
	brief, _ := New(m, brief{}, clock()).Next()
	assert.Equal(t, "With the fan still running, what would settle most:", brief.Lines[0])
	assert.Contains(t, lines, "2  add a hole (about 5 min, intervals about 40 % narrower)")
	assert.Contains(t, lines, "1  by a second fan (about 20 min")
	assert.NotContains(t, lines, "3  ")
	assert.True(t, w.Answer("3").Refused)
	assert.True(t, w.Answer("one").Refused)
	answers(t, w, "2")
	assert.Contains(t, asked(t, w), "as found 2: area as measured")
	answers(t, w, "41", "-50")
	assert.Equal(t, "41 in2", m.sheet.Holds[1].Opened[0].Area.Text)
	answers(t, w, "2600", "12", "-4", "")
	assert.Len(t, m.sheet.Holds[1].Readings, 2)
	assert.Equal(t, "outside", m.sheet.Holds[1].Readings[1].To.Name)
	assert.Contains(t, asked(t, w), "which of these is read next")
	answers(t, w, "none", "-")
	q, _ = w.Next()
	assert.Contains(t, strings.Join(q.Lines, "\n"), "shut again: what was opened, between house and attic")

	w = New(m, counsel{errors.New("no such house")}, clock())
	r = answers(t, w, "back", "-1.3")
	assert.Contains(t, strings.Join(r.Said, " "), "do not go together: no such house; write back")
}

// A disk that is full, or a folder that may not be written to: the answer is
// kept, said, and written by an empty line once it can be.
func TestUnwritable(t *testing.T) {
	m := newMemory(t, "sheet = 1\n")
	w := New(m, nil, clock())
	answers(t, w, upToHouse...)
	before := string(m.text)
	m.fail = &sheet.FileError{File: "memory.toml", Why: "no space left on device"}
	r := answers(t, w, "-51.2")
	assert.Equal(t, "-51.2", r.Unwritten)
	assert.ErrorContains(t, r.Err, "no space left")
	assert.Contains(t, r.Said[0], "NOT WRITTEN: your answer -51.2")
	assert.Equal(t, before, string(m.text))
	q, _ := w.Next()
	assert.Equal(t, "-51.2", q.Default)
	assert.Equal(t, "-51.2", w.Answer("").Unwritten, "still full")
	assert.True(t, w.Answer("wrong").Refused)
	q, _ = w.Next()
	assert.Equal(t, "-51.2", q.Default, "still kept")
	m.fail = nil
	require.NoError(t, answers(t, w, "").Err)
	assert.Equal(t, "-51.2 Pa", m.sheet.Holds[0].House.Text)
	for _, word := range []string{"skip", "-"} {
		m.fail = errors.New("full")
		assert.Error(t, w.Answer(word).Err)
		m.fail = nil
		assert.False(t, w.Answer("").Refused, word)
		answers(t, w, "back")
	}
}

// A file that somebody else changed: nothing of theirs is lost, and the answer
// is offered again.
func TestChangedMeanwhile(t *testing.T) {
	path := filepath.Join(t.TempDir(), "house.toml")
	require.NoError(t, os.WriteFile(path, []byte("sheet = 1\n"), 0o644))
	b, err := OpenFile(path)
	require.NoError(t, err)
	w := New(b, nil, clock())
	answers(t, w, upToHouse...)
	add := func(text string) {
		old, err := os.ReadFile(path)
		require.NoError(t, err)
		require.NoError(t, os.WriteFile(path, append(old, text...), 0o644))
	}
	add("# theirs\n")
	r := answers(t, w, "-51.2")
	assert.True(t, r.Refused)
	assert.Contains(t, r.Said[0], "changed by someone else")
	answers(t, w, "")
	text, _ := os.ReadFile(path)
	assert.Contains(t, string(text), "# theirs\n")
	assert.Contains(t, string(text), "house = \"-51.2 Pa\"\n")

	add("[[walk]]\nstep = \"fan\"\nhold = \"as found\"\nstate = \"skipped\"\n") // settled there
	r = answers(t, w, "2280")
	assert.Contains(t, r.Said[0], "settled there")
	assert.Contains(t, asked(t, w), "attic to house")

	good, _ := os.ReadFile(path)
	add("nonsense\n")
	r = answers(t, w, "43.9")
	assert.Equal(t, "43.9", r.Unwritten)
	assert.ErrorContains(t, r.Err, "house.toml:60:9: = is missing")
	require.NoError(t, os.WriteFile(path, append(good, "# mended\n"...), 0o644))
	answers(t, w, "", "")
	s, err := sheet.Read(path)
	require.NoError(t, err)
	assert.Len(t, s.Holds[0].Readings, 1)
	require.NoError(t, os.Remove(path))
	assert.ErrorIs(t, answers(t, w, "47.5").Err, os.ErrNotExist)
}

// Whatever is typed, nothing panics, the sheet stays good, and no question is
// passed by what is no answer.
func TestHostile(t *testing.T) {
	words := []string{"", "-", "back", "skip", "?", "yes", "none", "1", "2", "-51.2", "44", "43,9", "1e400", "NaN", "inf", "-inf Pa", "0x10",
		"\x1b[31m44\x1b[0m", "\"; house = 1 #", "]]\n[[hold]]", "a\"b\\c", "\u202e44", "attic, house, outside, attic", "ducts, " + strings.Repeat("x", 300),
		strings.Repeat("9", 5000), "44 bananas", "44 cfm", "0.18 inH2O", "-0 Pa", "\x00\x01", "\xff\xfe", "9 9 9", "pressurised", "Pa L/s", "more", "{}", "'''"}
	r := rand.New(rand.NewPCG(7, 11))
	for visit := range 60 {
		m := newMemory(t, []string{"sheet = 1\n", byHand}[visit%2])
		w := New(m, counsel{}, clock())
		for range 80 {
			if _, ok := w.Next(); !ok {
				break
			}
			word := words[r.IntN(len(words))]
			w.Answer(word)
			_, err := sheet.Parse(m.text, "x")
			require.NoError(t, err, "after %q:\n%s", word, m.text)
		}
		for _, h := range m.sheet.Holds {
			assert.NotContains(t, fmt.Sprint(h.House.Value, h.Fan.Value), "NaN")
		}
	}
}

func TestLock(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "house.toml")
	require.NoError(t, os.WriteFile(path, []byte("sheet = 1\n"), 0o644))
	first, err := TakeLock(path)
	require.NoError(t, err)
	_, err = TakeLock(path)
	assert.ErrorContains(t, err, "another walk has this sheet open (process ")
	link := filepath.Join(dir, "link.toml")
	if os.Symlink(path, link) == nil {
		_, err = TakeLock(link)
		assert.ErrorContains(t, err, "another walk", "whatever way leads to the sheet")
	}
	other, err := TakeLock(filepath.Join(dir, "other.toml"))
	require.NoError(t, err)
	other.Release()
	first.Release()
	again, err := TakeLock(path)
	require.NoError(t, err)
	again.Release()
	stale := filepath.Join(dir, ".house.toml.walk")
	require.NoError(t, os.WriteFile(stale, []byte("process 1 since 08:00\n"), 0o644))
	after, err := TakeLock(path)
	require.NoError(t, err, "a lock file whose writer died holds nothing")
	after.Release()
	assert.NoFileExists(t, stale)
}

// A word that cannot be written either does not push aside an answer that could
// not be: it is written first when the walk is left, or said to be missing.
func TestUnwrittenAnswerOutlivesWords(t *testing.T) {
	m := newMemory(t, "sheet = 1\n")
	w := New(m, nil, clock())
	answers(t, w, upToHouse...)
	m.fail = errors.New("full")
	assert.Error(t, w.Answer("-51.2").Err)
	for _, word := range []string{"skip", "-", "back", ""} {
		w.Answer(word)
		assert.Equal(t, "-51.2", w.Unwritten(), word)
	}
	r := w.Answer("stop")
	assert.True(t, r.Stopped)
	assert.Equal(t, "-51.2", r.Unwritten)
	assert.Contains(t, r.Said[0], "NOT WRITTEN")
	m.fail = nil
	r = w.Answer("stop")
	assert.True(t, r.Stopped)
	assert.Empty(t, r.Unwritten)
	assert.Empty(t, w.Unwritten())
	assert.Equal(t, "-51.2 Pa", m.sheet.Holds[0].House.Text)
	assert.Contains(t, string(m.text), `state = "stopped"`)
}

// A fan flow typed where the baseline is asked for is not taken.
func TestNoBaseline(t *testing.T) {
	w := New(newMemory(t, "sheet = 1\n"), nil, clock())
	require.NoError(t, answers(t, w, upToHouse[:6]...).Err)
	require.Contains(t, asked(t, w), "baseline")
	for _, wrong := range []string{"2280", "-51 Pa", "0.9 inH2O"} {
		r := w.Answer(wrong)
		assert.True(t, r.Refused, wrong)
		assert.Contains(t, asked(t, w), "baseline", wrong)
	}
	assert.False(t, w.Answer("-9").Refused)
	answers(t, w, "-3.1", "-")
	assert.Contains(t, asked(t, w), "25 Pa")
}

// A reading typed where the spaces are asked for names none.
func TestNoSpace(t *testing.T) {
	w := New(newMemory(t, "sheet = 1\n"), nil, clock())
	require.NoError(t, answers(t, w, upToHouse[:5]...).Err)
	require.Contains(t, asked(t, w), "spaces")
	assert.True(t, w.Answer("attic, -1.8").Refused)
	require.Contains(t, asked(t, w), "spaces")
	assert.False(t, w.Answer("attic, zone 2").Refused)
	assert.NotContains(t, asked(t, w), "spaces")
}

// What has been answered can be gone back to, and nothing else: no list is passed over.
func TestAnswersAreGoneBackTo(t *testing.T) {
	m := newMemory(t, "sheet = 1\n")
	w := New(m, nil, clock())
	answers(t, w, append(upToHouse, "-51.2")...)
	assert.False(t, w.Go("fan", "as found"), "it is open")
	assert.False(t, w.Go("attic to house", "as found"), "it is open")
	assert.False(t, w.Go("house", "nowhere"))
	list := w.Answers()
	last := list[len(list)-1]
	assert.Equal(t, Answered{Step: "house", Hold: "as found", Ask: "as found: house to outside (Pa)", State: "done", Answer: "-51.2 Pa", Pos: m.sheet.Holds[0].House.Pos}, last)
	require.True(t, w.Go("house", "as found"))
	q, ok := w.Next()
	require.True(t, ok)
	assert.Equal(t, "-51.2 Pa", q.Standing)
	assert.Equal(t, NumberField, q.Field)
	assert.Equal(t, "Pa", q.Unit)
	answers(t, w, "-50.2")
	assert.Equal(t, "as found: fan flow (cfm)", asked(t, w))
}

// A hold of one's own is begun like one that was proposed.
func TestAHoldOfOnesOwn(t *testing.T) {
	m := newMemory(t, "sheet = 1\n")
	w := New(m, nil, clock())
	answers(t, w, slices.Concat(upToHouse, []string{"-51.2", "2280", "43.9", "47.5", ""}, theHouse)...)
	q, _ := w.Next()
	assert.Equal(t, []Choice{{Answer: "none", Text: "No further reading"}}, q.Choices)
	r := w.Begin(Offer{Hold: sheet.Hold{Name: sheet.Word("as found"), Opened: []sheet.Opening{{Between: sheet.Between("house", "attic")}},
		Readings: []sheet.Reading{{Of: sheet.Ref("attic"), To: sheet.Ref("house")}}}})
	require.False(t, r.Refused, "%s", r.Said)
	for _, ask := range []string{"as found 2: house to outside (Pa)", "as found 2: fan flow (cfm)", "as found 2: attic to house (Pa)", "as found 2: flow range of the fan, as its label says"} {
		require.Equal(t, ask, asked(t, w))
		answers(t, w, "44")
	}
	r = w.Begin(Offer{Hold: sheet.Hold{Name: sheet.Word("x"), Opened: []sheet.Opening{{Between: sheet.Between("house", "cellar")}}}})
	assert.True(t, r.Refused)
	require.Len(t, m.sheet.Holds, 2)
}
