//go:build browser

package html

import (
	"context"
	"fmt"
	"net/http"
	"net/http/httptest"
	"os"
	"regexp"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/network"
	cdppage "github.com/chromedp/cdproto/page"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"

	"holdbook/internal/sheet"
	"holdbook/internal/survey"
)

// These tests open the page in chromium, driven over its debugging protocol:
// go test -tags browser ./internal/report/html. The accessibility checker is
// axe-core; HOLDBOOK_AXE names its axe.min.js, and without it that check is
// skipped.

// browser is a page open in a browser, with what it complained of and asked for.
type browser struct {
	t    *testing.T
	ctx  context.Context
	mu   sync.Mutex
	said []string
	got  []string
}

func open(t *testing.T, text string, width int64, dark bool) *browser {
	t.Helper()
	server := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		w.Header().Set("Content-Type", "text/html; charset=utf-8")
		_, _ = w.Write([]byte(text))
	}))
	t.Cleanup(server.Close)
	options := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.NoSandbox, chromedp.Flag("disable-quic", true),
		chromedp.Flag("disable-component-update", true), chromedp.UserDataDir(t.TempDir()))
	ctx, stop := chromedp.NewExecAllocator(t.Context(), options...)
	t.Cleanup(stop)
	ctx, leave := chromedp.NewContext(ctx)
	t.Cleanup(leave)
	ctx, cancel := context.WithTimeout(ctx, time.Minute)
	t.Cleanup(cancel)
	b := &browser{t: t, ctx: ctx}
	require.NoError(t, chromedp.Listen(ctx, b.listen))
	scheme := map[bool]string{true: "dark", false: "light"}[dark]
	_, err := chromedp.Call(ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{
		Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: scheme}}})
	require.NoError(t, err)
	require.NoError(t, chromedp.Do(ctx, chromedp.EmulateViewport(width, 800), chromedp.Navigate(server.URL)))
	return b
}

func (b *browser) listen(event any) {
	b.mu.Lock()
	defer b.mu.Unlock()
	switch e := event.(type) {
	case *runtime.EventConsoleAPICalled:
		b.said = append(b.said, string(e.Type))
	case *runtime.EventExceptionThrown:
		b.said = append(b.said, e.ExceptionDetails.Text)
	case *network.EventRequestWillBeSent:
		if !strings.HasPrefix(e.Request.URL, "data:") {
			b.got = append(b.got, e.Request.URL)
		}
	}
}

// eval is what a script comes to on the page.
func eval[T any](b *browser, script string, o ...chromedp.EvaluateOption) T {
	b.t.Helper()
	v, err := chromedp.Run(b.ctx, chromedp.Evaluate[T](script, o...))
	require.NoError(b.t, err)
	return v
}

func TestPageInABrowser(t *testing.T) {
	for name, f := range houses(t) {
		// With the record shut and open: what stands in it must fit too.
		text := written(t, f)
		for _, width := range []int64{360, 768, 1280} {
			b := open(t, text, width, width == 768)
			eval[bool](b, fmt.Sprintf(`document.querySelector("details").open = %v`, width != 768))
			outside := eval[[]string](b, fmt.Sprintf(`[...document.querySelectorAll("body *")].filter(e => e.getBoundingClientRect().right > %d).map(e => e.closest("section")?.id + ": " + e.textContent.slice(0, 40))`, width))
			require.Empty(t, outside, "%s at %d", name, width)
			require.LessOrEqual(t, eval[int64](b, `document.documentElement.scrollWidth`), width, "%s scrolls sideways at %d", name, width)
			drawings := eval[[]float64](b, `[...document.querySelectorAll("svg")].map(e => e.checkVisibility() ? e.getBoundingClientRect().height : 0)`)
			require.Len(t, drawings, 5)
			for _, h := range drawings {
				require.Greater(t, h, 40.0)
			}
			require.Empty(t, b.said, name)
			require.Len(t, b.got, 1, "the page itself and nothing else")
		}
	}
}

// surveyed is what the program finds in the sheet of the demonstration, working
// and all, as the command asks for it.
func surveyed(t *testing.T) *survey.Findings {
	t.Helper()
	s, err := sheet.Read("../../../testdata/demo.toml")
	require.NoError(t, err)
	f, err := survey.Run(s, survey.Options{Working: true})
	require.NoError(t, err)
	return f
}

func TestDemoPrintsOnTwoPages(t *testing.T) {
	text := written(t, surveyed(t))
	require.Contains(t, text, "<h2>Working</h2>")
	for paper, size := range map[string][2]float64{"A4": {8.27, 11.69}, "Letter": {8.5, 11}} {
		b := open(t, text, 1280, true)
		pdf, err := chromedp.Run(b.ctx, chromedp.PrintToPDF(func(p *cdppage.PrintToPDFParams) {
			p.PaperWidth, p.PaperHeight = size[0], size[1]
		}, chromedp.PDFPreferCSSPageSize()))
		require.NoError(t, err)
		require.Len(t, regexp.MustCompile(`/Type\s*/Page\b[^s]`).FindAll(pdf, -1), 2, paper)
	}
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
				eval[bool](b, `document.querySelector("details").open = true`)
				eval[int](b, string(axe)+";0")
				found := eval[[]string](b, `axe.run().then(r => r.violations.map(v => v.impact + " " + v.id + ": " +
					v.nodes.slice(0, 3).map(n => n.target.join(" ")).join(", ")))`, chromedp.EvalAwaitPromise)
				require.Empty(t, found, "%s at %d, dark %v", name, width, dark)
			}
		}
	}
}
