package survey

import (
	"fmt"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbook/internal/sheet"
)

// recordTexts are all texts of a record and of the job.
func recordTexts(f *Findings) string {
	var b strings.Builder
	var walk func(v reflect.Value)
	walk = func(v reflect.Value) {
		switch v.Kind() {
		case reflect.String:
			b.WriteString(v.String() + "\n")
		case reflect.Pointer:
			if !v.IsNil() {
				walk(v.Elem())
			}
		case reflect.Slice:
			for i := range v.Len() {
				walk(v.Index(i))
			}
		case reflect.Struct:
			for i := range v.NumField() {
				if v.Type().Field(i).IsExported() {
					walk(v.Field(i))
				}
			}
		}
	}
	walk(reflect.ValueOf(f.Job))
	walk(reflect.ValueOf(f.Record))
	return b.String()
}

// Nothing that a sheet says is dropped: each value stands in the record, in the digits that
// were typed. Tables inside a hold are written in words, and looked for by their values.
func TestNothingOfASheetIsDropped(t *testing.T) {
	sheets, err := filepath.Glob(filepath.Join("..", "..", "testdata", "sheets", "*.toml"))
	require.NoError(t, err)
	good, err := filepath.Glob(filepath.Join("..", "..", "testdata", "good", "house0*.toml"))
	require.NoError(t, err)
	require.NotEmpty(t, sheets)
	for _, name := range append(sheets, good...) {
		text, err := os.ReadFile(name)
		require.NoError(t, err)
		s, err := sheet.Parse(text, name)
		require.NoError(t, err, name)
		f, err := Run(s, Options{Record: true, CurvatureOnly: true})
		require.NoError(t, err, name)
		all := recordTexts(f)
		for _, x := range s.Stated() {
			if strings.Contains(x.Text, "{") {
				continue // of tables inside tables, see below
			}
			parts := []string{x.Text}
			if x.Key == "condition" || x.Key == "deviations" {
				parts = strings.Split(x.Text, ", ") // each text stands by itself
			}
			for _, part := range parts {
				assert.Contains(t, all, part, "%s: %s %d, %s", name, x.Table, x.Of, x.Key)
			}
		}
		for i := range s.Holds {
			for _, typed := range typedIn(&s.Holds[i]) {
				assert.Contains(t, all, typed, "%s: hold %d", name, i+1)
			}
		}
	}
}

// typedIn are the texts of the tables inside a hold.
func typedIn(h *sheet.Hold) (list []string) {
	for _, x := range h.Readings {
		list = append(list, x.Of.Name, x.To.Name, x.Pressure.AsTyped(), x.Flow.AsTyped(), x.Baseline.AsTyped(), x.PressureSD.Text, x.SD.Text, x.Note.Value)
	}
	for _, o := range h.Opened {
		list = append(list, o.Name.Value, o.Area.Text, o.Cd.Text, o.Note.Value)
	}
	for _, c := range h.Sealed {
		list = append(list, c.Note.Value)
	}
	for _, f := range h.Fans {
		list = append(list, f.Name.Value, f.Flow.AsTyped(), f.Range.Value, f.ScaledTo.Text, f.Note.Value)
	}
	return list
}

// A reading stands as it was read beside what was made of it.
func TestReadingsAsRead(t *testing.T) {
	f := found(t, `
[house]
indoor = "20 C"
outdoor = "0 C"
[[hold]]
time = 10:42:00
baseline = "-1.20 Pa"
house = "-51.2 Pa"
fan = "2000 cfm"
range = "open"
to_house = { attic = "44.0 Pa" }
opened = [ { between = ["house", "attic"], name = "hatch", note = "by a hand" } ]
note = "gusts"
`, Options{Record: true, CurvatureOnly: true})
	lines := map[string]ReadingLine{}
	for _, l := range f.Record.Readings {
		lines[l.What] = l
		assert.Equal(t, "10:42:00", l.Time)
	}
	require.Len(t, lines, 6, "%+v", lines)
	house := lines["house to outside"]
	assert.Equal(t, "-51.2 Pa", house.AsRead)
	assert.InDelta(t, -51.2, *house.Read, 1e-9)
	assert.InDelta(t, -50, *house.Made, 1e-9)
	fan := lines["door fan"]
	assert.Equal(t, "range open", fan.Note)
	assert.InDelta(t, 2000*273.15/293.15, *fan.Made, 0.1, "Roulet 2008 eq 4.5")
	assert.Equal(t, "44.0 Pa", lines["attic to house"].AsRead)
	assert.Equal(t, "-1.20 Pa", lines["house to outside, baseline"].AsRead)
	assert.Equal(t, "by a hand", lines["opened"].Note)
	assert.Equal(t, "gusts", lines["note"].AsRead)
}

