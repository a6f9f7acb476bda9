package batch

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbook/internal/report"
	"holdbook/internal/survey"
	"holdbook/units"
)

// stock is n invented sheets as JSON Lines, every seventh of them faulty.
func stock(n int) string {
	r := rand.New(rand.NewPCG(9, 9))
	var b strings.Builder
	for i := range n {
		text := fmt.Sprintf("sheet = 1\n[house]\nvolume = \"12000 ft3\"\n[[hold]]\nhouse = \"-50 Pa\"\nfan = \"%d cfm\"\nto_house = { attic = \"%d Pa\" }\n", 900+r.IntN(3000), 20+r.IntN(29))
		if i%7 == 3 {
			text = "sheet = 1\n[[hold]]\nhouse = 50\n"
		}
		line, _ := json.Marshal(map[string]string{"sheet": fmt.Sprintf("house %d", i), "toml": text})
		b.Write(line)
		b.WriteByte('\n')
	}
	return b.String()
}

// jsonRow writes a row as the program does.
func jsonRow(r Row) ([]byte, error) { return report.JSONRow(r.Sheet, r.Findings, r.Errors, r.MadeOf) }

func written(t *testing.T, in string, o Options) []byte {
	t.Helper()
	var out bytes.Buffer
	o.Survey = survey.Options{CurvatureOnly: true}
	require.NoError(t, Run(context.Background(), Items([]string{"-"}, strings.NewReader(in)), o, jsonRow, func(line []byte) error {
		out.Write(line)
		return nil
	}))
	return out.Bytes()
}

// Rows come in the order of the sheets, the same with any number of workers, and
// a faulty sheet is a row of its own.
func TestRowsInOrder(t *testing.T) {
	in := stock(60)
	one := written(t, in, Options{Workers: 1})
	assert.Equal(t, string(one), string(written(t, in, Options{Workers: 3})))
	lines := strings.Split(strings.TrimSpace(string(one)), "\n")
	require.Len(t, lines, 60)
	for i, line := range lines {
		var row struct {
			Sheet string
			Error []string
		}
		require.NoError(t, json.Unmarshal([]byte(line), &row))
		assert.Equal(t, fmt.Sprintf("house %d", i), row.Sheet)
		assert.Equal(t, i%7 == 3, len(row.Error) > 0)
	}
}

// An output cut anywhere goes on to the same bytes.
func TestResume(t *testing.T) {
	in := stock(20)
	whole := written(t, in, Options{})
	name := filepath.Join(t.TempDir(), "out.jsonl")
	r := rand.New(rand.NewPCG(3, 3))
	for range 15 {
		require.NoError(t, os.WriteFile(name, whole[:r.IntN(len(whole)+1)], 0o600))
		res, err := Resume(name)
		require.NoError(t, err)
		var mismatch error
		items := res.Rest(Items([]string{"-"}, strings.NewReader(in)), Options{Survey: survey.Options{CurvatureOnly: true}}, &mismatch)
		require.NoError(t, Run(context.Background(), items, Options{Survey: survey.Options{CurvatureOnly: true}}, jsonRow, func(line []byte) error {
			_, err := res.Write(line)
			return err
		}))
		require.NoError(t, mismatch)
		require.NoError(t, res.Close())
		got, err := os.ReadFile(name)
		require.NoError(t, err)
		assert.Equal(t, string(whole), string(got))
	}
}

// Rows of other sheets are not gone on with, and a foreign file is left alone.
func TestResumeRefuses(t *testing.T) {
	name := filepath.Join(t.TempDir(), "out.jsonl")
	require.NoError(t, os.WriteFile(name, []byte("{\"sheet\":\"other\",\"error\":[\"x\"]}\n"), 0o600))
	res, err := Resume(name)
	require.NoError(t, err)
	var mismatch error
	res.Rest(Items([]string{"-"}, strings.NewReader(stock(3))), Options{}, &mismatch)(func(Item) bool { return true })
	assert.ErrorContains(t, mismatch, "same order")
	require.NoError(t, res.Close())
	require.NoError(t, os.WriteFile(name, []byte("my diary\n"), 0o600))
	_, err = Resume(name)
	assert.ErrorContains(t, err, "no row of a batch")
	text, err := os.ReadFile(name)
	require.NoError(t, err)
	assert.Equal(t, "my diary\n", string(text))
}

