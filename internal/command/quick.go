package command

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"github.com/urfave/cli/v2"
	"holdbook/internal/sheet"
	"holdbook/units"
)

// Quick commands take their readings from the command line, write them down
// as a sheet, and go the way of every sheet from there: a number cannot come
// out differently than it would from a file, and --save keeps the file.

// quickFlags are the flags that all quick commands share.
type quickFlags struct {
	*answerFlags
	save *value
}

func newQuickFlags() *quickFlags {
	return &quickFlags{answerFlags: newAnswerFlags(), save: newOwnFile("house.toml")}
}

func (q *quickFlags) flags(own ...cli.Flag) []cli.Flag {
	own = append(own, q.answerFlags.flags()...)
	return append(own, flag(q.save, "save", "keep the readings as a sheet in this new `FILE`, to add to"))
}

// answerQuick takes a sheet in the making the whole way. A fault found in it
// has no place in a file that anybody has seen.
func (p *program) answerQuick(t *sheetText, q *quickFlags) error {
	format, err := q.chosenFormat(q.save.text)
	if err != nil {
		return err
	}
	s, err := sheet.Parse([]byte(t.String()), q.save.text)
	if problems := (sheet.Problems)(nil); errors.As(err, &problems) {
		return &dataError{err: withoutPlaces(problems, t.String())}
	}
	if err != nil {
		return &dataError{err: err}
	}
	if q.save.given {
		if _, err := sheet.CreateText(q.save.text, []byte(t.String())); err != nil {
			return &dataError{err: err}
		}
		fmt.Fprintf(p.Stderr, "%s: the readings are kept in %s\n", Name, safe(q.save.text))
	}
	err = p.answer(s, q.answerFlags, format)
	if problems := (sheet.Problems)(nil); errors.As(err, &problems) && !q.save.given {
		return &dataError{err: withoutPlaces(problems, t.String())}
	}
	return err
}

// withoutPlaces gives each problem with the line it is about in place of that
// line's number.
func withoutPlaces(problems sheet.Problems, text string) error {
	lines := strings.Split(text, "\n")
	errs := make([]error, len(problems))
	for i, one := range problems {
		about := ""
		if n := one.Pos.Line; n > 0 && n <= len(lines) {
			about = safe(strings.TrimSpace(lines[n-1])) + ": "
		}
		errs[i] = errors.New(about + one.Text)
	}
	return errors.Join(errs...)
}

// sheetText is a sheet in the making, as the text of a readings file.
type sheetText struct {
	strings.Builder
	system units.System
}

// newSheetText starts a sheet that prints in the given system.
func newSheetText(s units.System) *sheetText {
	t := &sheetText{system: s}
	t.line("# Readings given on the command line. Add to them as they are taken, then run:")
	t.line("#   holdbook report THIS-FILE")
	t.line("sheet = 1\n")
	t.line("[job]")
	t.key("units", s.String())
	return t
}

func (t *sheetText) line(format string, args ...any) { fmt.Fprintf(t, format+"\n", args...) }

// table starts a table: "house" or "[hold]".
func (t *sheetText) table(name string) { t.line("\n[%s]", name) }

// key writes a text; an empty one is left out.
func (t *sheetText) key(name, text string) {
	if text != "" {
		t.line("%s = %s", name, sheet.StringText(text))
	}
}

// pressure writes a pressure as it was typed, in pascals when it was bare.
func (t *sheetText) pressure(name, text string) { t.key(name, withPascal(text)) }

// flow writes a flow as it was typed, in the unit of the sheet's system when
// it was bare.
func (t *sheetText) flow(name, text string) { t.key(name, t.withFlowUnit(text)) }

func withPascal(text string) string {
	if _, err := units.ParsePressure(text); err == nil || text == "" {
		return text
	}
	return text + " " + units.Pascal.Symbol()
}

func (t *sheetText) withFlowUnit(text string) string {
	if _, err := units.ParseFlow(text); err == nil || text == "" {
		return text
	}
	return text + " " + t.system.Flow().Symbol()
}

