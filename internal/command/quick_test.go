package command

import (
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// quicks are all quick commands with the words that name them.
func quicks() map[string]*quick {
	all := map[string]*quick{"house": &houseQuick, "zone": &zoneQuick}
	for i := range ductTests {
		all["duct "+ductTests[i].name] = &ductTests[i]
	}
	return all
}

// A quick command with all its flags, each at its sample, answers as the sheet that
// it keeps does.
func TestQuickAnswerIsThatOfItsSheet(t *testing.T) {
	for name, q := range quicks() {
		t.Run(name, func(t *testing.T) {
			kept := filepath.Join(t.TempDir(), "kept.toml")
			line := append(strings.Fields(name), "--format", "json", "--save", kept)
			for _, r := range q.rows {
				line = append(line, dashed(r.flag), r.kind.value(r.sample).sample)
			}
			if q.arg != nil && q.arg.lacking != "" {
				line = append(line, q.arg.sample)
			}
			quick := run("", line...)
			require.Equal(t, 0, quick.status, quick.errors)
			report := run("", "report", kept, "--format", "json")
			require.Equal(t, 0, report.status, report.errors)
			assert.JSONEq(t, report.out, quick.out)
		})
	}
}

// A needed flag that is missing is asked for with the sample of its row, and the
// line that results is good.
func TestNeededFlagsAreAskedFor(t *testing.T) {
	for name, q := range quicks() {
		line := strings.Fields(name)
		if q.arg != nil && q.arg.lacking != "" {
			line = append(line, q.arg.sample)
		}
		got := run("", line...)
		for _, r := range q.rows {
			if r.need != "" {
				assert.Equal(t, 2, got.status, name)
				assert.Contains(t, got.errors, dashed(r.flag)+" ("+r.need+")", name)
				assert.Contains(t, got.errors, dashed(r.flag)+" "+r.sample, name)
			}
		}
	}
}
