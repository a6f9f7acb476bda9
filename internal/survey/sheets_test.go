package survey

import (
	"encoding/json"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbook/internal/sheet"
	"holdbook/internal/testkit"
)

// A sheet with every key is read, estimated, and each of its keys is used or
// named as not used yet.
func TestFullSheet(t *testing.T) {
	f := fromFile(t, "full.toml", Options{Working: true})
	finite(t, f)
	assert.Len(t, f.Holds, 7)
	assert.Len(t, f.Zones, 4)
	assert.NotNil(t, f.House.Flow50)
	assert.NotNil(t, f.House.AirChanges50)
	assert.NotEmpty(t, f.SealFirst)
	assert.NotEmpty(t, f.Priors)
	assert.NotEmpty(t, f.Working)
	for _, w := range f.Working {
		assert.NotEmpty(t, w.Formula, w.About)
		assert.NotEmpty(t, w.Numbers, w.About)
		assert.NotEmpty(t, w.Source, w.About)
	}
	assert.Zero(t, noticesWith(f.Notices, "not used yet: "))
	for _, n := range f.Notices {
		assert.NotContains(t, n.Text, "NaN")
	}
}

// A working line is made only when asked for.
func TestWorkingOnRequest(t *testing.T) {
	assert.Empty(t, fromFile(t, "shortest.toml", Options{}).Working)
	assert.NotEmpty(t, fromFile(t, "shortest.toml", Options{Working: true}).Working)
}

// What led to something is not called unused.
func TestUnusedKeys(t *testing.T) {
	s := testkit.Sheet(t, "[[walk]]\nstep = \"safety list\"\n[air_handler]\nflow = \"1180 cfm\"\n[ventilation]\nflow = \"60 cfm\"\n")
	unused := func(s *sheet.Sheet, f *Findings) []Notice {
		log := NewLog(false)
		noteUnused(&Case{Sheet: s}, f, log)
		return log.Notices
	}
	assert.Equal(t, []Notice{{Level: Note, Text: "not used yet: [air_handler], [ventilation]"}}, unused(s, &Findings{}))
	assert.Empty(t, unused(s, &Findings{Ducts: &Ducts{}, Ventilation: &Ventilation{}}), "a walk's own records are no readings")
	assert.Empty(t, unused(testkit.Sheet(t, ""), &Findings{}))
	attic := "[[zone]]\nname = \"attic\"\n[[zone]]\nname = \"garage\"\ntemperature = \"45 F\"\ninsulated = [\"walls\"]\n[house]\nflue = false\n"
	assert.Equal(t, []Notice{{Level: Note, Text: "not used yet: house.flue, zone.temperature, zone.insulated"}}, unused(testkit.Sheet(t, attic), &Findings{}))
	blown := attic + "[[hold]]\nhouse = \"-50 Pa\"\nfans = [ { from = \"garage\", to = \"outside\", flow = \"900 cfm\" } ]\n"
	assert.Equal(t, []Notice{{Level: Note, Text: "not used yet: house.flue, zone.insulated"}}, unused(testkit.Sheet(t, blown), &Findings{}), "the fan needs the zone's temperature")
	for _, l := range laterKeys {
		for _, key := range l.keys {
			assert.False(t, testkit.Sheet(t, "").Gives(strings.Trim(key, "[]")), key)
		}
	}
}

// A sheet without a hold is no error: it says what is missing.
func TestNothingRead(t *testing.T) {
	for _, text := range []string{"", "[[hold]]\nname = \"later\"\n", "[[zone]]\nname = \"attic\"\n"} {
		f := found(t, text, Options{})
		assert.Equal(t, 1, noticesWith(f.Notices, "no finished hold"))
		assert.Empty(t, f.Paths)
		assert.NotNil(t, f.Paths, "an empty list, not null")
		finite(t, f)
	}
}

// The demonstration: the same sheet gives the same bytes, whatever the number of
// processors.
func TestRepeatable(t *testing.T) {
	var first []byte
	for _, workers := range []int{1, 2} {
		f, err := Run(demo(t), Options{Working: true, Workers: workers})
		require.NoError(t, err)
		finite(t, f)
		text, err := json.Marshal(f)
		require.NoError(t, err)
		if first == nil {
			first = text
		}
		assert.Equal(t, string(first), string(text))
	}
}

// Screening leaves out the sampling.
func TestCurvatureOnly(t *testing.T) {
	f, err := Run(demo(t), Options{CurvatureOnly: true})
	require.NoError(t, err)
	assert.Equal(t, "curvature", f.Method.Intervals)
}