// inline writes an inline table of pressures: to_house = { attic = "44 Pa" }.
func (t *sheetText) inline(name string, readings []pair) {
	parts := make([]string, len(readings))
	for i, r := range readings {
		parts[i] = sheet.KeyText(r.name) + " = " + sheet.StringText(withPascal(r.value))
	}
	t.line("%s = { %s }", name, strings.Join(parts, ", "))
}

// pair is an argument NAME=VALUE.
type pair struct{ name, value string }

// pairs reads arguments of the form NAME=VALUE. check says what is wrong with
// a value; a name given twice is refused.
func (p *program) pairs(c *cli.Context, form, sample string, check func(string) error) ([]pair, error) {
	var list []pair
	seen := map[string]bool{}
	for _, arg := range c.Args().Slice() {
		name, text, found := cutLast(arg)
		name = strings.TrimSpace(name)
		if !found || name == "" || strings.TrimSpace(text) == "" {
			e := p.badArgument(arg, fmt.Errorf("not of the form %s", form), sample)
			if line := p.tied(arg, check); !found && line != "" {
				e.hints = []string{line}
			}
			return nil, e
		}
		if seen[strings.ToLower(name)] {
			return nil, p.badArgument(arg, fmt.Errorf("given twice"), "")
		}
		seen[strings.ToLower(name)] = true
		if err := check(text); err != nil {
			instead := name + "=" + mendNumber(text)
			if mendNumber(text) == "" || check(mendNumber(text)) != nil {
				instead = sample
			}
			return nil, p.badArgument(arg, err, instead)
		}
		list = append(list, pair{name, strings.TrimSpace(text)})
	}
	return list, nil
}

// cutLast splits at the last equals sign: values have none, names may.
func cutLast(arg string) (name, text string, found bool) {
	i := strings.LastIndex(arg, "=")
	if i < 0 {
		return arg, "", false
	}
	return arg[:i], arg[i+1:], true
}

// badArgument is the error for an argument, with the line that has another in
// its place.
func (p *program) badArgument(arg string, err error, instead string) *usageError {
	name, _, _ := cutLast(arg)
	e := &usageError{text: fmt.Sprintf("%s: %v", safe(name), err)}
	for i, a := range p.args {
		if a == arg && instead != "" {
			e.hints = []string{p.corrected(i, instead)}
		}
	}
	if e.hints == nil {
		e.hints = []string{p.without(arg)}
	}
	return e
}

// tied is the typed line with "=" between the first name and the value after it,
// and between all such that follow; "" when no value follows the first.
func (p *program) tied(first string, check func(string) error) string {
	at := slices.Index(p.args, first)
	line := slices.Clone(p.args[:max(at, 0)])
	for i := max(at, 0); i < len(p.args); i++ {
		word := p.args[i]
		if i+1 < len(p.args) && !strings.ContainsAny(word+p.args[i+1], "=-") && check(p.args[i+1]) == nil {
			word += "=" + p.args[i+1]
			i++
		} else if word == first {
			return ""
		}
		line = append(line, word)
	}
	return typed(line...)
}

// without is the typed line without the last of the words that equal word.
func (p *program) without(word string) string {
	for i := len(p.args) - 1; i >= 0; i-- {
		if p.args[i] == word {
			return typed(append(append([]string(nil), p.args[:i]...), p.args[i+1:]...)...)
		}
	}
	return typed(p.args...)
}

// needed is a flag that a command cannot do without.
type needed struct {
	*value
	name, what string
}

func need(v *value, name, what string) needed {
	return needed{v, name, what}
}

// require tells of all needed flags that are missing at once.
func (p *program) require(flags ...needed) error {
	var missing, line []string
	for _, f := range flags {
		if !f.given {
			missing = append(missing, fmt.Sprintf("%s (%s)", dashed(f.name), f.what))
			line = append(line, dashed(f.name), f.sample)
		}
	}
	if missing == nil {
		return nil
	}
	return &usageError{text: "missing: " + strings.Join(missing, ", "), hints: []string{p.appended(line...)}}
}

func checkPressure(text string) error {
	_, err := parsePressure(text)
	return err
}

func checkFlow(text string) error {
	_, err := parseFlow(text)
	return err
}
