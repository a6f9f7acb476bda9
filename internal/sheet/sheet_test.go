package sheet

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbook/units"
)

const sheets = "../../testdata/sheets"

func mustRead(t *testing.T, name string) *Sheet {
	t.Helper()
	s, err := Read(filepath.Join(sheets, name))
	require.NoError(t, err)
	return s
}

func mustParse(t *testing.T, text string) *Sheet {
	t.Helper()
	s, err := Parse([]byte(text), "test.toml")
	require.NoError(t, err)
	return s
}

func TestShortest(t *testing.T) {
	s := mustRead(t, "shortest.toml")
	require.Len(t, s.Zones, 1)
	assert.Equal(t, "attic", s.Zones[0].Name.Value)
	assert.Equal(t, Attic, s.Zones[0].Kind)
	assert.True(t, s.Zones[0].Implied)
	assert.True(t, s.Zones[0].IsVented())
	require.Len(t, s.Holds, 1)
	h := s.Holds[0]
	assert.InDelta(t, 50, float64(h.House.Value), 1e-12)
	assert.False(t, h.House.Signed())
	assert.Equal(t, Pos{3, 9}, h.House.Pos)
	require.Len(t, h.Readings, 1)
	assert.Equal(t, "attic", h.Readings[0].Of.Name)
	assert.Equal(t, HouseName, h.Readings[0].To.Name)
	assert.Equal(t, Pos{4, 22}, h.Readings[0].Pressure.Pos)
	assert.True(t, h.AsFound())
	assert.True(t, h.Finished())
	_, ok := s.BaselineHold(0)
	assert.False(t, ok)
}

// The values of the full sheet, in SI by the exact definitions of the foot,
// the inch and the degree Fahrenheit.
func TestFull(t *testing.T) {
	s := mustRead(t, "full.toml")
	near := func(want, got float64) { t.Helper(); assert.InEpsilon(t, want, got, 1e-9) }

	near(14400*0.3048*0.3048*0.3048, float64(s.House.Volume.Value))
	near((31+459.67)*5/9, float64(s.House.Outdoor.Value))
	assert.True(t, s.House.Flue.Given)
	assert.Equal(t, time.Date(2026, 3, 14, 0, 0, 0, 0, time.UTC), s.Job.Date.Time)
	near(1500*0.3048*0.3048*0.3048/60, float64(s.Job.Target.Flow.Value))
	assert.True(t, s.Job.Invented.Value)

	first := s.Holds[0]
	assert.Equal(t, 10, first.Time.Time.Hour())
	assert.True(t, first.House.Signed())
	require.Len(t, first.Readings, 3)
	assert.Equal(t, "ducts", first.Readings[1].Of.Name)
	near(-49.6, float64(first.Readings[1].Pressure.Value)) // a bare number, by [job] bare
	assert.Equal(t, "Garage", first.Readings[2].Of.Name, "named as declared")
	assert.Equal(t, "garage", first.Readings[2].Of.Text, "and as written")
	near(0.5, float64(first.Readings[2].PressureSD.Value))
	near(-1.2, float64(first.BaselineAfter.Value))
	assert.Len(t, first.BaselineAfter.Samples, 2)

	fan := s.Holds[4]
	near(-50, float64(fan.House.Value))
	near(0.05, float64(fan.Readings[1].SD.Value))
	assert.True(t, fan.Readings[1].Flow.Given)
	assert.Equal(t, "neighbour", s.Holds[5].Guards[0].Name)
	assert.False(t, s.Holds[6].Finished())
	near(47, float64(s.Holds[6].Readings[0].Pressure.Value))
	assert.Equal(t, Pos{136, 8}, s.Holds[6].Readings[0].Pos)

	near(0.92, float64(s.Running.Efficiency.Value))
	near(1.35/1.05505585262e8, s.Running.Price.PerJoule)
	assert.Equal(t, "USD", s.Running.Price.Currency)
	near(3000, float64(s.Running.DegreeDays.Value))
	near(8*1609.344/3600, float64(s.Climate.Wind.Value))
	assert.Equal(t, FlowPerAreaAmount, s.Limits[0].AtMost.Kind)
	near(0.04*0.3048/60, s.Limits[0].AtMost.Value)
	assert.Equal(t, "registers covered", s.Registers[0].Hold.Value)
}

