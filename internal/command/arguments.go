package command

import (
	"fmt"
	"slices"
	"strings"

	"github.com/urfave/cli/v2"
)

// pair is an argument NAME=VALUE.
type pair struct{ name, value string }

// check says what is wrong with the value of an argument.
func (a *argument) check(text string) error {
	parts := a.parts(text)
	if len(parts) != len(a.values) {
		return fmt.Errorf("%s is not %s", quote(text), a.several)
	}
	for i, part := range parts {
		if err := a.values[i].kind.value("").check(part); err != nil {
			return err
		}
	}
	return nil
}

// parts are the values in the value of an argument.
func (a *argument) parts(text string) []string {
	if len(a.values) == 1 {
		return []string{text}
	}
	return strings.Split(text, ":")
}

// pairs reads the arguments NAME=VALUE of a command; a name given twice is
// refused.
func (p *program) pairs(c *cli.Context, a *argument) ([]pair, error) {
	var list []pair
	seen := map[string]bool{}
	for _, arg := range c.Args().Slice() {
		name, text, found := cutLast(arg)
		name = strings.TrimSpace(name)
		if !found || name == "" || strings.TrimSpace(text) == "" {
			e := p.badArgument(arg, fmt.Errorf("not of the form %s", a.form), a.sample)
			if line := p.tied(arg, a.check); !found && line != "" {
				e.hints = []string{line}
			}
			return nil, e
		}
		if seen[strings.ToLower(name)] {
			return nil, p.badArgument(arg, fmt.Errorf("given twice"), "")
		}
		seen[strings.ToLower(name)] = true
		if err := a.check(text); err != nil {
			instead := name + "=" + mendNumber(text)
			if mendNumber(text) == "" || a.check(mendNumber(text)) != nil {
				instead = a.sample
			}
			return nil, p.badArgument(arg, err, instead)
		}
		if err := a.name.kind.value("").check(name); err != nil {
			sample, _, _ := cutLast(a.sample)
			return nil, p.badArgument(arg, err, sample+"="+text)
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
