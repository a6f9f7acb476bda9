package command

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"reflect"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/urfave/cli/v2"

	"holdbook/internal/sheet"
)

// TestGoldenSheetsUseEveryTable: a table of the readings file that no golden
// sheet uses would have no answer kept.
func TestGoldenSheetsUseEveryTable(t *testing.T) {
	all, used := map[string]bool{}, map[string]bool{}
	tablesIn(reflect.TypeFor[sheet.Sheet](), all)
	require.GreaterOrEqual(t, len(all), 20)
	for _, name := range goldenSheets {
		path := filepath.Join(testdata, filepath.FromSlash(name))
		if strings.HasPrefix(name, "tour/") {
			path = tourSheet(t, filepath.Base(path))
		}
		s, err := sheet.Read(path)
		require.NoError(t, err)
		tablesUsed(reflect.ValueOf(*s), used)
	}
	for name := range all {
		assert.True(t, used[name], "no golden sheet has a %s", name)
	}
}

// isTable tells the types that hold a table of the file: each has a place and
// takes a note.
func isTable(t reflect.Type) bool {
	if t.Kind() != reflect.Struct {
		return false
	}
	_, place := t.FieldByName("Pos")
	_, note := t.FieldByName("Note")
	return place && note
}

// tablesIn collects the tables that a type can hold.
func tablesIn(t reflect.Type, all map[string]bool) {
	switch t.Kind() {
	case reflect.Pointer, reflect.Slice:
		tablesIn(t.Elem(), all)
	case reflect.Struct:
		if isTable(t) {
			all[t.Name()] = true
		}
		for i := range t.NumField() {
			if t.Field(i).IsExported() {
				tablesIn(t.Field(i).Type, all)
			}
		}
	}
}

// tablesUsed collects the tables that a sheet has: those with a place.
func tablesUsed(v reflect.Value, used map[string]bool) {
	switch v.Kind() {
	case reflect.Pointer:
		if !v.IsNil() {
			tablesUsed(v.Elem(), used)
		}
	case reflect.Slice:
		for i := range v.Len() {
			tablesUsed(v.Index(i), used)
		}
	case reflect.Struct:
		if isTable(v.Type()) && !v.FieldByName("Pos").IsZero() {
			used[v.Type().Name()] = true
		}
		for i := range v.NumField() {
			if v.Type().Field(i).IsExported() {
				tablesUsed(v.Field(i), used)
			}
		}
	}
}

// TestGoldenSheetsUseEveryDuctTest: what the examples of the duct commands
// answer, some golden answer has too.
func TestGoldenSheetsUseEveryDuctTest(t *testing.T) {
	inSheets := map[string]bool{}
	for _, name := range goldenSheets {
		text, err := os.ReadFile(filepath.Join(testdata, "golden", goldenName(name)+".json"))
		require.NoError(t, err)
		aboutDucts(t, text, inSheets)
	}
	commands := 0
	leaves(func(c *cli.Command) {
		if !strings.HasPrefix(helpName(c), "duct ") {
			return
		}
		commands++
		inExamples := map[string]bool{}
		for _, line := range examples(c) {
			r := run("", append(words(strings.TrimPrefix(line, Name+" ")), "--format", "json")...)
			require.Equal(t, 0, r.status, r.errors)
			aboutDucts(t, []byte(r.out), inExamples)
		}
		assert.NotEmpty(t, inExamples, "%s: its examples answer nothing", helpName(c))
		for name := range inExamples {
			assert.True(t, inSheets[name], "no golden sheet has what %s answers: %s", helpName(c), name)
		}
	})
	assert.GreaterOrEqual(t, commands, 6)
}

// aboutDucts collects the keys under which results tell of the ducts, and the
// names of the tests among them, without the register or the like that a name
// goes on with after a comma.
func aboutDucts(t *testing.T, results []byte, names map[string]bool) {
	t.Helper()
	var found struct{ Ducts map[string]json.RawMessage }
	require.NoError(t, json.Unmarshal(results, &found))
	for key, value := range found.Ducts {
		if !bytes.Equal(value, []byte("[]")) {
			names[key] = true
		}
	}
	if found.Ducts["tests"] == nil {
		return
	}
	var tests []struct{ Name string }
	require.NoError(t, json.Unmarshal(found.Ducts["tests"], &tests))
	for _, test := range tests {
		name, _, _ := strings.Cut(test.Name, ",")
		names[name] = true
	}
}

// words splits the command line of an example, which quotes nothing but spaces.
func words(line string) []string {
	list := regexp.MustCompile(`"[^"]*"|\S+`).FindAllString(line, -1)
	for i, w := range list {
		list[i] = strings.Trim(w, `"`)
	}
	return list
}
