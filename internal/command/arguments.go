package command

import (
	"fmt"
	"strings"
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

// read reads the arguments NAME=VALUE of a command line; a name given twice is
// refused.
func (a *argument) read(words []string, of line) ([]pair, error) {
	var list []pair
	seen := map[string]bool{}
	for _, arg := range words {
		name, text, found := cutLast(arg)
		name = strings.TrimSpace(name)
		if !found || name == "" || strings.TrimSpace(text) == "" {
			e := of.badArgument(arg, fmt.Errorf("not of the form %s", a.form), a.sample)
			if line := of.tied(arg, a.check); !found && line != "" {
				e.hints = []string{line}
			}
			return nil, e
		}
		if strings.Contains(name, "=") && strings.ContainsAny(name, ",; ") {
			return nil, of.twoInOne(arg)
		}
		if seen[strings.ToLower(name)] {
			return nil, of.badArgument(arg, fmt.Errorf("given twice"), "")
		}
		seen[strings.ToLower(name)] = true
		if err := a.check(text); err != nil {
			instead := name + "=" + mendNumber(text)
			if mendNumber(text) == "" || a.check(mendNumber(text)) != nil {
				instead = a.sample
			}
			return nil, of.badArgument(arg, err, instead)
		}
		if err := a.name.kind.value("").check(name); err != nil {
			sample, _, _ := cutLast(a.sample)
			return nil, of.badArgument(arg, err, sample+"="+text)
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
