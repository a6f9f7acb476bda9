package command

import (
	"fmt"
	"slices"
	"strings"

	"github.com/urfave/cli/v2"
)

// arrange puts the typed words in the order that the library needs: the
// command's name, its flags, "--", its arguments. Flags may so stand before
// or after the arguments, and an argument may be a negative number. Unknown
// commands and flags are refused here, with the line to type instead. The
// command is returned too; the line is helpLine when its help is asked for.
func (p *program) arrange() ([]string, *cli.Command, error) {
	if len(p.args) == 0 {
		return nil, nil, nil
	}
	if isFlag(p.args[0]) {
		line, err := p.arrangeTop()
		return line, nil, err
	}
	leaf, start, err := p.find(0)
	if err != nil {
		return nil, nil, err
	}
	rest, err := p.flagsFirst(leaf, start)
	if err != nil || slices.Equal(rest, helpLine) {
		return rest, leaf, err
	}
	return append(slices.Clone(p.args[:start]), rest...), leaf, nil
}

// helpLine is what a line comes down to when it asks for help. The library
// never gets to see it: it would show its own.
var helpLine = []string{"--help"}

// arrangeTop handles a line that starts with a flag: help and version, or a
// flag that belongs behind its command.
func (p *program) arrangeTop() ([]string, error) {
	switch strings.TrimLeft(p.args[0], "-") {
	case "h", "help":
		return helpLine, nil
	case "version":
		return []string{"--version"}, nil
	}
	for i, a := range p.args {
		if lookUp(p.commands, a) != nil {
			line := append([]string{a}, p.args[:i]...)
			return nil, &usageError{
				text:  fmt.Sprintf("%s stands before the command", quote(p.args[0])),
				hints: []string{typed(append(line, p.args[i+1:]...)...)},
			}
		}
	}
	e := &usageError{text: "no such flag without a command: " + quote(p.args[0]), hints: []string{Name + " --help"}}
	if near := nearest(strings.TrimLeft(p.args[0], "-"), []string{"help", "version"}); near != "" {
		e.hints = []string{Name + " --" + near}
	}
	return nil, e
}

// find follows the typed words from index start on to the command that they
// name, and says where its flags and arguments begin.
func (p *program) find(start int) (*cli.Command, int, error) {
	words := p.args
	c := lookUp(p.commands, words[start])
	if c == nil {
		return nil, 0, p.unknownCommand(start, p.commands)
	}
	next := start + 1
	for len(c.Subcommands) > 0 && next < len(words) && !strings.HasPrefix(words[next], "-") {
		sub := lookUp(c.Subcommands, words[next])
		if sub == nil {
			return nil, 0, p.unknownCommand(next, c.Subcommands)
		}
		c, next = sub, next+1
	}
	return c, next, nil
}

func lookUp(commands []*cli.Command, name string) *cli.Command {
	for _, c := range commands {
		if c.HasName(name) {
			return c
		}
	}
	return nil
}

// unknownCommand is the error for the word at index i, which names none of
// the commands known there.
func (p *program) unknownCommand(i int, known []*cli.Command) error {
	var names []string
	for _, c := range known {
		if !c.Hidden {
			names = append(names, c.Name)
		}
	}
	if near := nearest(p.args[i], names); near != "" {
		return &usageError{
			text:  "no command " + quote(p.args[i]),
			hints: []string{p.args.corrected(i, near)},
		}
	}
	return &usageError{
		text:  fmt.Sprintf("no command %s; there are %s", quote(p.args[i]), strings.Join(names, ", ")),
		hints: []string{typed(append(slices.Clone(p.args[:i]), "--help")...)},
	}
}

// flagsFirst sorts the words from index start on into flags and arguments of
// one command.
func (p *program) flagsFirst(c *cli.Command, start int) ([]string, error) {
	takes := flagNames(c)
	var flags, args []string
	for i := start; i < len(p.args); i++ {
		word := p.args[i]
		switch {
		case word == "--":
			args, i = append(args, p.args[i+1:]...), len(p.args)
		case !isFlag(word):
			args = append(args, word)
		default:
			name, _, glued := strings.Cut(strings.TrimLeft(word, "-"), "=")
			if name == "h" || name == "help" {
				return helpLine, nil
			}
			value, known := takes[name]
			if !known {
				return nil, p.unknownFlag(c, i)
			}
			flags = append(flags, word)
			if value && !glued {
				if i++; i == len(p.args) || namesFlag(p.args[i], takes) {
					return nil, p.valueMissing(c, name, i)
				}
				flags = append(flags, p.args[i])
			}
		}
	}
	if len(args) > 0 {
		flags = append(append(flags, "--"), args...)
	}
	return flags, nil
}