// goOn resumes an output with sheets in a folder, and says how many rows were done
// anew.
func goOn(t *testing.T, name, folder string, o Options) int {
	t.Helper()
	o.Survey.CurvatureOnly = true
	res, err := Resume(name)
	require.NoError(t, err)
	var mismatch error
	render := func(r Row) ([]byte, error) {
		if r.Raw != nil {
			return r.Raw, nil
		}
		return jsonRow(r)
	}
	require.NoError(t, Run(context.Background(), res.Rest(Items([]string{folder}, nil), o, &mismatch), o, render, func(line []byte) error {
		_, err := res.Write(line)
		return err
	}))
	require.NoError(t, mismatch)
	require.NoError(t, res.Close())
	return res.Anew
}

// houses writes n sheets into a folder; each reads its house pressure from a log.
func houses(t *testing.T, n int) (folder string) {
	folder = t.TempDir()
	for i := range n {
		text := fmt.Sprintf("sheet = 1\n[[hold]]\nfan = \"%d cfm\"\nhouse = { file = \"%d.csv\", column = \"house\", unit = \"Pa\" }\n", 1000+i, i)
		require.NoError(t, os.WriteFile(filepath.Join(folder, fmt.Sprintf("%d.toml", i)), []byte(text), 0o600))
		require.NoError(t, os.WriteFile(filepath.Join(folder, fmt.Sprintf("%d.csv", i)), []byte("house\n-50\n-51\n-49\n"), 0o600))
	}
	return folder
}

// A row whose sheet or log was edited since, or that was made with other options, is
// done anew in its place; all others stay as they were.
func TestResumeAfterAChange(t *testing.T) {
	folder := houses(t, 6)
	name, fresh := filepath.Join(t.TempDir(), "out.jsonl"), func(o Options) string {
		name := filepath.Join(t.TempDir(), "fresh.jsonl")
		goOn(t, name, folder, o)
		text, err := os.ReadFile(name)
		require.NoError(t, err)
		return string(text)
	}
	same := func(want string) {
		t.Helper()
		got, err := os.ReadFile(name)
		require.NoError(t, err)
		assert.Equal(t, want, string(got))
	}
	edit := func(file, old, new string) {
		t.Helper()
		path := filepath.Join(folder, file)
		text, err := os.ReadFile(path)
		require.NoError(t, err)
		changed := strings.Replace(string(text), old, new, 1)
		require.NotEqual(t, string(text), changed)
		require.NoError(t, os.WriteFile(path, []byte(changed), 0o600))
	}
	assert.Zero(t, goOn(t, name, folder, Options{}))
	assert.Zero(t, goOn(t, name, folder, Options{}))
	edit("2.toml", "1002 cfm", "2002 cfm")
	edit("4.csv", "-50\n", "-50.5\n")
	assert.Equal(t, 2, goOn(t, name, folder, Options{}))
	same(fresh(Options{}))
	edit("0.toml", "cfm", "furlong") // a row that becomes an error, and back
	assert.Equal(t, 1, goOn(t, name, folder, Options{}))
	same(fresh(Options{}))
	edit("0.toml", "furlong", "cfm")
	assert.Equal(t, 1, goOn(t, name, folder, Options{}))
	si := units.SI
	metric := Options{Survey: survey.Options{Units: &si}}
	assert.Equal(t, 6, goOn(t, name, folder, metric))
	same(fresh(metric))
	assert.Zero(t, goOn(t, name, folder, metric))
}

