package command

import (
	"encoding/json"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"holdbook/ductleak"
	"holdbook/internal/sheet"
)

// Every key of the sheet can be looked up, with its type, its example and its meaning, and
// by its table alone.
func TestEveryKeyIsListed(t *testing.T) {
	got := run("", "keys", "--format", "json")
	require.Equal(t, 0, got.status, got.errors)
	var list []struct{ Key, Type, Example, Help string }
	require.NoError(t, json.Unmarshal([]byte(got.out), &list))
	require.Len(t, list, len(sheet.Keys()))
	text := run("", "keys").out
	for _, k := range list {
		assert.NotEmpty(t, k.Type, k.Key)
		assert.NotEmpty(t, k.Help, k.Key)
		assert.Equal(t, strings.HasPrefix(k.Type, "table"), k.Example == "", k.Key)
		assert.Regexp(t, `(?m)^`+k.Key[strings.LastIndex(k.Key, ".")+1:]+` `, text)
	}
	hold := run("", "keys", "[[hold]]").out
	assert.Regexp(t, `(?m)^baseline_samples +\["-1\.2 Pa"\] +the single values of baseline$`, hold)
	assert.Regexp(t, `(?m)^fan +"2280 cfm" +door-fan flow as read; or a list of\n +samples$`, hold)
	assert.Regexp(t, `(?m)^shows +"flow" .*\n.*one of flow or at 50 Pa; flow where it`, run("", "keys", "door_fan").out)
	assert.NotContains(t, hold, "[[zone]]")
	assert.Contains(t, run("", "keys", "vented").out, `it has vents to outside`)
	assert.Equal(t, 2, run("", "keys", "no such word").status)
	assert.Equal(t, 2, run("", "keys", "hold", "fan").status)
}

// Every published limit can be looked up, with document and edition, and its name can be
// copied whole.
func TestEveryLimitIsListed(t *testing.T) {
	text := run("", "limits").out
	for _, l := range ductleak.Limits() {
		assert.Regexp(t, `(?m)^`+l.ID+` `, text)
	}
	assert.Contains(t, run("", "limits", "room").out, "Florida Mechanical")
	assert.NotContains(t, run("", "limits", "garage").out, "iecc")
	assert.Contains(t, run("", "limits", "minergie-new", "--units", "si").out, "m³/(h·m²)")
	assert.Equal(t, 2, run("", "limits", "garbage").status)
	var list []map[string]string
	require.NoError(t, json.Unmarshal([]byte(run("", "limits", "--format", "json").out), &list))
	assert.Len(t, list, len(ductleak.Limits()))
}
