package command

import (
	"io"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
)

// inTests writes files as a run does whose output goes nowhere.
var inTests = newProgram([]string{Name}, Env{Stdout: io.Discard, Stderr: io.Discard})

func TestWriteFileKeepsPermissionsAndLinks(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("permissions and links work differently there")
	}
	folder := t.TempDir()
	file, link := filepath.Join(folder, "report.txt"), filepath.Join(folder, "link.txt")
	if err := os.WriteFile(file, []byte("old"), 0o640); err != nil {
		t.Fatal(err)
	}
	if err := os.Symlink(file, link); err != nil {
		t.Fatal(err)
	}
	if err := inTests.writeFile(link, []byte("new")); err != nil {
		t.Fatal(err)
	}
	info, err := os.Stat(file)
	if err != nil || info.Mode().Perm() != 0o640 {
		t.Errorf("permissions: %v, %v", info.Mode(), err)
	}
	if b, _ := os.ReadFile(file); string(b) != "new" {
		t.Errorf("the file behind the link says %q", b)
	}
	if l, err := os.Lstat(link); err != nil || l.Mode()&os.ModeSymlink == 0 {
		t.Error("the link was replaced by a file")
	}
}

func TestWriteFileLeavesNothingBehind(t *testing.T) {
	folder := t.TempDir()
	if err := inTests.writeFile(filepath.Join(folder, "nosuch", "x"), []byte("x")); err == nil {
		t.Error("a folder that is not there was written into")
	}
	if err := os.Mkdir(filepath.Join(folder, "x"), 0o755); err != nil {
		t.Fatal(err)
	}
	if err := inTests.writeFile(filepath.Join(folder, "x"), []byte("x")); err == nil {
		t.Error("a folder was overwritten by a file")
	}
	if err := inTests.writeFile(filepath.Join(folder, "y"), []byte("y")); err != nil {
		t.Error(err)
	}
	entries, err := os.ReadDir(folder)
	if err != nil || len(entries) != 2 {
		t.Errorf("left in the folder: %v, %v", entries, err)
	}
}

func TestSameFile(t *testing.T) {
	folder := t.TempDir()
	a, b := filepath.Join(folder, "a"), filepath.Join(folder, "b")
	for _, name := range []string{a, b} {
		if err := os.WriteFile(name, nil, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	if !sameFile(a, filepath.Join(folder, ".", "a")) || sameFile(a, b) || sameFile(a, filepath.Join(folder, "nosuch")) {
		t.Error("one file taken for two, or two for one")
	}
}

// No output overwrites a log that the sheet reads, whatever name leads to it.
func TestOutputSparesTheLogs(t *testing.T) {
	folder := t.TempDir()
	in := func(name string) string { return filepath.Join(folder, name) }
	const log = "house\n-50.1\n-50.3\n-49.9\n"
	for name, text := range map[string]string{"log.csv": log, "a.toml": "sheet = 1\n[[hold]]\nfan = \"2280 cfm\"\nhouse = { file = \"log.csv\", column = \"house\", unit = \"Pa\" }\n"} {
		if err := os.WriteFile(in(name), []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	names := []string{in("log.csv"), in("./x/../log.csv")}
	if os.Symlink("log.csv", in("link.csv")) == nil {
		names = append(names, in("link.csv"))
	}
	if os.Link(in("log.csv"), in("second.csv")) == nil {
		names = append(names, in("second.csv"))
	}
	for _, name := range names {
		for _, words := range [][]string{{"report"}, {"check"}, {"next"}, {"seal"}, {"compare", in("a.toml")}} {
			r := run("", append(words, in("a.toml"), "-o", name)...)
			if r.status != exitUsage || !strings.Contains(r.errors, "would overwrite the log") {
				t.Errorf("%s -o %s: status %d, %s", words[0], name, r.status, r.errors)
			}
		}
		if r := run("", "batch", in("a.toml"), "--resume", name); r.status != exitData {
			t.Errorf("batch --resume %s: status %d, %s", name, r.status, r.errors)
		}
		if text, err := os.ReadFile(in("log.csv")); err != nil || string(text) != log {
			t.Fatalf("%v: the log says %q", err, text)
		}
	}
	if r := run("", "report", in("a.toml"), "-o", in("report.csv")); r.status != exitGood {
		t.Errorf("another name: status %d, %s", r.status, r.errors)
	}
}

// The name of standard output makes no file of that name.
func TestNoFileNamedDash(t *testing.T) {
	demoForTests()
	t.Chdir(t.TempDir())
	if err := os.WriteFile("a.toml", []byte("sheet = 1\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	for line, hint := range map[string]string{
		"zone attic=44 --house 50 --save -":   "holdbook zone attic=44 --house 50 --save house.toml",
		"house --house 50 --fan 900 --save=-": "holdbook house --house 50 --fan 900 --save=house.toml",
		"new -":                               "holdbook new visit.toml --zone attic",
		"batch a.toml --resume -":             "holdbook batch a.toml --resume results.jsonl",
		"batch - --resume -":                  "holdbook batch - --resume results.jsonl",
	} {
		r := run("a.toml\n", strings.Fields(line)...)
		if r.status != exitUsage || r.out != "" || !strings.Contains(r.errors, "hint: "+hint+"\n") {
			t.Errorf("%s: status %d, %s", line, r.status, r.errors)
		}
		if _, err := os.Stat("-"); err == nil {
			t.Fatalf("%s made a file", line)
		}
	}
}
