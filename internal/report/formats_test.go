package report

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbook/internal/advise"
	"holdbook/internal/survey"
	"holdbook/units"
)

func TestTextFitsItsWidth(t *testing.T) {
	for name, make := range houses {
		for _, limit := range []int{0, 40, 60, 80, 100, 160} {
			for _, o := range []Options{{Width: limit}, {Width: limit, Working: true, Priors: true}} {
				for line := range strings.Lines(written(t, make(t), Text, o)) {
					line = strings.TrimSuffix(line, "\n")
					require.LessOrEqual(t, width(line), o.width(), "%s: %q", name, line)
					require.Equal(t, strings.TrimRight(line, " "), line, "%s: spaces at the end of %q", name, line)
				}
			}
		}
	}
}

func TestTextIsPlainUnlessColourIsWanted(t *testing.T) {
	for name, make := range houses {
		for _, r := range written(t, make(t), Text, everything) {
			require.False(t, r < ' ' && r != '\n' || r >= 0x7f && r < 0xa1 || r == '\u202e' || r == '\u2066' || r == '\u200b', "%s: %q", name, r)
		}
	}
	coloured := written(t, demoHouse(t), Text, Options{Colour: true})
	require.Contains(t, coloured, red+"[1] Danger, garage")
	require.Equal(t, written(t, demoHouse(t), Text, Options{}), ansi.ReplaceAllString(coloured, ""))
}

var ansi = regexp.MustCompile("\x1b\\[[0-9;]*m")

// The decimal points of a column stand under each other, and so do the dashes.
func TestColumnsAreAligned(t *testing.T) {
	table := NewTable(Column{Head: "space"}, Column{Head: "flow", Unit: "L/s", Kind: Interval}, Column{Head: "read", Unit: "Pa", Kind: Numbers})
	table.Add(Say("attic"), Est(q(1234.2, 1100, 1380, "L/s")), Value(43.9))
	table.Add(Say("garage"), Est(q(8.217, 7.1, 9.4, "L/s")), Value(-4))
	table.Add(Say("porch"), Cell{}, Cell{})
	table.Add(Say("room"), EstIf(q(60, 12, 340, "L/s"), false), Value(0.25))
	got, err := table.Text(80)
	require.NoError(t, err)
	require.Equal(t, strings.Join([]string{
		"space   flow (L/s)                 read (Pa)",
		"attic   1200    1100–1400              43.9",
		"garage     8.2   7.1–9.4               -4",
		"porch      -                            -",
		"room    not resolved (10–300 L/s)       0.25",
		""}, "\n"), got)
}

func TestTableRefusesARowThatIsTooLong(t *testing.T) {
	table := NewTable(Column{Head: "one"})
	table.Add(Say("a"), Say("b"))
	_, err := table.Text(80)
	require.ErrorContains(t, err, "has 2 cells for 1 columns")
}

func TestNarrowTablesAreStacked(t *testing.T) {
	table := NewTable(Column{Head: "space"}, Column{Head: "first", Unit: "Pa", Kind: Interval}, Column{Head: "second", Unit: "Pa", Kind: Interval}, Column{Head: "third", Unit: "Pa", Kind: Interval})
	table.Add(Say("attic"), Est(q(43.91, 43.1, 44.7, "Pa")), Est(q(43.91, 43.1, 44.7, "Pa")), Est(q(43.91, 43.1, 44.7, "Pa")))
	got, err := table.Text(40)
	require.NoError(t, err)
	require.Equal(t, "space: attic\n  first (Pa): 43.9 (43.1–44.7)\n  second (Pa): 43.9 (43.1–44.7)\n  third (Pa): 43.9 (43.1–44.7)\n", got)
}

func TestEqualNoticesAreSaidOnce(t *testing.T) {
	text := written(t, demoHouse(t), Text, Options{Width: 200})
	require.Less(t, strings.Index(text, "Leaks 2260 cfm"), strings.Index(text, "Danger"), "the answer comes first")
	require.Less(t, strings.Index(text, "Danger"), strings.Index(text, "A reading that does not fit"), "dangers come right after it")
	require.Equal(t, 1, strings.Count(text, "baselines of zone readings were not read"))
	require.Contains(t, text, "[3] Note, baseline; hold 3: baselines of")
	require.Contains(t, text, "garage [1] [2]")
	require.Len(t, NoticeLines(demoHouse(t)), 3)
}

func TestBarsHoldAnyNumbers(t *testing.T) {
	list := []*survey.Q{q(5, 10, 1, "cfm"), q(-1, -2, 3, "cfm"), q(0, 0, 0, "cfm"), q(1e9, 1, 2, "cfm"), q(-5, 1, 2, "cfm"), nil}
	b := newBars(list)
	for _, x := range list {
		require.LessOrEqual(t, width(b.draw(x, true)), barWidth)
	}
	require.Empty(t, newBars(nil).draw(q(1, 1, 1, "cfm"), true))
}

