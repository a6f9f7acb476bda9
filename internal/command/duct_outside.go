package command

import "github.com/urfave/cli/v2"

func ductOutside(p *program) *cli.Command {
	q := newPressurisedQuestion("outside")
	return &cli.Command{
		Name:  "outside",
		Usage: "leakage to outside, with house and ducts held at one pressure",
		Description: `All registers covered, the door fan holding the house at 25 Pa above outdoors,
the fan on the ducts trimmed until ducts and house show no difference. What was
left of it is the residual: a tenth of a pascal still counts.`,
		UsageText: `holdbook duct outside --pressure 25 --flow 61
holdbook duct outside --pressure 25 --flow 61 --residual 0.2 --working`,
		Flags:  q.pressurisedFlags(flag(q.residual, "residual", "`PRESSURE` of the ducts to the house that was left")),
		Action: func(c *cli.Context) error { return q.run(p, c) },
	}
}
