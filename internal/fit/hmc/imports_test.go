package hmc

import (
	"os/exec"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// Chains are the tests' oracle: nothing but tests imports this package, so neither the
// program nor a package that others build on runs them.
func TestImportedByTestsAlone(t *testing.T) {
	const self = "holdbook/internal/fit/hmc"
	list := func(what string) []string {
		out, err := exec.Command("go", "list", "-f", `{{.ImportPath}} {{join .`+what+` " "}}`, "holdbook/...").CombinedOutput()
		require.NoError(t, err, "%s", out)
		return strings.Split(strings.TrimSpace(string(out)), "\n")
	}
	importers := func(lines []string) (all []string) {
		for _, line := range lines {
			packages := strings.Fields(line)
			for _, p := range packages[1:] {
				if p == self {
					all = append(all, packages[0])
				}
			}
		}
		return all
	}
	require.Empty(t, importers(list("Imports")))
	require.Equal(t, []string{"holdbook/ductleak", "holdbook/zonal"}, importers(list("TestImports")), "who checks draws against chains")
}
