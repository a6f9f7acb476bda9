package command

import (
	"errors"
	"os"

	"github.com/urfave/cli/v2"
	"holdbook/internal/files"
	"holdbook/internal/sheet"
)

func reportCommand(p *program) *cli.Command {
	a := newAnswerFlags()
	a.sheet = true
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
holdbook report house.toml --record
# as a standard wants it: with the attic hatch open
holdbook report house.toml --as "hatch open"
holdbook report - --format json < house.toml`,
		Flags: append(a.flags(), &cli.BoolFlag{Name: "record", Usage: "end a text report with the record of the test, to be checked and signed", Destination: &a.record},
			flag(a.as, "as", "the house in another `STATE` too: the name of a hold, or of what stood open in one, such as \"hatch open\"")),
		Action: func(c *cli.Context) error {
			name, err := p.oneSheet(c)
			if err != nil {
				return err
			}
			format, err := a.chosenFormat("report", name)
			if err != nil {
				return err
			}
			s, err := p.readSheet(name)
			if err != nil {
				return err
			}
			return p.answer(s, a, format)
		},
	}
}

// readSheet reads and checks the sheet in a file or on standard input. A pipe that
// is named is read like standard input.
func (p *program) readSheet(name string) (*sheet.Sheet, error) {
	if name == standardInput {
		if err := p.claimStdin("the sheet"); err != nil {
			return nil, err
		}
		return readable(sheet.ReadFrom(p.Stdin, "standard input"))
	}
	s, err := sheet.Read(name)
	if !errors.Is(err, files.ErrNotPlain) {
		return readable(s, err)
	}
	f, err := os.Open(name)
	if err != nil {
		return nil, cannot("read", name, err)
	}
	defer f.Close()
	return readable(sheet.ReadFrom(f, name))
}

// readable marks what is wrong with a sheet as the data's fault.
func readable(s *sheet.Sheet, err error) (*sheet.Sheet, error) {
	if err != nil {
		return nil, &dataError{err: err}
	}
	return s, nil
}
