package command

import (
	"errors"
	"time"

	"github.com/urfave/cli/v2"
	"holdbook/internal/check"
	"holdbook/internal/report"
	"holdbook/internal/survey"
)

func checkCommand(p *program) *cli.Command {
	a := newScreenFlags()
	var strict bool
	return &cli.Command{
		Name:      "check",
		Category:  groupSheet,
		Usage:     "slips in a sheet, each with its place, before the fan is taken down",
		ArgsUsage: "SHEET",
		Description: `Looks for wrong signs, references and units, pressures that did not move, flows
that went the wrong way, and readings that do not fit the others. The status
is 1 when something keeps the sheet from being used, with --strict also when
there is a warning.`,
		UsageText: `holdbook demo --sheet -o house.toml
holdbook check house.toml
holdbook check house.toml --strict`,
		Flags: a.flags(formOfScreen, &cli.BoolFlag{Name: "strict", Usage: "status 1 for warnings too", Destination: &strict}),
		Action: func(c *cli.Context) error {
			s, format, err := p.screenSheet(c, a)
			if err != nil {
				return err
			}
			known, err := stockOf(a.stock)
			if err != nil {
				return err
			}
			var out *check.Report
			work := func() (*check.Report, error) {
				out = check.Sheet(s, survey.Options{Stock: known}, time.Now())
				return out, nil
			}
			if err := writeScreen(p, a, format, "checking", work, report.WriteCheck); err != nil {
				return err
			}
			switch {
			case out.Count(check.Blocks) > 0:
				return &dataError{err: errors.New("the sheet cannot be used as it is")}
			case strict && out.Count(check.Warns) > 0:
				return &dataError{err: errors.New("there are warnings")}
			}
			return nil
		},
	}
}
