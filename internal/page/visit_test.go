//go:build browser

package main

import (
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbook/internal/page/engine"
)

// settled waits until what is known is worked out from all the readings.
func (b *phone) settled() {
	b.T.Helper()
	b.until(`document.getElementById("quick")?.dataset.done === "true"`)
}

// sheet is the text that the browser keeps of the only visit.
func (b *phone) sheet() string {
	b.T.Helper()
	return eval[string](b, `(() => { for (let i = 0; i < localStorage.length; i++) { const k = localStorage.key(i); if (k.startsWith("holdbook visit ")) return localStorage.getItem(k); } return ""; })()`)
}

// begun is a visit up to the house held as found.
func (b *phone) begun() {
	b.press("Start a visit")
	b.write("job", "Quillet Way 7")
	b.press("attic")
	b.write("more", "Anna's <b>garage</b>")
	b.picture("start")
	b.write("volume", "14400")
	b.press("Start")
	b.asks("Which of these are there")
	b.picture("hazards")
	b.press("I have looked: go on")
	b.asks("House held")
	b.picture("direction")
	b.press("Depressurised: the fan blows out")
	for _, list := range []string{"Before the fan runs", "Set up the house"} {
		b.asks(list)
		b.picture("list")
		b.press("All of that is done")
	}
	b.asks("Baseline")
	b.picture("baseline")
	b.answer("Baseline", "1,2")
	b.asks("25 Pa held")
	b.press("All of that is done")
	b.asks("at 25 Pa: house")
	b.press("Skip")
}

// aboutHouse answers what is asked of the house once its first hold is read.
func (b *phone) aboutHouse() {
	b.answer("Indoor", "68")
	b.answer("Outdoor", "31")
	b.answer("floor area", "1800")
	b.answer("bedrooms", "3")
}

// hold types a hold: house, fan, attic, garage, range.
func (b *phone) hold(name string, readings ...string) {
	for i, ask := range []string{"house to outside", "fan flow", "attic to house", "anna's <b>garage</b> to house", "flow range"} {
		if readings[i] != "" {
			b.answer(name+": "+ask, readings[i])
		}
	}
}

// ownHold begins a hold that nothing proposed.
func (b *phone) ownHold(way string) {
	b.until(`document.getElementById("own")`)
	b.settled()
	if !eval[bool](b, `document.getElementById("own").open`) {
		b.press("Another hold")
	}
	eval[bool](b, fmt.Sprintf(`(() => { const s = document.getElementById("way"); s.value = [...s.options].find(o => o.text === %q).value; return Boolean(s.value) || true; })()`, way))
	b.press("Begin it")
}

// A whole visit of six holds, typed; the page is opened anew in the middle, and an answer
// taken back. What it shows is what the command line makes of the sheet that it exports.
func TestVisitOnAPhone(t *testing.T) {
	b := open(t, false)
	b.picture("home")
	b.begun()
	b.asks("house to outside")
	b.answer("house to outside", "-51.2")
	b.answer("fan flow", "2280")
	b.asks("attic to house")
	b.write("answer", "43.9")
	typed := time.Now()
	require.NoError(t, chromedp.Do(b.Ctx, chromedp.KeyEvent("\r")))
	b.until(`document.getElementById("quick")?.textContent.includes("Attic")`)
	t.Logf("first answer after %v", time.Since(typed))
	b.settled()
	t.Logf("answer from draws after %v", time.Since(typed))
	b.picture("first-answer")
	b.answer("garage</b> to house", "74.5") // two digits changed places
	b.until(`document.getElementById("slips")?.textContent.length > 0`)
	b.picture("slip")
	b.press("Change it")
	b.asks("garage</b> to house")
	require.Equal(t, "74.5 Pa", eval[string](b, `document.getElementById("answer").value`))
	b.answer("garage</b> to house", "47.5")
	b.answer("flow range", "open")
	b.aboutHouse()
	b.asks("Which of these is read next")
	b.until(`document.getElementById("slips").textContent === ""`)
	b.picture("further")

	b.ownHold("opened between house and attic")
	b.hold("house–attic opened", "-51.0", "2520", "9.6", "47.0", "open")
	b.ownHold("nothing: another pressure, or once more")
	b.asks("as found again: house to outside")
	before := b.sheet()
	require.NoError(t, chromedp.Do(b.Ctx, chromedp.Reload()))
	b.asks("as found again: house to outside")
	require.Equal(t, before, b.sheet())
	b.hold("as found again", "-26.2", "1460", "21.9", "23.6", "open")

	// what is proposed opens its hold by a button
	b.until(`document.querySelector(".choice button")`)
	proposed := eval[string](b, `document.querySelector(".choice button").textContent`)
	b.press(proposed)
	b.until(`document.querySelector("form h2")?.textContent.includes("Pa)") || document.querySelector("form h2")?.textContent.includes("area")`)
	b.picture("proposed")
	require.Contains(t, b.sheet(), "further reading")
	b.finishProposed()
	b.ownHold("opened between attic and outside")
	b.hold("attic–outside opened", "-51.1", "2310", "48.9", "47.4", "open")
	b.ownHold("opened between house and Anna's <b>garage</b>")
	b.hold("house–anna's <b>garage</b> opened", "-51.1", "2410", "44.0", "9.9", "open")
	b.settled()
	b.picture("six-holds")

	b.press("Sheet")
	b.until(`document.querySelectorAll(".answer").length > 20`)
	b.picture("sheet")
	takeBack := `[...document.querySelectorAll(".answer")].find(e => e.textContent.includes("House–attic opened: fan flow"))`
	b.until(takeBack)
	eval[bool](b, takeBack+`.querySelector("button").click(), true`)
	b.asks("House–attic opened: fan flow")
	b.press("Not readable")
	b.asks("Which of these is read next")
	sheet := b.sheet()
	require.Contains(t, sheet, `withdrawn, was: fan = "2520 cfm"`)
	require.Equal(t, 6, strings.Count(sheet, "[[hold]]"))
	b.settled()

	b.press("Answer")
	b.until(`document.querySelectorAll("#result section").length > 5 && document.querySelector("#next button")`)
	b.picture("answer")
	shown := eval[string](b, `(document.querySelector("#result details").open = true, document.getElementById("result").innerText)`)
	b.sameNumbers(sheet, shown)
	require.Empty(t, eval[[]string](b, `[...document.querySelectorAll("main b, main script, main img")].map(e => e.textContent).filter(x => x === "garage")`))
	require.Empty(t, b.Said())
	require.Len(t, b.fetched(), 2, "the page itself, twice: %q", b.fetched())
}