// A run that is broken off while rows are done anew loses none of those behind them.
func TestResumeBrokenOffAfterAChange(t *testing.T) {
	folder := houses(t, 6)
	name := filepath.Join(t.TempDir(), "out.jsonl")
	goOn(t, name, folder, Options{})
	before, err := os.ReadFile(name)
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(filepath.Join(folder, "1.toml"), []byte("sheet = 1\n[[hold]]\nhouse = \"50 Pa\"\n"), 0o600))
	o := Options{Survey: survey.Options{CurvatureOnly: true}}
	for _, most := range []int{0, 1, 2} { // rows written before it is broken off
		require.NoError(t, os.WriteFile(name, before, 0o600))
		res, err := Resume(name)
		require.NoError(t, err)
		var mismatch error
		n := 0
		for i := range res.Rest(Items([]string{folder}, nil), o, &mismatch) {
			if n++; n > most {
				break
			}
			line, err := estimate(i, o), error(nil)
			text := line.Raw
			if text == nil {
				text, err = jsonRow(line)
				require.NoError(t, err)
			}
			_, err = res.Write(text)
			require.NoError(t, err)
		}
		require.NoError(t, res.Close())
		text, err := os.ReadFile(name)
		require.NoError(t, err)
		assert.Equal(t, 6, strings.Count(string(text), "\n"), "%d written before it was broken off", most)
		goOn(t, name, folder, Options{})
		text, err = os.ReadFile(name)
		require.NoError(t, err)
		rows, old := strings.SplitAfter(string(text), "\n"), strings.SplitAfter(string(before), "\n")
		assert.NotEqual(t, old[1], rows[1])
		rows[1] = old[1]
		assert.Equal(t, old, rows)
	}
}

// Two runs do not write to one output.
func TestResumeByTwo(t *testing.T) {
	name := filepath.Join(t.TempDir(), "out.jsonl")
	first, err := Resume(name)
	require.NoError(t, err)
	_, err = Resume(name)
	require.ErrorContains(t, err, "another batch writes to this file")
	require.NoError(t, first.Close())
	again, err := Resume(name)
	require.NoError(t, err)
	require.NoError(t, again.Close())
	left, err := os.ReadDir(filepath.Dir(name))
	require.NoError(t, err)
	assert.Len(t, left, 1)
}

// What is no start of a row is not taken for a torn one, and is left alone.
func TestResumeSparesTornText(t *testing.T) {
	name := filepath.Join(t.TempDir(), "note.txt")
	for _, text := range []string{"one line without an end", "{\"toml\":\"x", "{\"sheet\":\"a\",\"error\":[\"x\"]}\nand a line"} {
		require.NoError(t, os.WriteFile(name, []byte(text), 0o600))
		_, err := Resume(name)
		require.ErrorContains(t, err, "no row of a batch")
		got, err := os.ReadFile(name)
		require.NoError(t, err)
		assert.Equal(t, text, string(got))
	}
	for _, torn := range []string{"{", `{"sheet":`, `{"sheet":"a","er`} {
		require.NoError(t, os.WriteFile(name, []byte(torn), 0o600))
		res, err := Resume(name)
		require.NoError(t, err)
		require.NoError(t, res.Close())
		got, err := os.ReadFile(name)
		require.NoError(t, err)
		assert.Empty(t, got)
	}
}

// A fault of the program in one sheet is that sheet's error.
func TestPanicIsARow(t *testing.T) {
	bad := Item{Name: "x", Load: func() ([]byte, error) { panic("boom") }}
	row := one(bad, Options{}, func(r Row) (Row, error) { return r, nil })
	require.NoError(t, row.err)
	assert.Nil(t, row.value.Findings)
	assert.Contains(t, row.value.Errors[0], "boom")
}

func TestFoldersAndPatterns(t *testing.T) {
	dir := t.TempDir()
	require.NoError(t, os.MkdirAll(filepath.Join(dir, "b"), 0o755))
	for _, n := range []string{"a.toml", "b/c.toml", "b/note.txt", "d.TOML"} {
		require.NoError(t, os.WriteFile(filepath.Join(dir, n), []byte("sheet = 1\n"), 0o600))
	}
	names := func(paths ...string) (list []string) {
		Items(paths, nil)(func(i Item) bool {
			rel, _ := filepath.Rel(dir, i.Name)
			list = append(list, filepath.ToSlash(rel))
			return true
		})
		return list
	}
	assert.Equal(t, []string{"a.toml", "b/c.toml", "d.TOML"}, names(dir))
	assert.Equal(t, []string{"a.toml"}, names(filepath.Join(dir, "*.toml")))
	row := estimate(file(filepath.Join(dir, "none.toml")), Options{})
	assert.Contains(t, row.Errors[0], "no such file")
}

func BenchmarkBatch(b *testing.B) {
	in := stock(40)
	for _, workers := range []int{1, 2} {
		b.Run(fmt.Sprintf("workers=%d", workers), func(b *testing.B) {
			for b.Loop() {
				err := Run(context.Background(), Items([]string{"-"}, strings.NewReader(in)), Options{Workers: workers}, jsonRow, func([]byte) error { return nil })
				if err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
