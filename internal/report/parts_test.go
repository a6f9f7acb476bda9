package report

import (
	"bytes"
	"encoding/json"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// What the parts say is what the text says, word for word and digit for digit.
func TestPartsSayWhatTheTextSays(t *testing.T) {
	for name, house := range houses {
		f := house(t)
		var text, raw bytes.Buffer
		require.NoError(t, Write(&text, f, Text, Options{Width: 1000, Working: true, Priors: true, full: true}))
		require.NoError(t, Write(&raw, f, Parts, Options{}))
		var d partsDocument
		require.NoError(t, json.Unmarshal(raw.Bytes(), &d))
		require.NotEmpty(t, d.Sections)
		squeezed := func(s string) string { return strings.Join(strings.Fields(s), " ") }
		all := squeezed(text.String())
		drawings, cells := 0, 0
		for _, s := range d.Sections {
			drawings += len(s.Drawings)
			if s.ID == "owner" {
				continue // in the words of a page alone
			}
			for _, p := range append(append(append([]string{s.Heading}, s.Lead...), s.After...), said(s.Notices)...) {
				assert.Contains(t, all, squeezed(p), "%s, %s", name, s.ID)
				assert.NotRegexp(t, `holdbook [a-z]|--[a-z]`, p, "who reads parts has no command line")
			}
			if s.Table == nil {
				continue
			}
			for _, row := range s.Table.Rows {
				require.Len(t, row, len(s.Table.Heads))
				for i, c := range row {
					if s.Table.Right[i] && regexp.MustCompile(`^-?[0-9.]+$`).MatchString(c.Value) && s.ID != "record" {
						cells++
						assert.Contains(t, all, c.Value, "%s, %s", name, s.ID)
					}
				}
			}
		}
		assert.Equal(t, 6, drawings, name)
		assert.Greater(t, cells, 40, name)
	}
}

// What is to be typed is left out with its sentence, and what stands beside it stays.
func TestPartsLeaveCommandsOut(t *testing.T) {
	for text, want := range map[string]string{
		"In brackets: 90 % intervals. The whole report: --working.":                                       "In brackets: 90 % intervals.",
		"IF ALL OF IT IS SEALED: on the whole leak. Crews rarely get all: --fraction 0.8 counts on 80 %.": "IF ALL OF IT IS SEALED: on the whole leak.",
		"2 more remarks: holdbook check on a sheet, or --working.":                                        "",
		"Leaks 1780 cfm. A holdbook of one's own – holds by hand.":                                        "Leaks 1780 cfm. A holdbook of one's own – holds by hand.",
	} {
		got := linesOf([]string{text})
		if want == "" {
			assert.Empty(t, got, text)
		} else {
			assert.Equal(t, []string{want}, got)
		}
	}
}

func said(list []partsNotice) (texts []string) {
	for _, n := range list {
		texts = append(texts, n.Text)
	}
	return texts
}

// What a terminal obeys is taken out, and blank sections are left out.
func TestPartsAreSafe(t *testing.T) {
	d := Document{Sections: []Section{{ID: "x", Lead: []string{"a\x1b[31m\u202eb <script>"}}, {ID: "blank", Heading: "nothing"}}}
	var b bytes.Buffer
	require.NoError(t, d.Write(&b, Parts, Options{}))
	assert.Equal(t, `{"sections":[{"id":"x","lead":["ab <script>"]}]}`+"\n", b.String())
}