// What is missing is told in one list, and nothing of a sheet that gives everything.
func TestMissingFromTheRecord(t *testing.T) {
	little := found(t, "[[hold]]\nhouse = \"50 Pa\"\nfan = \"2000 cfm\"\n", Options{Record: true, CurvatureOnly: true})
	assert.Contains(t, little.Record.Missing, "volume")
	assert.Contains(t, little.Record.Missing, "gauge and its calibration")
	assert.Len(t, little.Record.Missing, 20)
	full := found(t, everything, Options{Record: true, CurvatureOnly: true})
	assert.Empty(t, full.Record.Missing)
	assert.Equal(t, "ASTM E779", full.Record.Standard)
	assert.Equal(t, []string{"dryer vent sealed", "depressurised: 1 of at least five points between 10 and 60 Pa (ASTM E779 by its summaries)"}, full.Record.Deviations)
	assert.Nil(t, found(t, everything, Options{CurvatureOnly: true}).Record, "only when asked for")
}

// everything is a sheet that gives all that a record holds.
const everything = `
[job]
name = "Fern Street 3"
date = 2026-03-14
by = "A. Example"
contact = "a@example.org"
standard = "ASTM E779"
method = "closed as for heating"
deviations = "dryer vent sealed"
wind = "calm"
[house]
volume = "400 m3"
floor_area = "160 m2"
envelope_area = "420 m2"
height = "5 m"
altitude = "100 m"
indoor = "20 C"
outdoor = "5 C"
condition = ["windows shut", "boiler off"]
[gauge]
id = "g1"
calibrated = 2026-01-20
[door_fan]
id = "f1"
calibrated = 2026-01-21
[[hold]]
time = 10:42:00
baseline = "-1.2 Pa"
baseline_after = "-1.0 Pa"
house = "-51.2 Pa"
fan = "3000 m3/h"
range = "open"
`

// The standard's own rules, as far as its summaries tell them, on both sides of each.
func TestDeviations(t *testing.T) {
	series := func(standard string, pressures ...float64) []string {
		return found(t, "[job]\nstandard = \""+standard+"\"\n"+stationsOf(pressures...), Options{Record: true, CurvatureOnly: true}).Record.Deviations
	}
	assert.Empty(t, series("ASTM E779-19", 60, 45, 35, 25, 10))
	assert.NotEmpty(t, series("ASTM E779-19", 60, 45, 35, 25))
	assert.NotEmpty(t, series("astm e779", 62, 45, 35, 25, 12), "a point above 60 Pa does not count")
	assert.NotEmpty(t, series("ASTM E779", 60, 45, 35, 25, 9))
	assert.Empty(t, series("ISO 9972", 100, 80, 60))
	assert.NotEmpty(t, series("ISO 9972", 100.5, 80, 60))
	for p, want := range map[float64]int{47: 0, 53: 0, 46.9: 1, 53.1: 1} {
		assert.Len(t, series("CAN/CGSB-149.10", p), want, fmt.Sprint(p))
	}
	assert.Empty(t, series("none that is known", 5))
}

// What some holds lack is told with how many.
func TestMissingOfSomeHolds(t *testing.T) {
	hold := func(more string) string { return "[[hold]]\nhouse = \"-50 Pa\"\nfan = \"2000 cfm\"\n" + more }
	for _, c := range []struct {
		text, want string
	}{
		{hold("") + hold(""), "flow range of each hold"},
		{hold("range = \"A\"\n") + hold(""), "flow range of 1 of 2 holds"},
	} {
		f := found(t, c.text, Options{Record: true, CurvatureOnly: true})
		assert.Contains(t, f.Record.Missing, c.want)
	}
	f := found(t, hold("range = \"A\"\n")+hold("range = \"A\"\n"), Options{Record: true, CurvatureOnly: true})
	assert.NotContains(t, strings.Join(f.Record.Missing, ";"), "flow range")
}

// A fan that ran at the baseline is told as such, beside its range and its note.
func TestFanAtTheBaselineIsRecorded(t *testing.T) {
	note := func(key string) string {
		f := found(t, "[[hold]]\nbaseline = \"-1 Pa\"\nhouse = \"-50 Pa\"\nfan = \"2000 cfm\"\nfans = [ { from = \"house\", to = \"outside\", flow = \"80 cfm\", note = \"bath\""+key+" } ]\n", Options{Record: true, CurvatureOnly: true})
		for _, l := range f.Record.Readings {
			if l.What == "fan house to outside" {
				return l.Note
			}
		}
		return "no such line"
	}
	assert.Equal(t, "ran at the baseline too, bath", note(", at_baseline = true"))
	assert.Equal(t, "bath", note(", at_baseline = false"))
	assert.Equal(t, "bath", note(""))
}
