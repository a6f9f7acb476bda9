package command

import (
	"github.com/urfave/cli/v2"
	"holdbook/internal/sheet"
)

// demoName is the name under which messages speak of the embedded sheet.
const demoName = "demo.toml"

func demoCommand(p *program) *cli.Command {
	a := newAnswerFlags()
	var show bool
	return &cli.Command{
		Name:     "demo",
		Category: groupStart,
		Usage:    "the report of an invented house, to see what comes out",
		Description: `The house is invented; the sheet with its readings comes with the program.
Print the sheet, change what your own gauge showed, and report on it.`,
		UsageText: `holdbook demo
holdbook demo --units si
# the readings behind it, to copy and edit
holdbook demo --sheet -o house.toml
holdbook report house.toml`,
		Flags: append([]cli.Flag{
			&cli.BoolFlag{Name: "sheet", Usage: "print the sheet itself instead of its report", Destination: &show},
		}, a.flags()...),
		Action: func(c *cli.Context) error {
			if err := noArguments(c); err != nil {
				return err
			}
			if show {
				return p.writeSheet(p.Demo, a.output.text)
			}
			s, err := readable(sheet.Parse(p.Demo, demoName))
			if err != nil {
				return err
			}
			format, err := a.chosenFormat("report")
			if err != nil {
				return err
			}
			return p.answer(s, a, format)
		},
	}
}

// writeSheet prints a sheet, or writes it to a file that is not there yet.
func (p *program) writeSheet(text []byte, name string) error {
	if name == "" || name == standardInput {
		return p.writeResult(text, "")
	}
	_, err := readable(sheet.CreateText(name, text))
	return err
}
