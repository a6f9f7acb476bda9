package main

import (
	"bytes"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"runtime"
	"strconv"
	"strings"
	"testing"
	"time"

	"holdbook/internal/sheet"
	"holdbook/internal/walk"
)

// patience is how long a test waits for a question before it gives up.
const patience = 2 * time.Minute

// walker is a running walk with both ends of its conversation.
type walker struct {
	t      *testing.T
	cmd    *exec.Cmd
	in     io.WriteCloser
	bytes  chan byte
	screen bytes.Buffer // everything printed
}

func startWalk(t *testing.T, path string) *walker {
	t.Helper()
	w := &walker{t: t, cmd: exec.Command("holdbook", "walk", path), bytes: make(chan byte, 1<<16)}
	in, err := w.cmd.StdinPipe()
	if err != nil {
		t.Fatal(err)
	}
	out, err := w.cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	w.cmd.Stderr = os.Stderr
	w.in = in
	if err := w.cmd.Start(); err != nil {
		t.Fatal(err)
	}
	go func() {
		defer close(w.bytes)
		b := make([]byte, 4096)
		for {
			n, err := out.Read(b)
			for _, c := range b[:n] {
				w.bytes <- c
			}
			if err != nil {
				return
			}
		}
	}()
	return w
}

// prompts are all questions of a walk, as they end the output while it waits.
var prompts = regexp.MustCompile(`(?:^|\n)((?:which of these|house held|all of that|units the|spaces beside|indoor|outdoor|volume|baseline|25 Pa held|at 25 Pa|floor area|bedrooms|where the|` +
	`as found|they are covered|registers covered|yes once|register |a register to read|attic opened|attic ajar|hole,)[^\n]*: )$`)

// question reads up to the next question; "" when the walk ended first.
func (w *walker) question() string {
	w.t.Helper()
	from := w.screen.Len()
	deadline := time.After(patience)
	for {
		select {
		case c, ok := <-w.bytes:
			if !ok {
				return ""
			}
			w.screen.WriteByte(c)
			if c != ' ' || len(w.bytes) > 0 {
				continue
			}
			if m := prompts.FindSubmatch(w.screen.Bytes()[from:]); m != nil {
				return string(m[1])
			}
		case <-deadline:
			w.t.Fatalf("no question in time; printed:\n%s", w.screen.String())
		}
	}
}

func (w *walker) answer(text string) { fmt.Fprintln(w.in, text) }

// kill ends the process at once, and waits until it is gone.
func (w *walker) kill() {
	w.cmd.Process.Kill()
	for range w.bytes {
	}
	w.cmd.Wait()
}

func (w *walker) end() {
	w.t.Helper()
	w.in.Close()
	for c := range w.bytes {
		w.screen.WriteByte(c)
	}
	if err := w.cmd.Wait(); err != nil {
		w.t.Fatalf("%v\n%s", err, w.screen.String())
	}
}