func TestDefaults(t *testing.T) {
	s := mustParse(t, "sheet = 1\n[[zone]]\nname = \"loft\"\nkind = \"attic\"\n[[zone]]\nname = \"ducts\"\nkind = \"ducts\"\ntouches = [\"house\", \"loft\"]\n[[path]]\nbetween = [\"garage\", \"loft\"]\n")
	relative, absolute := s.Gauge.PressureError()
	assert.Equal(t, units.Ratio(0.01), relative)
	assert.Equal(t, units.Pressure(0.25), absolute)
	assert.Equal(t, units.Ratio(0.05), s.Gauge.FlowError())
	assert.Equal(t, units.Ratio(0.01), s.Gauge.RepeatError())
	assert.Equal(t, units.Pressure(0.4), s.Gauge.WobbleError())
	assert.False(t, s.Gauge.Indicated())
	assert.True(t, s.Job.Depressurised())
	assert.Equal(t, "ip", s.Job.PrintUnits())
	assert.Equal(t, "both", DuctTest{}.TestSide())

	loft, ok := s.Zone("loft")
	require.True(t, ok)
	assert.False(t, loft.MeantInside())
	assert.True(t, loft.IsVented())
	ducts, _ := s.Zone("ducts")
	assert.True(t, ducts.MeantInside())
	assert.False(t, ducts.IsVented())
	assert.Equal(t, [][2]string{
		{"house", "outside"}, {"house", "loft"}, {"loft", "outside"}, {"house", "ducts"}, {"ducts", "loft"},
		{"house", "garage"}, {"garage", "outside"}, {"garage", "loft"},
	}, s.Touching())
	assert.True(t, s.Touch("loft", "garage"))
	assert.False(t, s.Touch("ducts", "outside"))
}

func TestStatedInsteadOfDefaults(t *testing.T) {
	s := mustParse(t, `sheet = 1
[job]
units = "si"
hold = "pressurised"
[gauge]
pressure = "0.001 Pa or 0.01 %"
flow = "0.01 %"
repeat = "0.02 percent"
wobble = "0 Pa"
fan_air = "indicated"
[[zone]]
name = "crawlspace"
vented = false
meant = "inside"
`)
	relative, absolute := s.Gauge.PressureError()
	assert.InEpsilon(t, 1e-4, float64(relative), 1e-12)
	assert.InEpsilon(t, 1e-3, float64(absolute), 1e-12)
	assert.InEpsilon(t, 1e-4, float64(s.Gauge.FlowError()), 1e-12)
	assert.InEpsilon(t, 2e-4, float64(s.Gauge.RepeatError()), 1e-12)
	assert.Zero(t, s.Gauge.WobbleError())
	assert.True(t, s.Gauge.Indicated())
	assert.False(t, s.Job.Depressurised())
	assert.Equal(t, "si", s.Job.PrintUnits())
	z, _ := s.Zone("crawlspace")
	assert.Equal(t, Crawlspace, z.Kind, "a kind word as a name needs no kind")
	assert.True(t, z.MeantInside())
	assert.False(t, z.IsVented())
}

func TestBaselineCarriesOver(t *testing.T) {
	s := mustParse(t, "sheet = 1\n[[hold]]\nhouse = \"1 Pa\"\n[[hold]]\nbaseline = \"-1 Pa\"\n[[hold]]\nhouse = \"1 Pa\"\n")
	_, ok := s.BaselineHold(0)
	assert.False(t, ok)
	for i := 1; i < 3; i++ {
		from, ok := s.BaselineHold(i)
		assert.True(t, ok)
		assert.Equal(t, 1, from)
	}
}

// An opening of one name has the area that any hold states for it.
func TestOpeningOfOneName(t *testing.T) {
	s := mustParse(t, `sheet = 1
[[hold]]
opened = [ { between = ["house", "attic"], name = "hatch" } ]
[[hold]]
opened = [ { between = ["attic", "house"], name = "Hatch", area = "40 in2", cd = 0.61 } ]
`)
	assert.Equal(t, s.Holds[1].Opened[0].Area, s.Holds[0].Opened[0].Area)
	assert.InDelta(t, 0.61, float64(s.Holds[0].Opened[0].Cd.Value), 1e-12)
}

func TestNames(t *testing.T) {
	s := mustParse(t, "sheet = 1\n[[zone]]\nname = \"Knee  wall\\u001B[31m east\"\nkind = \"kneewall\"\n[[hold]]\nto_house = { \"KNEE WALL EAST\" = \"3 Pa\", Basement = \"1 Pa\" }\n")
	assert.Equal(t, "Knee wall east", s.Zones[0].Name.Value, "made safe for a terminal")
	assert.Equal(t, "Knee wall east", s.Holds[0].Readings[0].Of.Name)
	assert.Equal(t, "basement", s.Holds[0].Readings[1].Of.Name)
	assert.Equal(t, Basement, s.Zones[1].Kind)
}

