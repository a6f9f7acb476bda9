// Package command is the command line of holdbook: flags and files in, a
// report out. Each subcommand has a file of its own and one line in the table
// of commands (table.go), but those that answer one question, which are rows of
// quick_table.go; everything they share stands in the other files.
//
// The package never ends the process: Main returns the exit status, so that
// tests call it like any function.
package command

import (
	"errors"
	"io"
	"os"
	"slices"

	"github.com/urfave/cli/v2"
	shell "holdbook/internal/typed"
)

// Name is the program's name, as typed and as it stands before each message.
const Name = shell.Program

// Env is everything of the outside world that a run may touch besides the
// files named on its command line.
type Env struct {
	Stdin  io.Reader
	Stdout io.Writer // results only
	Stderr io.Writer // messages only
	Demo   []byte    // the demonstration sheet, as embedded in the program
}

// Main runs one command line, args[0] being the program's name, and returns
// the exit status: 0 good, 1 the readings or a file are at fault, 2 the
// command line is.
func Main(args []string, env Env) int {
	p := newProgram(args, env)
	err := p.run()
	if err == nil && p.out.err != nil {
		err = dataErrorf("cannot write the result: %w", p.out.err)
	}
	return tell(env.Stderr, err)
}

// program is one run: nothing in it outlives the command line it was made
// for, because flag values would leak from one run into the next.
type program struct {
	Env
	args     line
	out      *output
	commands []*cli.Command
	stdinFor string // what has claimed standard input already
}

func newProgram(args []string, env Env) *program {
	p := &program{Env: env, out: &output{w: env.Stdout}}
	if f, ok := env.Stdout.(*os.File); ok && isClosed(f) {
		p.out.w = closedOutput{}
	}
	if len(args) > 0 {
		p.args = args[1:]
	}
	p.commands = buildTable(p)
	return p
}

func (p *program) run() error {
	if len(p.args) > 0 && p.args[0] == completeWord {
		return p.complete(p.args[1:])
	}
	line, leaf, err := p.arrange()
	switch {
	case err != nil:
		return err
	case !slices.Equal(line, helpLine):
		break
	case leaf == nil:
		return p.printOverview()
	default:
		return p.printHelp(leaf)
	}
	return p.app().Run(append([]string{Name}, line...))
}

// app is the library's view of the program. It is never allowed to print or
// to exit by itself.
func (p *program) app() *cli.App {
	app := &cli.App{
		Name:            Name,
		HelpName:        Name,
		Usage:           tagline,
		Writer:          p.out,
		ErrWriter:       p.Stderr,
		ExitErrHandler:  func(*cli.Context, error) {},
		HideHelp:        true,
		HideHelpCommand: true,
		HideVersion:     true,
		Flags:           appFlags(),
		Commands:        p.commands,
		OnUsageError:    p.onUsageError(nil),
		Action:          p.topLevel,
	}
	return app
}

// appFlags are the flags that stand without a command.
func appFlags() []cli.Flag {
	return []cli.Flag{
		&cli.BoolFlag{Name: "help", Aliases: []string{"h"}, Usage: "show this list, or a command's help"},
		&cli.BoolFlag{Name: "version", Usage: "show the version and how it was built"},
	}
}

// topLevel is reached with a flag alone or with nothing at all; arrange has
// already refused unknown commands.
func (p *program) topLevel(c *cli.Context) error {
	if c.Bool("version") {
		return p.printVersion()
	}
	return &usageError{text: "no command given", hints: []string{
		Name + " demo   # shows what it does, with an invented house",
		Name + " --help",
	}}
}

// output is standard output that remembers its first error, so that a full
// disk is never taken for success.
type output struct {
	w   io.Writer
	err error
}

// Write implements io.Writer.
func (o *output) Write(b []byte) (int, error) {
	if o.err != nil {
		return 0, o.err
	}
	n, err := o.w.Write(b)
	o.err = err
	return n, err
}

// closedOutput takes nothing.
type closedOutput struct{}

// Write implements io.Writer.
func (closedOutput) Write([]byte) (int, error) { return 0, errors.New("standard output is closed") }