// planned is the answer of the scripted walk to a question, and what then must
// stand in the sheet. What was corrected or asked in turns follows from the
// sheet as it is.
func planned(question string, text string) (answer, kept string) {
	has := func(s string) bool { return strings.Contains(text, s) }
	ask := func(s string) bool { return strings.Contains(question, s) }
	switch {
	case ask("which of these are there"):
		return "9", "answer = \"9\""
	case ask("house held"):
		return "", `hold = "depressurised"`
	case ask("all of that") && !has(`"appliances off"`):
		return "yes", `step = "appliances off"`
	case ask("all of that") && !has(`"set-up"`):
		return "yes", `step = "set-up"`
	case ask("all of that"):
		return "done", `step = "put back as found"`
	case ask("units the"):
		return "", `flow = "cfm"`
	case ask("spaces beside"):
		return "attic, garage, ducts", `name = "garage"`
	case ask("indoor"):
		return "68", `indoor = "68 °F"`
	case ask("outdoor"):
		return "skip", `step = "outdoor"`
	case ask("volume of the house"):
		return "14400", `volume = "14400 ft3"`
	case ask("floor area"):
		return "1800", `floor_area = "1800 ft2"`
	case ask("bedrooms"):
		return "3", `bedrooms = 3`
	case ask("where the ducts run"):
		return "attic", `touches = ["house", "attic"]`
	case ask("at 25 Pa"):
		return "-25 1450", `name = "as found, 25 Pa"`
	case ask("baseline again"):
		return "-1.1", `baseline_after = "-1.1 Pa"`
	case ask("baseline"):
		return "-1.2", `baseline = "-1.2 Pa"`
	case ask("25 Pa held"):
		return "yes", `step = "25 Pa and a walk through the house"`
	case ask("as found: house"):
		return "-51.2", `house = "-51.2 Pa"`
	case ask("as found: fan"):
		return "2280", `fan = "2280 cfm"`
	case ask("flow range"):
		return "", `range = "open"`
	case ask("as found: attic") && !has("to_house.attic"):
		return "49.3", `to_house.attic = "49.3 Pa"`
	case ask("as found: attic"):
		return "43.9", `corrected, was: to_house.attic = "49.3 Pa"`
	case ask("as found: garage") && !has("corrected"):
		return "back", ""
	case ask("as found: garage"):
		return "-", `state = "not readable"`
	case ask("they are covered"):
		return "yes", `sealed = [`
	case ask("registers covered: house"):
		return "-50", `house = "-50 Pa"`
	case ask("registers covered: fan"):
		return "2150", `fan = "2150 cfm"`
	case ask("registers covered: ducts"):
		return "41", `to_house.ducts = "41 Pa"`
	case ask("a register to read") && !has(`name = "kitchen"`):
		return "kitchen", `name = "kitchen"`
	case ask("a register to read"):
		return "", `step = "registers of the ducts"`
	case ask("register kitchen"):
		return "1.4", `cover = "1.4 Pa"`
	case ask("which of these is read next") && !has("further reading"):
		return "1", `step = "further reading"`
	case ask("which of these is read next"):
		return "none", `step = "no further readings"`
	case ask("area as measured"):
		return "", `step = "area of opening 1"`
	case ask("hinge side"):
		return "", `leaf = "24 in x 30 in"`
	case ask("gap at the free edge"):
		return "6", `ajar = "6 in"`
	case ask("house to outside"):
		return "-50.4", `house = "-50.4 Pa"`
	case ask("fan flow"):
		return "2610", `fan = "2610 cfm"`
	case ask("attic to house"):
		return "12.2", `to_house.attic = "12.2 Pa"`
	}
	return "unforeseen", "unforeseen"
}

