package testkit

import (
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// HPXML holds documents to the schema in the folder that HOLDBOOK_HPXML names, with
// xmllint: it gives what is wrong with each of the files that are not valid. Where
// either is lacking the test is skipped.
func HPXML(t *testing.T) func(files ...string) map[string]string {
	t.Helper()
	schema := filepath.Join(os.Getenv("HOLDBOOK_HPXML"), "HPXML.xsd")
	lint, err := exec.LookPath("xmllint")
	if _, there := os.Stat(schema); os.Getenv("HOLDBOOK_HPXML") == "" || there != nil || err != nil {
		t.Skip("HOLDBOOK_HPXML names no schema, or xmllint is not there")
	}
	return func(files ...string) map[string]string {
		t.Helper()
		require.NotEmpty(t, files)
		told, _ := exec.Command(lint, append([]string{"--nonet", "--noout", "--schema", schema}, files...)...).CombinedOutput()
		faults, lines := map[string]string{}, strings.Split(string(told), "\n")
		for _, file := range files {
			valid := false
			for _, line := range lines {
				switch {
				case line == file+" validates":
					valid = true
				case strings.HasPrefix(line, file+":"):
					faults[file] += line + "\n"
				}
			}
			if !valid && faults[file] == "" {
				faults[file] = "xmllint said nothing of it: " + string(told)
			}
		}
		return faults
	}
}