func TestCSVHoldsNoFormula(t *testing.T) {
	for name, make := range houses {
		rows, err := csv.NewReader(strings.NewReader(written(t, make(t), CSV, Options{}))).ReadAll()
		require.NoError(t, err)
		require.Equal(t, []string{"quantity", "between", "value", "low", "high", "unit"}, rows[0])
		for _, row := range rows {
			for _, cell := range row {
				if _, err := strconv.ParseFloat(cell, 64); err == nil {
					continue
				}
				require.NotRegexp(t, "^[=+@\\-\t\r\n＝＋－＠−]", cell, name)
			}
		}
	}
}

// jsonNumbers is every number of the JSON results, as a reader of it sees them.
func jsonNumbers(t *testing.T, f *survey.Findings) []float64 {
	var list []float64
	d := json.NewDecoder(strings.NewReader(written(t, f, JSON, everything)))
	for {
		token, err := d.Token()
		if err != nil {
			return list
		}
		if v, ok := token.(float64); ok {
			list = append(list, v)
		}
	}
}

func TestCSVNumbersAreTheJSONOnes(t *testing.T) {
	for name, make := range houses {
		f := make(t)
		known := map[float64]bool{}
		for _, v := range jsonNumbers(t, f) {
			known[v] = true
		}
		rows, err := csv.NewReader(strings.NewReader(written(t, f, CSV, Options{}))).ReadAll()
		require.NoError(t, err)
		for _, row := range rows[1:] {
			for _, cell := range row[2:5] {
				if v, err := strconv.ParseFloat(cell, 64); err == nil {
					require.True(t, known[v], "%s: %v", name, row)
				} else {
					require.Empty(t, cell)
				}
			}
		}
	}
}

var numeral = regexp.MustCompile(`-?\d+(?:\.\d+)?`)

// Every number of the tables in text, Markdown and HTML is a JSON number, rounded.
func TestEveryPrintedNumberIsAJSONNumberRounded(t *testing.T) {
	f, err := printed(demoHouse(t))
	require.NoError(t, err)
	all := jsonNumbers(t, f)
	for _, s := range compose(f, everything).Sections {
		if s.Table == nil {
			continue
		}
		rows, err := s.Table.cells()
		require.NoError(t, err)
		for _, row := range rows {
			for c, cell := range row {
				if k := s.Table.Columns[c].Kind; k != Numbers && k != Interval {
					continue
				}
				if strings.HasPrefix(cell.String(), "<") || strings.HasPrefix(cell.String(), ">") {
					continue // "<1" and ">99" percent
				}
				for _, text := range numeral.FindAllString(strings.ReplaceAll(cell.String(), "–", " "), -1) {
					requireRounded(t, all, text, s.Table.Columns[c].Unit == "%" && s.ID != "losses", s.ID)
				}
			}
		}
		requireCells(t, written(t, f, Text, Options{Width: 300, Working: true, Priors: true}), rows, s)
		requireCells(t, strings.ReplaceAll(written(t, f, Markdown, everything), "\\", ""), rows, s)
	}
}

// requireRounded fails unless text is one of the numbers rounded to its own
// last digit: to two figures at least, for nothing is rounded more.
func requireRounded(t *testing.T, all []float64, text string, share bool, where string) {
	t.Helper()
	v, err := strconv.ParseFloat(text, 64)
	require.NoError(t, err)
	for _, x := range all {
		if share {
			x *= 100
		}
		half := roundingHalf(text)
		if math.Abs(x-v) <= half*(1+1e-9) {
			return
		}
	}
	t.Errorf("%s: %s is no number of the JSON results, rounded", where, text)
}

// roundingHalf is half of the last place that a text carries; zeros at the end
// of a whole number may be rounding.
func roundingHalf(text string) float64 {
	if _, part, ok := strings.Cut(text, "."); ok {
		return math.Pow10(-len(part)) / 2
	}
	zeros := len(text) - len(strings.TrimRight(text, "0"))
	if strings.Trim(text, "-0") == "" {
		return 0.5
	}
	return math.Pow10(zeros) / 2
}

// requireCells fails unless every estimate of a table is found in a report.
func requireCells(t *testing.T, report string, rows [][]Cell, s Section) {
	t.Helper()
	report = strings.Join(strings.Fields(strings.NewReplacer("(", " ", ")", " ").Replace(report)), " ")
	for _, row := range rows {
		for c, cell := range row {
			if k := s.Table.Columns[c].Kind; k != Numbers && k != Interval || cell.value == "" {
				continue
			}
			want := strings.Join(strings.Fields(strings.NewReplacer("(", " ", ")", " ").Replace(cell.String())), " ")
			require.Contains(t, report, want, s.ID)
		}
	}
}