func readText(t *testing.T, path string) string {
	t.Helper()
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

// withoutTimes is a sheet without the times, which no two walks have in common.
func withoutTimes(text string) string {
	return regexp.MustCompile(`\d\d\d\d-\d\d-\d\d(T\d\d:\d\d:\d\d)?|\d\d:\d\d:\d\d`).ReplaceAllString(text, "…")
}

// goOn takes a walk up and answers until it ends, or kills it: stop counts the
// answers before that, below 0 for never. It tells whether the walk came to its
// end.
func goOn(t *testing.T, path string, stop int, wait time.Duration) bool {
	t.Helper()
	w := startWalk(t, path)
	var must []string // what the answered questions have left in the sheet
	pending := ""
	for n := 0; ; n++ {
		if n == 0 && stop == 0 {
			time.Sleep(wait)
			w.kill()
			break
		}
		q := w.question()
		if q == "" {
			w.end()
			return true
		}
		if pending != "" {
			must = append(must, pending) // the next question was put
		}
		answer, kept := planned(q, readText(t, path))
		pending = kept
		w.answer(answer)
		if n+1 == stop {
			time.Sleep(wait)
			w.kill()
			break
		}
	}
	if _, err := os.Stat(path); err != nil {
		return false // killed before the sheet was made
	}
	text := readText(t, path)
	if _, err := sheet.Parse([]byte(text), path); err != nil {
		t.Fatalf("the sheet is no sheet any more: %v\n%s", err, text)
	}
	for _, m := range must {
		if !strings.Contains(text, m) {
			t.Fatalf("an answered question is lost: %s\n%s", m, text)
		}
	}
	return false
}

// TestKilledWalk kills a scripted walk at random moments, 40 times and
// HOLDBOOK_KILLS times where that is set. No answered question may be lost, the
// sheet must be valid at any time, and in the end it must be the sheet of a walk
// that nobody disturbed.
func TestKilledWalk(t *testing.T) {
	long(t, "forty walks")
	kills, _ := strconv.Atoi(os.Getenv("HOLDBOOK_KILLS"))
	if kills == 0 {
		kills = 40
	}
	dir := t.TempDir()
	calm := filepath.Join(dir, "calm.toml")
	if !goOn(t, calm, -1, 0) {
		t.Fatal("the undisturbed walk did not come to its end")
	}
	want := withoutTimes(readText(t, calm))
	if strings.Contains(want, "unforeseen") {
		t.Fatalf("a question that the test does not know:\n%s", want)
	}
	r := rand.New(rand.NewPCG(50, 25))
	done := 0
	for house := 0; done < kills; house++ {
		path := filepath.Join(dir, fmt.Sprintf("house%d.toml", house))
		over := false
		for !over && done < kills {
			// From the moment of the write, a few milliseconds, to the middle of the
			// computing that follows it.
			most := []float64{3, 12, 60, 300}[r.IntN(4)]
			if over = goOn(t, path, r.IntN(5), time.Duration(r.Float64()*most*float64(time.Millisecond))); !over {
				done++
			}
		}
		if !over {
			goOn(t, path, -1, 0)
		}
		if got := withoutTimes(readText(t, path)); got != want {
			t.Fatalf("after kills the sheet differs from that of a calm walk:\n%s\nwant:\n%s", got, want)
		}
	}
	left, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range left {
		if strings.HasPrefix(e.Name(), ".") {
			t.Errorf("%s is left beside the sheets", e.Name())
		}
	}
	t.Logf("%d kills", done)
}

// TestSecondWalk refuses a second walk on a sheet, and lets the first go on.
func TestSecondWalk(t *testing.T) {
	path := filepath.Join(t.TempDir(), "house.toml")
	first := startWalk(t, path)
	first.question()
	out, err := exec.Command("holdbook", "walk", path).CombinedOutput()
	if err == nil || !strings.Contains(string(out), "another walk has this sheet open") {
		t.Errorf("the second walk: %v\n%s", err, out)
	}
	first.answer("none")
	if q := first.question(); !strings.Contains(q, "house held") {
		t.Errorf("the first walk then asks %q", q)
	}
	first.kill() // its lock is void, whatever it left behind
	second := startWalk(t, path)
	if q := second.question(); !strings.Contains(q, "house held") {
		t.Errorf("the walk after a killed one asks %q", q)
	}
	second.answer("stop")
	second.end()
}

// TestFullDisk walks on a disk of a few kilobytes until it is full.
func TestFullDisk(t *testing.T) {
	bash, err := exec.LookPath("bash")
	if err != nil || runtime.GOOS != "linux" {
		t.Skip("no way to make a small disk here")
	}
	dir := t.TempDir()
	mount := "mount -t tmpfs -o size=16k none " + dir
	if exec.Command("unshare", "-rm", bash, "-c", mount).Run() != nil {
		t.Skip("no way to make a small disk here")
	}
	script := mount + `
cd ` + dir + `
printf 'none\n\nyes\nyes\n\nattic\n-1.2\n' | holdbook walk house.toml > /dev/null
before=$(cat house.toml)
head -c 20000 /dev/zero > filler
printf 'yes\nwhat\n\n' | holdbook walk house.toml; echo "status $?"
test "$before" = "$(cat house.toml)" && echo unharmed
rm filler
printf 'yes\nskip\n-51.2\n' | holdbook walk house.toml > /dev/null
grep 'house = "-51.2 Pa"' house.toml
ls -A
`
	out, err := exec.Command("unshare", "-rm", bash, "-c", script).CombinedOutput()
	t.Logf("%s %v", out, err)
	for _, want := range []string{"NOT WRITTEN: your answer", "no space left on device", "status 1", "unharmed", `house = "-51.2 Pa"`} {
		if !strings.Contains(string(out), want) {
			t.Errorf("no %q in:\n%s", want, out)
		}
	}
}

// TestWalkInTerminal drives a walk in a real terminal.
func TestWalkInTerminal(t *testing.T) {
	tmux, err := exec.LookPath("tmux")
	if err != nil {
		t.Skip("no tmux here")
	}
	program, err := exec.LookPath("holdbook")
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	path := filepath.Join(dir, "visit.toml")
	socket := filepath.Join(dir, "s")
	run := func(args ...string) string {
		cmd := exec.Command(tmux, append([]string{"-S", socket, "-f", os.DevNull}, args...)...)
		cmd.Env = append(os.Environ(), "LC_ALL=C.UTF-8", "TERM=xterm")
		out, err := cmd.CombinedOutput()
		if err != nil {
			t.Fatalf("tmux %v: %v %s", args, err, out)
		}
		return string(out)
	}
	const over = "the walk is over"
	run("-u", "new-session", "-d", "-x", "60", "-y", "50", "trap : INT; '"+program+"' walk '"+path+"'; echo "+over+"; sleep 100")
	defer func() {
		exec.Command(tmux, "-S", socket, "kill-server").Run()
		awaitUnlocked(t, path) // its folder is removed next
	}()
	waitFor := func(text string) string {
		t.Helper()
		for end := time.Now().Add(patience); time.Now().Before(end); time.Sleep(20 * time.Millisecond) {
			if screen := run("capture-pane", "-p", "-J"); strings.Contains(screen, text) {
				return screen
			}
		}
		t.Fatalf("no %q on the screen:\n%s", text, run("capture-pane", "-p"))
		return ""
	}
	waitFor("their numbers, or none:")
	for _, step := range [][2]string{
		{"none", "[depressurised]:"}, {"", "all of that is done:"}, {"yes", "5 ft"}, {"yes", "[Pa cfm]:"}, {"", "spaces beside"},
		{"attic", "baseline, house"}, {"-1,2", "decimal comma"},
		{"?", "-: it could not be read"}, {"-1.2", "25 Pa held"}, {"yes", "at 25 Pa"}, {"skip", "as found: house"}, {"-51.2", "as found: fan"},
		{"2280", "attic to house"}, {"4x", "4x"},
	} {
		if step[0] != "" {
			run("send-keys", "-l", "--", step[0])
		}
		run("send-keys", "Enter")
		waitFor(step[1])
	}
	// A slip of the finger is taken back with the terminal's own keys.
	run("send-keys", "-l", "99")
	run("send-keys", "BSpace")
	run("send-keys", "BSpace")
	run("send-keys", "-l", "43.9")
	run("send-keys", "Enter")
	waitFor("[open]:")
	for _, next := range []string{"indoor temperature", "outdoor temperature", "volume of the house", "floor area", "bedrooms", "which of these is read next"} {
		if next != "indoor temperature" {
			run("send-keys", "-l", "skip")
		}
		run("send-keys", "Enter")
		waitFor(next)
	}
	screen := waitFor("which of these is read next")
	if !strings.Contains(screen, "through the attic not resolved yet") {
		t.Errorf("the screen does not say what is known:\n%s", screen)
	}
	run("send-keys", "C-c") // the terminal's way to stop
	if screen := waitFor(over); !strings.Contains(strings.ReplaceAll(screen, "\n", ""), "Go on with: holdbook walk "+path) {
		t.Errorf("the line to go on with is taken apart:\n%s", screen)
	}
	s, err := sheet.Read(path)
	if err != nil {
		t.Fatal(err)
	}
	if len(s.Holds) != 1 || len(s.Holds[0].Readings) != 1 || s.Holds[0].Readings[0].Pressure.Text != "43.9 Pa" {
		t.Errorf("the sheet has %+v", s.Holds)
	}
}

// awaitUnlocked waits until no walk has a sheet open.
func awaitUnlocked(t *testing.T, path string) {
	t.Helper()
	for end := time.Now().Add(patience); time.Now().Before(end); time.Sleep(20 * time.Millisecond) {
		if lock, err := walk.TakeLock(path); err == nil {
			lock.Release()
			return
		}
	}
	t.Error("a walk still has the sheet open")
}
