package report

import (
	"io"
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"holdbook/internal/survey"
)

func TestLeakMapSaysEveryFlow(t *testing.T) {
	drawing := chartMap(demoHouse(t))
	for _, flow := range []string{"outside to attic 560 (500–630)", "attic to house 560 (500–630)",
		"attic to ducts 120 (80–170)", "garage to house not resolved (60–400 cfm)", "outside to house 1310 (1190–1420)"} {
		require.Contains(t, strings.ReplaceAll(drawing, noBreak, " "), flow)
	}
	require.Equal(t, 8, strings.Count(drawing, `class="flow`))
	require.Equal(t, 2, strings.Count(drawing, `class="flow unsure"`), "only flows that are not resolved are dashed: what passes the garage, on both its sides")
	f := demoHouse(t)
	f.Job.Hold = "pressurised"
	require.Contains(t, chartMap(f), "house to attic 560")
}

func BenchmarkWrite(b *testing.B) {
	for _, format := range linked {
		for house, make := range houses {
			f := make(b)
			b.Run(format.String()+"/"+house, func(b *testing.B) {
				for b.Loop() {
					if err := Write(io.Discard, f, format, everything); err != nil {
						b.Fatal(err)
					}
				}
			})
		}
	}
}

// The spaces stand about the house as they do in a section of one; a row that is full goes
// on at the right, and none covers another.
func TestHouseInSection(t *testing.T) {
	f := &survey.Findings{}
	for _, kind := range []string{"attic", "kneewall", "attic", "crawlspace", "basement", "garage", "porch", "neighbour", "ducts", "other"} {
		f.Zones = append(f.Zones, survey.Zone{Name: kind + strconv.Itoa(len(f.Zones)), Kind: kind})
	}
	m := &leakMap{f: f, boxes: map[string]box{}, where: map[string]region{}}
	m.sort()
	m.place()
	h := m.house
	for name, b := range m.boxes {
		require.True(t, b.x >= 0 && b.y >= 0 && b.x+b.w <= chartWidth && b.y+b.h <= m.height, "%s lies outside the drawing", name)
		switch name {
		case "attic0", "kneewall1":
			require.LessOrEqual(t, b.y+b.h, h.y, name)
		case "crawlspace3", "basement4":
			require.GreaterOrEqual(t, b.y, h.y+h.h, name)
		case "neighbour7":
			require.LessOrEqual(t, b.x+b.w, h.x, name)
		case "ducts8":
			require.True(t, b.x > h.x && b.x+b.w < h.x+h.w && b.y > h.y && b.y+b.h < h.y+h.h, name)
		default:
			require.GreaterOrEqual(t, b.x, h.x+h.w, name)
		}
		for other, o := range m.boxes {
			apart := b.x+b.w <= o.x || o.x+o.w <= b.x || b.y+b.h <= o.y || o.y+o.h <= b.y
			require.True(t, other == name || apart, "%s covers %s", name, other)
		}
	}
	require.Len(t, m.boxes, 10)
	require.Equal(t, right, m.where["attic2"], "two stand above a house, not three")
}

// An attic by itself is the roof.
func TestAtticIsTheRoof(t *testing.T) {
	m := &leakMap{f: &survey.Findings{Zones: []survey.Zone{{Name: "loft", Kind: "attic"}}}, boxes: map[string]box{}, where: map[string]region{}}
	m.sort()
	m.place()
	require.True(t, m.roofed("loft"))
	require.InDelta(t, m.house.y, m.boxes["loft"].y+m.boxes["loft"].h, 1e-9)
	require.Greater(t, m.boxes["loft"].w, m.house.w)
}

// Labels of an axis keep apart, and labels of arrows stay in the drawing.
func TestLabelsKeepApart(t *testing.T) {
	for _, ends := range [][]float64{{100, 140}, {3, 4}, {1, 9}, {0.01, 1e5}, {950, 1050}} {
		s := newSVG("x", "", "", 10)
		tickLabels(s, newScale(true, 6, chartWidth-6, ends...), 10)
		at := regexp.MustCompile(`x="([\d.]+)" y="10" text-anchor="(\w+)">([^<]+)<`).FindAllStringSubmatch(s.html(), -1)
		require.NotEmpty(t, at)
		free := math.Inf(-1)
		for _, l := range at {
			x, err := strconv.ParseFloat(l[1], 64)
			require.NoError(t, err)
			w := digitWidth * float64(len(l[3]))
			from := map[string]float64{"start": x, "middle": x - w/2, "end": x - w}[l[2]]
			require.GreaterOrEqual(t, from, free, "%v: %s", ends, l[3])
			free = from + w + 1
		}
	}
	for x, want := range map[float64]float64{350: chartWidth - 4*digitWidth, 10: 10} {
		require.InDelta(t, want, inDrawing(x, start, "1234"), 1e-9)
	}
	require.InDelta(t, 4*digitWidth, inDrawing(3, end, "1234"), 1e-9)
	require.InDelta(t, chartWidth-2*digitWidth, inDrawing(chartWidth, middle, "1234"), 1e-9)
}

// A flow that is slight beside the largest has no arrow, but is told.
func TestSlightFlowsHaveNoArrow(t *testing.T) {
	arrows := func(high float64) int {
		f := demoHouse(t)
		f.Paths[7].Now50 = q(high/2, high/4, high, "cfm")
		drawing := chartMap(f)
		require.Contains(t, drawing, "attic to ducts")
		return strings.Count(drawing, `class="flow`)
	}
	require.Equal(t, 8, arrows(13.2)) // the largest is 1312.8
	require.Equal(t, 7, arrows(13.1))
}
