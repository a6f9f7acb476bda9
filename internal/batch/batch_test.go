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
func jsonRow(r Row) ([]byte, error) { return report.JSONRow(r.Sheet, r.Findings, r.Errors) }

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
		items := res.Rest(Items([]string{"-"}, strings.NewReader(in)), &mismatch)
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
	defer res.Close()
	var mismatch error
	res.Rest(Items([]string{"-"}, strings.NewReader(stock(3))), &mismatch)(func(Item) bool { return true })
	assert.ErrorContains(t, mismatch, "same order")
	require.NoError(t, os.WriteFile(name, []byte("my diary\n"), 0o600))
	_, err = Resume(name)
	assert.ErrorContains(t, err, "no row of a batch")
	text, err := os.ReadFile(name)
	require.NoError(t, err)
	assert.Equal(t, "my diary\n", string(text))
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
