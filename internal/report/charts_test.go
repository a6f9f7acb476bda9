package report

import (
	"io"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestLeakMapSaysEveryFlow(t *testing.T) {
	drawing := chartMap(demoHouse(t))
	for _, flow := range []string{"outside to attic 560 (500–630)", "attic to house 560 (500–630)",
		"attic to ducts 120 (80–170)", "garage to house not resolved (60–400 cfm)", "outside to house 1310 (1190–1420)"} {
		require.Contains(t, strings.ReplaceAll(drawing, noBreak, " "), flow)
	}
	require.Equal(t, 8, strings.Count(drawing, `class="flow`))
	require.Equal(t, 1, strings.Count(drawing, `class="flow unsure"`), "only what is not resolved is dashed")
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
