package sheet

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// besides are keys that another one needs beside it to say something.
var besides = map[string]string{
	"path.exponent_sd": "exponent", "caz.limit": "document", "path.spread": "flow_50", "hold.fan_scaled_to": "fan",
	"hold.readings.of": "pressure", "hold.readings.to": "pressure", "hold.readings.baseline": "pressure",
	"hold.readings.sd": "pressure", "hold.readings.note": "flow",
	"hold.opened.ajar": "leaf", "hold.opened.leaf": "ajar",
	"duct.length": "diameter", "duct.diameter": "length",
	"limit.document": "name", "limit.note": "name", "limit.quantity": "at_most", "limit.at_most": "quantity", "limit.at_least": "quantity",
}

// around is a sheet in which a table has one key and those it cannot do without.
func around(path string, t *table, k *Key) string {
	under := strings.Split(path, ".")
	text := "sheet = 1\n"
	if path == "sheet" {
		return text
	}
	for i := 1; i < len(under); i++ {
		header := strings.Join(under[:i], ".")
		if LookUp(header).Max > 0 {
			header = "[" + header + "]"
		}
		text += "[" + header + "]\n"
	}
	for _, other := range t.keys {
		if other != k && (other.Must || other.Name == besides[path]) {
			text += other.Name + " = " + other.Example() + "\n"
		}
	}
	return text + k.Name + " = " + k.Example() + "\n"
}

// eachKey goes through the keys that are no tables, with their paths.
func eachKey(t *table, under string, do func(path string, t *table, k *Key)) {
	for _, k := range t.keys {
		if k.inner == nil {
			do(under+k.Name, t, k)
		} else {
			eachKey(k.inner(), under+k.Name+".", do)
		}
	}
}

// Every key is read with the value that the list shows for it and is written
// again as it was, and the list gives it as its tags have it.
func TestEveryKeyIsReadAndWritten(t *testing.T) {
	count := 0
	eachKey(root(), "", func(path string, tab *table, k *Key) {
		count++
		text := around(path, tab, k)
		if path == "register.hold" {
			text += "[[hold]]\nname = \"as found\"\n"
		}
		s, err := Parse([]byte(text), path)
		if !assert.NoError(t, err, text) {
			return
		}
		data, err := Encode(s)
		require.NoError(t, err)
		written := k.Name + " = "
		if k.instead != "" {
			written = k.instead + " = "
		} else if path == "hold.readings.samples" {
			written = "pressure = "
		}
		assert.Contains(t, string(data), written, text)
	})
	assert.Greater(t, count, 150)
}

// The list is what help and manual pages show: every key says what it is.
func TestKeysTellWhatTheyAre(t *testing.T) {
	for _, k := range Keys() {
		assert.NotEmpty(t, k.Help, "%s %s", k.Table, k.Name)
		assert.False(t, strings.HasSuffix(k.Help, "."), k.Help)
		assert.LessOrEqual(t, len(k.Help), 90, k.Help)
		if k.inner == nil {
			assert.NotEmpty(t, k.Example(), "%s %s", k.Table, k.Name)
		}
	}
	assert.Equal(t, "1 % or 0.25 Pa", LookUp("gauge.pressure").Default)
	assert.Equal(t, `"total" or "outside"`, LookUp("duct_test.method").wanted())
	assert.True(t, LookUp("hold.fans.flow").Must)
	assert.Equal(t, 500, LookUp("hold.to_house").Max)
	assert.Panics(t, func() { LookUp("hold.flow") })
}
