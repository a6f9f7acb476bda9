//go:build browser

package testkit

import (
	"context"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	cdplog "github.com/chromedp/cdproto/log"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"
)

// Browser is a page open in chromium, driven over its debugging protocol, with what it
// complained of and asked for.
type Browser struct {
	T   *testing.T
	Ctx context.Context

	mu        sync.Mutex
	said, got []string
}

// Screen is what a page is shown on.
type Screen struct {
	Width, Height int64
	Dark          bool
}

// Browse opens a page with a profile of its own, for at most a time.
func Browse(t *testing.T, url string, s Screen, most time.Duration, own ...chromedp.ExecAllocatorOption) *Browser {
	t.Helper()
	options := slices.Concat(chromedp.DefaultExecAllocatorOptions[:], []chromedp.ExecAllocatorOption{chromedp.NoSandbox, chromedp.Flag("disable-quic", true),
		chromedp.Flag("disable-component-update", true), chromedp.UserDataDir(t.TempDir())}, own)
	ctx, stop := chromedp.NewExecAllocator(t.Context(), options...)
	t.Cleanup(stop)
	ctx, leave := chromedp.NewContext(ctx)
	t.Cleanup(leave)
	ctx, cancel := context.WithTimeout(ctx, most)
	t.Cleanup(cancel)
	b := &Browser{T: t, Ctx: ctx}
	require.NoError(t, chromedp.Listen(ctx, b.listen))
	_, err := chromedp.Call(ctx, cdplog.Enable, struct{}{})
	require.NoError(t, err)
	scheme := map[bool]string{true: "dark", false: "light"}[s.Dark]
	_, err = chromedp.Call(ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{
		Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: scheme}}})
	require.NoError(t, err)
	require.NoError(t, chromedp.Do(ctx, chromedp.EmulateViewport(s.Width, s.Height), chromedp.Navigate(url)))
	return b
}

func (b *Browser) listen(event any) {
	b.mu.Lock()
	defer b.mu.Unlock()
	switch e := event.(type) {
	case *runtime.EventConsoleAPICalled:
		b.said = append(b.said, string(e.Type))
	case *runtime.EventExceptionThrown:
		b.said = append(b.said, e.ExceptionDetails.Text)
	case *cdplog.EventEntryAdded:
		b.said = append(b.said, e.Entry.Text)
	case *network.EventRequestWillBeSent:
		if !strings.HasPrefix(e.Request.URL, "data:") {
			b.got = append(b.got, e.Request.URL)
		}
	}
}

// Said is what the page complained of.
func (b *Browser) Said() []string {
	b.mu.Lock()
	defer b.mu.Unlock()
	return slices.Clone(b.said)
}

// Got are the addresses that the page asked for, itself among them.
func (b *Browser) Got() []string {
	b.mu.Lock()
	defer b.mu.Unlock()
	return slices.Clone(b.got)
}

// Eval is what a script comes to on the page.
func Eval[T any](b *Browser, script string, o ...chromedp.EvaluateOption) T {
	b.T.Helper()
	v, err := chromedp.Run(b.Ctx, chromedp.Evaluate[T](script, o...))
	require.NoError(b.T, err, script)
	return v
}
