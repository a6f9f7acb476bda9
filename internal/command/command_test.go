package command

import (
	"bytes"
	"encoding/json"
	"errors"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"runtime/debug"
	"strings"
	"sync"
	"testing"
	"unicode/utf8"

	"github.com/urfave/cli/v2"
	"holdbook/internal/sheet"
)

// result is what one run left behind.
type result struct {
	status      int
	out, errors string
}

// run runs one command line in process.
func run(stdin string, words ...string) result {
	var out, messages bytes.Buffer
	status := Main(append([]string{Name}, words...), Env{
		Stdin: strings.NewReader(stdin), Stdout: &out, Stderr: &messages, Demo: demoForTests(),
	})
	return result{status, out.String(), messages.String()}
}

var demoForTests = sync.OnceValue(func() []byte {
	b, err := os.ReadFile("../../testdata/demo.toml")
	if err != nil {
		panic(err)
	}
	return b
})

// leaves calls f for every command that can be run.
func leaves(f func(*cli.Command)) {
	var visit func([]*cli.Command)
	visit = func(commands []*cli.Command) {
		for _, c := range commands {
			f(c)
			visit(c.Subcommands)
		}
	}
	visit(newProgram([]string{Name}, Env{}).commands)
}

func TestArrange(t *testing.T) {
	for _, c := range []struct{ typed, want string }{
		{"zone attic=44 --house -50 --fan 2280", "zone --house -50 --fan 2280 -- attic=44"},
		{"zone --house=-50 attic=44 --units si b=3", "zone --house=-50 --units si -- attic=44 b=3"},
		{"zone -house -50 attic=44", "zone -house -50 -- attic=44"},
		{"duct onoff -25=1274:1182 --working", "duct onoff --working -- -25=1274:1182"},
		{"duct onoff -.5=3:4", "duct onoff -- -.5=3:4"},
		{"report - --format json", "report --format json -- -"},
		{"report -- --units", "report -- --units"},
		{"report h -h", "--help"},
		{"report a -o -", "report -o - -- a"},
		{"demo", "demo"},
		{"--version", "--version"},
		{"-h", "--help"},
	} {
		line, _, err := newProgram(append([]string{Name}, strings.Fields(c.typed)...), Env{}).arrange()
		if got := strings.Join(line, " "); err != nil || got != c.want {
			t.Errorf("%s: got %q, %v; want %q", c.typed, got, err, c.want)
		}
	}
}

func TestNearest(t *testing.T) {
	known := []string{"demo", "report", "house", "zone", "duct", "o", "h"}
	for _, c := range []struct{ word, want string }{
		{"zne", "zone"}, {"zoen", "zone"}, {"HOUSE", "house"}, {"reprot", "report"}, {"hosue", "house"},
		{"dmeo", "demo"}, {"duckt", "duct"}, {"rprrtt", ""}, {"frobnicate", ""}, {"x", ""}, {"", ""}, {"zzz", ""},
	} {
		if got := nearest(c.word, known); got != c.want {
			t.Errorf("nearest(%q) = %q, want %q", c.word, got, c.want)
		}
	}
}

func TestShellQuoteSurvivesTheShell(t *testing.T) {
	bash, err := exec.LookPath("bash")
	if err != nil {
		t.Skip("no bash to read the words back")
	}
	for _, word := range []string{"attic=44", "north attic=44", "$(touch X)", "`x`", "it's", `a"b`, "a!b", "", "-50", "°C", `back\slash`, "a;b|c&d", "~/x", "*"} {
		out, err := exec.Command(bash, "-c", "printf %s "+shellQuote(word)).Output()
		if err != nil || string(out) != word {
			t.Errorf("%q came back as %q, %v", word, out, err)
		}
	}
}

func TestHelpFitsTheScreen(t *testing.T) {
	check := func(name string, r result) {
		if r.status != 0 || r.errors != "" {
			t.Errorf("%s: status %d, %s", name, r.status, r.errors)
		}
		for i, line := range strings.Split(r.out, "\n") {
			if n := len([]rune(line)); n > 80 {
				t.Errorf("%s: line %d has %d columns: %s", name, i+1, n, line)
			}
			if strings.TrimRight(line, " ") != line {
				t.Errorf("%s: line %d ends in a space: %q", name, i+1, line)
			}
		}
	}
	check("overview", run("", "--help"))
	leaves(func(c *cli.Command) {
		check(helpName(c), run("", append(strings.Fields(helpName(c)), "--help")...))
	})
}

