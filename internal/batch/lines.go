package batch

import (
	"bufio"
	"bytes"
	"crypto/sha256"
	"encoding/json"
	"errors"
	"fmt"
	"io"

	"holdbook/internal/sheet"
	"holdbook/internal/survey"
)

// LongestLine is the longest line that is taken from standard input: written as
// JSON, a sheet may be several times its own size.
const LongestLine = 8 * sheet.MaxSize

// fromLines yields what the lines of standard input stand for. A line is a path,
// as on the command line; a sheet, {"sheet": NAME, "toml": TEXT}; or a results
// line of an earlier run, which is passed on as it is. Blank lines count for
// nothing.
func fromLines(in io.Reader, yield func(Item) bool) bool {
	lines := bufio.NewReaderSize(in, 64<<10)
	for n := 1; ; n++ {
		line, err := readLine(lines)
		if trimmed := bytes.TrimSpace(line); len(trimmed) > 0 || errors.Is(err, errLong) {
			if !fromLine(n, trimmed, err, yield) {
				return false
			}
		}
		switch {
		case errors.Is(err, io.EOF):
			return true
		case err != nil && !errors.Is(err, errLong):
			return yield(Item{Name: "standard input", Err: fmt.Errorf("standard input: %w", err)})
		}
	}
}

func fromLine(n int, line []byte, err error, yield func(Item) bool) bool {
	switch {
	case errors.Is(err, errLong):
		return yield(Item{Name: lineName(n), Err: fmt.Errorf("%s: %w", lineName(n), errLong)})
	case line[0] == '{':
		return yield(fromJSON(n, line))
	}
	return fromPath(string(line), yield)
}

func lineName(n int) string { return fmt.Sprintf("line %d", n) }

var errLong = fmt.Errorf("the line is over %d MiB, which no sheet needs", LongestLine>>20)

// readLine reads a line of any length, keeping no more of it than is accepted.
func readLine(r *bufio.Reader) ([]byte, error) {
	var line []byte
	long := false
	for {
		part, err := r.ReadSlice('\n')
		if long = long || len(line)+len(part) > LongestLine; !long {
			line = append(line, part...)
		}
		switch {
		case errors.Is(err, bufio.ErrBufferFull):
			continue
		case long && (err == nil || errors.Is(err, io.EOF)):
			return nil, errLong
		}
		return line, err
	}
}

// fromJSON is the sheet, or the row of an earlier run, in a line of JSON Lines.
func fromJSON(n int, line []byte) Item {
	var v struct {
		Sheet   string   `json:"sheet"`
		TOML    *string  `json:"toml"`
		Results int      `json:"results"`
		Error   []string `json:"error"`
		MadeOf  string   `json:"made_of"`
	}
	name := lineName(n)
	if err := json.Unmarshal(line, &v); err != nil {
		return Item{Name: name, Err: fmt.Errorf("%s: no JSON object in one line: %w", name, err)}
	}
	if v.Sheet != "" {
		name = v.Sheet
	}
	if sum := sha256.New(); v.MadeOf == "" {
		sum.Write(line)
		v.MadeOf = short(sum)
	}
	switch {
	case v.TOML != nil:
		text := []byte(*v.TOML)
		return Item{Name: name, Load: func() ([]byte, error) { return text, nil }}
	case len(v.Error) > 0:
		return Item{Name: name, Done: &Row{Sheet: name, MadeOf: v.MadeOf, Errors: v.Error}}
	case v.Results == 1:
		return earlier(name, v.MadeOf, line)
	}
	return Item{Name: name, Err: fmt.Errorf(`%s: neither a sheet nor a row of results; write {"sheet": "NAME", "toml": "sheet = 1\n…"}`, name)}
}

// earlier is a results line of an earlier run.
func earlier(name, madeOf string, line []byte) Item {
	f := &survey.Findings{}
	if err := json.Unmarshal(line, f); err != nil {
		return Item{Name: name, Err: fmt.Errorf("%s: not a row of results: %w", name, err)}
	}
	return Item{Name: name, Done: &Row{Sheet: name, MadeOf: madeOf, Findings: f}}
}
