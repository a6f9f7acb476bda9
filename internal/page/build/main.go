// Command build puts the page for a phone into one file that needs nothing else: the
// engine compiled to WebAssembly, packed and written in 85 characters, the worker that runs
// it, script and style with their hashes in the content policy.
//
//	go run ./internal/page/build -o holdbook.html
//
// The same revision and the same toolchain make the same bytes anywhere.
package main

import (
	"bytes"
	"compress/gzip"
	"crypto/sha256"
	"encoding/ascii85"
	"encoding/base64"
	"errors"
	"flag"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"

	"holdbook/internal/files"
)

// largest is how many bytes the file may have: what a phone opens without a wait.
const largest = 4_500_000

// scripts are those of the page, in the order in which they stand in it.
var scripts = []string{"engine.js", "store.js", "show.js", "visit.js", "results.js", "page.js"}

func main() {
	out := flag.String("o", "holdbook.html", "the `FILE` to write")
	flag.Parse()
	if err := run(*out); err != nil {
		fmt.Fprintln(os.Stderr, "build:", err)
		os.Exit(1)
	}
}

func run(out string) error {
	page, err := build()
	if err != nil {
		return err
	}
	if len(page) > largest {
		return fmt.Errorf("the page has %d bytes, more than %d", len(page), largest)
	}
	if err := files.Replace(out, page, nil); err != nil {
		return err
	}
	fmt.Printf("%s: %d bytes, at most %d\n", out, len(page), largest)
	return nil
}

// build is the page.
func build() ([]byte, error) {
	root, err := told("go", "list", "-m", "-f", "{{.Dir}}")
	if err != nil {
		return nil, err
	}
	goroot, err := told("go", "env", "GOROOT")
	if err != nil {
		return nil, err
	}
	engine, err := compiled(root)
	if err != nil {
		return nil, err
	}
	read := reader{}
	at := func(name string) string { return filepath.Join(root, "internal", "page", name) }
	html, style := read.text(at("page.html")), read.text(at("page.css"))
	drawing, err := drawingStyle(read.text(filepath.Join(root, "internal", "report", "html", "page.html")))
	if err != nil {
		return nil, err
	}
	var script strings.Builder
	for _, name := range scripts {
		script.WriteString(read.text(at(name)))
	}
	worker := read.text(filepath.Join(goroot, "lib", "wasm", "wasm_exec.js")) + read.text(at("worker.js"))
	demo := read.text(filepath.Join(root, "testdata", "demo.toml"))
	if read.err != nil {
		return nil, read.err
	}
	return assemble(html, parts{style: style + drawing, script: script.String(), worker: worker, demo: demo, engine: written(engine)})
}

// written is data in the 85 characters of Ascii85, four bytes in five of them where base64
// takes five and a third; v stands for <, which could begin a tag.
func written(data []byte) string {
	text := make([]byte, ascii85.MaxEncodedLen(len(data)))
	return strings.ReplaceAll(string(text[:ascii85.Encode(text, data)]), "<", "v")
}

// drawingStyle is what the page of a report says of its drawings, which are the same here.
func drawingStyle(page string) (string, error) {
	_, rest, found := strings.Cut(page, "\n.space {")
	rules, _, ends := strings.Cut(rest, "\n@media")
	if !found || !ends {
		return "", errors.New("the page of a report has no style of drawings from .space to @media")
	}
	return ".space {" + rules + "\n", nil
}

// told is what a command prints.
func told(name string, args ...string) (string, error) {
	out, err := exec.Command(name, args...).Output()
	return strings.TrimSpace(string(out)), err
}

// compiled is the engine, packed.
func compiled(root string) ([]byte, error) {
	folder, err := os.MkdirTemp("", "holdbook-page-")
	if err != nil {
		return nil, err
	}
	defer os.RemoveAll(folder)
	file := filepath.Join(folder, "engine.wasm")
	c := exec.Command("go", "build", "-trimpath", "-ldflags=-s -w -buildid=", "-o", file, "holdbook/internal/page")
	c.Dir, c.Stderr = root, os.Stderr
	c.Env = append(os.Environ(), "GOOS=js", "GOARCH=wasm", "GOWASM=", "CGO_ENABLED=0", "GOFLAGS=")
	if err := c.Run(); err != nil {
		return nil, fmt.Errorf("the engine does not compile: %w", err)
	}
	raw, err := os.ReadFile(file)
	if err != nil {
		return nil, err
	}
	var b bytes.Buffer
	z, err := gzip.NewWriterLevel(&b, gzip.BestCompression)
	if err == nil {
		_, err = z.Write(raw)
	}
	if err == nil {
		err = z.Close()
	}
	return b.Bytes(), err
}

// reader reads texts until one cannot be read.
type reader struct{ err error }

func (r *reader) text(file string) string {
	b, err := os.ReadFile(file)
	if r.err == nil {
		r.err = err
	}
	return string(b)
}

// parts are what is put into the page.
type parts struct{ style, script, worker, demo, engine string }

// assemble puts the parts into the page. What could end the element that it stands in is an
// error.
func assemble(html string, p parts) ([]byte, error) {
	for _, text := range []string{p.style, p.script, p.worker, p.demo} {
		if low := strings.ToLower(text); strings.Contains(low, "</script") || strings.Contains(low, "</style") || strings.Contains(low, "<!--") {
			return nil, errors.New("a part of the page would end its element")
		}
	}
	policy := "default-src 'none'; script-src '" + hash(p.script) + "' 'wasm-unsafe-eval'; style-src '" + hash(p.style) +
		"'; worker-src blob:; img-src data:; base-uri 'none'; form-action 'none'"
	for _, x := range [][2]string{{"POLICY", policy}, {"STYLE", p.style}, {"SCRIPT", p.script}, {"WORKER", p.worker}, {"DEMO", p.demo}, {"ENGINE", p.engine}} {
		slot := "[[" + x[0] + "]]"
		if strings.Count(html, slot) != 1 {
			return nil, fmt.Errorf("page.html has not one place for %s", slot)
		}
		html = strings.Replace(html, slot, x[1], 1)
	}
	return []byte(html), nil
}

// hash is that of a text as a content policy names it.
func hash(text string) string {
	sum := sha256.Sum256([]byte(text))
	return "sha256-" + base64.StdEncoding.EncodeToString(sum[:])
}
