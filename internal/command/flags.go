package command

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"github.com/urfave/cli/v2"
	"holdbook/units"
)

// fault is a value that a flag refused: what was typed, why, and a value that
// would do.
type fault struct {
	text    string
	err     error
	instead string
}

// value is the value of one flag, checked as it is read. A flag given twice
// with two values is refused: the library would take the last in silence.
type value struct {
	text   string
	given  bool
	bad    *fault
	sample string                   // a value that would do
	words  []string                 // all values that would do, when they are few
	file   bool                     // it names a file
	many   bool                     // it may be given again, with another value
	all    []string                 // what was given, when it may be given again
	check  func(string) error       // says why a text will not do
	mend   func(text string) string // a likelier text, or ""
}

// Set implements cli.Generic.
func (v *value) Set(text string) error {
	if v.many {
		return v.add(strings.TrimSpace(text))
	}
	if v.given && text == v.text { // an alias, copied by the library
		return nil
	}
	if v.given {
		return v.refuse(text, fmt.Errorf("given twice, %s and %s; leave one out", quote(v.text), quote(text)), "")
	}
	if err := v.check(text); err != nil {
		return v.refuse(text, err, v.likelier(text))
	}
	v.text, v.given = text, true
	return nil
}

// add is Set of a flag that may be given again.
func (v *value) add(text string) error {
	if text == "" || slices.ContainsFunc(v.all, func(w string) bool { return strings.EqualFold(w, text) }) {
		return v.refuse(text, fmt.Errorf("%s: name each once", quote(text)), "")
	}
	if v.check != nil {
		if err := v.check(text); err != nil {
			return v.refuse(text, err, v.likelier(text))
		}
	}
	v.all, v.given = append(v.all, text), true
	v.text = strings.Join(v.all, ", ")
	return nil
}

func (v *value) refuse(text string, err error, instead string) error {
	v.bad = &fault{text: text, err: err, instead: instead}
	return err
}

// likelier is a value to type in place of a refused one: the same text with a
// common slip put right where that helps, else the example.
func (v *value) likelier(text string) string {
	if v.mend != nil {
		if m := v.mend(text); m != "" && v.check(m) == nil {
			return m
		}
	}
	return v.sample
}

// String implements cli.Generic.
func (v *value) String() string {
	if v == nil {
		return ""
	}
	return v.text
}

// valueOf is our value of the flag that goes by the name, or nil.
func valueOf(c *cli.Command, name string) *value {
	for _, f := range c.Flags {
		if g, ok := f.(*cli.GenericFlag); ok && hasName(f, name) {
			return g.Value.(*value)
		}
	}
	return nil
}

// newQuantity is the flag of a physical quantity, checked by its parser. Its
// text goes into the sheet as it was typed.
func newQuantity[Q ~float64](sample string, parse func(string) (Q, error)) *value {
	v := &value{sample: sample, mend: mendNumber}
	v.check = func(text string) error {
		_, err := parse(text)
		return err
	}
	return v
}

// mendNumber puts the commonest slip right: a decimal comma.
func mendNumber(text string) string {
	if strings.Count(text, ",") == 1 && !strings.Contains(text, ".") {
		return strings.Replace(text, ",", ".", 1)
	}
	return ""
}

// newPressure is the flag of a pressure; a bare number is in pascals.
func newPressure(sample string) *value { return newQuantity(sample, parsePressure) }

// newFlow is the flag of a flow. In which unit a bare number is depends on
// --units, which may stand later on the line, and makes no difference here.
func newFlow(sample string) *value { return newQuantity(sample, parseFlow) }

// newFanFlow is the flag of a door fan's flow, which a gauge may show carried to 50 Pa.
func newFanFlow(sample string) *value {
	return newQuantity(sample, func(text string) (units.Flow, error) {
		q, to, err := units.ParseScaledFlow(text)
		if to == 0 && !strings.Contains(text, "@") || q < 0 {
			return parseFlow(text)
		}
		return q, err
	})
}

func parsePressure(text string) (units.Pressure, error) {
	return units.ParsePressureIn(text, units.Pascal)
}

func parseFlow(text string) (units.Flow, error) {
	q, err := units.ParseFlowIn(text, units.CFM)
	if err == nil && q < 0 {
		err = fmt.Errorf("%s: a flow is given without a sign", quote(text))
	}
	return q, err
}

// flag makes the library's flag of one of our values.
func flag(v *value, name, usage string, aliases ...string) *cli.GenericFlag {
	return &cli.GenericFlag{Name: name, Aliases: aliases, Usage: usage, Value: v, DefaultText: "none"}
}

// newChoice is a flag whose value is one of a few words.
func newChoice(words ...string) *value {
	v := &value{sample: words[0], words: words}
	v.check = func(text string) error {
		if slices.Contains(words, text) {
			return nil
		}
		return fmt.Errorf("%s is not one of %s", quote(text), strings.Join(words, ", "))
	}
	v.mend = func(text string) string { return nearest(text, words) }
	return v
}

// newText is a flag that takes any text but an empty one.
func newText(sample string) *value {
	v := &value{sample: sample}
	v.check = func(text string) error {
		if strings.TrimSpace(text) == "" {
			return fmt.Errorf("it is empty")
		}
		return nil
	}
	return v
}

// newFile is a flag that names a file.
func newFile(sample string) *value {
	v := newText(sample)
	v.file = true
	return v
}

// newOwnFile is the flag of a file that only a file will do for, not standard
// output.
func newOwnFile(sample string) *value {
	v := newFile(sample)
	isText := v.check
	v.check = func(name string) error {
		if name == standardInput {
			return errors.New("- is no file; write the name of one")
		}
		return isText(name)
	}
	return v
}

func checkPressure(text string) error {
	_, err := parsePressure(text)
	return err
}