// TestHelpIsWhole: a group, a line of use, an example, and for each flag that
// takes a value the word that stands for it.
func TestHelpIsWhole(t *testing.T) {
	leaves(func(c *cli.Command) {
		if c.Usage == "" || len(examples(c)) == 0 {
			t.Errorf("%s lacks a line of use or an example", helpName(c))
		}
		for _, line := range examples(c) {
			if !strings.HasPrefix(line, Name+" ") {
				t.Errorf("%s: no command line: %s", helpName(c), line)
			}
		}
		if c.HelpName == "" && !strings.Contains(strings.Join(groups, "\n"), c.Category) {
			t.Errorf("%s is in no group that the overview shows", c.Name)
		}
		for _, f := range c.Flags {
			g, ok := f.(*cli.GenericFlag)
			if !ok {
				continue
			}
			if word, _ := placeholder(g); word == "" || word != strings.ToUpper(word) {
				t.Errorf("%s --%s has no word for its value", helpName(c), g.Name)
			}
			if e := g.Value.(*value).sample; e == "" || g.Value.Set(e) != nil {
				t.Errorf("%s --%s: its own example %q is refused", helpName(c), g.Name, e)
			}
		}
	})
}

// TestRunsShareNothing: a value of one run must not be left over for the next.
func TestRunsShareNothing(t *testing.T) {
	if r := run("", "zone", "attic=44", "--hous", "50"); r.status != exitUsage {
		t.Fatalf("status %d", r.status)
	}
	if r := run("", "zone", "attic=44"); r.status != exitUsage || !strings.Contains(r.errors, "missing: --house") {
		t.Errorf("status %d, %s", r.status, r.errors)
	}
}

func TestUsageErrorsNameTheValueTwice(t *testing.T) {
	r := run("", "zone", "attic=44", "--house=50", "--house=60")
	if !strings.Contains(r.errors, "hint: holdbook zone attic=44 --house=50\n") {
		t.Errorf("got %s", r.errors)
	}
}

// TestHostileWords: nothing typed may panic, reach standard output, or come
// back to the terminal as a control sequence.
func TestHostileWords(t *testing.T) {
	hostile := []string{"", "-", "--", "---", "-=", "--=", "=", "a=", "=1", "\x1b[31mred", "\u202etxt", "a\nb=44", strings.Repeat("x", 1<<16),
		"--house=", "--house=\x1b[2J", "-9e999", "1e308", "%!s(int=3)", "%d", "\xff\xfe", "--=--", "-h=", "--help=3", "--generate-bash-completion"}
	for _, c := range []string{"", "zone", "house", "report", "duct", "duct onoff", "duct covers", "help", "completion", "demo", "nosuch", completeWord} {
		for _, a := range hostile {
			for _, b := range []string{"", "--", "=", "\x1b[31mred", "--house"} {
				words := append(strings.Fields(c), a, b)
				r := run("", words...)
				if strings.ContainsAny(r.errors, "\x1b\u202e") {
					t.Errorf("%q: a control sequence in %q", words, r.errors)
				}
				if r.status != exitGood && r.out != "" {
					t.Errorf("%q: status %d and yet on standard output: %q", words, r.status, r.out)
				}
				if r.status != exitGood && !strings.HasPrefix(r.errors, "holdbook: error: ") {
					t.Errorf("%q: status %d with message %q", words, r.status, r.errors)
				}
			}
		}
	}
}

// TestHostileFiles: what stands in a file of results, and the names of files, reach
// the terminal as text only.
func TestHostileFiles(t *testing.T) {
	const evil = "\x1b[31m\x1b]0;owned\x07\u202egpj\u2066\u009b2J"
	folder := t.TempDir()
	results := filepath.Join(folder, "r"+evil+".jsonl")
	row, err := json.Marshal(evil + "\n\x1b[2Jother.toml")
	if err != nil {
		t.Fatal(err)
	}
	sheet := filepath.Join(folder, evil+"\n"+evil+"\xff\x9b31m.toml")
	for name, text := range map[string]string{results: `{"sheet":` + string(row) + `,"results":1}` + "\n", sheet: "sheet = 1\n[[hold]]\nhouse = 50\n"} {
		if err := os.WriteFile(name, []byte(text), 0o600); err != nil {
			t.Skip(err) // no file of such a name here
		}
	}
	for _, words := range [][]string{
		{"batch", sheet, "--resume", results}, {"batch", folder, "--resume", results}, {"batch", sheet, "--summary"}, {"batch", sheet + "x"},
		{"batch", sheet, "--resume", sheet}, {"batch", sheet, "--resume", filepath.Join(folder, evil, "x")}, {"report", sheet}, {"check", sheet + "x"},
		{"report", "../../testdata/demo.toml", "-o", filepath.Join(folder, evil, "x")}, {"new", sheet}, {"walk", sheet}, {"compare", sheet, results},
	} {
		r := run("", words...)
		if r.status == exitGood {
			t.Errorf("%q: status 0", words)
		}
		for _, text := range []string{r.errors, r.out} {
			if strings.ContainsAny(text, "\x1b\x07\u202e\u2066\u009b") || strings.Contains(text, "\x9b3") || !utf8.ValidString(text) {
				t.Errorf("%q: control characters in %q", words, text)
			}
		}
	}
}

type fullDisk struct{}

func (fullDisk) Write([]byte) (int, error) { return 0, errors.New("no space left") }