// What was typed and not taken stands in its field to be mended; of two fields the empty one
// is gone to, or named.
func TestWhatIsTypedIsNotLost(t *testing.T) {
	b := open(t, false)
	b.begun()
	b.asks("house to outside")
	b.press("Back")
	b.asks("at 25 Pa")
	enter := func() { require.NoError(t, chromedp.Do(b.Ctx, chromedp.KeyEvent("\r"))) }
	fields := func() []string {
		return eval[[]string](b, `[...document.querySelectorAll("#answer, .part")].map(f => f.value)`)
	}
	b.write("part0", "-26.8")
	enter()
	b.until(`document.activeElement.id === "part1"`)
	require.Equal(t, []string{"-26.8", ""}, fields())
	b.press("Keep")
	b.until(`document.getElementById("failed")?.textContent.includes("Fan flow is not filled in")`)
	require.Equal(t, []string{"-26.8", ""}, fields())
	b.write("part1", "15x0")
	enter()
	b.until(`document.querySelector("#said .warning")`)
	require.Equal(t, []string{"-26.8", "15x0"}, fields())
	b.write("part1", "1530")
	enter()
	b.asks("house to outside")
	require.Equal(t, []string{""}, fields())
	b.answer("house to outside", "51 psi")
	b.until(`document.querySelector("#said .warning")`)
	require.Equal(t, []string{"51 psi"}, fields())
	b.press("Back")
	b.asks("at 25 Pa")
	require.Equal(t, []string{"-26.8Pa", "1530cfm"}, fields(), "what the sheet has, not what was refused elsewhere")
}

// finishProposed answers what a proposed hold asks for, until the proposals come again.
func (b *phone) finishProposed() {
	answers := map[string]string{"house to outside": "-50.6", "fan flow": "2300", "flow range": "open", "attic to house": "30", "attic to outside": "6.9",
		"garage</b> to house": "47", "garage</b> to outside": "3.4", "area": ""}
	for range 8 {
		b.until(`document.querySelector("form h2")`)
		ask := eval[string](b, `document.querySelector("form h2").textContent`)
		if strings.Contains(ask, "Which of these is read next") {
			return
		}
		done := false
		for part, text := range answers {
			if strings.Contains(strings.ToLower(ask[strings.LastIndex(ask, ": ")+1:]), part) { // not in the hold's name
				if done = true; text == "" {
					b.press("Keep")
				} else {
					b.answer(ask, text)
				}
			}
		}
		require.True(b.T, done, ask)
		b.until(fmt.Sprintf(`(document.querySelector("form h2")?.textContent ?? %q) !== %q`, ask, ask))
	}
}

var number = regexp.MustCompile(`[0-9]+(?:\.[0-9]+)?`)

// sameNumbers holds what the page shows to what the command line makes of the sheet: each
// number is in the page it writes, which has the whole record as well.
func (b *phone) sameNumbers(sheet, shown string) {
	b.T.Helper()
	folder := b.T.TempDir()
	program, file, out := filepath.Join(folder, "holdbook"), filepath.Join(folder, "visit.toml"), filepath.Join(folder, "visit.html")
	require.NoError(b.T, os.WriteFile(file, []byte(sheet), 0o644))
	for _, args := range [][]string{{"go", "build", "-o", program, "holdbook"}, {program, "report", file, "-o", out}} {
		said, err := exec.Command(args[0], args[1:]...).CombinedOutput()
		require.NoError(b.T, err, "%s", said)
	}
	page, err := os.ReadFile(out)
	require.NoError(b.T, err)
	want := map[string]bool{}
	for _, n := range number.FindAllString(string(page), -1) {
		want[n] = true
	}
	found := number.FindAllString(shown, -1)
	require.Greater(b.T, len(found), 300)
	for _, n := range found {
		assert.True(b.T, want[n], "the command line has no %s", n)
	}
}

// The engine gives the same in the browser as outside of it, to the last digit.
func TestSameBytesAsOutsideTheBrowser(t *testing.T) {
	b := open(t, false)
	demo, err := os.ReadFile("../../testdata/demo.toml")
	require.NoError(t, err)
	e := engine.New(time.Now)
	for _, r := range []map[string]any{{"do": "quick", "curvature": true}, {"do": "quick"}, {"do": "report", "units": "si"}, {"do": "seal"}, {"do": "next"}} {
		r["sheet"] = string(demo)
		in, err := json.Marshal(r)
		require.NoError(t, err)
		began := time.Now()
		got := eval[string](b, `mill.ask(`+string(in)+`).then(JSON.stringify)`, chromedp.EvalAwaitPromise)
		t.Logf("%v %v: %v", r["do"], r["curvature"], time.Since(began))
		require.JSONEq(t, string(e.Answer(in)), got, "%v", r["do"])
	}
}
