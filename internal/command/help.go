package command

import (
	"fmt"
	"io"
	"strings"

	"github.com/urfave/cli/v2"
)

const (
	tagline   = "find where a house leaks, from a few readings beside a door fan"
	helpWidth = 78 // leaves a terminal of 80 columns its margin
)

const overview = `A door fan holds the house at a pressure; a gauge shows the pressure of the
attic, the garage, the ducts. From those readings holdbook tells how each space
is joined to the house and to outdoors, how large each leak is and how well that
is known, and what the ducts lose.`

// printOverview shows what there is, grouped by what the reader wants to do.
func (p *program) printOverview() error {
	w := p.out
	fmt.Fprintf(w, "%s – %s\n\n%s\n", Name, tagline, overview)
	width := 0
	for _, c := range p.commands {
		width = max(width, len(c.Name))
	}
	for _, group := range groups {
		fmt.Fprintf(w, "\n%s\n", group)
		for _, c := range p.commands {
			if c.Category == group && !c.Hidden {
				entry(w, fmt.Sprintf("  %-*s  ", width, c.Name), c.Usage)
			}
		}
	}
	fmt.Fprintf(w, "\nTry first\n  %s demo\n  %s zone attic=44 garage=47.5 --house 50\n", Name, Name)
	fmt.Fprintf(w, "\n%s COMMAND --help shows a command's flags, with examples that run.\n", Name)
	return nil
}

// printHelp shows one command: what it does, how it is typed, examples, flags.
func (p *program) printHelp(c *cli.Command) error {
	w := p.out
	fmt.Fprintf(w, "%s\n\n", strings.Join(wrap(fmt.Sprintf("%s %s – %s", Name, helpName(c), c.Usage), helpWidth), "\n"))
	fmt.Fprintf(w, "  %s\n", synopsis(c))
	if c.Description != "" {
		fmt.Fprintf(w, "\n%s\n", strings.TrimSpace(c.Description))
	}
	if len(c.Subcommands) > 0 {
		printSubcommands(w, c)
	}
	if c.UsageText != "" {
		fmt.Fprint(w, "\nExamples\n")
		for _, line := range strings.Split(strings.TrimSpace(c.UsageText), "\n") {
			fmt.Fprintf(w, "  %s\n", line)
		}
	}
	printFlags(w, c)
	return nil
}

func synopsis(c *cli.Command) string {
	words := []string{Name, helpName(c)}
	if c.ArgsUsage != "" {
		words = append(words, c.ArgsUsage)
	}
	if len(c.Flags) > 1 {
		words = append(words, "[flags]")
	}
	return strings.Join(words, " ")
}

func printSubcommands(w io.Writer, c *cli.Command) {
	fmt.Fprint(w, "\nTests\n")
	width := 0
	for _, sub := range c.Subcommands {
		width = max(width, len(sub.Name))
	}
	for _, sub := range c.Subcommands {
		entry(w, fmt.Sprintf("  %-*s  ", width, sub.Name), sub.Usage)
	}
}

func printFlags(w io.Writer, c *cli.Command) {
	fmt.Fprint(w, "\nFlags\n")
	heads := make([]string, len(c.Flags))
	width := 0
	for i, f := range c.Flags {
		heads[i] = flagHead(f)
		width = max(width, len(heads[i]))
	}
	for i, f := range c.Flags {
		_, usage := placeholder(f)
		entry(w, fmt.Sprintf("  %-*s  ", width, heads[i]), usage)
	}
}

// flagHead is a flag as it is typed: "-o, --output FILE".
func flagHead(f cli.Flag) string {
	names := f.Names()
	head := ""
	for i := len(names) - 1; i >= 0; i-- {
		head += dashed(names[i])
		if i > 0 {
			head += ", "
		}
	}
	if word, _ := placeholder(f); word != "" {
		head += " " + word
	}
	return head
}

// placeholder takes the word in backquotes out of a flag's usage: what the
// flag's value is. The usage keeps it as a common word.
func placeholder(f cli.Flag) (word, usage string) {
	d, ok := f.(cli.DocGenerationFlag)
	if !ok {
		return "", ""
	}
	usage = d.GetUsage()
	before, rest, found := strings.Cut(usage, "`")
	if !found {
		return "", usage
	}
	word, after, _ := strings.Cut(rest, "`")
	return word, before + strings.ToLower(word) + after
}

// entry writes a line with a head and a text that wraps under itself.
func entry(w io.Writer, head, text string) {
	indent := strings.Repeat(" ", len([]rune(head)))
	for i, line := range wrap(text, helpWidth-len(indent)) {
		if i == 0 {
			fmt.Fprintf(w, "%s%s\n", head, line)
		} else {
			fmt.Fprintf(w, "%s%s\n", indent, line)
		}
	}
}

// wrap breaks a text into lines of at most width characters.
func wrap(text string, width int) []string {
	lines := []string{""}
	for _, word := range strings.Fields(text) {
		last := &lines[len(lines)-1]
		switch {
		case *last == "":
			*last = word
		case len([]rune(*last))+1+len([]rune(word)) <= width:
			*last += " " + word
		default:
			lines = append(lines, word)
		}
	}
	return lines
}

// examples are the command lines of a command's help, without the lines that
// explain them.
func examples(c *cli.Command) []string {
	var lines []string
	for _, line := range strings.Split(c.UsageText, "\n") {
		if line = strings.TrimSpace(line); strings.HasPrefix(line, Name+" ") {
			lines = append(lines, line)
		}
	}
	return lines
}

func firstExample(c *cli.Command) string {
	if lines := examples(c); len(lines) > 0 {
		return lines[0]
	}
	return Name + " " + helpName(c) + " --help"
}
