package survey_test

import (
	"encoding/json"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"holdbook/internal/advise"
	"holdbook/internal/sheet"
	"holdbook/internal/survey"
)

// Whatever the sheets, there is a comparison without a number that is none, or an
// error with a remedy; never a panic.
func TestCompareRandomSheets(t *testing.T) {
	if testing.Short() {
		t.Skip("many random sheets: left out with -short")
	}
	r := rand.New(rand.NewPCG(9, 13))
	var last *sheet.Sheet
	for used := 0; used < 12; {
		s, err := sheet.Parse([]byte(survey.RandomSheet(r)), "random.toml")
		if err != nil {
			continue
		}
		if last != nil {
			used++
			p, err := advise.Compare(last, s, advise.CompareOptions{Options: survey.Options{CurvatureOnly: used%4 > 0}, Sealed: []string{"attic"}})
			if err != nil {
				require.Contains(t, err.Error(), "random.toml")
			} else {
				_, err = json.Marshal(p)
				require.NoError(t, err)
			}
		}
		last = s
	}
}

// Whatever the sheet, there is a plan without a number that is none, or an error
// with a remedy; never a panic.
func TestNextOnRandomSheets(t *testing.T) {
	if testing.Short() {
		t.Skip("many random sheets: left out with -short")
	}
	r := rand.New(rand.NewPCG(8, 12))
	for used := 0; used < 12; {
		text := survey.RandomSheet(r)
		s, err := sheet.Parse([]byte(text), "random.toml")
		if err != nil {
			continue
		}
		used++
		p, err := advise.Next(s, advise.NextOptions{Options: survey.Options{CurvatureOnly: used%4 > 0}})
		if err != nil {
			require.Contains(t, err.Error(), "random.toml", text)
			continue
		}
		_, err = json.Marshal(p)
		require.NoError(t, err, text)
	}
}
