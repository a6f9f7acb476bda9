//go:build browser

package main

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"

	"holdbook/internal/testkit"
)

// These tests open the page in chromium, as a file and without a network, at the size of a
// phone: go test -tags browser ./internal/page. HOLDBOOK_AXE names axe.min.js of axe-core,
// without which the accessibility check is skipped; HOLDBOOK_SHOTS a folder for pictures of
// the screens.

// file is the page, built once.
var file = sync.OnceValues(func() (string, error) {
	folder, err := os.MkdirTemp("", "holdbook-page-test-")
	if err != nil {
		return "", err
	}
	name := filepath.Join(folder, "holdbook.html")
	out, err := exec.Command("go", "run", "./build", "-o", name).CombinedOutput()
	if err != nil {
		err = fmt.Errorf("%w: %s", err, out)
	}
	return name, err
})

func TestMain(m *testing.M) {
	status := m.Run()
	if name, err := file(); err == nil {
		os.RemoveAll(filepath.Dir(name))
	}
	os.Exit(status)
}

// phone is the page open in a browser.
type phone struct {
	*testkit.Browser
	shot int
}

// open opens the page with a profile of its own.
func open(t *testing.T, dark bool) *phone {
	t.Helper()
	name, err := file()
	require.NoError(t, err)
	b := &phone{Browser: testkit.Browse(t, "file://"+name, testkit.Screen{Width: 360, Height: 740, Dark: dark}, 20*time.Minute,
		chromedp.Flag("host-resolver-rules", "MAP * ~NOTFOUND"))}
	b.until(`!document.getElementById("wait")`)
	return b
}

// fetched are the addresses that the page asked for, but for what it made itself.
func (b *phone) fetched() []string {
	return slices.DeleteFunc(b.Got(), func(url string) bool { return strings.HasPrefix(url, "blob:") })
}

// eval is what a script comes to on the page.
func eval[T any](b *phone, script string, o ...chromedp.EvaluateOption) T {
	b.T.Helper()
	return testkit.Eval[T](b.Browser, script, o...)
}

// until waits for a condition of the page.
func (b *phone) until(condition string) {
	b.T.Helper()
	for end := time.Now().Add(2 * time.Minute); !eval[bool](b, "Boolean("+condition+")"); time.Sleep(30 * time.Millisecond) {
		if time.Now().After(end) {
			b.picture("stuck")
			b.T.Fatalf("waiting for %s; the page shows: %s; it said %q", condition, eval[string](b, `document.body.innerText.slice(0, 2000)`), b.Said())
		}
	}
}

// press presses the button, line or box of a text.
func (b *phone) press(text string) {
	b.T.Helper()
	find := fmt.Sprintf(`[...document.querySelectorAll("button, summary, label")].find(e => e.textContent.trim() === %q && e.checkVisibility())`, text)
	b.until(find)
	at := eval[[]float64](b, fmt.Sprintf(`(() => { const e = %s; e.scrollIntoView({ block: "center" }); const r = e.getBoundingClientRect(); return [r.x + Math.min(r.width / 2, 150), r.y + r.height / 2]; })()`, find))
	require.NoError(b.T, chromedp.Do(b.Ctx, chromedp.MouseClickXY(at[0], at[1])))
}

// write types into a field, in place of what stands there.
func (b *phone) write(id, text string) {
	b.T.Helper()
	b.until(fmt.Sprintf(`document.getElementById(%q)`, id))
	eval[bool](b, fmt.Sprintf(`(e => { e.value = ""; e.focus(); return true; })(document.getElementById(%q))`, id))
	require.NoError(b.T, chromedp.Do(b.Ctx, chromedp.KeyEvent(text)))
}

// asks waits for a question.
func (b *phone) asks(ask string) {
	b.T.Helper()
	b.until(fmt.Sprintf(`document.querySelector("form h2")?.textContent.toLowerCase().includes(%q)`, strings.ToLower(ask)))
}

// answer types the answer to a question.
func (b *phone) answer(ask, text string) {
	b.T.Helper()
	b.asks(ask)
	b.write("answer", text)
	require.NoError(b.T, chromedp.Do(b.Ctx, chromedp.KeyEvent("\r")))
}

// picture keeps a picture of the screen, where they are wanted.
func (b *phone) picture(name string) {
	folder := os.Getenv("HOLDBOOK_SHOTS")
	if folder == "" {
		return
	}
	b.shot++
	png, err := chromedp.Run(b.Ctx, chromedp.CaptureScreenshot())
	require.NoError(b.T, err)
	require.NoError(b.T, os.WriteFile(filepath.Join(folder, fmt.Sprintf("%s-%02d-%s.png", b.T.Name(), b.shot, name)), png, 0o644))
}