func TestResultThatCannotBeWritten(t *testing.T) {
	for _, words := range [][]string{{"--help"}, {"--version"}, {"demo", "--sheet"}, {"man"}, {"completion", "zsh"}, {"help", "zone"}} {
		var messages bytes.Buffer
		status := Main(append([]string{Name}, words...), Env{Stdout: fullDisk{}, Stderr: &messages, Demo: []byte("x")})
		if status != exitData || strings.Count(messages.String(), "\n") != 1 || !strings.Contains(messages.String(), "no space left") {
			t.Errorf("%q: status %d, %s", words, status, messages.String())
		}
	}
}

// TestNoticesBesideRows: rows of numbers have no place for a danger, so it is a
// message.
func TestNoticesBesideRows(t *testing.T) {
	text := run("", "demo")
	r := run("", "demo", "--format", "csv")
	if r.status != 0 || !strings.Contains(r.errors, Name+": Danger: ") || strings.Contains(r.out, "Danger") {
		t.Errorf("status %d, messages %s", r.status, r.errors)
	}
	if text.errors != "" {
		t.Errorf("the report in text has its notices in it: %s", text.errors)
	}
}

func TestStandardInputIsClaimedOnce(t *testing.T) {
	p := newProgram([]string{Name}, Env{Stdin: strings.NewReader("")})
	if err := p.claimStdin("the sheet"); err != nil {
		t.Fatal(err)
	}
	var usage *usageError
	if err := p.claimStdin("the list"); !errors.As(err, &usage) {
		t.Errorf("second claim: %v", err)
	}
}

type brokenPipe struct{}

func (brokenPipe) Read([]byte) (int, error) { return 0, io.ErrUnexpectedEOF }

func TestStandardInputThatBreaks(t *testing.T) {
	var out, messages bytes.Buffer
	status := Main([]string{Name, "report", "-"}, Env{Stdin: brokenPipe{}, Stdout: &out, Stderr: &messages})
	if status != exitData || out.Len() > 0 || !strings.Contains(messages.String(), "standard input") {
		t.Errorf("status %d, %s", status, messages.String())
	}
}

func TestVersionLine(t *testing.T) {
	info := &debug.BuildInfo{Main: debug.Module{Version: "(devel)"}, Settings: []debug.BuildSetting{
		{Key: "vcs.revision", Value: "0123456789abcdef"}, {Key: "vcs.modified", Value: "true"}}}
	if got := versionLine(info); !strings.HasPrefix(got, "holdbook unreleased, revision 0123456789ab, with changes (go") {
		t.Error(got)
	}
	if got := versionLine(&debug.BuildInfo{Main: debug.Module{Version: "v1.2.3"}}); !strings.HasPrefix(got, "holdbook v1.2.3 (go") {
		t.Error(got)
	}
}

func TestManualIsWellFormed(t *testing.T) {
	r := run("", "man")
	if r.status != 0 {
		t.Fatal(r.errors)
	}
	leaves(func(c *cli.Command) {
		if !strings.Contains(r.out, ".SS "+escapeRoff(synopsis(c))) {
			t.Errorf("the manual lacks %s", helpName(c))
		}
	})
	groff, err := exec.LookPath("groff")
	if err != nil {
		t.Skip("no groff to read the manual page")
	}
	cmd := exec.Command(groff, "-man", "-ww", "-Tutf8", "-z")
	cmd.Stdin = strings.NewReader(r.out)
	if out, err := cmd.CombinedOutput(); err != nil || len(out) > 0 {
		t.Errorf("%v: %s", err, out)
	}
}

func TestTomlText(t *testing.T) {
	for _, c := range []struct{ name, key, text string }{
		{"attic", "attic", `"attic"`},
		{"north attic", `"north attic"`, `"north attic"`},
		{`the "lab"`, `"the \"lab\""`, `"the \"lab\""`},
		{"a\\b\n\x7f", `"a\\b\u000A\u007F"`, `"a\\b\u000A\u007F"`},
		{"", `""`, `""`},
		{"Dachböden", `"Dachböden"`, `"Dachböden"`},
	} {
		if got := sheet.KeyText(c.name); got != c.key {
			t.Errorf("key %q: %s", c.name, got)
		}
		if got := sheet.StringText(c.name); got != c.text {
			t.Errorf("text %q: %s", c.name, got)
		}
	}
}

func TestKindOf(t *testing.T) {
	for name, want := range map[string]string{
		"North Attic": "attic", "garage loft": "other", "lab": "other", "bed room": "room", "attic": "attic", "": "other",
	} {
		if got := kindOf(name); got != want {
			t.Errorf("%q is taken for %s, want %s", name, got, want)
		}
	}
}

func BenchmarkVersion(b *testing.B) {
	for b.Loop() {
		run("", "--version")
	}
}

func BenchmarkDemo(b *testing.B) {
	for b.Loop() {
		run("", "demo")
	}
}
