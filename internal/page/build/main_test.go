package main

import (
	"encoding/ascii85"
	"math/rand/v2"
	"os"
	"os/exec"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const frame = `<meta content="[[POLICY]]"><style>[[STYLE]]</style><script type="text/plain">[[WORKER]]</script>[[DEMO]][[ENGINE]]<script>[[SCRIPT]]</script>`

// The hash is that of FIPS 180-4's example "abc" (SHA-256, appendix B.1 of FIPS 180-2), in
// base64.
func TestAssemble(t *testing.T) {
	page, err := assemble(frame, parts{style: "p {}", script: "abc", worker: "w", demo: "d", engine: "e"})
	require.NoError(t, err)
	assert.Contains(t, string(page), "script-src 'sha256-ungWv48Bz+pBQUDeXa4iI7ADYaOWF3qctBD/YfIAFa0=' 'wasm-unsafe-eval';")
	assert.Contains(t, string(page), "default-src 'none'")
	assert.NotContains(t, string(page), "unsafe-inline")
	assert.True(t, strings.HasSuffix(string(page), `<script type="text/plain">w</script>de<script>abc</script>`))
	for _, bad := range []parts{{script: "x = '</Script>'"}, {style: "</style>"}, {worker: "<!-- x"}, {demo: "</script"}} {
		_, err := assemble(frame, bad)
		require.ErrorContains(t, err, "would end its element")
	}
	_, err = assemble("<p>[[POLICY]][[STYLE]]", parts{})
	require.ErrorContains(t, err, "not one place for [[SCRIPT]]")
}

// What only a terminal needs stays out of the page: it would be a tenth of the file.
func TestTheEngineLinksNoTableLibrary(t *testing.T) {
	list := exec.Command("go", "list", "-deps", "holdbook/internal/page")
	list.Env = append(os.Environ(), "GOOS=js", "GOARCH=wasm")
	out, err := list.Output()
	require.NoError(t, err)
	linked := strings.Fields(string(out))
	assert.Contains(t, linked, "holdbook/internal/page/engine")
	for _, not := range []string{"github.com/olekukonko/tablewriter", "html/template", "text/template", "github.com/urfave/cli/v2"} {
		assert.NotContains(t, linked, not)
	}
}

func TestDrawingStyle(t *testing.T) {
	rules, err := drawingStyle("x {}\n.space { a }\n.page { b }\n@media print { c }\n@media (x) { d }")
	require.NoError(t, err)
	assert.Equal(t, ".space { a }\n.page { b }\n", rules)
	for _, bad := range []string{"", "\n.space { a }", "@media"} {
		_, err := drawingStyle(bad)
		require.ErrorContains(t, err, "style of drawings")
	}
}

// Data is written without a character that could begin a tag, and read back.
func TestWritten(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for n := range 300 {
		data := make([]byte, n)
		for i := range data {
			data[i] = byte(r.IntN(256)) * byte(r.IntN(2)) // zeros among them
		}
		text := written(data)
		require.NotContains(t, text, "<")
		back := make([]byte, 4*len(text)+4)
		k, _, err := ascii85.Decode(back, []byte(strings.ReplaceAll(text, "v", "<")), true)
		require.NoError(t, err)
		require.Equal(t, data, back[:k])
	}
}
