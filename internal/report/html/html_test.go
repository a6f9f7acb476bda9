package html

import (
	"bytes"
	"encoding/json"
	"encoding/xml"
	"errors"
	"flag"
	"io"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"holdbook/internal/report"
	"holdbook/internal/survey"
	"holdbook/units"
)

var update = flag.Bool("update", false, "rewrite the golden files")

func golden(name string) string { return filepath.Join("..", "..", "..", "testdata", "report", name) }

// houses are the invented houses of package report, from what it writes of them.
func houses(t testing.TB) map[string]*survey.Findings {
	t.Helper()
	all := map[string]*survey.Findings{}
	for _, name := range []string{"demo", "stress"} {
		text, err := os.ReadFile(golden(name + ".json.golden"))
		require.NoError(t, err)
		f := &survey.Findings{}
		require.NoError(t, json.Unmarshal(text, f))
		all[name] = f
	}
	return all
}

func written(t testing.TB, f *survey.Findings) string {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, report.Write(&b, f, report.HTML, report.Options{}))
	return b.String()
}

func TestGolden(t *testing.T) {
	for name, f := range houses(t) {
		file, got := golden(name+".html.golden"), written(t, f)
		if *update {
			require.NoError(t, os.WriteFile(file, []byte(got), 0o644))
		}
		want, err := os.ReadFile(file)
		require.NoError(t, err)
		require.True(t, got == string(want), "%s is not as written last: run go test with -update and look at the difference", file)
	}
}

// The engine and the other formats link without html/template, which keeps every
// exported method of a program alive.
func TestOnlyThePageLinksTemplates(t *testing.T) {
	links := func(of string) bool {
		out, err := exec.Command("go", "list", "-deps", of).Output()
		require.NoError(t, err)
		return slices.Contains(strings.Fields(string(out)), "html/template")
	}
	require.True(t, links("holdbook/internal/report/html"))
	for _, of := range []string{"holdbook/internal/report", "holdbook/internal/batch", "holdbook/internal/survey"} {
		require.False(t, links(of), of)
	}
}

func TestWriteErrorsAreReported(t *testing.T) {
	require.ErrorContains(t, report.Write(io.Discard, nil, report.HTML, report.Options{}), "html report: no findings")
	require.ErrorContains(t, report.Write(brokenWriter{}, houses(t)["demo"], report.HTML, report.Options{}), "no space left")
}

type brokenWriter struct{}

func (brokenWriter) Write([]byte) (int, error) { return 0, errors.New("no space left") }

// A result that is no number is left out of tables and drawings, and said.
func TestNoNumberThatIsNone(t *testing.T) {
	f := houses(t)["demo"]
	f.House.Flow50.High, f.Paths[0].Area4.Value, f.Paths[1].Now50.Low = math.Inf(1), math.NaN(), math.NaN()
	text := written(t, f)
	for _, bad := range []string{"NaN", "Inf", "infinity"} {
		require.NotContains(t, text, bad)
	}
	require.Contains(t, text, "3 of the results came out as no finite number")
}

// q is a result in a unit by its symbol.
func q(value, low, high float64, unit string) *survey.Q {
	q := &survey.Q{Value: value, Low: low, High: high}
	if err := q.Unit.UnmarshalText([]byte(unit)); err != nil {
		panic(err)
	}
	return q
}

// Any name leaves a page of the page's own elements.
func FuzzNames(f *testing.F) {
	f.Add("<script>alert(1)</script>")
	f.Add("\u202e\x1b[31m\"'&amp;")
	f.Fuzz(func(t *testing.T, name string) {
		h := houses(t)["demo"]
		h.Job.Name, h.Zones[0].Name, h.Paths[0].Between[0], h.Notices[0].Text = name, name, name, name
		elements(t, written(t, h), func(e xml.StartElement) { require.NotEqual(t, "script", e.Name.Local) })
	})
}

// elements calls visit for every element of a page and returns its text. The
// page is read as strictly as HTML's own void elements allow: a name that broke
// out of its place would be an element, or an error.
func elements(t *testing.T, text string, visit func(xml.StartElement)) string {
	t.Helper()
	d := xml.NewDecoder(strings.NewReader(text))
	d.Strict, d.AutoClose, d.Entity = false, xml.HTMLAutoClose, xml.HTMLEntity
	var b strings.Builder
	for {
		token, err := d.Token()
		if errors.Is(err, io.EOF) {
			return b.String()
		}
		require.NoError(t, err)
		switch token := token.(type) {
		case xml.StartElement:
			visit(token)
		case xml.CharData:
			b.Write(token)
		}
	}
}

