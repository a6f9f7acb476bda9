package batch

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const mark = "<HPXML "

func folder(t *testing.T) *Folder {
	t.Helper()
	f, err := OpenFolder(filepath.Join(t.TempDir(), "new", "documents"), ".xml", mark)
	require.NoError(t, err)
	return f
}

// A name is that of the sheet where it is safe; else a sum of the sheet's whole name is
// behind it (the SHA-256 of nothing begins e3b0c442, FIPS 180-4). Names that Windows has
// for devices are none.
func TestNamesOfFiles(t *testing.T) {
	f := folder(t)
	for _, c := range [][2]string{
		{"a/b/house.toml", "house.xml"}, {`c:\stock\house2.toml`, "house2.xml"}, {"../../etc/passwd", "passwd.xml"}, {"company.toml", "company.xml"},
		{"COM10.toml", "COM10.xml"}, {"stock/house 1.toml", "house-1-e058849f.xml"}, {"", "sheet-e3b0c442.xml"}, {"..", "sheet-5ec1f7e7.xml"},
		{"CON.toml", "sheet-CON-fce7a092.xml"}, {"com1.x", "sheet-com1.x-e872d775.xml"}, {"lpt9.toml", "sheet-lpt9-66d3f504.xml"}, {"nul", "sheet-nul-99e62427.xml"},
		{"-rf.toml", "rf-bea089ea.xml"}, {"Häuschen.toml", "H-uschen-45e39a4c.xml"}, {"x\x00y\n.toml", "x-y-2559b0e2.xml"},
		{"b/HOUSE.toml", "HOUSE-2ed09471.xml"}, {"c/house.toml", "house-12876f64.xml"}, {"c/house.toml", "house-12876f64-2.xml"},
		{"d/com10.toml", "com10-2858a354.xml"},
	} {
		assert.Equal(t, c[1], f.name(c[0]), "%q", c[0])
	}
	long := strings.Repeat("x", longestName)
	assert.Equal(t, long+".xml", f.name(long+".toml"))
	assert.Equal(t, long, safeName(long+"y"))
	assert.NotEqual(t, f.name(long+"y.toml"), f.name(long+"z.toml"))
}

// Two sheets never share a file, whatever their names.
func FuzzNamesOfFiles(f *testing.F) {
	f.Add("a/house.toml", "b/house.toml")
	f.Add("CON", "con.toml")
	f.Add("é", "é")
	f.Fuzz(func(t *testing.T, a, b string) {
		d := &Folder{ending: ".xml", taken: map[string]bool{}}
		one, two := d.name(a), d.name(b)
		require.False(t, strings.EqualFold(one, two), "%q %q", one, two)
		for _, name := range []string{one, two} {
			require.Regexp(t, `^[A-Za-z0-9_][A-Za-z0-9._-]*\.xml$`, name)
			require.Less(t, len(name), 120)
		}
	})
}

// A document takes the place of one of an earlier run in one step, and of nothing else.
func TestFolderReplacesOnlyItsOwn(t *testing.T) {
	f := folder(t)
	path, err := f.Write("house.toml", []byte(mark+"1>"))
	require.NoError(t, err)
	require.Equal(t, filepath.Join(f.path, "house.xml"), path)
	again, err := OpenFolder(f.path, ".xml", mark)
	require.NoError(t, err)
	_, err = again.Write("house.toml", []byte(mark+"2>"))
	require.NoError(t, err)
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	require.Equal(t, mark+"2>", string(text))

	other := filepath.Join(f.path, "log.xml")
	require.NoError(t, os.WriteFile(other, []byte("time, pressure\n"), 0o666))
	_, err = again.Write("log.toml", []byte(mark))
	require.ErrorContains(t, err, "left as it is")
	require.NoError(t, os.Mkdir(filepath.Join(f.path, "sub.xml"), 0o777))
	_, err = again.Write("sub.toml", []byte(mark))
	require.ErrorAs(t, err, new(*NotOursError))
	text, err = os.ReadFile(other)
	require.NoError(t, err)
	require.Equal(t, "time, pressure\n", string(text))
	entries, err := os.ReadDir(f.path)
	require.NoError(t, err)
	require.Len(t, entries, 3, "nothing half-written is left")
}

// The mark counts only at the begin of a file.
func TestMarkStandsNearTheBegin(t *testing.T) {
	f := folder(t)
	for name, at := range map[string]int{"near": markWithin - len(mark), "far": markWithin - len(mark) + 1} {
		require.NoError(t, os.WriteFile(filepath.Join(f.path, name+".xml"), []byte(strings.Repeat(" ", at)+mark), 0o666))
		_, err := f.Write(name+".toml", []byte(mark))
		require.Equal(t, name == "near", err == nil, name)
	}
}

func TestFolderIsAFile(t *testing.T) {
	path := filepath.Join(t.TempDir(), "file")
	require.NoError(t, os.WriteFile(path, nil, 0o666))
	_, err := OpenFolder(path, ".xml", mark)
	require.Error(t, err)
	require.Contains(t, err.Error(), path)
}
