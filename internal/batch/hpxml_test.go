package batch

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbook/internal/advise"
	"holdbook/internal/report"
	"holdbook/internal/report/hpxml"
	"holdbook/internal/sheet"
	"holdbook/internal/survey"
	"holdbook/internal/testkit"
)

// randomHouses is how many random sheets are made documents of.
const randomHouses = 200

// The documents of random houses, and of each compared with the one before, are what the
// standard's schema wants, whatever the readings.
func TestHPXMLOfRandomHouses(t *testing.T) {
	validate := testkit.HPXML(t)
	out := t.TempDir()
	var files []string
	var last *sheet.Sheet
	var lastFound *survey.Findings
	houses, compared := 0, 0
	for i := uint64(0); houses < randomHouses; i++ {
		s, err := sheet.Parse([]byte(randomSheet(rand.New(rand.NewPCG(4, i)))), "random.toml")
		if err != nil {
			continue
		}
		f, err := survey.Run(s, survey.Options{CurvatureOnly: i%sampledOne > 0})
		if err != nil {
			continue
		}
		var b bytes.Buffer
		require.NoError(t, report.Write(&b, f, report.HPXML, report.Options{}))
		files = append(files, kept(t, out, fmt.Sprintf("house-%d.xml", i), b.Bytes()))
		houses++
		if last != nil && i%10 == 0 {
			if p, err := advise.Compare(last, s, advise.CompareOptions{Options: survey.Options{CurvatureOnly: true}}); err == nil {
				b.Reset()
				require.NoError(t, hpxml.WriteComparison(&b, []*advise.ComparePlan{p}, []*survey.Findings{lastFound, f}, report.Options{}))
				files, compared = append(files, kept(t, out, fmt.Sprintf("compared-%d.xml", i), b.Bytes())), compared+1
			}
		}
		last, lastFound = s, f
	}
	assert.Empty(t, validate(files...))
	t.Logf("%d houses, %d comparisons", houses, compared)
}

func kept(t *testing.T, folder, name string, text []byte) string {
	t.Helper()
	path := filepath.Join(folder, name)
	require.NoError(t, os.WriteFile(path, text, 0o666))
	return path
}