func TestMarkdownKeepsNamesAsText(t *testing.T) {
	for _, name := range hostile {
		e := escapeBlock(name)
		require.NotRegexp(t, `(^|[^\\])[|<>*_`+"`"+`\[\]~&$]`, e)
		require.NotRegexp(t, `^(#|\+|-|=|\d+[.)])`, e)
		require.NotContains(t, e, "http://")
		require.NotContains(t, e, "https://")
		require.NotContains(t, e, "\n")
	}
	var rows int
	for line := range strings.Lines(written(t, stressHouse(t), Markdown, everything)) {
		if strings.HasPrefix(line, "|") {
			rows++
			require.Truef(t, strings.HasSuffix(line, "|\n"), "%q", line)
		}
	}
	require.Greater(t, rows, 100)
}

func FuzzNames(f *testing.F) {
	for _, n := range hostile {
		f.Add(n)
	}
	f.Fuzz(func(t *testing.T, name string) {
		d := demoHouse(t)
		d.Job.Name, d.Zones[0].Name, d.Paths[0].Between[0], d.Notices[0].Text = name, name, name, name
		for _, format := range linked {
			var b bytes.Buffer
			require.NoError(t, Write(&b, d, format, everything))
		}
		for line := range strings.Lines(written(t, d, Text, Options{})) {
			require.LessOrEqual(t, width(strings.TrimSuffix(line, "\n")), 80)
		}
	})
}

// What only an auditor needs stays out of the page read beside the fan.
func TestShortReportLeavesTheRecordOut(t *testing.T) {
	f := demoHouse(t)
	f.Paths = append(f.Paths, survey.Path{Between: [2]string{"house", "ducts"}, Note: openRegisters, Flow50: q(3500, 341, 35000, "cfm")})
	short, long := written(t, f, Text, Options{}), written(t, f, Text, Options{Working: true})
	for _, words := range []string{"open (300–40000 cfm)", "On/off test"} {
		require.NotContains(t, strings.Join(strings.Fields(short), " "), words)
		require.Contains(t, strings.Join(strings.Fields(long), " "), words)
	}
	tests := f.Ducts.Tests
	f.Ducts.Tests = append(slices.Repeat(tests[:1], shortList), survey.DuctTest{Name: "odd one out", Quantity: "leakage_total_25",
		Result: q(300, 280, 320, "cfm"), Resolved: true, Agrees: "disagrees"})
	require.Contains(t, written(t, f, Text, Options{}), "odd one out", "a disagreement is always shown")
	f.Ducts.Tests[shortList].Agrees = "agrees"
	short = written(t, f, Text, Options{})
	require.NotContains(t, short, "odd one out")
	require.Contains(t, short, "7 results of duct tests")
}

func TestALoneHouseHasNoTableOfLeaks(t *testing.T) {
	f := &survey.Findings{House: survey.House{Flow50: q(2280, 2180, 2390, "cfm")},
		Paths: []survey.Path{{Between: [2]string{"house", "outside"}, Flow50: q(2280, 2180, 2390, "cfm"), Resolved: true}}}
	require.NotContains(t, written(t, f, Text, Options{}), "Leaks by size")
	f.House.Flow50 = nil
	require.Contains(t, written(t, f, Text, Options{}), "Leaks by size")
}

func TestDuctsAloneAreNotToldAsAHouse(t *testing.T) {
	f := &survey.Findings{Ducts: &survey.Ducts{LeakageTotal25: q(96, 91.5, 100.5, "cfm")}}
	require.NotContains(t, written(t, f, Text, Options{}), "hold")
	f.Holds = []survey.Hold{{Name: "as found", House: -50, Used: true}}
	require.Contains(t, written(t, f, Text, Options{}), "1 hold used")
}

// A change that may be none has bounds and no middle, and a leak that is not
// resolved has none either, as in the report.
func TestCompareTellsNoChance(t *testing.T) {
	q := func(v, low, high float64) *survey.Q {
		return &survey.Q{Value: v, Low: low, High: high, Unit: units.CFM}
	}
	p := &advise.ComparePlan{House: advise.ChangeLine{Before: q(2280, 2180, 2390), After: q(2000, 1900, 2100), Fall: q(280, 210, 350), Real: true, Text: "tighter"}}
	line := advise.ChangeLine{Between: [2]string{"house", "attic"}, Before: q(300, 200, 430), After: q(310, 20, 1100), Fall: q(-13, -290, 300), Text: "no change"}
	p.Paths = []advise.ChangeLine{line}
	text := func() string {
		var b bytes.Buffer
		require.NoError(t, WriteCompare(&b, []*advise.ComparePlan{p}, Text, Options{Width: 80}))
		return b.String()
	}
	got := text()
	assert.NotContains(t, got, "-13")
	assert.Contains(t, got, "-300 to 300")
	assert.Contains(t, got, "not resolved")
	assert.NotContains(t, got, "310")
	assert.Contains(t, got, "which of its leaks did is not told")
	p.Paths[0].Real, p.Paths[0].Fall, p.Paths[0].Text = true, q(250, 100, 400), "tighter"
	got = text()
	assert.Regexp(t, `200 +100–400 +tighter`, got)
	assert.NotContains(t, got, "is not told")
}
