// Package learned is what many houses together tell of the leaks of one more: medians and
// spreads by the kinds of space that a leak joins, and the file that they are kept in.
package learned

import (
	"bytes"
	"crypto/sha256"
	"errors"
	"fmt"
	"io/fs"
	"math"
	"slices"
	"strings"

	"github.com/pelletier/go-toml/v2"

	"holdbook/internal/files"
	"holdbook/internal/fit"
	"holdbook/units"
	"holdbook/zonal"
)

// Stock is what is known of the leaks of a stock of houses.
type Stock struct {
	Name   string // of its file
	Sum    string // tells its text from another
	Houses int    // that told of it
	Leaks  []Leak
}

// Leak is what is known of the leaks between two kinds of space: what to expect in a house
// that was not among those that told of it. What they did not tell is nil.
type Leak struct {
	Between  [2]zonal.Kind
	Houses   int
	Flow50   *zonal.LogNormal
	Exponent *zonal.Normal
}

// Leak is what is known of the leaks between two kinds, in either order; nil for nothing.
func (s *Stock) Leak(a, b zonal.Kind) *Leak {
	if s == nil {
		return nil
	}
	i := slices.IndexFunc(s.Leaks, func(l Leak) bool {
		return l.Between == [2]zonal.Kind{a, b} || l.Between == [2]zonal.Kind{b, a}
	})
	if i < 0 {
		return nil
	}
	return &s.Leaks[i]
}

// file is a Stock as it is written. The keys are those of a sheet's [[path]].
type file struct {
	Stock  int        `toml:"stock"`
	Houses int        `toml:"houses"`
	Leak   []fileLeak `toml:"leak"`
}

type fileLeak struct {
	Between    []string `toml:"between"`
	Houses     int      `toml:"houses,omitempty"`
	Flow50     string   `toml:"flow_50,omitempty"`
	Spread     float64  `toml:"spread,omitempty"`
	Exponent   float64  `toml:"exponent,omitempty"`
	ExponentSD float64  `toml:"exponent_sd,omitempty"`
}

// Wanted says what it takes to learn from.
const Wanted = "it takes five houses at least that have the leak, and zone pressures in each"

// head stands before what is written.
const head = `# What a stock of houses tells of the leaks of one more, as holdbook batch --learn wrote it.
# flow_50: median at 50 Pa; nine in ten houses lie within spread times or a spread-th of it.
`

// Text is a stock as a file, flows in the unit of a system.
func (s *Stock) Text(system units.System) ([]byte, error) {
	f := file{Stock: 1, Houses: s.Houses}
	for _, l := range s.Leaks {
		out := fileLeak{Between: []string{string(l.Between[0]), string(l.Between[1])}, Houses: l.Houses}
		if q := l.Flow50; q != nil {
			u := system.Flow()
			out.Flow50 = units.Significant(u.FromSI(float64(q.Median)), 4) + " " + u.Symbol()
			out.Spread = rounded(math.Exp(fit.Z90 * q.SDLn))
		}
		if n := l.Exponent; n != nil {
			out.Exponent, out.ExponentSD = rounded(n.Mean), rounded(n.SD)
		}
		f.Leak = append(f.Leak, out)
	}
	text, err := toml.Marshal(f)
	return append([]byte(head), text...), err
}

// rounded is a number of four decimals.
func rounded(v float64) float64 { return math.Round(v*1e4) / 1e4 }

// maxSize is more than any stock takes.
const maxSize = 1 << 20

// Read reads the file of a stock. An error names the file, the line and what to write.
func Read(name string) (*Stock, error) {
	text, err := files.Read(name, maxSize+1)
	var pe *fs.PathError
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, fmt.Errorf("%s: there is no such file; holdbook batch --learn writes one", name)
	case errors.As(err, &pe):
		return nil, fmt.Errorf("%s: %w", name, pe.Err)
	case err != nil:
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	return Parse(text, name)
}