func TestPageHoldsOnlyItsOwnElements(t *testing.T) {
	tags := strings.Fields(`html head meta link title style body div header h1 h2 p dl dt dd b small main section ul li
		details summary figure figcaption svg desc rect line circle path text table caption thead tbody tr th td span i footer`)
	attrs := strings.Fields(`lang charset name content http-equiv rel href id class viewBox role aria-labelledby x y width height
		x1 y1 x2 y2 cx cy r d fill-opacity stroke-width text-anchor scope data-head`)
	for name, f := range houses(t) {
		elements(t, written(t, f), func(e xml.StartElement) {
			require.Contains(t, tags, e.Name.Local, name)
			for _, a := range e.Attr {
				require.Contains(t, attrs, a.Name.Local, name)
				if a.Name.Local == "href" {
					require.Equal(t, "data:,", a.Value)
				}
			}
		})
	}
}

func TestPageAsksTheNetworkForNothing(t *testing.T) {
	text := written(t, houses(t)["demo"])
	for _, bad := range []string{"<script", "<img", "src=", "http://", "https://", "url(", "@import", "//"} {
		require.NotContains(t, text, bad)
	}
	for name, f := range houses(t) {
		require.Less(t, len(written(t, f)), 400_000, name)
	}
}

func TestPageShowsNamesAsText(t *testing.T) {
	f := houses(t)["stress"]
	text := elements(t, written(t, f), func(xml.StartElement) {})
	for _, z := range f.Zones {
		require.Contains(t, text, units.SanitizeTo(z.Name, 48))
	}
	for _, r := range text {
		require.NotContains(t, []rune{'\x1b', '\a', '\u202e', '\u2066', '\u200b', '\u009b'}, r)
	}
}

func TestPageHasEveryChartWithItsTextEquivalent(t *testing.T) {
	for name, f := range houses(t) {
		var ids, labels []string
		drawings := 0
		text := written(t, f)
		elements(t, text, func(e xml.StartElement) {
			for _, a := range e.Attr {
				switch {
				case a.Name.Local == "id":
					require.NotContains(t, ids, a.Value, "%s: an id stands twice", name)
					ids = append(ids, a.Value)
				case e.Name.Local == "svg" && a.Name.Local == "aria-labelledby":
					labels = append(labels, strings.Fields(a.Value)...)
				}
			}
			if e.Name.Local == "svg" {
				drawings++
			}
		})
		require.Equal(t, 6, drawings, name)
		require.Len(t, labels, 12)
		for _, l := range labels {
			require.True(t, slices.Contains(ids, l), "%s: %s", name, l)
		}
	}
}

func TestEveryEstimateOfTheTablesIsOnThePage(t *testing.T) {
	spaces := strings.NewReplacer("(", " ", ")", " ")
	for name, f := range houses(t) {
		text := strings.Join(strings.Fields(spaces.Replace(elements(t, written(t, f), func(xml.StartElement) {}))), " ")
		d, err := report.Page(f)
		require.NoError(t, err)
		found := 0
		for _, s := range d.Sections {
			if s.Table == nil {
				continue
			}
			columns, rows, err := s.Table.Aligned("", "")
			require.NoError(t, err)
			for _, row := range rows {
				for c, cell := range row {
					if columns[c].Kind == report.Words || cell.Blank {
						continue
					}
					want := spaces.Replace(cell.Value + " " + cell.Interval)
					require.Contains(t, text, strings.Join(strings.Fields(want), " "), "%s, %s", name, s.ID)
					found++
				}
			}
		}
		require.Greater(t, found, 100, name)
	}
}

// Charts stand up to findings that hold almost nothing, or nonsense.
func TestPageOfThinFindings(t *testing.T) {
	flat := q(5, 5, 5, "cfm")
	for _, f := range []*survey.Findings{
		{},
		{Paths: []survey.Path{{Between: [2]string{"house", "outside"}}}},
		{Paths: []survey.Path{{Between: [2]string{"attic", "attic"}, Flow50: flat, Now50: flat, Resolved: true}}},
		{Paths: []survey.Path{{Between: [2]string{"a", "b"}, Flow50: q(-1, -2, 0, "cfm"), Now50: q(0, 0, 0, "cfm"), Resolved: true}}},
		{Zones: []survey.Zone{{Name: "attic", ConnectionFraction: q(7, -3, 9, "")}}, Paths: []survey.Path{{Between: [2]string{"attic", "outside"}, Now50: q(1e300, 1, 1e305, "cfm")}}},
		{House: survey.House{MultiPoint: &survey.MultiPoint{Points: []survey.Point{{Pressure: 0, Flow: 0}}, Band: []survey.Band{{}, {}}}}},
		{Ducts: &survey.Ducts{OnOff: &survey.OnOff{Points: []survey.OnOffPoint{{}}}, Registers: []survey.Register{{Cover: q(0, 0, 0, "Pa")}, {Cover: q(-5, -6, -4, "Pa")}}}},
	} {
		text := written(t, f)
		require.NotContains(t, text, "NaN")
		require.NotContains(t, text, "Inf")
		for _, format := range []report.Format{report.Text, report.Markdown, report.JSON, report.CSV} {
			require.NoError(t, report.Write(io.Discard, f, format, report.Options{Working: true, Priors: true}), format)
		}
	}
}
