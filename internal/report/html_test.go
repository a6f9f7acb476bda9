package report

import (
	"encoding/xml"
	"errors"
	"io"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"holdbook/internal/survey"
)

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
	for name, make := range houses {
		elements(t, written(t, make(t), HTML, Options{}), func(e xml.StartElement) {
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
	text := written(t, demoHouse(t), HTML, Options{})
	for _, bad := range []string{"<script", "<img", "src=", "http://", "https://", "url(", "@import", "//"} {
		require.NotContains(t, text, bad)
	}
	for name, make := range houses {
		require.Less(t, len(written(t, make(t), HTML, Options{})), 400_000, name)
	}
}

func TestPageShowsNamesAsText(t *testing.T) {
	f := stressHouse(t)
	text := elements(t, written(t, f, HTML, Options{}), func(xml.StartElement) {})
	c, err := printed(f)
	require.NoError(t, err)
	for _, z := range c.Zones {
		require.Contains(t, text, z.Name)
	}
	for _, r := range text {
		require.NotContains(t, []rune{'\x1b', '\a', '\u202e', '\u2066', '\u200b', '\u009b'}, r)
	}
}

func TestPageHasEveryChartWithItsTextEquivalent(t *testing.T) {
	for name, make := range houses {
		var ids, labels []string
		drawings := 0
		text := written(t, make(t), HTML, Options{})
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
		require.Equal(t, 5, drawings, name)
		require.Len(t, labels, 10)
		for _, l := range labels {
			require.True(t, slices.Contains(ids, l), "%s: %s", name, l)
		}
	}
}

func TestLeakMapSaysEveryFlow(t *testing.T) {
	drawing := string(chartMap(demoHouse(t)))
	for _, flow := range []string{"outside to attic 560 (500–630)", "attic to house 560 (500–630)",
		"attic to ducts 120 (80–170)", "garage to house not resolved (60–400 cfm)", "outside to house 1310 (1190–1420)"} {
		require.Contains(t, strings.ReplaceAll(drawing, noBreak, " "), flow)
	}
	require.Equal(t, 8, strings.Count(drawing, `class="flow`))
	require.Equal(t, 1, strings.Count(drawing, `class="flow unsure"`), "only what is not resolved is dashed")
	f := demoHouse(t)
	f.Job.Hold = "pressurised"
	require.Contains(t, string(chartMap(f)), "house to attic 560")
}

func TestEveryEstimateOfTheTablesIsOnThePage(t *testing.T) {
	f := demoHouse(t)
	text := elements(t, written(t, f, HTML, Options{}), func(xml.StartElement) {})
	c, err := printed(f)
	require.NoError(t, err)
	for _, s := range findings(c, everything).Sections {
		if s.Table == nil || s.Table.Rows() == 0 {
			continue
		}
		rows, err := s.Table.cells()
		require.NoError(t, err)
		requireCells(t, text, rows, s)
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
		text := written(t, f, HTML, Options{})
		require.NotContains(t, text, "NaN")
		require.NotContains(t, text, "Inf")
		for format := range formats {
			written(t, f, Format(format), everything)
		}
	}
}

func BenchmarkWrite(b *testing.B) {
	for format, name := range formatNames {
		for house, make := range houses {
			f := make(b)
			b.Run(name+"/"+house, func(b *testing.B) {
				for b.Loop() {
					if err := Write(io.Discard, f, Format(format), everything); err != nil {
						b.Fatal(err)
					}
				}
			})
		}
	}
}
