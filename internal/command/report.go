package command

import (
	"github.com/urfave/cli/v2"
	"holdbook/internal/sheet"
)

func reportCommand(p *program) *cli.Command {
	a := newAnswerFlags()
	return &cli.Command{
		Name:      "report",
		Category:  groupSheet,
		Usage:     "everything that a sheet's readings allow",
		ArgsUsage: "SHEET",
		Description: `SHEET is a readings file, or - for standard input. The report goes to the
screen, or with -o to a file, whose ending then chooses the form.`,
		UsageText: `holdbook demo --sheet -o house.toml
holdbook report house.toml
holdbook report house.toml --units si --working
holdbook report house.toml -o house.html
holdbook report - --format json < house.toml`,
		Flags: a.flags(),
		Action: func(c *cli.Context) error {
			name, err := p.oneSheet(c)
			if err != nil {
				return err
			}
			s, err := p.readSheet(name)
			if err != nil {
				return err
			}
			return p.answer(s, a, name)
		},
	}
}

// readSheet reads and checks the sheet in a file or on standard input.
func (p *program) readSheet(name string) (*sheet.Sheet, error) {
	text, err := p.readInput(name, "the sheet")
	if err != nil {
		return nil, err
	}
	if name == standardInput {
		name = "standard input"
	}
	return parseSheet(name, text)
}

// parseSheet reads and checks a sheet; its faults keep their places.
func parseSheet(name string, text []byte) (*sheet.Sheet, error) {
	s, err := sheet.Parse(name, text)
	if err != nil {
		return nil, &dataError{err: err}
	}
	return s, nil
}
