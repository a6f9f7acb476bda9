package batch

import (
	"bufio"
	"bytes"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbook/internal/survey"
	"holdbook/units"
)

// A batch takes 30 zones, and 200 zones times holds, and no more of either. The holds
// here have no house pressure, so that nothing is worked out.
func TestLargestSheetOfABatch(t *testing.T) {
	for _, c := range []struct {
		zones, holds int
		taken        bool
	}{{30, 0, true}, {31, 0, false}, {30, 6, true}, {30, 7, false}, {20, 10, true}, {20, 11, false}, {1, 200, true}, {1, 201, false}} {
		text := "sheet = 1\n"
		for i := range c.zones {
			text += fmt.Sprintf("[[zone]]\nname = \"zone %d\"\n", i)
		}
		text += strings.Repeat("[[hold]]\n", c.holds)
		row := estimate(Item{Name: "x", Load: func() ([]byte, error) { return []byte(text), nil }}, Options{Survey: survey.Options{CurvatureOnly: true}})
		assert.Equal(t, c.taken, row.Findings != nil, "%+v: %v", c, row.Errors)
	}
}

// A limit is passed above it and not at it, by the value, by the whole interval, or
// within the interval.
func TestAtALimit(t *testing.T) {
	const at = 5
	for _, c := range []struct {
		low, value, high    float64
		over, surely, close int
	}{
		{3, 4, 5, 0, 0, 0}, {3, 4, 5.01, 0, 0, 1}, {3, 5, 7, 0, 0, 1}, {3, 5.01, 7, 1, 0, 1}, {5, 6, 7, 1, 0, 1}, {5.01, 6, 7, 1, 1, 0},
	} {
		l := tried{Limit: limit(t, "5 /h")}
		l.judge(&survey.Q{Value: c.value, Low: c.low, High: c.high, Unit: units.PerHour})
		l.judge(&survey.Q{Value: 2 * at, Low: at, High: 3 * at, Unit: units.Named("a unit that no house tells it in")})
		assert.Equal(t, [4]int{1, c.over, c.surely, c.close}, [4]int{l.houses, l.over, l.surely, l.close}, "%+v", c)
	}
}

// The longest line is read whole, a byte more of it is too long, and the next line is
// read after either.
func TestLongestLine(t *testing.T) {
	for _, c := range []struct {
		length int
		long   bool
	}{{LongestLine, false}, {LongestLine + 1, true}} {
		text := append(bytes.Repeat([]byte("x"), c.length-1), "\nnext\n"...)
		r := bufio.NewReaderSize(bytes.NewReader(text), 64<<10)
		line, err := readLine(r)
		assert.Equal(t, c.long, errors.Is(err, errLong))
		if !c.long {
			assert.Len(t, line, c.length)
		}
		line, err = readLine(r)
		assert.NoError(t, err)
		assert.Equal(t, "next\n", string(line))
		_, err = readLine(r)
		assert.ErrorIs(t, err, io.EOF)
	}
}

// A last row that was cut off is cut away, whole rows stay to the byte, and the rows
// that are errors are counted.
func TestResumeAfterATornRow(t *testing.T) {
	const whole = "{\"sheet\":\"a\",\"results\":1}\n{\"sheet\":\"b\",\"error\":[\"x\"]}\n"
	for _, torn := range []string{"", "{", "{\"sheet\":\"c\",\"results\":1}", "{\"sheet\":\"c\",\"res"} {
		name := filepath.Join(t.TempDir(), "out.jsonl")
		require.NoError(t, os.WriteFile(name, []byte(whole+torn), 0o600))
		r, err := Resume(name)
		require.NoError(t, err, torn)
		assert.Equal(t, [2]int{2, 1}, [2]int{r.Done, r.Failed}, torn)
		_, err = r.Write([]byte("next"))
		require.NoError(t, err)
		require.NoError(t, r.Close())
		got, err := os.ReadFile(name)
		require.NoError(t, err)
		assert.Equal(t, whole+"next", string(got), torn)
	}
}

// What is kept exactly ends at exactUpTo values: up to there a quantile is one of
// them or between two, beyond it is within the error that is told.
func TestExactUpTo(t *testing.T) {
	var s distribution
	for i := range exactUpTo {
		s.add(float64(i + 1))
	}
	assert.Zero(t, s.error())
	assert.InDelta(t, 1+0.95*(exactUpTo-1), s.quantiles([]float64{0.95})[0], 1e-9)
	s.add(exactUpTo + 1)
	assert.InDelta(t, within, s.error(), 0)
	assert.InEpsilon(t, 1+0.95*exactUpTo, s.quantiles([]float64{0.95})[0], within*1.001)
	assert.Equal(t, exactUpTo+1, s.n)
}
