package sheet

import (
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbook/units"
)

// comparable is a sheet without what may differ after it was written and read
// again: places, and the texts of values.
func comparable(s *Sheet) *Sheet {
	c := *s
	c.File, c.folder, c.text = "", "", nil
	v := reflect.ValueOf(&c).Elem()
	strip(v)
	return &c
}

func strip(v reflect.Value) {
	switch v.Kind() {
	case reflect.Pointer:
		if !v.IsNil() {
			fresh := reflect.New(v.Type().Elem())
			fresh.Elem().Set(v.Elem())
			strip(fresh.Elem())
			v.Set(fresh)
		}
	case reflect.Slice:
		fresh := reflect.MakeSlice(v.Type(), v.Len(), v.Len())
		reflect.Copy(fresh, v)
		for i := range v.Len() {
			strip(fresh.Index(i))
		}
		v.Set(fresh)
	case reflect.Array:
		for i := range v.Len() {
			strip(v.Index(i))
		}
	case reflect.Struct:
		_, isQuantity := v.Type().FieldByName("Samples")
		for i := range v.NumField() {
			name := v.Type().Field(i).Name
			switch f := v.Field(i); {
			case !f.CanSet():
			case name == "Pos", name == "Form", isQuantity && name == "Text":
				f.SetZero()
			case name == "Text" && v.Type() == reflect.TypeFor[SpaceRef]():
				f.SetZero()
			default:
				strip(f)
			}
		}
	}
}

func roundTrip(t *testing.T, s *Sheet) *Sheet {
	t.Helper()
	data, err := Encode(s)
	require.NoError(t, err)
	again, err := Parse(data, "again.toml")
	require.NoError(t, err, string(data))
	assert.True(t, reflect.DeepEqual(comparable(s), comparable(again)), string(data))
	return again
}

func TestRoundTrip(t *testing.T) {
	files, err := filepath.Glob(filepath.Join(sheets, "*.toml"))
	require.NoError(t, err)
	require.NotEmpty(t, files)
	for _, f := range files {
		roundTrip(t, mustRead(t, filepath.Base(f)))
	}
}

func inMemory() *Sheet {
	return &Sheet{
		Job: Job{Units: Word("si"), Name: Word("a \"quoted\" name\\ with\ttab")},
		Holds: []Hold{{
			House: Written(units.Pressure(50), "50"), // no unit: written anew
			Fan:   Value(units.Flow(0.2)),
			Readings: []Reading{
				{Of: Ref("attic"), To: Ref("house"), Pressure: Written(units.Pressure(44), "44 Pa")},
				{Of: Ref("Back porch"), To: Ref("outside"), Pressure: Value(units.Pressure(1.0 / 3))},
				{Of: Ref("attic"), To: Ref("outside"), Pressure: Value(units.Pressure(-6)), PressureSD: Value(units.Pressure(1))},
			},
			Opened: []Opening{{Between: Between("house", "attic"), Area: Value(units.Area(0.025))}},
		}},
		Zones: []Zone{{Name: Word("back porch"), KindText: Word("porch"), Kind: Porch}},
	}
}

func TestInMemory(t *testing.T) {
	s := inMemory()
	require.NoError(t, s.Check())
	require.Len(t, s.Zones, 2)
	assert.True(t, s.Zones[1].Implied)
	assert.Equal(t, "back porch", s.Holds[0].Readings[1].Of.Name)
	data, err := Encode(s)
	require.NoError(t, err)
	text := string(data)
	assert.Contains(t, text, `house = "50 Pa"`)
	assert.Contains(t, text, `fan = "720 m3/h"`)
	assert.Contains(t, text, `to_house = { attic = "44 Pa" }`)
	assert.Contains(t, text, `area = "250 cm2"`)
	assert.Contains(t, text, `"back porch" = "0.333`)
	again := mustParse(t, text)
	assert.InEpsilon(t, 0.2, float64(again.Holds[0].Fan.Value), 1e-12)
	assert.InEpsilon(t, 1.0/3, float64(again.Holds[0].Readings[1].Pressure.Value), 1e-12)
}

func TestUnwritable(t *testing.T) {
	s := inMemory()
	s.Holds[0].Readings[0].Of = Ref("nowhere")
	require.Error(t, s.Check())
	_, err := Encode(s)
	assert.ErrorContains(t, err, `there is no space named "nowhere"`)
	s = inMemory()
	s.Holds[0].House = Value(units.Pressure(0) / units.Pressure(zero()))
	_, err = Encode(s)
	assert.Error(t, err, "not a number")
}

func zero() float64 { return 0 }

