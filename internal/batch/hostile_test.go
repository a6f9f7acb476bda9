package batch

import (
	"bytes"
	"context"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbook/internal/report"
	"holdbook/internal/sheet"
	"holdbook/internal/survey"
	"holdbook/internal/testkit"
)

// hostileNames are names that mean harm to a terminal, a page, a spreadsheet or a
// reader; each is written as a TOML string.
var hostileNames = map[string]string{
	"terminal escape": `"\u001b[31mred\u001b]0;title\u0007"`,
	"control":         `"a\u0000b\u0007\u0008\u009b2J"`,
	"html":            `"<script>alert(1)</script><img src=x onerror=alert(1)>"`,
	"attribute":       `"\" onmouseover=\"alert(1)"`,
	"formula":         `"=HYPERLINK(\"http://example.invalid\",\"x\")"`,
	"formula, plus":   `"+1+cmd|' /C calc'!A0"`,
	"formula, at":     `"@SUM(1)"`,
	"right to left":   `"\u202Eevil\u202C \u2066x\u2069 \u200Fy"`,
	"invisible":       `"a\u200Bb\uFEFFc\u2028d\u00ADe"`,
	"markdown":        "\"| a | b |\\n# head\\n[x](http://example.invalid) `code` **b**\"",
	"json":            `"\"},{\"x\":\"\\"`,
	"template":        `"{{.}} %s %d %n ${x}"`,
	"combining":       `"` + strings.Repeat(`\u0301`, 90) + `"`,
	"wide":            `"` + strings.Repeat("家", 95) + `"`,
	"tag characters":  `"a\U000E0041\U000E007Fb"`,
}

// hostileSheet has one name wherever a name may stand.
func hostileSheet(name string) string {
	return strings.ReplaceAll(`sheet = 1
[job]
name = NAME
by = NAME
place = NAME
wind = NAME
note = NAME
[gauge]
id = NAME
[house]
volume = "12000 ft3"
note = NAME
[[zone]]
name = NAME
kind = "attic"
[[hold]]
name = NAME
note = NAME
house = "-50 Pa"
fan = "2000 cfm"
range = NAME
readings = [ { of = NAME, to = "house", pressure = "44 Pa", note = NAME } ]
[[hold]]
name = "second"
house = "-50 Pa"
fan = "2500 cfm"
opened = [ { between = ["house", NAME], name = NAME } ]
to_house = { NAME = "24 Pa" }
[[register]]
name = NAME
side = "supply"
cover = "2 Pa"
flow = "90 cfm"
[[register]]
name = "other"
cover = "1 Pa"
[[duct_test]]
name = NAME
method = "total"
pressure = "25 Pa"
flow = "90 cfm"
[[duct]]
name = NAME
side = "supply"
area = "100 ft2"
[[room]]
name = NAME
pressure = "4 Pa"
held = "5 Pa"
[running]
fuel = NAME
price = "1 USD per therm"
degree_days = "5000 F d"
[[walk]]
step = NAME
answer = NAME
`, "NAME", name)
}

// Names that mean harm do none, in findings or in messages, in any format.
func TestHostileNames(t *testing.T) {
	for what, name := range hostileNames {
		t.Run(what, func(t *testing.T) {
			i := Item{Name: "hostile.toml", Load: func() ([]byte, error) { return []byte(hostileSheet(name)), nil }}
			row := estimate(i, Options{Survey: survey.Options{CurvatureOnly: true, Working: true}})
			if row.Findings == nil { // a name may be refused: then the message is shown
				require.NoError(t, harmless([]byte(strings.Join(row.Errors, "\n"))))
				return
			}
			require.NoError(t, everyFormat(row.Findings))
			pageIsSafe(t, row.Findings)
			tableIsSafe(t, row)
		})
	}
}

// pageIsSafe wants no markup of the sheet's in the page.
func pageIsSafe(t *testing.T, f *survey.Findings) {
	var b bytes.Buffer
	require.NoError(t, report.Write(&b, f, report.HTML, report.Options{Working: true, Priors: true}))
	for _, bad := range []string{"<script>alert", "<img src=x", `" onmouseover="`} {
		assert.NotContains(t, b.String(), bad)
	}
}

// tableIsSafe wants no cell of the table that a spreadsheet would work out.
func tableIsSafe(t *testing.T, row Row) {
	b, err := report.CSVRows("=1+1.toml", row.Findings, row.Errors)
	require.NoError(t, err)
	records, err := csv.NewReader(bytes.NewReader(b)).ReadAll()
	require.NoError(t, err)
	for _, record := range records {
		for column, cell := range record {
			if column < 3 && cell != "" {
				assert.NotContains(t, "=+-@|\t\r", cell[:1], cell)
			}
		}
	}
}

