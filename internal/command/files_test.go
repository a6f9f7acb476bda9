package command

import (
	"io"
	"os"
	"path/filepath"
	"runtime"
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