// A quick command writes a sheet: names in any case, unsigned pressures.
func TestAQuickSheetIsAnyOther(t *testing.T) {
	quick := found(t, "[job]\nunits = \"ip\"\n\n[[hold]]\nname = \"as found\"\nhouse = \"50 Pa\"\nfan = \"2280 cfm\"\nto_house = { attic = \"44 Pa\" }\n", Options{})
	file := found(t, `
[job]
hold = "depressurised"
bare = { pressure = "Pa", flow = "cfm" }
[[zone]]
name = "Attic"
kind = "attic"
touches = ["HOUSE", "outside"]
vented = true
[[hold]]
name = "as found"
house = -50
fan = 2280
readings = [ { of = "attic", to = "house", pressure = 44 } ]
`, Options{})
	assert.Equal(t, quick.House, file.House)
	for i := range quick.Paths {
		assert.Equal(t, quick.Paths[i].Flow50, file.Paths[i].Flow50)
	}
	assert.Equal(t, quick.Zones[0].ConnectionFraction, file.Zones[0].ConnectionFraction)
	assert.Equal(t, "Attic", file.Zones[0].Name, "the name as the sheet declares it")
}

// Readings that are odd but possible neither panic nor leave anything infinite.
func TestOddSheets(t *testing.T) {
	hold := func(lines string) string { return "[[hold]]\nbaseline = \"0 Pa\"\nhouse = \"-50 Pa\"\n" + lines }
	for name, text := range map[string]string{
		"a zone sealed on all sides":           hold("sealed = [ { between = [\"house\", \"attic\"] }, { between = [\"attic\", \"outside\"] } ]\n"),
		"a house sealed from outside":          hold("fan = \"10 cfm\"\nsealed = [ { between = [\"house\", \"outside\"] } ]\n"),
		"zone pressures beyond the hold":       hold("to_house = { attic = \"90 Pa\" }\nfan = \"2000 cfm\"\n"),
		"a zone at 0 and one at the hold":      hold("to_house = { attic = \"0 Pa\", garage = \"50 Pa\" }\nfan = \"2000 cfm\"\n"),
		"hardly any hold":                      "[[hold]]\nbaseline = \"0 Pa\"\nhouse = \"-0.5 Pa\"\nfan = \"100 cfm\"\nto_house = { attic = \"0.4 Pa\" }\n",
		"a tiny flow":                          hold("fan = \"0.01 cfm\"\nto_house = { attic = \"44 Pa\" }\n"),
		"a vast flow":                          hold("fan = \"100000 cfm\"\nto_house = { attic = \"44 Pa\" }\n"),
		"a gauge that promises no error":       "[gauge]\npressure = \"1 %\"\nwobble = \"0 Pa\"\n" + hold("to_house = { attic = \"0 Pa\" }\n"),
		"nothing but a hold":                   hold(""),
		"a second fan only":                    "[[hold]]\nhouse = \"0 Pa\"\nfans = [ { from = \"garage\", to = \"outside\", flow = \"900 cfm\" } ]\n",
		"both directions":                      hold("fan = \"2000 cfm\"\n") + "[[hold]]\nhouse = \"+50 Pa\"\nfan = \"2100 cfm\"\n",
		"a hole as large as the house":         hold("fan = \"2000 cfm\"\nopened = [ { between = [\"house\", \"outside\"], area = \"20 ft2\" } ]\n"),
		"two holds that contradict each other": hold("fan = \"2000 cfm\"\nto_house = { attic = \"44 Pa\" }\n") + hold("fan = \"500 cfm\"\nto_house = { attic = \"5 Pa\" }\n"),
	} {
		t.Run(name, func(t *testing.T) {
			f, err := Run(testkit.Sheet(t, text), Options{Working: true})
			if err != nil {
				assert.Contains(t, err.Error(), "test.toml")
				return
			}
			finite(t, f)
		})
	}
}

// Every control character of a name is gone before anything is printed.
func TestHostileNames(t *testing.T) {
	s := testkit.Sheet(t, "[[hold]]\nname = \"a\\u001b[31mb\"\nhouse = \"-50 Pa\"\nfan = \"2000 cfm\"\nopened = [ { between = [\"house\", \"at\\u202etic\"], name = \"x\\u0007\" } ]\n[[zone]]\nname = \"at\\u202etic\"\n")
	f, err := Run(s, Options{Working: true})
	require.NoError(t, err)
	text, err := json.Marshal(f)
	require.NoError(t, err)
	for _, bad := range []string{"\\u001b", "\u202e", "\\u0007", "\\u202e"} {
		assert.False(t, strings.Contains(string(text), bad), bad)
	}
}

// A refusal of the whole sheet names the file.
func TestRefusalIsAProblem(t *testing.T) {
	_, err := Run(testkit.Sheet(t, "[[hold]]\nbaseline = \"-60 Pa\"\nhouse = \"-50 Pa\"\n"), Options{})
	var p sheet.Problems
	require.ErrorAs(t, err, &p)
	assert.Equal(t, "test.toml", p[0].File)
}
