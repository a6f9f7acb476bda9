package report

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"

	"holdbook/internal/survey"
	"holdbook/units"
)

// signedHouse is a house with a record.
func signedHouse() *survey.Findings {
	made := -50.1
	flow := q(2300, 2200, 2400, "cfm")
	return &survey.Findings{Results: 1, Job: survey.Job{Name: "Fern Street 3", Date: "2026-03-14", Units: "ip", Hold: "depressurised"},
		House: survey.House{Directions: &survey.Directions{Depressurised: *q(2000, 1900, 2100, "cfm"), Pressurised: *flow, Mean: *q(2150, 2080, 2220, "cfm"), Difference: 15, Reasons: "flaps"}},
		Standards: []survey.Standard{{Standard: "ISO 9972", Direction: "depressurised", Quantity: "q50", Result: flow, Note: "air as tested"},
			{Standard: "ISO 9972", Direction: "pressurised", Quantity: "q50", Result: flow, Note: "air as tested"}},
		CAZ: []survey.CAZ{{Name: "boiler", Baseline: -0.6, Worst: -3.1, When: "exhaust fans on", NetChange: q(-2.5, -3.2, -1.8, "Pa"), CO: "4 ppm", Verdict: "within"}},
		Record: &survey.Record{Standard: "ISO 9972", Method: "method 1", Deviations: []string{"vent sealed"}, Missing: []string{"wind", "altitude"},
			Condition: []string{"windows shut"}, Instruments: []survey.Instrument{{What: "gauge", ID: "g1"}},
			Building: []survey.Given{{What: "volume", Text: "400 m3"}}, Spaces: []survey.SpaceRecord{{Name: "attic", Found: "hatch shut", Tested: "hatch open"}},
			Readings: []survey.ReadingLine{{Hold: "as found", Time: "10:42:00", What: "house to outside", AsRead: "-51.30 Pa", Read: &made, Made: &made, Unit: units.Pascal},
				{Hold: "as found", Time: "10:42:00", What: "note", AsRead: "gusts"}},
			Other: []survey.Given{{What: "path 1", Text: "between house, attic"}}}}
}

// The record ends a text report that asks for it, and every other format with words.
func TestRecordEndsTheReport(t *testing.T) {
	assert.NotContains(t, written(t, signedHouse(), Text, Options{}), "Test record")
	for format, text := range map[string]string{"text": written(t, signedHouse(), Text, Options{Record: true}), "markdown": written(t, signedHouse(), Markdown, Options{})} {
		for _, want := range []string{"Test record", "ISO 9972", "method: method 1", "vent sealed", "windows shut", "g1", "400 m3", "hatch shut", "hatch open", "51.30 Pa", "gusts", "path 1"} {
			assert.Contains(t, text, want, format)
		}
		signature := strings.LastIndex(text, "Signed")
		assert.Greater(t, signature, strings.Index(text, "Readings as read"), format)
		assert.Equal(t, 1, strings.Count(text, "Not stated in the sheet"), format)
		assert.Equal(t, 1, strings.Count(text, "wind, altitude"), format)
	}
	assert.Contains(t, written(t, signedHouse(), JSON, Options{}), `"as_read": "-51.30 Pa"`)
	csv := written(t, signedHouse(), CSV, Options{})
	assert.Contains(t, csv, `record.readings.corrected,"house to outside, as found",-50.1,,,Pa`)
	assert.Contains(t, csv, `standards.q50,"ISO 9972, pressurised",2300,2200,2400,cfm`)
	none := signedHouse()
	none.Record = nil
	assert.NotContains(t, written(t, none, Markdown, Options{}), "Signed")
}

// Both directions, the standards' names and the worst case have tables of their own; a note of
// several lines is printed once.
func TestStandardsAreShown(t *testing.T) {
	text := written(t, signedHouse(), Text, Options{Record: true})
	assert.Contains(t, text, "Pressurised it leaks 15 % more than depressurised. Usual reasons: flaps.")
	assert.Equal(t, 1, strings.Count(text, "ISO 9972: air as tested."))
	assert.Contains(t, text, "exhaust fans on")
	assert.Contains(t, text, "Boiler, carbon monoxide: 4 ppm")
	less := signedHouse()
	less.House.Directions.Difference = -15
	assert.Contains(t, written(t, less, Text, Options{}), "15 % less")
	assert.NotContains(t, written(t, less, Text, Options{}), "By the names of standards", "nobody asked for them")
	less.Job.Standard = "ISO 9972"
	assert.Contains(t, written(t, less, Text, Options{}), "By the names of standards")
}
