package batch

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"regexp"
	"runtime"
	"strconv"
	"strings"
	"sync"
	"testing"
	"unicode"

	"github.com/stretchr/testify/require"

	"holdbook/internal/report"
	_ "holdbook/internal/report/html" // the format
	"holdbook/internal/sheet"
	"holdbook/internal/survey"
	"holdbook/internal/testkit"
)

// sampledOne in so many sheets gets its intervals from draws, which costs a hundred
// times the curvature.
const sampledOne = 25

// soakSheets is how many random sheets are tried: HOLDBOOK_SOAK=100000 for a long
// soak, and HOLDBOOK_SOAK_SEED to begin elsewhere.
func soakSheets(usual int) (n int, seed uint64) {
	if v, err := strconv.Atoi(os.Getenv("HOLDBOOK_SOAK")); err == nil {
		usual = v
	}
	seed, _ = strconv.ParseUint(os.Getenv("HOLDBOOK_SOAK_SEED"), 10, 64)
	return usual, seed
}

// Any valid sheet gives findings without a number that is none, or an error that
// names the sheet; in every format; without a panic; in bounded memory.
func TestSoak(t *testing.T) {
	testkit.Long(t, "many sheets, or hard ones")
	n, seed := soakSheets(200)
	var wait sync.WaitGroup
	var lock sync.Mutex
	next, used, bad, refused := 0, 0, 0, map[string]int{}
	for range runtime.GOMAXPROCS(0) {
		wait.Go(func() {
			for {
				lock.Lock()
				i := next
				next++
				enough := i >= n || bad >= 5
				lock.Unlock()
				if enough {
					return
				}
				text := randomSheet(rand.New(rand.NewPCG(seed, uint64(i))))
				why, err := tryAll(text, i%sampledOne == 0)
				lock.Lock()
				if err != nil {
					bad++
					t.Errorf("sheet %d: %v\n%s", i, err, text)
				} else if why == "" {
					used++
				} else {
					refused[why]++
				}
				lock.Unlock()
			}
		})
	}
	wait.Wait()
	var m runtime.MemStats
	runtime.ReadMemStats(&m)
	t.Logf("%d sheets: %d with findings, refused %v; %d MiB from the system", n, used, refused, m.Sys>>20)
	require.GreaterOrEqual(t, 10*used, 7*n, "the sheets are not what readings are like")
	require.Less(t, m.Sys, uint64(1<<30))
}

// Random sheets that some search for a house once lost its way in give findings.
func TestHardSheets(t *testing.T) {
	testkit.Long(t, "many sheets, or hard ones")
	files, err := filepath.Glob("testdata/hard/*.toml")
	require.NoError(t, err)
	require.NotEmpty(t, files)
	for _, name := range files {
		text, err := os.ReadFile(name)
		require.NoError(t, err)
		for _, sampled := range []bool{false, true} {
			why, err := tryAll(string(text), sampled)
			require.NoError(t, err, name)
			require.Empty(t, why, name)
		}
	}
}

// tryAll takes one sheet the whole way, in every format. It says why the sheet
// was refused, if it was.
func tryAll(text string, sampled bool) (why string, err error) {
	defer func() {
		if p := recover(); p != nil {
			stack := make([]byte, 4000)
			err = fmt.Errorf("panic: %v\n%s", p, stack[:runtime.Stack(stack, false)])
		}
	}()
	s, err := sheet.Parse([]byte(text), "random.toml")
	if err != nil {
		return "", fmt.Errorf("not valid: %w", err)
	}
	f, err := survey.Run(s, survey.Options{CurvatureOnly: !sampled, Workers: 1, Working: true})
	if err != nil {
		if !strings.HasPrefix(err.Error(), "random.toml") {
			return "", fmt.Errorf("an error that does not name the sheet: %w", err)
		}
		_, why, _ = strings.Cut(err.Error(), ": ")
		if strings.Contains(why, "reconciled") {
			return "", fmt.Errorf("readings that contradict each other are no reason to give no answer: %s", why)
		}
		return place.ReplaceAllString(why, "#"), nil
	}
	return "", everyFormat(f)
}

// place are the parts of a message that differ from sheet to sheet.
var place = regexp.MustCompile(`"[^"]*"|[-0-9.]+`)

// everyFormat writes findings in every form and looks at what came.
func everyFormat(f *survey.Findings) error {
	if _, err := json.Marshal(f); err != nil {
		return fmt.Errorf("findings: %w", err)
	}
	for _, format := range []report.Format{report.Text, report.Markdown, report.JSON, report.CSV, report.HTML} {
		var b bytes.Buffer
		if err := report.Write(&b, f, format, report.Options{Working: true, Priors: true}); err != nil {
			return fmt.Errorf("%s: %w", format, err)
		}
		if err := harmless(b.Bytes()); err != nil {
			return fmt.Errorf("%s: %w", format, err)
		}
	}
	for _, row := range []func(string, *survey.Findings, []string) ([]byte, error){func(name string, f *survey.Findings, errs []string) ([]byte, error) {
		return report.JSONRow(name, f, errs, "")
	}, report.CSVRows} {
		b, err := row("random.toml", f, nil)
		if err != nil {
			return err
		}
		if err := harmless(b); err != nil {
			return err
		}
	}
	return nil
}

var noNumber = regexp.MustCompile(`\b(NaN|[-+]?Inf)\b|\b[0-9.]+e[+-]?[0-9]{3,}\b`)

// seeds are written in digits that may look like such a number.
var seeds = regexp.MustCompile(`"seed": ?"[0-9a-f]*"`)

// harmless says what is wrong with a text that a reader, a terminal or a program
// is to get: a number that is none or beyond all measure, or characters that act.
func harmless(text []byte) error {
	text = seeds.ReplaceAll(text, nil)
	if m := noNumber.FindIndex(text); m != nil {
		return fmt.Errorf("%q", text[max(0, m[0]-80):min(len(text), m[1]+20)])
	}
	for i, r := range string(text) {
		if r != '\n' && (unicode.IsControl(r) || unicode.Is(unicode.Bidi_Control, r)) {
			return fmt.Errorf("character %U in %q", r, text[max(0, i-60):min(len(text), i+20)])
		}
	}
	return nil
}
