package command

import (
	"strings"

	"github.com/urfave/cli/v2"
)

// The groups that help shows, named by what the reader wants to do.
const (
	groupStart = "Start here"
	groupSheet = "With a sheet of readings"
	groupQuick = "One question at a time, no sheet needed"
	groupSetUp = "Set-up"
)

// groups is their order on the screen.
var groups = []string{groupStart, groupSheet, groupQuick, groupSetUp}

// table lists the commands in the order in which help shows them. A new
// command is one file and one line here.
var table = []func(*program) *cli.Command{
	demoCommand,
	newCommand,
	walkCommand,
	addCommand,
	reportCommand,
	checkCommand,
	nextCommand,
	sealCommand,
	compareCommand,
	batchCommand,
	keysCommand,
	limitsCommand,
	quickCommand(&houseQuick),
	quickCommand(&zoneQuick),
	quickCommand(&guardedQuick),
	quickCommand(&cazQuick),
	ductCommand,
	helpCommand,
	completionCommand,
	manCommand,
}

// buildTable makes the commands of one run and gives each what the library
// does not pass on by itself.
func buildTable(p *program) []*cli.Command {
	commands := make([]*cli.Command, len(table))
	for i, build := range table {
		commands[i] = build(p)
		p.prepare(commands[i])
	}
	return commands
}

// prepare gives a command and its subcommands our help and our errors.
func (p *program) prepare(c *cli.Command, parents ...string) {
	if len(parents) > 0 { // the library names a top-level command by itself
		c.HelpName = strings.Join(append(append([]string{Name}, parents...), c.Name), " ")
	}
	c.HideHelp, c.HideHelpCommand = true, true
	c.OnUsageError = p.onUsageError(c)
	c.Flags = append(c.Flags, &cli.BoolFlag{Name: "help", Aliases: []string{"h"}, Usage: "show this help"})
	if c.Action == nil {
		c.Action = p.needSubcommand(c)
	}
	for _, sub := range c.Subcommands {
		p.prepare(sub, helpName(c))
	}
}

// needSubcommand is the action of a command that only groups others.
func (p *program) needSubcommand(c *cli.Command) cli.ActionFunc {
	return func(*cli.Context) error {
		e := &usageError{text: c.Name + " needs to know which test"}
		for _, sub := range c.Subcommands {
			e.hints = append(e.hints, firstExample(sub))
		}
		return e
	}
}

// helpName is a command's name with those of its parents, without the
// program's.
func helpName(c *cli.Command) string {
	if c.HelpName == "" {
		return c.Name
	}
	return strings.TrimPrefix(c.HelpName, Name+" ")
}