// isFlag says whether a word is meant as a flag: it starts with a dash and is
// neither the lone dash of standard input nor a negative number.
func isFlag(word string) bool {
	if len(word) < 2 || word[0] != '-' {
		return false
	}
	return word[1] != '.' && (word[1] < '0' || word[1] > '9')
}

func namesFlag(word string, takes map[string]bool) bool {
	name, _, _ := strings.Cut(strings.TrimLeft(word, "-"), "=")
	_, known := takes[name]
	return isFlag(word) && known
}

// flagNames maps every name of a command's flags to whether it takes a value.
func flagNames(c *cli.Command) map[string]bool {
	takes := map[string]bool{}
	for _, f := range c.Flags {
		d, ok := f.(cli.DocGenerationFlag)
		for _, n := range f.Names() {
			takes[n] = ok && d.TakesValue()
		}
	}
	return takes
}

func (p *program) unknownFlag(c *cli.Command, i int) error {
	name, value, glued := strings.Cut(strings.TrimLeft(p.args[i], "-"), "=")
	e := &usageError{text: fmt.Sprintf("%s has no flag --%s", helpName(c), safe(name))}
	var known []string
	for n := range flagNames(c) {
		known = append(known, n)
	}
	near := nearest(name, known)
	if near == "" {
		e.hints = []string{typed(append(strings.Fields(helpName(c)), "--help")...)}
		return e
	}
	word := dashed(near)
	if glued {
		word += "=" + value
	}
	e.hints = []string{p.args.corrected(i, word)}
	return e
}

// valueMissing is the error for a flag with nothing behind it; i is where its
// value should stand.
func (p *program) valueMissing(c *cli.Command, name string, i int) error {
	line := append(slices.Clone(p.args[:i]), valueOf(c, name).sample)
	return &usageError{
		text:  fmt.Sprintf("%s needs a value", dashed(name)),
		hints: []string{typed(append(line, p.args[i:]...)...)},
	}
}

// onUsageError turns what the library found wrong with a command's flags into
// our own error: the value that was refused, and the line with a right one.
func (p *program) onUsageError(c *cli.Command) cli.OnUsageErrorFunc {
	return func(_ *cli.Context, err error, _ bool) error {
		if c == nil {
			return &usageError{text: err.Error(), hints: []string{Name + " --help"}}
		}
		for _, f := range c.Flags {
			g, ok := f.(*cli.GenericFlag)
			if !ok {
				continue
			}
			if bad := g.Value.(*value).bad; bad != nil {
				return p.badValue(g, bad)
			}
		}
		return &usageError{text: err.Error(), hints: []string{typed(append(strings.Fields(helpName(c)), "--help")...)}}
	}
}

// badValue is the error for a flag whose value was refused.
func (p *program) badValue(f *cli.GenericFlag, bad *fault) error {
	e := &usageError{text: fmt.Sprintf("%s: %v", dashed(f.Name), bad.err)}
	for i, a := range p.args {
		name, value, glued := strings.Cut(strings.TrimLeft(a, "-"), "=")
		if !isFlag(a) || !hasName(f, name) {
			continue
		}
		switch separate := !glued && i+1 < len(p.args) && p.args[i+1] == bad.text; {
		case bad.instead == "" && separate:
			e.hints = []string{typed(slices.Concat(p.args[:i], p.args[i+2:])...)}
		case bad.instead == "" && value == bad.text:
			e.hints = []string{typed(slices.Concat(p.args[:i], p.args[i+1:])...)}
		case separate:
			e.hints = []string{p.args.corrected(i+1, bad.instead)}
		case glued && value == bad.text:
			e.hints = []string{p.args.corrected(i, dashed(name)+"="+bad.instead)}
		}
	}
	return e
}

func hasName(f cli.Flag, name string) bool { return slices.Contains(f.Names(), name) }
