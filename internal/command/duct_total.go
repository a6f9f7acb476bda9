package command

import "github.com/urfave/cli/v2"

func ductTotal(p *program) *cli.Command {
	q := newPressurisedQuestion("total")
	return &cli.Command{
		Name:  "total",
		Usage: "total leakage, from a fan on the ducts alone",
		Description: `All registers covered, a door or window of the house open, the fan on the ducts
holding them at 25 Pa or what it reaches. Leaks into the house count as well.`,
		UsageText: `holdbook duct total --pressure 25 --flow 96
holdbook duct total --pressure 17.5 --flow 210 --side supply`,
		Flags:  q.pressurisedFlags(),
		Action: func(c *cli.Context) error { return q.run(p, c) },
	}
}
