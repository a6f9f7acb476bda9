package command

import (
	"fmt"
	"strings"

	"github.com/urfave/cli/v2"
)

func manCommand(p *program) *cli.Command {
	return &cli.Command{
		Name:      "man",
		Category:  groupSetUp,
		Usage:     "print the manual page",
		UsageText: "holdbook man",
		Description: `Section 1, in the format that man reads. To look at it:

  holdbook man > holdbook.1; man ./holdbook.1`,
		Action: func(c *cli.Context) error {
			if err := noArguments(c); err != nil {
				return err
			}
			return p.writeManual()
		},
	}
}

// writeManual renders the same commands, flags and examples as the help.
func (p *program) writeManual() error {
	_, err := fmt.Fprint(p.out, p.manual())
	return err
}

// manual is the manual page in roff.
func (p *program) manual() string {
	var m manPage
	m.line(`.TH %s 1 "" "" "User commands"`, strings.ToUpper(Name))
	m.section("Name")
	m.line(`%s \- %s`, Name, escapeRoff(tagline))
	m.section("Synopsis")
	m.line(`.B %s`, Name)
	m.line(`.I COMMAND`)
	m.line(`[arguments] [flags]`)
	m.section("Description")
	m.text(overview)
	m.section("Commands")
	for _, c := range p.commands {
		m.command(c)
	}
	m.section("Exit status")
	m.text(exitHelp)
	return m.String()
}

const exitHelp = `0: the result stands. 1: the readings or a file are at fault. 2: the
command line is. Results go to standard output, messages to standard error.`

// manPage collects roff lines.
type manPage struct{ strings.Builder }

func (m *manPage) line(format string, args ...any) { fmt.Fprintf(m, format+"\n", args...) }

func (m *manPage) section(name string) { m.line(".SH %s", strings.ToUpper(name)) }

// text sets prose: paragraphs are filled, indented lines stay as they are.
func (m *manPage) text(s string) {
	for _, block := range strings.Split(strings.TrimSpace(s), "\n\n") {
		if strings.HasPrefix(block, "  ") {
			m.verbatim(block)
			continue
		}
		m.line(".PP\n%s", escapeRoff(block))
	}
}

func (m *manPage) verbatim(s string) {
	m.line(".PP\n.nf\n%s\n.fi", escapeRoff(s))
}

func (m *manPage) command(c *cli.Command) {
	if c.Hidden {
		return
	}
	m.line(".SS %s", escapeRoff(synopsis(c)))
	m.line("%s", escapeRoff(strings.ToUpper(c.Usage[:1])+c.Usage[1:]+"."))
	if c.Description != "" {
		m.text(c.Description)
	}
	for _, f := range c.Flags {
		_, usage := placeholder(f)
		m.line(".TP\n.B %s\n%s", escapeRoff(flagHead(f)), escapeRoff(usage))
	}
	if c.UsageText != "" {
		m.verbatim(strings.TrimSpace(c.UsageText))
	}
	for _, sub := range c.Subcommands {
		m.command(sub)
	}
}

// escapeRoff makes text safe for roff: a backslash, a dash that must stay one
// when copied, and a line that would start a request.
func escapeRoff(s string) string {
	s = strings.NewReplacer(`\`, `\e`, "-", `\-`, "–", `\(en`, "…", "...").Replace(s)
	lines := strings.Split(s, "\n")
	for i, l := range lines {
		if strings.HasPrefix(l, ".") || strings.HasPrefix(l, "'") {
			lines[i] = `\&` + l
		}
	}
	return strings.Join(lines, "\n")
}