func TestAppend(t *testing.T) {
	path := filepath.Join(t.TempDir(), "house.toml")
	const before = "# keep me\nsheet = 1\n\n[[hold]]   # as found\nhouse = \"50 Pa\""
	require.NoError(t, os.WriteFile(path, []byte(before), 0o640))
	s, err := Read(path)
	require.NoError(t, err)
	s, err = s.Append(Hold{Name: Word("hatch"), House: Written(units.Pressure(-50), "-50 Pa"),
		Readings: []Reading{{Of: Ref("attic"), To: Ref("house"), Pressure: Value(units.Pressure(12.2))}}})
	require.NoError(t, err)
	require.Len(t, s.Holds, 2)
	got, err := os.ReadFile(path)
	require.NoError(t, err)
	assert.Equal(t, before+"\n\n[[hold]]\nname = \"hatch\"\nhouse = \"-50 Pa\"\nto_house = { attic = \"12.2 Pa\" }\n", string(got))
	s, err = s.AppendText("fan = \"2610 cfm\" # one key more of the last hold")
	require.NoError(t, err)
	assert.True(t, s.Holds[1].Fan.Given)
	s, err = s.AppendText(EncodeWalk(Walk{Step: Word("safety list"), State: Word("done")}))
	require.NoError(t, err)
	assert.Len(t, s.Walk, 1)
	info, err := os.Stat(path)
	require.NoError(t, err)
	assert.Equal(t, os.FileMode(0o640), info.Mode().Perm())
	assertAlone(t, path)
}

func assertAlone(t *testing.T, path string) {
	t.Helper()
	entries, err := os.ReadDir(filepath.Dir(path))
	require.NoError(t, err)
	assert.Len(t, entries, 1, "nothing is left beside the sheet")
}

func TestAppendRefuses(t *testing.T) {
	path := filepath.Join(t.TempDir(), "house.toml")
	require.NoError(t, os.WriteFile(path, []byte("sheet = 1\n"), 0o644))
	s, err := Read(path)
	require.NoError(t, err)

	_, err = s.AppendText("huose = \"50 Pa\"\n")
	var problems Problems
	require.ErrorAs(t, err, &problems, "what would be no sheet")

	require.NoError(t, os.WriteFile(path, []byte("sheet = 1 # changed\n"), 0o644))
	_, err = s.Append(Hold{})
	require.ErrorIs(t, err, ErrChanged)
	got, err := os.ReadFile(path)
	require.NoError(t, err)
	assert.Equal(t, "sheet = 1 # changed\n", string(got))
	assertAlone(t, path)

	require.NoError(t, os.Remove(path))
	_, err = s.Append(Hold{})
	assert.ErrorIs(t, err, os.ErrNotExist)
}

// A link to a sheet stays a link, and the line ends of the file are kept.
func TestAppendThroughLink(t *testing.T) {
	dir := t.TempDir()
	real := filepath.Join(dir, "real.toml")
	link := filepath.Join(t.TempDir(), "link.toml")
	require.NoError(t, os.WriteFile(real, []byte("sheet = 1\r\n"), 0o644))
	if err := os.Symlink(real, link); err != nil {
		t.Skip("no symbolic links here")
	}
	s, err := Read(link)
	require.NoError(t, err)
	_, err = s.Append(Hold{House: Value(units.Pressure(-50))})
	require.NoError(t, err)
	got, err := os.ReadFile(real)
	require.NoError(t, err)
	assert.Equal(t, "sheet = 1\r\n\r\n[[hold]]\r\nhouse = \"-50 Pa\"\r\n", string(got))
	info, err := os.Lstat(link)
	require.NoError(t, err)
	assert.NotZero(t, info.Mode()&os.ModeSymlink)
}

func TestCreate(t *testing.T) {
	path := filepath.Join(t.TempDir(), "new.toml")
	s, err := Create(path, inMemory())
	require.NoError(t, err)
	assert.Equal(t, path, s.File)
	s, err = s.Append(Hold{})
	require.NoError(t, err)
	assert.Len(t, s.Holds, 2)
	_, err = Create(path, inMemory())
	require.ErrorIs(t, err, os.ErrExist)
	_, err = Create(filepath.Join(path+"x", "new.toml"), inMemory())
	assert.ErrorContains(t, err, "there is no such folder")
}

func TestEncodeHoldOfFile(t *testing.T) {
	s := mustRead(t, "full.toml")
	text := EncodeHold(s.Holds[4], "ip")
	assert.True(t, strings.HasPrefix(text, "[[hold]]\n"), text)
	again := mustParse(t, "sheet = 1\n"+text)
	assert.Len(t, again.Holds[0].Readings, 2)
}