// Parse reads the text of a stock, as Read does.
func Parse(text []byte, name string) (*Stock, error) {
	if len(text) > maxSize {
		return nil, fmt.Errorf("%s: over %d MiB, which no stock needs; name a file that holdbook batch --learn wrote", name, maxSize>>20)
	}
	var f file
	d := toml.NewDecoder(bytes.NewReader(text)).DisallowUnknownFields()
	if err := d.Decode(&f); err != nil {
		return nil, placed(name, err)
	}
	at := places{name, text}
	switch {
	case f.Stock != 1:
		return nil, fmt.Errorf("%s: %d as its version; name a file that holdbook batch --learn wrote, which says stock = 1", at.of(0, "stock"), f.Stock)
	case f.Houses < 1:
		return nil, fmt.Errorf("%s: write how many houses told of this, such as houses = 150", at.of(0, "houses"))
	case len(f.Leak) == 0:
		return nil, fmt.Errorf("%s: no [[leak]]: it tells of no leak; learn from more houses", name)
	}
	s := &Stock{Name: name, Sum: fmt.Sprintf("%x", sha256.Sum256(text)), Houses: f.Houses}
	for i, l := range f.Leak {
		read, key, err := l.read()
		if err == nil && s.Leak(read.Between[0], read.Between[1]) != nil {
			key, err = "between", fmt.Errorf("the leak between %s and %s stands there already; leave one", read.Between[0], read.Between[1])
		}
		if err != nil {
			return nil, fmt.Errorf("%s: %w", at.of(i+1, key), err)
		}
		s.Leaks = append(s.Leaks, read)
	}
	return s, nil
}

// placed is an error of the library with its place.
func placed(name string, err error) error {
	var strict *toml.StrictMissingError
	if errors.As(err, &strict) && len(strict.Errors) > 0 {
		line, column := strict.Errors[0].Position()
		return fmt.Errorf("%s:%d:%d: no stock has the key %s; take it out", name, line, column, units.Sanitize(strings.Join(strict.Errors[0].Key(), ".")))
	}
	var decode *toml.DecodeError
	if errors.As(err, &decode) {
		line, column := decode.Position()
		return fmt.Errorf("%s:%d:%d: %s; name a file that holdbook batch --learn wrote", name, line, column, units.Sanitize(strings.TrimPrefix(decode.Error(), "toml: ")))
	}
	return fmt.Errorf("%s: %w", name, err)
}

// The widest that a stock may be: no stock of houses is as wide as these.
const (
	widestSpread     = 1000
	widestExponentSD = 0.5
)

// read checks a leak; key is what the error is of.
func (l *fileLeak) read() (out Leak, key string, err error) {
	if len(l.Between) != 2 || !isKind(l.Between[0]) || !isKind(l.Between[1]) {
		return out, "between", fmt.Errorf("a leak joins two kinds of space, such as between = [\"house\", \"attic\"]; the kinds are house, outside and %s", kindList())
	}
	out = Leak{Between: [2]zonal.Kind{zonal.Kind(l.Between[0]), zonal.Kind(l.Between[1])}, Houses: l.Houses}
	if l.Flow50 != "" {
		median, err := units.ParseFlow(l.Flow50)
		if err != nil {
			return out, "flow_50", err
		}
		if !(median > 0) || !(l.Spread > 1 && l.Spread <= widestSpread) {
			return out, "flow_50", fmt.Errorf("write a flow above zero and beside it how far nine in ten houses lie from it, such as spread = 3 (above 1, up to %d)", widestSpread)
		}
		out.Flow50 = &zonal.LogNormal{Median: median, SDLn: math.Log(l.Spread) / fit.Z90}
	}
	if l.Exponent != 0 {
		if !(l.Exponent >= 0.5 && l.Exponent <= 1) || !(l.ExponentSD > 0 && l.ExponentSD <= widestExponentSD) {
			return out, "exponent", fmt.Errorf("write an exponent from 0.5 to 1 and beside it its spread, such as exponent_sd = 0.05 (above 0, up to %g)", widestExponentSD)
		}
		out.Exponent = &zonal.Normal{Mean: l.Exponent, SD: l.ExponentSD}
	}
	if out.Flow50 == nil && out.Exponent == nil {
		return out, "between", errors.New("it says nothing of this leak; write flow_50 and spread, or exponent and exponent_sd")
	}
	return out, "", nil
}

func isKind(name string) bool {
	k := zonal.Kind(name)
	return k == zonal.HouseKind || k == zonal.OutsideKind || k.IsZone()
}

func kindList() string {
	var words []string
	for _, k := range zonal.Kinds() {
		words = append(words, string(k))
	}
	return strings.Join(words, ", ")
}

// places finds the lines of keys: the library does not say where a good value stood.
type places struct {
	name string
	text []byte
}

// of is the place of a key in the n-th leak; 0: before them.
func (p places) of(n int, key string) string {
	leak, at := 0, 0
	for i, line := range strings.Split(string(p.text), "\n") {
		line = strings.TrimSpace(line)
		if strings.HasPrefix(line, "[[") {
			if leak++; leak == n {
				at = i + 1
			}
		}
		if word, _, found := strings.Cut(line, "="); found && leak == n && strings.TrimSpace(word) == key {
			at = i + 1
		}
	}
	if at == 0 {
		return p.name
	}
	return fmt.Sprintf("%s:%d", p.name, at)
}
