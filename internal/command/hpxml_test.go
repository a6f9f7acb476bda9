package command

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbook/internal/testkit"
)

// The documents of all sheets that are kept, and of comparisons of them, are what the
// standard's schema wants.
func TestHPXMLOfSheets(t *testing.T) {
	validate := testkit.HPXML(t)
	out := t.TempDir()
	good, err := filepath.Glob(filepath.Join(testdata, "good", "*.toml"))
	require.NoError(t, err)
	require.Len(t, good, 20)
	names := []string{"demo.toml", "sheets/full.toml", "sheets/coupled.toml", "sheets/shortest.toml", "tour/house.toml", "tour/after.toml"}
	for _, g := range good {
		names = append(names, "good/"+filepath.Base(g))
	}
	var files []string
	for _, name := range names {
		files = append(files, filepath.Join(out, goldenName(name)+".xml"))
		require.NoError(t, os.WriteFile(files[len(files)-1], []byte(reported(t, name, "hpxml")), 0o666))
	}
	compared := 0
	for _, pair := range [][2]string{{"tour/house.toml", "tour/after.toml"}, {"sheets/full.toml", "demo.toml"},
		{"good/house02.toml", "good/house03.toml"}, {"good/house04.toml", "good/house05.toml"}, {"good/house06.toml", "good/house07.toml"},
		{"good/house08.toml", "good/house09.toml"}, {"good/house10.toml", "good/house11.toml"}, {"good/house12.toml", "good/house13.toml"},
		{"good/house14.toml", "good/house15.toml"}, {"good/house17.toml", "good/house18.toml"}, {"good/house01.toml", "good/house20.toml"}} {
		file := filepath.Join(out, fmt.Sprintf("compared-%d.xml", compared))
		if r := run("", "compare", sheetFile(t, pair[0]), sheetFile(t, pair[1]), "-o", file); r.status == 0 {
			files, compared = append(files, file), compared+1
		} else {
			t.Logf("%s and %s do not compare: %s", pair[0], pair[1], r.errors)
		}
	}
	require.GreaterOrEqual(t, compared, 10)
	assert.Empty(t, validate(files...))
	t.Logf("%d documents, %d of them comparisons", len(files), compared)
}

// Faults planted in a document are refused, one and all: the schema is in force. That
// what is pointed to is there xmllint does not look at; hpxml.TestIdentifiers does.
func TestHPXMLFaultsAreRefused(t *testing.T) {
	validate := testkit.HPXML(t)
	out, text := t.TempDir(), reported(t, "demo.toml", "hpxml")
	var files []string
	for i, fault := range [][2]string{
		{"<EventType>audit</EventType>", "<EventType>survey</EventType>"},
		{`<SystemIdentifier id="space-1">`, `<SystemIdentifier id="zone-1">`},
		{`id="site-1"`, `id="1 site"`},
		{"<HousePressure>50<", "<HousePressure>-50<"},
		{"<AirLeakage>", "<AirLeakage>-"},
		{"<UnitofMeasure>CFM<", "<UnitofMeasure>cfm<"},
		{"<Hours>5<", "<Hours>5.5<"},
		{"<WindConditions>normal</WindConditions>", ""},
		{"<Date>2026-03-14</Date>", "<Date>14 March 2026</Date>"},
		{"<Units>CFM25</Units>", "<Units>CFM75</Units>"},
		{"<AnnualHeatingDistributionSystemEfficiency>0.", "<AnnualHeatingDistributionSystemEfficiency>7."},
		{`schemaVersion="4.2"`, `schemaVersion="9"`},
		{"<ZoneName>", "<NameOfZone>attic</NameOfZone><ZoneName>"},
	} {
		changed := strings.Replace(text, fault[0], fault[1], 1)
		require.NotEqual(t, text, changed, fault[0])
		if fault[1] == "" { // what may be left out is put in the wrong place
			changed = strings.Replace(changed, "<HousePressure>", fault[0]+"<HousePressure>", 1)
		}
		files = append(files, filepath.Join(out, fmt.Sprintf("fault-%d.xml", i)))
		require.NoError(t, os.WriteFile(files[i], []byte(changed), 0o666))
	}
	faults := validate(files...)
	for _, file := range files {
		assert.NotEmpty(t, faults[file], filepath.Base(file))
		first, _, _ := strings.Cut(faults[file], "\n")
		t.Log(strings.TrimPrefix(first, out))
	}
}
