package report

import (
	"bytes"
	"encoding/json"
	"errors"
	"math"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"
	"github.com/stretchr/testify/require"

	"holdbook/internal/survey"
)

func parsed(t *testing.T, text string) any {
	t.Helper()
	v, err := jsonschema.UnmarshalJSON(strings.NewReader(text))
	require.NoError(t, err)
	return v
}

func TestJSONKeepsToTheSchema(t *testing.T) {
	s := compiled(t)
	for name, make := range houses {
		for _, o := range []Options{{}, everything} {
			require.NoError(t, s.Validate(parsed(t, written(t, make(t), JSON, o))), name)
		}
	}
	require.NoError(t, s.Validate(parsed(t, written(t, &survey.Findings{Results: 1, Job: survey.Job{Units: "si"}}, JSON, Options{}))),
		"a sheet that allows nothing")
}

// Each change is one that a careless edit of the findings could make.
func TestSchemaRefuses(t *testing.T) {
	s := compiled(t)
	text := written(t, demoHouse(t), JSON, everything)
	for _, change := range [][2]string{
		{`"results": 1`, `"results": 2`},
		{`"low": 2180.11934`, `"low": "2180"`},
		{`"low": 2180.11934`, `"lower": 2180.11934`},
		{`"level": "danger"`, `"level": "panic"`},
		{`"units": "ip"`, `"units": "imperial"`},
		{`"resolved": false`, `"settled": false`},
		{`"notices": [`, `"remarks": [`},
		{`"chance_first": 0.9712`, `"chance_first": 97.12`},
	} {
		changed := strings.Replace(text, change[0], change[1], 1)
		require.NotEqual(t, text, changed, change[0])
		require.Error(t, s.Validate(parsed(t, changed)), change[1])
	}
}

func TestJSONReadsBackAsTheFindings(t *testing.T) {
	f := demoHouse(t)
	var back survey.Findings
	require.NoError(t, json.Unmarshal([]byte(written(t, f, JSON, everything)), &back))
	want, err := View(f)
	require.NoError(t, err)
	again, err := View(&back)
	require.NoError(t, err)
	require.Equal(t, want, again)
}

func TestJSONKeepsNamesButNoTerminalCharacters(t *testing.T) {
	text := written(t, stressHouse(t), JSON, everything)
	for _, r := range text {
		require.False(t, r < ' ' && r != '\n' || r >= 0x7f && r < 0xa0 || r == '\u202e' || r == '\u2066' || r == '\u200b', "%q", r)
	}
	var back survey.Findings
	require.NoError(t, json.Unmarshal([]byte(text), &back))
	require.Equal(t, hostile[0], back.Zones[0].Name)
	require.Equal(t, hostile[3], back.Zones[3].Name)
}

func TestNoFormatPrintsANumberThatIsNone(t *testing.T) {
	f := demoHouse(t)
	f.House.Flow50.High = math.Inf(1)
	f.Paths[0].Area4.Value = math.NaN()
	f.Readings[0].Predicted.Low = math.NaN()
	f.Method.Effective = math.NaN()
	for _, format := range linked {
		text := written(t, f, format, everything)
		for _, bad := range []string{"NaN", "Inf", "+Inf", "infinity"} {
			require.NotContains(t, text, bad, format)
		}
		if format != CSV {
			require.Contains(t, text, "4 of the results came out as no finite number")
		}
	}
	require.True(t, math.IsInf(f.House.Flow50.High, 1), "the findings given are not changed")
	require.Len(t, f.Readings, 4)
}

type brokenWriter struct{ n int }

func (w brokenWriter) Write(p []byte) (int, error) {
	if w.n < 0 {
		return 0, errors.New("no space left")
	}
	return min(w.n, len(p)), nil
}

func TestWriteErrorsAreReported(t *testing.T) {
	for _, format := range linked {
		require.ErrorContains(t, Write(brokenWriter{-1}, demoHouse(t), format, Options{}), "no space left")
		require.ErrorContains(t, Write(brokenWriter{10}, demoHouse(t), format, Options{}), "short write")
	}
	require.ErrorContains(t, Write(&bytes.Buffer{}, demoHouse(t), HTML, Options{}), "unknown format: html", "its package is not linked here")
	require.ErrorContains(t, Write(&bytes.Buffer{}, demoHouse(t), Format(99), Options{}), "unknown format")
	require.ErrorContains(t, Write(&bytes.Buffer{}, nil, Text, Options{}), "no findings")
}

func TestParseFormat(t *testing.T) {
	for i, known := range formats {
		name := known.name
		f, err := ParseFormat(strings.ToUpper(name))
		require.NoError(t, err)
		require.Equal(t, Format(i), f)
		require.Equal(t, name, f.String())
	}
	_, err := ParseFormat("pdf")
	require.ErrorContains(t, err, `unknown format "pdf": write one of text, markdown, json, csv, html`)
}