// huge sheets and numbers at the ends of what a float64 holds: each is refused
// with its place, or answered; none costs more than a moment.
var extremes = map[string]func() string{
	"deep lists":           func() string { return "sheet = 1\nx = " + strings.Repeat("[", 100_000) },
	"deep tables":          func() string { return "sheet = 1\nx = " + strings.Repeat("{a=", 100_000) },
	"deep keys":            func() string { return "sheet = 1\n" + strings.Repeat("a.", 100_000) + "a = 1" },
	"deep headers":         func() string { return "sheet = 1\n[" + strings.Repeat("a.", 100_000) + "a]" },
	"a million registers":  func() string { return "sheet = 1\n" + strings.Repeat("[[register]]\n", 1_000_000) },
	"registers up to size": func() string { return "sheet = 1\n" + strings.Repeat("[[register]]\n", 80_000) },
	"registers, named": func() string {
		return named("[[register]]\nname = \"r%d\"\ncover = \"2 Pa\"\n", sheet.LookUp("register").Max)
	},
	"one register too many": func() string { return named("[[register]]\nname = \"r%d\"\n", sheet.LookUp("register").Max+1) },
	"one zone too many":     func() string { return named("[[zone]]\nname = \"z%d\"\n", sheet.LookUp("zone").Max+1) },
	"one hold too many": func() string {
		return named("[[hold]]\nname = \"h%d\"\nhouse = \"50 Pa\"\n", sheet.LookUp("hold").Max+1)
	},
	"long name":   func() string { return "sheet = 1\n[[zone]]\nname = \"" + strings.Repeat("n", 500_000) + "\"" },
	"long number": func() string { return "sheet = 1\n[[hold]]\nhouse = \"" + strings.Repeat("9", 500_000) + " Pa\"" },
	"many faults": func() string { return "sheet = 1\n" + strings.Repeat("[[hold]]\nhuose = 1\n", 40_000) },
	"1e308 Pa":    func() string { return "sheet = 1\n[[hold]]\nhouse = \"1e308 Pa\"\nfan = \"1e308 cfm\"" },
	"1e308 cfm":   func() string { return "sheet = 1\n[[hold]]\nhouse = \"50 Pa\"\nfan = \"1e308 cfm\"" },
	"subnormal":   func() string { return "sheet = 1\n[[hold]]\nhouse = \"5e-324 Pa\"\nfan = \"5e-324 cfm\"" },
	"subnormal fan": func() string {
		return "sheet = 1\n[[hold]]\nhouse = \"50 Pa\"\nfan = \"4.9e-324 cfm\"\nto_house = { attic = \"1e-310 Pa\" }"
	},
	"tiny volume": func() string {
		return "sheet = 1\n[house]\nvolume = \"1e-300 ft3\"\n[[hold]]\nhouse = \"50 Pa\"\nfan = \"900 cfm\""
	},
	"tiny area": func() string {
		return "sheet = 1\n[house]\nfloor_area = \"1e-300 ft2\"\n[[hold]]\nhouse = \"50 Pa\"\nfan = \"900 cfm\""
	},
	"huge opening": func() string {
		return "sheet = 1\n[[hold]]\nhouse = \"50 Pa\"\nfan = \"900 cfm\"\nopened = [{ between = [\"house\", \"attic\"], area = \"1e300 in2\" }]\nto_house = { attic = \"1 Pa\" }"
	},
	"zones beyond a batch": func() string { return named("[[zone]]\nname = \"z%d\"\n", MaxZones+1) },
	"holds beyond a batch": func() string {
		return named("[[hold]]\nname = \"h%d\"\nhouse = \"50 Pa\"\nto_house = { attic = \"44 Pa\", garage = \"47 Pa\" }\n", MaxZoneHolds/2+1)
	},
	"minus zero": func() string {
		return "sheet = 1\n[[hold]]\nhouse = \"-0 Pa\"\nfan = \"900 cfm\"\nto_house = { attic = \"-0 Pa\" }"
	},
	"tiny prior": func() string {
		return "sheet = 1\n[[path]]\nbetween = [\"house\", \"attic\"]\nflow_50 = \"1e-300 cfm\"\nspread = 1.0000001\n[[hold]]\nhouse = \"50 Pa\"\nfan = \"900 cfm\"\nto_house = { attic = \"44 Pa\" }"
	},
}

