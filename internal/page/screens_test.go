//go:build browser

package main

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	cdppage "github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// fits holds a screen to the width of the phone, with everything folded out.
func (b *phone) fits(name string) {
	b.T.Helper()
	eval[int](b, `document.querySelectorAll("details").forEach(e => { e.open = true; }), 0`)
	outside := eval[[]string](b, `[...document.querySelectorAll("body *")].filter(e => !e.closest("pre") && !e.closest("option") && e.getBoundingClientRect().right > 360.5 && e.checkVisibility()).map(e => e.tagName + ": " + e.textContent.slice(0, 40))`)
	assert.Empty(b.T, outside, name)
	assert.LessOrEqual(b.T, eval[int64](b, `document.documentElement.scrollWidth`), int64(360), "%s scrolls sideways", name)
	small := eval[[]string](b, `[...document.querySelectorAll("button, summary, select, input:not([type=checkbox])")].filter(e => e.checkVisibility() && e.getBoundingClientRect().height < 44).map(e => e.textContent)`)
	assert.Empty(b.T, small, "%s has controls too small for a thumb", name)
}

// accessible holds a screen to the rules of axe-core, contrast of 7 to 1 among them.
func (b *phone) accessible(name string) {
	b.T.Helper()
	file := os.Getenv("HOLDBOOK_AXE")
	if file == "" {
		return
	}
	axe, err := os.ReadFile(file)
	require.NoError(b.T, err)
	eval[int](b, string(axe)+";0")
	found := eval[[]string](b, `axe.run({ rules: { "color-contrast-enhanced": { enabled: true } } }).then(r => r.violations.map(v => v.impact + " " + v.id + ": " +
		v.nodes.slice(0, 3).map(n => n.target.join(" ")).join(", ")))`, chromedp.EvalAwaitPromise)
	assert.Empty(b.T, found, name)
}

// Every screen of the invented house at the width of a phone, light and dark.
func TestScreens(t *testing.T) {
	for _, dark := range []bool{false, true} {
		b := open(t, dark)
		look := func(name string) {
			b.picture(name)
			b.fits(name)
			b.accessible(fmt.Sprintf("%s, dark %v", name, dark))
		}
		look("home")
		b.press("Start a visit")
		b.until(`document.getElementById("job")`)
		look("start")
		b.press("Start") // nothing filled in: a house alone
		b.asks("Which of these are there")
		look("hazards")
		b.press("Visits")
		began := time.Now()
		b.press("An invented house")
		b.until(`document.querySelectorAll("#result section").length > 5`)
		t.Logf("the invented house after %v", time.Since(began))
		require.NotZero(t, eval[float64](b, `document.querySelector("#result svg").getBoundingClientRect().height`))
		b.press("What to read next")
		b.until(`document.querySelector("[data-next]")`)
		look("answer")
		b.press("Seal")
		b.until(`document.querySelectorAll("#result section").length > 2`)
		look("seal")
		b.write("target", "many")
		b.press("Work it out")
		b.until(`document.getElementById("target-fault").textContent.includes("1500 cfm")`)
		b.write("target", "1600 cfm")
		b.press("Work it out")
		b.until(`document.getElementById("result").textContent.includes("fan shows 1686 cfm")`)
		b.press("Sheet")
		b.until(`document.querySelectorAll(".answer").length > 10`)
		look("sheet")
		b.press("Compare")
		b.until(`document.getElementById("result").textContent.length > 40`)
		look("compare")
		require.Empty(t, b.Said())
		require.Len(t, b.fetched(), 1, "%q", b.fetched())
	}
}

// A sheet from a laptop is pasted; what is wrong with one is told with its line.
func TestASheetIsPasted(t *testing.T) {
	b := open(t, false)
	b.write("paste", "sheet = 1\n[[hold]]\nhouse = \"50 cubits\"\n")
	b.press("Open what is pasted")
	b.until(`document.getElementById("failed")?.textContent.includes("line 3")`)
	b.picture("bad-sheet")
	require.Equal(t, "", b.sheet())
	text := "sheet = 1\r\n[[hold]]\r\nhouse = \"50 Pa\"\r\nto_house = { attic = \"44 Pa\" }\r\n"
	file := filepath.Join(t.TempDir(), "laptop.toml")
	require.NoError(t, os.WriteFile(file, []byte(text), 0o644))
	require.NoError(t, chromedp.Do(b.Ctx, chromedp.SetUploadFiles("#file", []string{file})))
	b.until(`document.querySelectorAll("#result section").length > 1`)
	b.press("Read")
	b.asks("Which of these are there")
	b.settled()
	require.Contains(t, eval[string](b, `document.getElementById("quick").textContent`), "Attic 44 of 50 Pa")
	require.Equal(t, text, b.sheet())
	require.Empty(t, b.Said())
}

// A browser that keeps nothing says so, and offers the download after each answer.
func TestNothingIsKept(t *testing.T) {
	b := open(t, false)
	_, err := chromedp.Call(b.Ctx, cdppage.AddScriptToEvaluateOnNewDocument, cdppage.AddScriptToEvaluateOnNewDocumentParams{
		Source: `Object.defineProperty(window, "localStorage", { get() { throw new Error("none"); } })`})
	require.NoError(t, err)
	require.NoError(t, chromedp.Do(b.Ctx, chromedp.Reload()))
	b.until(`document.getElementById("store") && !document.getElementById("store").hidden`)
	b.press("Start a visit")
	b.write("job", "Nowhere")
	b.press("Start")
	b.asks("Which of these are there")
	b.picture("nothing-kept")
	require.True(t, eval[bool](b, `document.getElementById("store").checkVisibility() && document.querySelector("#store button").textContent === "Download"`))
	b.press("I have looked: go on")
	b.asks("House held")
	require.True(t, eval[bool](b, `now.text.includes("[[walk]]") && called(now.text).startsWith("Nowhere")`))
}

