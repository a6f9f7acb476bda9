//go:build browser

package html

import (
	"fmt"
	"net/http"
	"net/http/httptest"
	"os"
	"regexp"
	"testing"
	"time"

	cdppage "github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"

	"holdbook/internal/sheet"
	"holdbook/internal/survey"
	"holdbook/internal/testkit"
)

// These tests open the page in chromium, driven over its debugging protocol:
// go test -tags browser ./internal/report/html. The accessibility checker is
// axe-core; HOLDBOOK_AXE names its axe.min.js, and without it that check is
// skipped.

// open opens a page from a server.
func open(t *testing.T, text string, width int64, dark bool) *testkit.Browser {
	t.Helper()
	server := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		w.Header().Set("Content-Type", "text/html; charset=utf-8")
		_, _ = w.Write([]byte(text))
	}))
	t.Cleanup(server.Close)
	return testkit.Browse(t, server.URL, testkit.Screen{Width: width, Height: 800, Dark: dark}, time.Minute)
}

func TestPageInABrowser(t *testing.T) {
	for name, f := range houses(t) {
		// With the record shut and open: what stands in it must fit too.
		text := written(t, f)
		for _, width := range []int64{360, 768, 1280} {
			b := open(t, text, width, width == 768)
			testkit.Eval[bool](b, `document.querySelectorAll("details:not(.appendix)").forEach(e => e.open = true), true`)
			testkit.Eval[bool](b, fmt.Sprintf(`document.querySelector(".appendix").open = %v`, width != 768))
			outside := testkit.Eval[[]string](b, fmt.Sprintf(`[...document.querySelectorAll("body *")].filter(e => e.getBoundingClientRect().right > %d).map(e => e.closest("section")?.id + ": " + e.textContent.slice(0, 40))`, width))
			require.Empty(t, outside, "%s at %d", name, width)
			require.LessOrEqual(t, testkit.Eval[int64](b, `document.documentElement.scrollWidth`), width, "%s scrolls sideways at %d", name, width)
			drawings := testkit.Eval[[]float64](b, `[...document.querySelectorAll("svg")].map(e => e.checkVisibility() ? e.getBoundingClientRect().height : 0)`)
			require.Len(t, drawings, 6)
			for _, h := range drawings {
				require.Greater(t, h, 40.0)
			}
			require.Empty(t, b.Said(), name)
			require.Len(t, b.Got(), 1, "the page itself and nothing else")
		}
	}
}

// surveyed is what the program finds in the sheet of the demonstration, working
// and all, as the command asks for it.
func surveyed(t *testing.T) *survey.Findings {
	t.Helper()
	s, err := sheet.Read("../../../testdata/demo.toml")
	require.NoError(t, err)
	f, err := survey.Run(s, survey.Options{Working: true, WorkOrder: true})
	require.NoError(t, err)
	return f
}

// Printed, the demonstration is one page for the owner, one work order, and the record.
func TestDemoPrintsOwnerOrderRecord(t *testing.T) {
	text := written(t, surveyed(t))
	require.Contains(t, text, "<h2>Working</h2>")
	for paper, size := range map[string][2]float64{"A4": {8.27, 11.69}, "Letter": {8.5, 11}} {
		pages := func(kept string) int {
			b := open(t, text, 1280, true)
			testkit.Eval[bool](b, fmt.Sprintf(`document.querySelectorAll("main > *").forEach(e => e.matches(%q) || e.remove()), true`, kept))
			pdf, err := chromedp.Run(b.Ctx, chromedp.PrintToPDF(func(p *cdppage.PrintToPDFParams) {
				p.PaperWidth, p.PaperHeight = size[0], size[1]
			}, chromedp.PDFPreferCSSPageSize()))
			require.NoError(t, err)
			return len(regexp.MustCompile(`/Type\s*/Page\b[^s]`).FindAll(pdf, -1))
		}
		owner, order, record := pages("#owner"), pages("#danger, .order"), pages("details")
		t.Logf("%s: %d, %d, %d, together %d", paper, owner, order, record, pages("*"))
		// Each breaks the page after it, for the footer that is left here.
		require.Equal(t, 2, owner, "%s: the owner's page and the footer", paper)
		require.Equal(t, 2, order, "%s: the work order and the footer", paper)
		require.LessOrEqual(t, record, 5, paper)
		require.Equal(t, owner-1+order-1+record, pages("*"), paper)
	}
}

// On a phone the first step of the sealing stands on the second screen, and what is folded
// away keeps the page short.
func TestOrderIsOnTheSecondScreen(t *testing.T) {
	const screen = 740
	b := open(t, written(t, surveyed(t)), 360, false)
	require.Less(t, testkit.Eval[float64](b, `document.querySelector(".step").getBoundingClientRect().bottom`), 2.0*screen)
	require.Less(t, testkit.Eval[float64](b, `document.documentElement.scrollHeight`), 5.0*screen)
}

func TestPageIsAccessible(t *testing.T) {
	file := os.Getenv("HOLDBOOK_AXE")
	if file == "" {
		t.Skip("HOLDBOOK_AXE does not name axe.min.js")
	}
	axe, err := os.ReadFile(file)
	require.NoError(t, err)
	for name, f := range houses(t) {
		for _, width := range []int64{360, 1280} {
			for _, dark := range []bool{false, true} {
				b := open(t, written(t, f), width, dark)
				testkit.Eval[bool](b, `document.querySelectorAll("details").forEach(e => e.open = true), true`)
				testkit.Eval[int](b, string(axe)+";0")
				found := testkit.Eval[[]string](b, `axe.run().then(r => r.violations.map(v => v.impact + " " + v.id + ": " +
					v.nodes.slice(0, 3).map(n => n.target.join(" ")).join(", ")))`, chromedp.EvalAwaitPromise)
				require.Empty(t, found, "%s at %d, dark %v", name, width, dark)
			}
		}
	}
}
