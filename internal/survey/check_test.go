package survey_test

import (
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbook/internal/check"
	"holdbook/internal/sheet"
	"holdbook/internal/survey"
)

// Whatever the sheet, the check ends, names places that are there, and prints no
// number that is none.
func TestCheckOnRandomSheets(t *testing.T) {
	if testing.Short() {
		t.Skip("many random sheets: left out with -short")
	}
	r := rand.New(rand.NewPCG(17, 3))
	for used := 0; used < 25; {
		text := survey.RandomSheet(r)
		s, err := sheet.Parse([]byte(text), "random.toml")
		if err != nil {
			continue
		}
		used++
		c := check.Sheet(s, survey.Options{}, time.Date(2026, 11, 1, 12, 0, 0, 0, time.UTC))
		lines := strings.Count(text, "\n")
		for _, i := range c.Items {
			assert.LessOrEqual(t, i.Line, lines, text)
			assert.NotEmpty(t, i.Text)
			for _, bad := range []string{"NaN", "Inf", "?", "%!"} {
				assert.NotContains(t, i.Text+i.Look, bad, text)
			}
		}
		assert.Equal(t, c.Usable, c.Count(check.Blocks) == 0)
	}
}

// Samples that ran away are warned of, steady ones are not.
func TestCheckSamples(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 3))
	running := make([]string, 60)
	for i := range running {
		running[i] = fmt.Sprintf(`"%.2f Pa"`, -46-float64(i)/10+0.3*rng.NormFloat64())
	}
	sheet := func(house string) string {
		return "[[hold]]\nbaseline = " + survey.Gusts(rng, 60, -1, 0.5, 0.3) + "\nhouse = " + house + "\nfan = \"2000 cfm\"\n"
	}
	texts := func(text string) string {
		var b strings.Builder
		for _, i := range check.Sheet(mustParse(t, text), survey.Options{}, time.Time{}).Items {
			if i.Level != check.Remarks {
				fmt.Fprintln(&b, i.About, i.Text)
			}
		}
		return b.String()
	}
	assert.Contains(t, texts(sheet("["+strings.Join(running, ", ")+"]")), "its samples ran from one end to the other by -6")
	assert.Empty(t, texts(sheet(survey.Gusts(rng, 60, -51, 0.5, 0.3))))
}

// mustParse is a sheet without its first line.
func mustParse(t *testing.T, text string) *sheet.Sheet {
	t.Helper()
	s, err := sheet.Parse([]byte("sheet = 1\n"+text), "test.toml")
	require.NoError(t, err)
	return s
}