// named repeats a block with a number in it.
func named(block string, n int) string {
	var b strings.Builder
	b.WriteString("sheet = 1\n")
	for i := range n {
		fmt.Fprintf(&b, block, i)
	}
	return b.String()
}

func TestExtremes(t *testing.T) {
	testkit.Long(t, "many sheets, or hard ones")
	for what, text := range extremes {
		t.Run(what, func(t *testing.T) {
			i := Item{Name: "extreme.toml", Load: func() ([]byte, error) { return []byte(text()), nil }}
			row := estimate(i, Options{Survey: survey.Options{CurvatureOnly: true}})
			if row.Findings != nil {
				require.NoError(t, everyFormat(row.Findings))
				return
			}
			require.NotEmpty(t, row.Errors)
			assert.LessOrEqual(t, len(row.Errors), sheet.MaxProblems+1)
			for _, e := range row.Errors {
				assert.True(t, strings.HasPrefix(e, "extreme.toml:"), e)
				assert.LessOrEqual(t, len(e), 1000)
			}
		})
	}
}

// Lines of standard input that are no sheet are rows with an error each, and the
// next line is read.
func TestHostileLines(t *testing.T) {
	good := `{"sheet":"good","toml":"sheet = 1\n[[hold]]\nhouse = \"50 Pa\"\n"}`
	for what, line := range map[string]string{
		"no JSON":          `{"sheet": `,
		"deep JSON":        `{"sheet":` + strings.Repeat("[", 100_000),
		"other JSON":       `{"a":1}`,
		"wrong type":       `{"sheet":"x","toml":17}`,
		"too long":         `{"sheet":"x","toml":"` + strings.Repeat("a", LongestLine) + `"}`,
		"sheet too large":  `{"sheet":"x","toml":"` + strings.Repeat("a", sheet.MaxSize+1) + `"}`,
		"no file":          "no/such/file.toml",
		"NUL in a name":    "a\x00b.toml",
		"results of worse": `{"sheet":"x","results":1,"house":{"flow_50":"many"}}`,
		"pattern":          "[",
		"not UTF-8":        "\xff\xfe.toml",
	} {
		t.Run(what, func(t *testing.T) {
			rows := []Row{}
			items := Items([]string{Stdin}, strings.NewReader("\n"+line+"\n"+good))
			err := Run(context.Background(), items, Options{Survey: survey.Options{CurvatureOnly: true}},
				func(r Row) (Row, error) { return r, nil }, func(r Row) error { rows = append(rows, r); return nil })
			require.NoError(t, err)
			require.Len(t, rows, 2)
			assert.NotEmpty(t, rows[0].Errors)
			assert.NotNil(t, rows[1].Findings)
			b, err := report.JSONRow(rows[0].Sheet, nil, rows[0].Errors, "")
			require.NoError(t, err)
			assert.True(t, json.Valid(b))
			require.NoError(t, harmless(b))
		})
	}
}

// FuzzBatch takes any text the whole way: findings that can be written in every
// format, or errors; never a panic.
func FuzzBatch(f *testing.F) {
	f.Add("sheet = 1\n[[hold]]\nhouse = \"50 Pa\"\nfan = \"2000 cfm\"\nto_house = { attic = \"44 Pa\" }\n")
	f.Add(simulated(3))
	f.Add(hostileSheet(hostileNames["html"]))
	f.Fuzz(func(t *testing.T, text string) {
		s, err := sheet.Parse([]byte(text), "fuzz.toml")
		if err != nil {
			return
		}
		if len(s.Holds) > 6 || len(s.Zones) > 5 || len(s.Registers) > 20 { // as large ones take long
			return
		}
		findings, err := survey.Run(s, survey.Options{CurvatureOnly: true, Workers: 1, Working: true})
		if err != nil {
			return
		}
		require.NoError(t, everyFormat(findings))
	})
}

// FuzzLines reads anything as lines of standard input.
func FuzzLines(f *testing.F) {
	f.Add([]byte("{\"sheet\":\"a\",\"toml\":\"sheet = 1\"}\nb.toml\n\n{"))
	f.Add([]byte(`{"sheet":"x","results":1}`))
	f.Fuzz(func(t *testing.T, in []byte) {
		for line := range bytes.Lines(in) {
			if line = bytes.TrimSpace(line); len(line) > 0 && line[0] == '{' {
				i := fromJSON(1, line)
				require.True(t, i.Err != nil || i.Done != nil || i.Load != nil)
			}
		}
	})
}
