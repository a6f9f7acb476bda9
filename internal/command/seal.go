package command

import (
	"github.com/urfave/cli/v2"
	"holdbook/internal/advise"
	"holdbook/internal/report"
	"holdbook/internal/survey"
	"holdbook/units"
)

func sealCommand(p *program) *cli.Command {
	a := newScreenFlags()
	fraction, target := newFraction(), newTarget()
	return &cli.Command{
		Name:      "seal",
		Category:  groupSheet,
		Usage:     "the work order of a sealing: what to seal first, where to look, what the fan should show",
		ArgsUsage: "SHEET",
		Description: `Seals each leak of the house in thought, solves every pressure again, and
writes a work order in what the fan's gauge shows: step by step where to look,
what it shows before and after, and where to stop. Leaks from a garage come
first, then the largest fall, or that for each hour where every leak offered
has hours.`,
		UsageText: `holdbook demo --sheet -o house.toml
holdbook seal house.toml
holdbook seal house.toml --target "1500 cfm"
holdbook seal house.toml --target "5 /h" --fraction 0.8
holdbook seal house.toml -o order.html`,
		Flags: a.flags(formOfScreen,
			flag(fraction, "fraction", "seal this `SHARE` of each leak; all of it unless given"),
			a.workingFlag("show the flows behind the order, and what sealing in pairs would do"),
			flag(target, "target", "a fan flow at 50 Pa to reach, or air changes an hour: `AMOUNT`; a bare number is cfm, m3/h with --units si"),
		),
		Action: func(c *cli.Context) error {
			s, format, err := p.screenSheet(c, a)
			if err != nil {
				return err
			}
			known, err := stockOf(a.stock)
			if err != nil {
				return err
			}
			o := advise.SealOptions{Options: survey.Options{Stock: known}}
			if fraction.given {
				v, _ := advise.ParseShare(fraction.text)
				o.Fraction = float64(v)
			}
			if target.given {
				o.Flow, o.AirChanges, _ = advise.ParseTarget(target.text, survey.SystemOf(s, survey.Options{}))
			}
			return writeScreen(p, a, format, "sealing in thought", func() (*advise.SealForecast, error) { return advise.Seal(s, o) }, report.WriteSeal)
		},
	}
}

// newFraction is the flag of a share between 0 and 1.
func newFraction() *value { return newQuantity("0.8", advise.ParseShare) }

// newTarget is the flag of what to reach.
func newTarget() *value {
	v := &value{sample: "1500 cfm", mend: mendNumber}
	v.check = func(text string) error {
		_, _, err := advise.ParseTarget(text, units.IP)
		return err
	}
	return v
}