// Two windows cannot write over each other's answers.
func TestAnotherWindowHasTheVisit(t *testing.T) {
	b := open(t, false)
	b.press("Start a visit")
	b.write("job", "Twice")
	b.press("Start")
	b.asks("Which of these are there")
	eval[int](b, `(() => { const k = Object.keys(localStorage).find(k => k.startsWith("holdbook visit ")); localStorage.setItem(k, localStorage.getItem(k) + "# from the other window\n"); return 0; })()`)
	b.press("I have looked: go on")
	b.until(`document.getElementById("failed")?.textContent.includes("another window")`)
	require.True(t, strings.HasSuffix(b.sheet(), "# from the other window\n"))
	b.press("Visits")
	b.press(eval[string](b, `document.querySelector(".list button").textContent`))
	b.asks("Which of these are there")
	b.press("I have looked: go on")
	b.asks("House held")
	require.Contains(t, b.sheet(), "# from the other window\n")
}

// The policy of the page takes no script, style, worker or connection but its own.
func TestThePolicyHolds(t *testing.T) {
	b := open(t, false)
	require.False(t, eval[bool](b, `(() => { const s = document.createElement("script"); s.textContent = "window.broken = true"; document.body.append(s); return Boolean(window.broken); })()`))
	require.Equal(t, "refused", eval[string](b, `fetch("https://example.org/").then(() => "let through", () => "refused")`, chromedp.EvalAwaitPromise))
	require.Equal(t, "refused", eval[string](b, `new Promise(r => setTimeout(() => { try { r(String((0, eval)("1"))); } catch { r("refused"); } }))`, chromedp.EvalAwaitPromise))
	require.NotEmpty(t, b.Said(), "the browser says what it refused")
}

// In inch–pound or metric units, whatever the sheet says.
func TestUnitsAreChosen(t *testing.T) {
	b := open(t, false)
	b.press("An invented house")
	b.press("Sheet")
	b.until(`document.getElementById("units")`)
	eval[int](b, `(() => { const s = document.getElementById("units"); s.value = "si"; s.dispatchEvent(new Event("change")); return 0; })()`)
	b.press("Answer")
	b.until(`document.querySelectorAll("#result section").length > 5`)
	text := eval[string](b, `document.getElementById("result").innerText`)
	assert.Contains(t, text, "m³/h")
	assert.NotContains(t, text, "cfm")
}

// A phone a quarter as fast: the page with the engine is ready, and the invented house worked out.
func TestASlowPhone(t *testing.T) {
	b := open(t, false)
	_, err := chromedp.Call(b.Ctx, emulation.SetCPUThrottlingRate, emulation.SetCPUThrottlingRateParams{Rate: 4})
	require.NoError(t, err)
	began := time.Now()
	require.NoError(t, chromedp.Do(b.Ctx, chromedp.Reload()))
	b.until(`document.readyState === "complete" && !document.getElementById("wait")`)
	t.Logf("ready after %v", time.Since(began))
	began = time.Now()
	b.press("An invented house")
	b.until(`document.querySelectorAll("#result section").length > 5`)
	t.Logf("the invented house after %v", time.Since(began))
}

// What the engine takes in the browser for two zones and three holds, cold and then warm; a
// phone a quarter as fast takes four times that. It is told, and decides nothing.
func TestEngineTimes(t *testing.T) {
	const house = `sheet = 1
[house]
indoor = "69 F"
outdoor = "41 F"
[[zone]]
name = "attic"
[[zone]]
name = "garage"
[[hold]]
name = "as found"
baseline = { house = "-1.9 Pa", attic = "0.6 Pa", garage = "0.9 Pa" }
house = "-51.8 Pa"
fan = "%d cfm"
to_house = { attic = "41.5 Pa", garage = "46.0 Pa" }
[[hold]]
name = "attic opened"
house = "-51.5 Pa"
fan = "2790 cfm"
opened = [ { between = ["house", "attic"] } ]
to_house = { attic = "8.5 Pa", garage = "45.9 Pa" }
[[hold]]
name = "garage opened"
house = "-51.7 Pa"
fan = "2720 cfm"
opened = [ { between = ["house", "garage"] } ]
to_house = { attic = "41.4 Pa", garage = "3.5 Pa" }
`
	b := open(t, false)
	for round, fan := range []int{2410, 2411, 2412} {
		for _, r := range []map[string]any{{"do": "quick", "curvature": true}, {"do": "quick"}, {"do": "next"}} {
			r["sheet"] = fmt.Sprintf(house, fan)
			in, err := json.Marshal(r)
			require.NoError(t, err)
			began := time.Now()
			got := eval[string](b, `mill.ask(`+string(in)+`).then(JSON.stringify)`, chromedp.EvalAwaitPromise)
			t.Logf("round %d, %v, curvature alone %v: %v", round, r["do"], r["curvature"], time.Since(began))
			require.Contains(t, got, "ttic")
		}
	}
}
