package report

import (
	"bytes"
	"encoding/json"
	"os"
	"reflect"
	"regexp"
	"strings"
	"testing"

	reflected "github.com/invopop/jsonschema"
	"github.com/santhosh-tekuri/jsonschema/v6"
	"github.com/stretchr/testify/require"

	"holdbook/internal/survey"
	"holdbook/units"
)

const schemaFile = "schema.json"

// The schema is made of the types of the findings: their tags and their comments.
func TestSchemaIsOfTheFindings(t *testing.T) {
	got := schemaOf(t)
	if *update {
		require.NoError(t, os.WriteFile(schemaFile, got, 0o644))
	}
	want, err := os.ReadFile(schemaFile)
	require.NoError(t, err)
	require.Equal(t, string(want), string(got), "the findings have changed: run go test with -update and look at the difference")
}

// schemaOf is the JSON Schema (draft 2020-12) of a row of a batch, and so of a report.
func schemaOf(t *testing.T) []byte {
	t.Helper()
	r := &reflected.Reflector{ExpandedStruct: true, AllowAdditionalProperties: true, Anonymous: true, Namer: schemaName,
		Mapper: func(of reflect.Type) *reflected.Schema {
			if of == reflect.TypeFor[units.Unit]() {
				return &reflected.Schema{Type: "string"}
			}
			return nil
		}}
	require.NoError(t, r.AddGoComments("holdbook/internal/report", "../survey", reflected.WithFullComment()))
	for k, text := range r.CommentMap {
		text = strings.Join(strings.Fields(text), " ")
		if said, ok := strings.CutPrefix(text, k[strings.LastIndex(k, ".")+1:]+" is "); ok {
			text = sentence(said) // of the thing, not of the Go type
		}
		r.CommentMap[k] = text
	}
	s := r.Reflect(resultsRow{})
	s.ID, s.Title = "urn:holdbook:results:1", "Results of holdbook"
	s.Description = "What `holdbook report --format json` prints. Keys keep their meaning within a version of results; new keys may be added. A quantity that the readings do not touch is left out."
	text, err := json.MarshalIndent(s, "", "  ")
	require.NoError(t, err)
	return append(text, '\n')
}

// schemaName is the name of a type in the schema.
func schemaName(of reflect.Type) string {
	switch of {
	case reflect.TypeFor[survey.Q]():
		return "estimate"
	case reflect.TypeFor[survey.LimitCheck]():
		return "limit"
	case reflect.TypeFor[survey.RoomPressure]():
		return "room"
	}
	return strings.ToLower(capital.ReplaceAllString(of.Name(), "${1}_$2"))
}

var capital = regexp.MustCompile(`(.)([A-Z])`)

func compiled(t *testing.T) *jsonschema.Schema {
	t.Helper()
	text, err := os.ReadFile(schemaFile)
	require.NoError(t, err)
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(text))
	require.NoError(t, err)
	c := jsonschema.NewCompiler()
	require.NoError(t, c.AddResource("urn:holdbook:results:1", doc))
	s, err := c.Compile("urn:holdbook:results:1")
	require.NoError(t, err)
	return s
}