func TestSigned(t *testing.T) {
	for text, want := range map[string]bool{"-50 Pa": true, "+50 Pa": true, "50 Pa": false, "−50 Pa": true} {
		s := mustParse(t, "sheet = 1\n[[hold]]\nhouse = \""+text+"\"\n")
		assert.Equal(t, want, s.Holds[0].House.Signed(), text)
	}
	assert.True(t, Value(units.Pressure(-3)).Signed())
	assert.InDelta(t, 7, float64(Pressure{}.Or(7)), 0)
}

func TestPlacesCountCharacters(t *testing.T) {
	_, err := Parse([]byte("sheet = 1\r\njob.name = \"café\" # ok\r\nhouse.note = \"°\"; x\r\n"), "a.toml")
	require.Error(t, err)
	assert.True(t, strings.HasPrefix(err.Error(), "a.toml:3:17: "), err.Error())
}

func TestProblemsAreCapped(t *testing.T) {
	_, err := Parse([]byte("sheet = 1\n"+strings.Repeat("[[zone]]\n", LookUp("zone").Max)), "a.toml")
	var problems Problems
	require.ErrorAs(t, err, &problems)
	assert.Len(t, problems, MaxProblems)
	_, err = Parse([]byte("sheet = 1\n"+strings.Repeat("[[register]]\n", 1000)), "a.toml")
	require.ErrorAs(t, err, &problems)
	assert.Len(t, problems, MaxProblems+1)
	assert.Contains(t, problems[MaxProblems].Error(), "and 900 more")
}

func TestLimits(t *testing.T) {
	for name, text := range map[string]string{
		"size":      "sheet = 1\n#" + strings.Repeat("x", MaxSize),
		"zones":     "sheet = 1\n" + strings.Repeat("[[zone]]\nname = \"a\"\n", LookUp("zone").Max+1),
		"holds":     "sheet = 1\n" + strings.Repeat("[[hold]]\n", LookUp("hold").Max+1),
		"registers": "sheet = 1\nregister = [" + strings.Repeat("{name = \"a\"},", LookUp("register").Max+1) + "]\n",
		"items":     "sheet = 1\nx = [" + strings.Repeat("1,", MaxListItems+1) + "]\n",
		"keys":      "sheet = 1\n[x]\n" + manyKeys(MaxListItems+1),
		"depth":     "sheet = 1\nx = " + strings.Repeat("[", 400000) + strings.Repeat("]", 400000) + "\n",
		"dots":      "sheet = 1\na" + strings.Repeat(".a", 400000) + " = 1\n",
	} {
		_, err := Parse([]byte(text), name)
		var problems Problems
		require.ErrorAs(t, err, &problems, name)
		assert.NotEmpty(t, problems, name)
	}
}

func manyKeys(n int) string {
	var b strings.Builder
	for i := range n {
		b.WriteString("k" + itoa(i) + "=1\n")
	}
	return b.String()
}

func TestReadFromAnywhere(t *testing.T) {
	s, err := ReadFrom(strings.NewReader("sheet = 1\n"), "-")
	require.NoError(t, err)
	assert.Equal(t, "-", s.File)
	_, err = Read(filepath.Join(t.TempDir(), "none.toml"))
	require.ErrorIs(t, err, os.ErrNotExist)
	assert.Contains(t, err.Error(), "none.toml: there is no such file")
	_, err = Read(t.TempDir())
	assert.ErrorContains(t, err, "this is a folder")
}

func TestNearest(t *testing.T) {
	for word, want := range map[string]string{"huose": "house", "atic": "attic", "AT": "", "bedroms": "bedrooms", "xyz": "", "fna": "fan"} {
		got, ok := Nearest(word, []string{"house", "attic", "bedrooms", "fan", "to"})
		assert.Equal(t, want, got, word)
		assert.Equal(t, want != "", ok, word)
	}
}

func TestEdits(t *testing.T) {
	for _, c := range []struct {
		a, b string
		want int
	}{
		{"", "", 0}, {"zone", "zone", 0}, {"", "zone", 4}, {"zone", "", 4}, {"zone", "zne", 1},
		{"zone", "zoen", 1}, {"zone", "bone", 1}, {"house", "mouse", 1}, {"kitten", "sitting", 3}, {"größe", "grösse", 2},
	} {
		if got := edits(c.a, c.b, 9); got != c.want {
			t.Errorf("edits(%q, %q) = %d, want %d", c.a, c.b, got, c.want)
		}
	}
}

func BenchmarkParseFull(b *testing.B) {
	data, err := os.ReadFile(filepath.Join(sheets, "full.toml"))
	require.NoError(b, err)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Parse(data, "full.toml"); err != nil {
			b.Fatal(err)
		}
	}
}
